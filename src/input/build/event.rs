//! Events and harvest records: checked records to a diary, set against the plan they speak of.

use super::names::{Names, complain};
use super::tally::{self, Tally};
use super::{back, occupied, sowing};
use crate::domain::*;
use crate::input::code::*;
use crate::input::diagnostic::Problems;
use crate::input::fields::Fields;
use crate::input::tables::HAPPENINGS;
use crate::units::Week;
use chrono::NaiveDate;

/// What events are checked against.
pub struct Facts<'a> {
    pub scenario: &'a Scenario,
    pub roster: &'a Roster,
    pub today: NaiveDate,
    plantings: Names,
    pub beds: Names,
    pub crops: Names,
    covers: Names,
    foods: Names,
}

/// All events and records of a file, in order of time.
pub fn diary(
    f: &Fields,
    scenario: &Scenario,
    roster: &Roster,
    today: NaiveDate,
    problems: &mut Problems,
) -> Diary {
    let named = |what, names: Vec<&String>| Names::new(what, names.into_iter().cloned());
    let facts = Facts {
        scenario,
        roster,
        today,
        plantings: Names::new(
            "planting",
            (roster.plantings.iter()).map(|p| p.name.as_ref().unwrap_or(&p.id).clone()),
        ),
        beds: named("bed", scenario.beds.iter().map(|b| &b.name).collect()),
        crops: named("crop", scenario.crops.iter().map(|c| &c.name).collect()),
        covers: named("cover", scenario.covers.iter().map(|c| &c.name).collect()),
        foods: named("food", scenario.foods.iter().map(|f| &f.name).collect()),
    };
    let mut diary = Diary::default();
    let mut tally = Tally::new(&facts);
    let mut events: Vec<(&Fields, Event)> = Vec::new();
    for record in f.records("events") {
        let sentence = sentence(record);
        if roster.known.contains(&sentence) {
            diary.known += 1;
            continue;
        }
        let week = facts.week(record, roster.start, problems);
        let Some(happening) = facts.happening(record, week, &mut tally, problems) else {
            continue;
        };
        if let Some(week) = week {
            let event = Event {
                week,
                happening,
                sentence,
            };
            events.push((record, event));
        }
    }
    events.sort_by_key(|(record, _)| record.date("date"));
    tally::covers(&facts, &events, problems);
    back::check(&facts, &events, problems);
    occupied::check(&facts, &events, problems);
    diary.events = events.into_iter().map(|(_, event)| event).collect();
    for record in f.records("harvests") {
        match facts.harvest(record, &tally, problems) {
            Some(Some(harvest)) => diary.harvests.push(harvest),
            Some(None) => diary.known += 1,
            None => {}
        }
    }
    diary
        .harvests
        .sort_by(|a, b| (a.week, &a.plantings).cmp(&(b.week, &b.plantings)));
    diary
}

/// Which parts of the shelf a record speaks of: lit, unlit.
fn parts(f: &Fields) -> (bool, bool) {
    let part = f.word("part").unwrap_or("both");
    (part != "unlit", part != "lit")
}

/// An event in words: its keys in the order of their names, so that equal events read equal.
fn sentence(f: &Fields) -> String {
    let date = f.date("date").map_or("?".into(), |d| d.to_string());
    let mut text = format!("{date} {}", f.word("what").unwrap_or("?"));
    let mut separator = ": ";
    for (key, value) in f.plain() {
        if !matches!(key, "date" | "what") {
            text += &format!("{separator}{} {value}", key.replace('_', " "));
            separator = ", ";
        }
    }
    text
}

