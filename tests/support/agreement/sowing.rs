//! Sowing and harvest windows beside the published ones, and the books beside each other.

use super::days::{DaySet, weeks_between};
use super::published::{Calendar, Entry};
use super::station::Station;
use super::table::{Tally, median, percent, table};
use std::collections::BTreeMap;

/// What the goal asks of a published window: that so much of it is overlapped.
pub const ENOUGH: f64 = 0.5;

/// One calendar against its station.
pub struct Compared {
    pub name: String,
    /// Published windows overlapped enough by the usual sowings that succeed, and by sowings of
    /// any week that would succeed.
    pub usual: Tally,
    pub whenever: Tally,
    /// The same of usual sowings in the open, bare or under fleece.
    pub fleeced: Tally,
    /// By row: share of the published days that is overlapped, days in both over days in either.
    pub recalls: Vec<f64>,
    pub likeness: Vec<f64>,
    /// By row with a published harvest: the same two, and how many weeks the computed harvest
    /// begins later.
    pub harvest_recalls: Vec<f64>,
    pub harvest_likeness: Vec<f64>,
    pub harvest_later: Vec<f64>,
    /// Windows that are overlapped too little, by what stands in the way.
    pub missed: BTreeMap<&'static str, usize>,
    pub section: String,
}

pub fn compare(calendar: &Calendar, station: &Station) -> Compared {
    let mut result = Compared {
        name: calendar.name.clone(),
        usual: Tally::default(),
        whenever: Tally::default(),
        fleeced: Tally::default(),
        recalls: Vec::new(),
        likeness: Vec::new(),
        harvest_recalls: Vec::new(),
        harvest_likeness: Vec::new(),
        harvest_later: Vec::new(),
        missed: BTreeMap::new(),
        section: String::new(),
    };
    let mut rows = Vec::new();
    let mut harvests = Vec::new();
    for entry in &calendar.rows {
        let Entry {
            models, place, act, ..
        } = entry;
        let published = entry.published();
        let computed = station.days(models, place, *act, true);
        let whenever = station.days(models, place, *act, false);
        let fleeced = computed.or(&station.days(models, "fleece", *act, true));
        for window in &entry.windows {
            let window = DaySet::of_windows(std::slice::from_ref(window));
            let enough = window.covered_by(&computed) >= ENOUGH;
            result.usual.add(enough);
            result.whenever.add(window.covered_by(&whenever) >= ENOUGH);
            result.fleeced.add(window.covered_by(&fleeced) >= ENOUGH);
            if !enough {
                let missed = window.without(&computed);
                let reason = station.reason(models, place, *act, &missed);
                *result.missed.entry(reason).or_default() += 1;
            }
        }
        let recall = published.covered_by(&computed);
        result.recalls.push(recall);
        result.likeness.push(published.likeness(&computed));
        let missed = published.without(&computed);
        let why = if recall < 0.9 {
            format!(
                "{}: {}",
                missed,
                station.reason(models, place, *act, &missed)
            )
        } else {
            String::new()
        };
        rows.push(vec![
            named(entry),
            published.to_string(),
            computed.to_string(),
            weeks(published.and(&computed).len()),
            percent(recall),
            percent(published.likeness(&computed)),
            why,
        ]);
        let published_harvest = entry.published_harvest();
        if published_harvest.is_empty() {
            continue;
        }
        let harvest = station.harvest(models, place, *act, &published);
        let later = match (published_harvest.begin(), harvest.begin()) {
            (Some(from), Some(to)) => Some(weeks_between(from, to)),
            _ => None,
        };
        result
            .harvest_recalls
            .push(published_harvest.covered_by(&harvest));
        result
            .harvest_likeness
            .push(published_harvest.likeness(&harvest));
        result.harvest_later.extend(later);
        harvests.push(vec![
            named(entry),
            published_harvest.to_string(),
            harvest.to_string(),
            weeks(published_harvest.and(&harvest).len()),
            percent(published_harvest.covered_by(&harvest)),
            percent(published_harvest.likeness(&harvest)),
            later.map_or("none".into(), |weeks| format!("{weeks:+.1}")),
        ]);
    }
    let Calendar {
        name,
        source,
        station: about,
        climate,
        ..
    } = calendar;
    result.section =
        format!("\n### {name}\n\nPublished: {source}.\nStation: `{climate}`. {about}\n\n");
    result.section += &table(
        &[
            "crop",
            "published",
            "computed",
            "weeks in both",
            "overlapped",
            "likeness",
            "missed, and why",
        ],
        &rows,
    );
    if !harvests.is_empty() {
        result.section += "\nHarvest of what is begun within the published windows:\n\n";
        result.section += &table(
            &[
                "crop",
                "published",
                "computed",
                "weeks in both",
                "overlapped",
                "likeness",
                "begins, weeks later",
            ],
            &harvests,
        );
    }
    result
}

