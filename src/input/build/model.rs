//! Covers, climates, families and recipes: checked records to domain values.

use super::crop::method;
use super::names::{Names, complain};
use super::settings;
use crate::domain::*;
use crate::input::code::*;
use crate::input::diagnostic::Problems;
use crate::input::fields::Fields;

pub fn surroundings(f: &Fields) -> Option<Surroundings> {
    Some(Surroundings {
        day_lift_c_per_mj: f.number("day_lift_c_per_mj")?,
        night_lift_c: f.number("night_lift_c")?,
        transmission: f.number("transmission")?,
        vented_above_c: f.number("vented_above_c")?,
        source: f.text("source").unwrap_or_default(),
    })
}

pub fn cover(f: &Fields, problems: &mut Problems) -> Option<Cover> {
    if !f.has("count") && !f.is_empty() {
        problems.add(
            S113,
            f.at,
            format!("{} lacks the key \"count\"", f.path),
            "add count: how many are to hand",
        );
    }
    let spells = f.spans("spells").iter();
    let mut spells: Vec<Spell> = spells.map(|&(on, off)| Spell { on, off }).collect();
    spells.sort();
    Some(Cover {
        name: f.name.clone(),
        count: f.whole("count")?,
        effect: surroundings(f)?,
        settings: settings(f),
        max_length_m: f.number("max_length_m")?,
        max_width_m: f.number("max_width_m")?,
        spells,
        place_minutes: f.number("place_minutes")?,
        remove_minutes: f.number("remove_minutes")?,
        yearly_cost_money: f.number("yearly_cost_money"),
        cautions: f.texts("cautions").iter().map(|(t, _)| t.clone()).collect(),
    })
}

pub fn climate(f: &Fields, problems: &mut Problems) -> Option<Climate> {
    let months = |key: &str| <[f64; MONTHS]>::try_from(f.numbers(key)?).ok();
    let (tmax_c, tmin_c) = (months("tmax_c"), months("tmin_c"));
    if let (Some(high), Some(low)) = (tmax_c, tmin_c) {
        for month in (0..MONTHS).filter(|&m| high[m] <= low[m]) {
            let message = format!(
                "{} in month {} is not above tmin_c {}",
                high[month],
                month + 1,
                low[month]
            );
            complain(
                f,
                "tmax_c",
                V305,
                message,
                "check the two lists, January first",
                problems,
            );
        }
    }
    Some(Climate {
        name: f.text("station")?,
        latitude_deg: f.number("latitude_deg")?,
        elevation_m: f.number("elevation_m")?,
        coastal: f.flag("coastal")?,
        tmax_c: tmax_c?,
        tmin_c: tmin_c?,
        tmin_spread_c: months("tmin_spread_c")?,
        source: f.text("source").unwrap_or_default(),
    })
}

pub fn family(f: &Fields, beds: &Names, problems: &mut Problems) -> Option<Family> {
    let mut exceptions = Vec::new();
    for (name, at, rule) in f.rules("beds") {
        if let Some(bed) = beds.find(name, &f.path_of("beds"), *at, problems) {
            exceptions.push((bed, *rule));
        }
    }
    exceptions.sort_by_key(|(bed, _)| *bed);
    Some(Family {
        name: f.name.clone(),
        break_weeks: f.whole("break_weeks")?,
        rule: f.rule("rule")?,
        exceptions,
    })
}

/// A recipe with the places of its crops among all crops; one for each pair of raisings of the
/// methods it names.
pub fn recipes(
    f: &Fields,
    crops: &Names,
    records: &[Fields],
    problems: &mut Problems,
) -> Vec<Recipe> {
    let first = f
        .record("first")
        .map(|p| parts(p, crops, records, problems));
    let second = f
        .record("second")
        .map(|p| parts(p, crops, records, problems));
    let (Some(first), Some(second), Some((least, most))) = (first, second, f.pair("overlap_weeks"))
    else {
        return Vec::new();
    };
    let mut recipes = Vec::new();
    for first in &first {
        for second in &second {
            recipes.push(Recipe {
                name: f.name.clone(),
                first: first.clone(),
                second: second.clone(),
                min_overlap_weeks: least,
                max_overlap_weeks: most,
            });
        }
    }
    recipes
}

fn parts(
    f: &Fields,
    crops: &Names,
    records: &[Fields],
    problems: &mut Problems,
) -> Vec<RecipePart> {
    let Some(crop) = crops.find_in(f, "crop", problems) else {
        return Vec::new();
    };
    let record = &records[crop];
    let ways = Names::new(
        "way",
        record.records("ways").iter().filter_map(|w| w.text("name")),
    );
    let way = ways.find_in(f, "way", problems);
    let Some(word) = f.word("raising") else {
        return Vec::new();
    };
    let raisings = record.records("raisings");
    let fitting: Vec<usize> = (0..raisings.len())
        .filter(|&i| raisings[i].word("method").map(method) == Some(method(word)))
        .collect();
    if fitting.is_empty() && record.has("raisings") {
        let message = format!("{} has no raising by {word}", record.name);
        let offered: Vec<_> = raisings.iter().filter_map(|r| r.word("method")).collect();
        let help = format!("it is raised by {}", offered.join(", "));
        complain(f, "raising", N201, message, &help, problems);
    }
    let (Some(way), Some(yield_share), Some(plant_share)) =
        (way, f.number("yield_share"), f.number("plant_share"))
    else {
        return Vec::new();
    };
    fitting
        .into_iter()
        .map(|raising| RecipePart {
            crop,
            raising,
            way,
            yield_share,
            plant_share,
        })
        .collect()
}
