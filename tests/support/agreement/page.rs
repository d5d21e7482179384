//! `docs/agreement.md` as a whole.

use super::figures::{Emergence, Harvest, availability, days_to_harvest, emergence};
use super::published::{availabilities, calendars};
use super::sowing::{Compared, between_books, compare, missed, summary};
use super::station::Station;
use super::table::{Tally, median, percent, table};
use std::collections::BTreeMap;

/// The place whose summer is nearest to that of the tables of days to harvest.
const WARM_STATION: &str = "heathrow";

/// Every comparison, and the page made of them.
pub struct Agreement {
    pub calendars: Vec<Compared>,
    pub emergence: Emergence,
    pub harvest: Harvest,
    /// Claims of what is to be had when that are kept, see `availability`.
    pub available: Tally,
    pub page: String,
}

impl Agreement {
    pub fn reckoned() -> Agreement {
        let published = calendars();
        let lists = availabilities();
        let mut stations: BTreeMap<String, Station> = BTreeMap::new();
        let climates =
            (published.iter().map(|c| &c.climate)).chain(lists.iter().map(|l| &l.climate));
        for climate in climates {
            (stations.entry(climate.clone())).or_insert_with(|| Station::new(climate));
        }
        let calendars: Vec<Compared> = published
            .iter()
            .map(|calendar| compare(calendar, &stations[&calendar.climate]))
            .collect();
        let emergence = emergence(&stations[WARM_STATION]);
        let harvest = days_to_harvest(&stations[WARM_STATION]);
        let (available, availability) = availability(&lists, &stations);
        let mut agreement = Agreement {
            calendars,
            emergence,
            harvest,
            available,
            page: String::new(),
        };
        agreement.page = agreement.write(&between_books(&published), &availability);
        agreement
    }

    /// Published windows overlapped by half or more by usual sowings that succeed.
    pub fn windows(&self) -> Tally {
        let mut all = Tally::default();
        self.calendars.iter().for_each(|one| all += one.usual);
        all
    }

    /// Median error of the days to harvest against the middle of the published span.
    pub fn harvest_error(&self) -> f64 {
        median(self.harvest.errors.clone())
    }

    fn write(&self, (between, alike, apart): &(Tally, f64, String), available: &str) -> String {
        let met = |met: bool| if met { "met" } else { "**missed**" }.to_string();
        let windows = self.windows();
        let inside = self.harvest.outside.iter().filter(|o| **o == 0.0).count();
        let goals = table(
            &["goal", "measured", ""],
            &[
                vec![
                    "80 % of published sowing windows overlapped by at least half their length"
                        .into(),
                    windows.to_string(),
                    met(windows.share() >= 0.8),
                ],
                vec![
                    "median error in days to harvest under 15 %".into(),
                    format!(
                        "{} off the middle of the published span; {inside} of {} inside the span, \
                         median {} outside of it",
                        percent(self.harvest_error()),
                        self.harvest.errors.len(),
                        percent(median(self.harvest.outside.clone()))
                    ),
                    met(self.harvest_error() < 0.15),
                ],
                vec![
                    "days to emergence within 25 % at each tabulated temperature, 10 to 25 °C"
                        .into(),
                    format!(
                        "{}; allowing for the table's whole days {}",
                        self.emergence.strict, self.emergence.rounded
                    ),
                    met(self.emergence.strict.kept == self.emergence.strict.of),
                ],
            ],
        );
        let sections: String = self
            .calendars
            .iter()
            .map(|one| one.section.as_str())
            .collect();
        [
            INTRODUCTION,
            &goals,
            HOW,
            &summary(&self.calendars),
            &format!(
                "\n## The books beside each other\n\nWhere two calendars date the same thing, {between} \
                 windows of one are overlapped by half or more by the other, and the median likeness \
                 is {}. Of these, no day is common to:\n\n{apart}\n{BOOKS}",
                percent(*alike)
            ),
            WHY_MISSED,
            &missed(&self.calendars),
            WHY,
            "## Calendar by calendar\n",
            &sections,
            DAYS,
            &self.harvest.page,
            EMERGENCE,
            &self.emergence.page,
            AVAILABLE,
            available,
            &crate::garden::section(),
        ]
        .concat()
    }
}

const INTRODUCTION: &str = "\
# Agreement with the books

<!-- Written by tests/agreement.rs; to renew it: BEDWEEK_WRITE_DOCS=1 cargo test --test agreement -->