/// One line for each calendar and one for all.
pub fn summary(all: &[Compared]) -> String {
    let line = |name: &str, some: &[&Compared]| {
        let mut usual = Tally::default();
        let mut whenever = Tally::default();
        let mut fleeced = Tally::default();
        some.iter().for_each(|one| {
            usual += one.usual;
            whenever += one.whenever;
            fleeced += one.fleeced;
        });
        let middle = |of: fn(&Compared) -> &Vec<f64>| {
            let values: Vec<f64> = some.iter().flat_map(|one| of(one).clone()).collect();
            (!values.is_empty()).then(|| median(values))
        };
        let share = |value: Option<f64>| value.map_or("-".into(), percent);
        vec![
            name.to_string(),
            usual.to_string(),
            whenever.to_string(),
            fleeced.to_string(),
            share(middle(|one| &one.likeness)),
            share(middle(|one| &one.harvest_recalls)),
            share(middle(|one| &one.harvest_likeness)),
            middle(|one| &one.harvest_later).map_or("-".into(), |weeks| format!("{weeks:+.1}")),
        ]
    };
    let mut rows: Vec<Vec<String>> = all.iter().map(|one| line(&one.name, &[one])).collect();
    rows.push(line("all", &all.iter().collect::<Vec<_>>()));
    table(
        &[
            "calendar",
            "windows overlapped by half or more",
            "the same, any sowing week",
            "the same, usual weeks, bare or under fleece",
            "likeness, median",
            "harvest overlapped, median",
            "harvest likeness, median",
            "harvest begins, weeks later, median",
        ],
        &rows,
    )
}

/// Windows of all calendars that are overlapped too little, by what stands in the way.
pub fn missed(all: &[Compared]) -> String {
    let mut counts: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for one in all {
        for (&reason, count) in &one.missed {
            let words = format!("{count} of {}", one.name);
            counts.entry(reason).or_default().push(words);
        }
    }
    let rows: Vec<Vec<String>> = counts
        .into_iter()
        .map(|(reason, words)| vec![reason.to_string(), words.join(", ")])
        .collect();
    table(&["missed windows", "how many"], &rows)
}

/// The books beside each other: windows of one that another also dates.
pub fn between_books(calendars: &[Calendar]) -> (Tally, f64, String) {
    let mut tally = Tally::default();
    let mut likeness = Vec::new();
    let mut rows = Vec::new();
    let mut seen: BTreeMap<String, ()> = BTreeMap::new();
    for (i, one) in calendars.iter().enumerate() {
        for (j, other) in calendars.iter().enumerate() {
            if i == j {
                continue;
            }
            for entry in &one.rows {
                let theirs = (other.rows.iter())
                    .filter(|e| same_thing(entry, e))
                    .map(Entry::published)
                    .reduce(|a, b| a.or(&b));
                let Some(theirs) = theirs else { continue };
                let ours = entry.published();
                for window in &entry.windows {
                    let window = DaySet::of_windows(std::slice::from_ref(window));
                    tally.add(window.covered_by(&theirs) >= ENOUGH);
                }
                likeness.push(ours.likeness(&theirs));
                if ours.and(&theirs).is_empty() && i < j {
                    let key = format!("{} {} {}", entry.crop, one.name, other.name);
                    if seen.insert(key, ()).is_none() {
                        rows.push(vec![
                            named(entry),
                            format!("{}: {ours}", one.name),
                            format!("{}: {theirs}", other.name),
                        ]);
                    }
                }
            }
        }
    }
    let apart = table(&["crop", "one book", "another"], &rows);
    (tally, median(likeness), apart)
}

fn same_thing(one: &Entry, other: &Entry) -> bool {
    one.act == other.act
        && one.place == other.place
        && one.models.iter().any(|model| other.models.contains(model))
}

fn named(entry: &Entry) -> String {
    match entry.act {
        super::published::Act::Sow => format!("{}, sown", entry.crop),
        super::published::Act::Plant => format!("{}, planted", entry.crop),
    }
}

fn weeks(days: usize) -> String {
    format!("{:.0}", days as f64 / 7.0)
}