impl Facts<'_> {
    /// The week of a record's date, which must lie between `first` and today.
    fn week(&self, f: &Fields, first: Week, problems: &mut Problems) -> Option<Week> {
        let date = f.date("date")?;
        let first_day = first.monday();
        if date < first_day || date > self.today {
            let message = format!("{date} lies outside {first_day} to {}", self.today);
            let help = if date > self.today {
                "what has not happened yet belongs into a later replan"
            } else if self.roster.carries_on {
                "this plan does not know of it: date it from its start on, or replan the plan before it"
            } else {
                "the plan begins then: what happened before belongs into the scenario"
            };
            complain(f, "date", E503, message, help, problems);
            return None;
        }
        Some(Week::of(date))
    }

    /// The planting that the record names, by number or name.
    fn planting(&self, f: &Fields, problems: &mut Problems) -> Option<usize> {
        let name = f.text("planting")?;
        let by_id = self.roster.plantings.iter().position(|p| p.id == name);
        by_id.or_else(|| self.plantings.find_in(f, "planting", problems))
    }

    /// The plantings that the record speaks of: the one it names, or all of a crop (in a bed) that
    /// were there at the time.
    fn plantings(
        &self,
        f: &Fields,
        what: &str,
        week: Option<Week>,
        problems: &mut Problems,
    ) -> Option<Vec<usize>> {
        if f.has("planting") == f.has("crop") {
            let message = "give either planting or crop".to_string();
            let key = if f.has("crop") {
                "crop"
            } else if f.has("what") {
                "what"
            } else {
                "date"
            };
            let help = "planting names one by number or name, crop means all of a crop, in one bed \
                        if bed is given";
            complain(f, key, E502, message, help, problems);
            return None;
        }
        if f.has("planting") {
            let planting = self.planting(f, problems)?;
            if let Some(week) = week {
                self.in_time(f, what, planting, week, problems);
            }
            return Some(vec![planting]);
        }
        let crop = self.crops.find_in(f, "crop", problems);
        let bed = self.beds.find_in(f, "bed", problems);
        let (crop, week) = (crop?, week?);
        if f.has("bed") && bed.is_none() {
            return None;
        }
        let there = |p: &RosterEntry| {
            let time = match what {
                "not sown" => p.name.is_none() && p.sown <= week,
                "harvest" => p.planted <= week && week < p.cleared,
                _ => p.sown <= week && week < p.cleared,
            };
            p.crop == crop && bed.is_none_or(|b| b == p.bed) && time
        };
        let found: Vec<usize> = (0..self.roster.plantings.len())
            .filter(|&i| there(&self.roster.plantings[i]))
            .collect();
        if found.is_empty() {
            let place = bed.map_or(String::new(), |b| {
                format!(" in {}", self.scenario.beds[b].name)
            });
            let message = format!(
                "there was no {}{place} in {week}",
                self.scenario.crops[crop].name
            );
            let help = "correct the date, the crop or the bed";
            complain(f, "crop", E504, message, help, problems);
            return None;
        }
        Some(found)
    }

    /// What happened, checked.
    fn happening(
        &self,
        f: &Fields,
        week: Option<Week>,
        tally: &mut Tally,
        problems: &mut Problems,
    ) -> Option<Happening> {
        let what = f.word("what")?;
        fitting_keys(f, what, problems);
        if matches!(what, "sown" | "planted") {
            let planting = self.planting(f, problems);
            if let (Some(planting), Some(week), "planted") = (planting, week, what) {
                self.in_time(f, what, planting, week, problems);
            }
            return sowing::sown(self, f, what, planting, week?, problems);
        }
        let cover = self.covers.find_in(f, "cover", problems);
        let food = self.foods.find_in(f, "food", problems);
        match what {
            "lost" | "not up" | "bolted" | "frosted" => {
                let share = f.number("share").unwrap_or(1.0);
                let plantings = self.plantings(f, what, week, problems)?;
                tally.lose(self, f, &plantings, share, problems);
                let how = match what {
                    "lost" => Loss::Lost,
                    "not up" => Loss::NotUp,
                    "bolted" => Loss::Bolted,
                    _ => Loss::Frosted,
                };
                Some(Happening::Lost {
                    plantings,
                    share,
                    how,
                    cause: f.text("cause"),
                })
            }
            "late" | "early" => {
                let weeks = f.whole("weeks").and_then(|w| i32::try_from(w).ok());
                let plantings = self.plantings(f, what, week, problems)?;
                let weeks = if what == "late" { weeks? } else { -weeks? };
                for &planting in &plantings {
                    tally.late[planting] += weeks.max(0);
                }
                Some(Happening::Late { plantings, weeks })
            }
            "yield" => Some(Happening::Yield {
                plantings: self.plantings(f, what, week, problems)?,
                of_forecast: f.number("of_forecast")?,
            }),
            "not sown" => Some(Happening::NotSown {
                plantings: self.plantings(f, what, week, problems)?,
            }),
            "cover broken" => {
                let bed = self.beds.find_in(f, "bed", problems);
                tally::broken(self, f, cover?, (bed, week), problems)
            }
            "cover bought" => Some(Happening::CoverBought {
                cover: cover?,
                count: f.whole("count")?,
            }),
            "bed out" => {
                let bed = self.beds.find_in(f, "bed", problems);
                let (from, to) = self.span(f, week?, problems)?;
                Some(Happening::BedOut {
                    bed: bed?,
                    from,
                    to: to?,
                })
            }
            "bed back" => Some(Happening::BedBack {
                bed: self.beds.find_in(f, "bed", problems)?,
            }),
            "need" => {
                let (from, to) = self.span(f, week?, problems)?;
                if f.has("food") && food.is_none() {
                    return None;
                }
                Some(Happening::Need {
                    food,
                    times: f.number("times")?,
                    from,
                    to,
                })
            }
            "shelf back" => {
                let (lit, unlit) = parts(f);
                Some(Happening::ShelfBack { lit, unlit })
            }
            _ => {
                let (from, to) = self.span(f, week?, problems)?;
                let (lit, unlit) = parts(f);
                Some(Happening::ShelfFailure {
                    lit,
                    unlit,
                    from,
                    to: to.unwrap_or(from.plus(-1)),
                    lost: f.number("share").unwrap_or(0.0),
                })
            }
        }
    }

    /// First and last week of what lasts for a while.
    fn span(
        &self,
        f: &Fields,
        week: Week,
        problems: &mut Problems,
    ) -> Option<(Week, Option<Week>)> {
        if (f.has("from") && !f.reads("from")) || (f.has("to") && !f.reads("to")) {
            return None;
        }
        let from = f.week("from").unwrap_or(week);
        let to = f.week("to");
        if let Some(to) = to
            && to < from
        {
            let message = format!("{to} is before its first week, {from}");
            complain(f, "to", V305, message, "correct one of the two", problems);
            return None;
        }
        if from < self.roster.start || from >= self.roster.end {
            let message = format!(
                "{from} lies outside the plan, {} to {}",
                self.roster.start,
                self.roster.end.plus(-1)
            );
            let key = if f.has("from") { "from" } else { "date" };
            complain(f, key, E503, message, "correct the week", problems);
            return None;
        }
        Some((from, to))
    }

    /// Complains when the planting was not there at the time.
    fn in_time(
        &self,
        f: &Fields,
        what: &str,
        planting: usize,
        week: Week,
        problems: &mut Problems,
    ) {
        let entry = &self.roster.plantings[planting];
        let called = self.called(planting);
        let fault = match what {
            "not sown" if entry.name.is_some() => {
                Some((format!("{called} stood there at the start"), "it was sown"))
            }
            _ if week < entry.sown => Some((
                format!("{called} is sown in {}, after {week}", entry.sown),
                "correct the date or the planting",
            )),
            "not sown" => None,
            _ if week >= entry.cleared => Some((
                format!("{called} is cleared in {}, not after {week}", entry.cleared),
                "correct the date or the planting",
            )),
            "yield" if entry.last_harvest.is_none() => Some((
                format!("{called} gives no harvest"),
                "correct the planting, or leave the event out",
            )),
            _ => None,
        };
        if let Some((message, help)) = fault {
            let key = if what == "not sown" && entry.name.is_some() {
                "planting"
            } else {
                "date"
            };
            complain(f, key, E504, message, help, problems);
        }
    }

    /// A harvest record; `Some(None)` when the plan was made with it.
    fn harvest(
        &self,
        f: &Fields,
        tally: &Tally,
        problems: &mut Problems,
    ) -> Option<Option<HarvestRecord>> {
        let start = self.roster.start;
        if self.roster.carries_on && f.date("date").is_some_and(|d| d < start.monday()) {
            return Some(None);
        }
        let week = self.week(f, start, problems);
        if !f.has("planting") || f.has("crop") {
            let plantings = self.plantings(f, "harvest", week, problems)?;
            return Some(Some(HarvestRecord {
                week: week?,
                plantings,
                amount: f.number("amount")?,
            }));
        }
        let planting = self.planting(f, problems)?;
        let (week, amount) = (week?, f.number("amount")?);
        let entry = &self.roster.plantings[planting];
        let called = self.called(planting);
        let end = entry.cleared.plus(tally.late[planting]);
        if week < entry.planted {
            let message = format!("{called} is planted in {}, after {week}", entry.planted);
            let help = "correct the date or the planting";
            complain(f, "date", E504, message, help, problems);
        } else if week >= end {
            let message = format!("{called} is cleared in {end}, not after {week}");
            let help = "correct the date or the planting, or record that it is late";
            complain(f, "date", E504, message, help, problems);
        } else if entry.last_harvest.is_none() {
            let message = format!("{called} gives no harvest");
            complain(
                f,
                "planting",
                E504,
                message,
                "correct the planting",
                problems,
            );
        }
        Some(Some(HarvestRecord {
            week,
            plantings: vec![planting],
            amount,
        }))
    }

    /// Whether what was planted in that week is in its bed when the rest is planned anew.
    pub fn by_now(&self, week: Week) -> bool {
        week.monday() < self.today
    }

    /// How messages call a planting.
    pub fn called(&self, planting: usize) -> String {
        let entry = &self.roster.plantings[planting];
        let name = entry.name.as_ref().map(|n| format!(", {n}"));
        format!(
            "{} ({} in {}{})",
            entry.id,
            self.scenario.crops[entry.crop].name,
            self.scenario.beds[entry.bed].name,
            name.unwrap_or_default()
        )
    }
}

/// Complains about keys that the kind of event lacks or does not have.
fn fitting_keys(f: &Fields, what: &str, problems: &mut Problems) {
    let (_, needs, may) = HAPPENINGS
        .iter()
        .find(|(word, ..)| *word == what)
        .expect("the words are those of the table");
    let missing: Vec<&str> = needs.iter().filter(|k| !f.has(k)).copied().collect();
    if !missing.is_empty() {
        let list = missing.join(", ");
        let message = format!("\"{what}\" needs also {list}");
        complain(f, "what", E502, message, &format!("add {list}"), problems);
    }
    for key in f.given_keys() {
        if !matches!(key, "date" | "what") && !needs.contains(&key) && !may.contains(&key) {
            let message = format!("\"{what}\" has no such key");
            let legal: Vec<&str> = needs.iter().chain(*may).copied().collect();
            let help = format!(
                "remove it; besides date and what it has {}",
                legal.join(", ")
            );
            complain(f, key, E502, message, &help, problems);
        }
    }
}