What the growth model says of sowing, harvest and emergence beside published calendars and tables, crop
by crop, each at the normals of a station of the place. Sources stand with each table; the rows checked
are in `tests/data/calendars.yaml`, `availability.yaml`, `days_to_harvest.csv` and
`days_to_emergence.csv`.

## Goals

";

const HOW: &str = "
How it is reckoned. *Published*: the dates of the calendar, in days. *Computed*: the weeks in which the
shipped crops that are meant can be begun with success: within their usual sowing weeks (`sow` of the
model), in the open and bare unless the calendar says otherwise, plants raised on a warm shelf with lamps.
A published window is when growers usually sow, a computed one is when sowing can succeed; a wide one
overlaps easily, so beside the share of the published days that is *overlapped* stands the *likeness*:
days in both over days in either (Jaccard). *Any sowing week* leaves the usual sowing weeks aside and
asks growth alone. A harvest is that of what is begun within the published window.

## Calendars

";

const BOOKS: &str = "
The calendars come from other climates, decades and habits, so this is no measure of how wrong any of
them is; it shows how near a model can come to all of them at once. What they disagree about:

- *One month or a season.* Western Washington and Oregon name the month to sow in; Thames Valley gives all
  the months in which it can be done. The month mostly lies within the season, the season never in the month.
- *Where the frost ends.* Central Oregon plants out tender crops from late May and June, Western Washington in
  May, the Oregon coast in April.
- *Spring, autumn, or both.* Lettuce, peas, radishes and spinach are spring crops to some, sown again in
  July and August by others. Spinach ends in May (England 1945), goes on to July (Thames Valley), or is sown in March
  and through August (Western Washington); by day length what is sown in August runs to seed in autumn.
- *From a seedbed or from under glass.* Leeks are planted in April and May (Thames Valley) or from mid June to
  mid August out of an open seedbed (England 1945); cabbages, kale and broccoli are sown in February, in spring
  or in July.
- *When garlic goes in.* In September (Oregon), October (Western Washington), to November (Central Oregon), or at
  any time in winter (Southern England).
";

const WHY_MISSED: &str = "
## What is missed, and why

";

const WHY: &str = "
*Outside the usual sowing weeks*: growth would succeed, but the crop's model names other weeks. The models'
sowing weeks run over what these calendars name, as far as growth succeeds at a mild station, and no place
alone decides: the raising's `source` says which calendars. A scenario narrows them again with `sow`; each week more
is more plantings for the search to weigh. Not followed, since the cold or the day length of the crop (from
memory) speaks against a calendar that stands alone: Chinese cabbage before May and Florence fennel before the
end of May, which run to seed (Thames Valley); peppers in December (Thames Valley); tender crops sown or planted
in the open in April and carrots sown the whole year (Oregon); rhubarb in May, where the ground is frozen until then
(Central Oregon); spinach sown in August to stand the winter (Western Washington).
*Killed by frost*: a planting is lost in the week whose coldest night in one year of five is below
what the crop survives. Calendars are written for the usual year and for growers who cover or replant, so
where late frosts are many (Central Oregon lies at 1100 m) they begin tender crops earlier and end them
later than is reckoned here. The page for the Oregon coast dates tender crops in April, earlier than its own
season lengths allow, and says of itself that carrots and radishes can be sown all year. The guide of 1945
knew cooler springs. The Thames Valley calendar puts sowings on a window sill, under glass and in the open
into one column, so its earliest weeks are not those of the open ground.

";

const DAYS: &str = "
## Days to harvest

At `heathrow`, the warmest summer among the stations that are shipped; the tables are for warmer ones
(the east of the United States). Computed over the usual sowings that succeed, begun in W10 to W30 where
a crop has any there, in the crop's first way of harvest; days from the Monday on which it is sown or planted to the middle of the week of
the first harvest.

";

const EMERGENCE: &str = "
## Days to emergence

Published: Harrington & Minges 1954, as reprinted in Knott's Handbook for Vegetable Growers; whole days, at
constant soil temperatures. Each cell: published, computed. *Rounding*: off by more than a quarter, but by no
more than a quarter and the half day to which the table is rounded.

";

const AVAILABLE: &str = "
## What is to be had when

Fresh or from store, in the open or in the polytunnel, of what the usual sowings give; on at least ten
days of the month.
";
