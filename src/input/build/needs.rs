//! Needs and the level: seasons spread over the weeks of the horizon.

use super::names::{complain, ordered};
use crate::domain::{Food, Level, Unit};
use crate::input::code::{P410, P419, S113};
use crate::input::diagnostic::Problems;
use crate::input::fields::Fields;
use crate::units::{Week, WeekOfYear};

/// Highest number of a week of the year.
const LAST_WEEK: u32 = 53;

/// A food with its needs in each of `weeks`, all households together.
pub fn food(f: &Fields, weeks: &[Week], households: f64, problems: &mut Problems) -> Option<Food> {
    if !f.has("wish") && !f.is_empty() {
        problems.add(
            S113,
            f.at,
            format!("{} lacks the key \"wish\"", f.path),
            "add wish: the most per household and week that is of use",
        );
    }
    let floor = f.number("floor").or((!f.has("floor")).then_some(0.0));
    let band = band(
        f,
        ("floor", floor),
        ("wish", f.number("wish")),
        weeks,
        problems,
    );
    let must = musts(f, floor, weeks, problems);
    let (floor, wish) = band?;
    let all = |values: Vec<f64>| values.into_iter().map(|v| v * households).collect();
    food_with(f, all(floor), all(wish), must)
}

/// A food that nobody needs.
pub fn unneeded(f: &Fields, weeks: usize) -> Option<Food> {
    food_with(f, vec![0.0; weeks], vec![0.0; weeks], vec![false; weeks])
}

fn food_with(f: &Fields, floor: Vec<f64>, wish: Vec<f64>, must: Vec<bool>) -> Option<Food> {
    Some(Food {
        name: f.name.clone(),
        unit: unit(f.word("unit")?),
        price_money: f.number("price_money")?,
        floor,
        wish,
        must,
        short_money: f.number("short_money")?,
        single_crop_share: f.number("single_crop_share")?,
    })
}

/// In which weeks the floor is a must.
fn musts(f: &Fields, floor: Option<f64>, weeks: &[Week], problems: &mut Problems) -> Vec<bool> {
    let general = f.flag("must").unwrap_or(false);
    let seasons = f.records("seasons");
    let floors = |season: &Fields| season.number("floor").or(floor);
    let is_must = |season: &Fields| season.flag("must").unwrap_or(general);
    // Of a floor of 0 nobody can fall short.
    let idle = |at: &Fields, problems: &mut Problems| {
        let message = format!("{}: must is given, but the floor is 0", at.path);
        let help = "give a floor above 0, or take must out";
        problems.add(P419, at.at("must"), message, help);
    };
    let none = |floor: Option<f64>| floor == Some(0.0);
    if general && none(floor) && !seasons.iter().any(|s| is_must(s) && !none(floors(s))) {
        idle(f, problems);
    }
    for season in seasons {
        if season.flag("must") == Some(true) && none(floors(season)) {
            idle(season, problems);
        }
    }
    let of_week = |week: &Week| {
        let here = seasons.iter().find(|season| {
            let span = season.span("weeks");
            span.is_some_and(|(from, to)| week.of_year().within(from, to))
        });
        here.map_or(general, is_must)
    };
    weeks.iter().map(of_week).collect()
}

fn unit(word: &str) -> Unit {
    match word {
        "kg" => Unit::Kilograms,
        "l" => Unit::Litres,
        "heads" => Unit::Heads,
        _ => Unit::Bunches,
    }
}

/// The weekly band in each of `weeks`.
pub fn level(f: &Fields, weeks: &[Week], problems: &mut Problems) -> Option<Level> {
    let (low, high) = (f.number("low_money"), f.number("high_money"));
    let (low_money, high_money) =
        band(f, ("low_money", low), ("high_money", high), weeks, problems)?;
    Some(Level {
        low_money,
        high_money,
        below_cost: f.number("below_cost")?,
    })
}

/// Two bounds in each of the weeks: those of the season it lies in, else the general ones.
fn band(
    f: &Fields,
    (low_key, low): (&str, Option<f64>),
    (high_key, high): (&str, Option<f64>),
    weeks: &[Week],
    problems: &mut Problems,
) -> Option<(Vec<f64>, Vec<f64>)> {
    if let (Some(low), Some(high)) = (low, high) {
        ordered(f, (low_key, low), (high_key, high), problems);
    }
    let mut of_week: Vec<Option<&Fields>> = vec![None; LAST_WEEK as usize + 1];
    for season in f.records("seasons") {
        let Some((from, to)) = season.span("weeks") else {
            continue;
        };
        let low = season.number(low_key).or(low);
        let high = season.number(high_key).or(high);
        if let (Some(low), Some(high)) = (low, high) {
            ordered(season, (low_key, low), (high_key, high), problems);
        }
        let mut clash = None;
        for number in 1..=LAST_WEEK {
            let inside = WeekOfYear::new(number).is_some_and(|w| w.within(from, to));
            if inside && of_week[number as usize].replace(season).is_some() {
                clash = clash.or(Some(number));
            }
        }
        if let Some(number) = clash {
            let message = format!("W{number:02} lies in an earlier season of the list too");
            complain(
                season,
                "weeks",
                P410,
                message,
                "shorten one of the two",
                problems,
            );
        }
    }
    let (low, high) = (low?, high?);
    let bounds = weeks.iter().map(|week| {
        let season = of_week[week.of_year().number() as usize];
        let value = |key: &str, general: f64| season.and_then(|s| s.number(key)).unwrap_or(general);
        (value(low_key, low), value(high_key, high))
    });
    Some(bounds.unzip())
}
