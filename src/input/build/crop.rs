//! Crops: checked records to domain values.

use super::names::{Names, complain, needs_keys};
use super::settings;
use crate::domain::*;
use crate::input::code::*;
use crate::input::diagnostic::Problems;
use crate::input::fields::Fields;
use crate::units::WeeksOfYear;

/// A crop; families and foods are indices into all that the models know.
pub fn crop(
    f: &Fields,
    families: &Names,
    foods: &Names,
    units: &[Option<&'static str>],
    problems: &mut Problems,
) -> Option<Crop> {
    let family = families.find_in(f, "family", problems);
    let thermal = f.record("thermal").and_then(|t| thermal(t, problems));
    let is_perennial = f.has("perennial");
    let raisings: Vec<_> = f
        .records("raisings")
        .iter()
        .map(|r| raising(r, problems))
        .collect();
    let ways: Vec<_> = f
        .records("ways")
        .iter()
        .map(|w| way(w, is_perennial, foods, units, problems))
        .collect();
    let mut seen: Vec<String> = Vec::new();
    for w in f.records("ways") {
        let Some(name) = w.text("name") else { continue };
        if seen.contains(&name) {
            let message = format!("\"{name}\" is the name of another way of this crop");
            complain(
                w,
                "name",
                N202,
                message,
                "give each way its own name",
                problems,
            );
        }
        seen.push(name);
    }
    let credit = f.number("credit_money_per_m2_week")?;
    let without_ways = f.records("ways").is_empty() && (!f.has("ways") || f.reads("ways"));
    if without_ways && credit == 0.0 {
        problems.add(
            P414,
            f.at,
            format!("{} has neither a way of harvest nor a credit", f.path),
            "give it ways or, as a green manure, credit_money_per_m2_week",
        );
    }
    let bolting = match f.record("bolting") {
        Some(b) => Some(Bolting {
            juvenile_units: b.number("juvenile_units")?,
            cold_weeks: b.number("cold_weeks")?,
            cold_c: b.number("cold_c")?,
            day_length_h: b.number("day_length_h")?,
            long_day_units: b.number("long_day_units")?,
        }),
        None => None,
    };
    let vernalisation = match f.record("vernalisation") {
        Some(v) => Some(Vernalisation {
            juvenile_units: v.number("juvenile_units")?,
            cold_weeks: v.number("cold_weeks")?,
            cold_c: v.number("cold_c")?,
        }),
        None => None,
    };
    let perennial = match f.record("perennial") {
        Some(p) => {
            let (harvest_from, harvest_to) = p.span("harvest")?;
            Some(Perennial {
                harvest_from,
                harvest_to,
            })
        }
        None => None,
    };
    Some(Crop {
        name: f.name.clone(),
        anew: true,
        family: family?,
        settings: settings(f),
        thermal: thermal?,
        raisings: raisings.into_iter().collect::<Option<_>>()?,
        ways: ways.into_iter().collect::<Option<_>>()?,
        killed_below_c: f.number("killed_below_c")?,
        bolting,
        vernalisation,
        perennial,
        max_ground_weeks: f.whole("max_ground_weeks")?,
        credit_money_per_m2_week: credit,
        clear_minutes_per_m2: f.number("clear_minutes_per_m2")?,
        cautions: f.texts("cautions").iter().map(|(t, _)| t.clone()).collect(),
    })
}

fn thermal(f: &Fields, problems: &mut Problems) -> Option<Thermal> {
    let thermal = Thermal {
        base_c: f.number("base_c")?,
        optimum_c: f.number("optimum_c")?,
        ceiling_c: f.number("ceiling_c")?,
        half_light_mj: f.number("half_light_mj")?,
        emergence_base_c: f.number("emergence_base_c")?,
        emergence_cd: f.number("emergence_cd")?,
    };
    let steps = [
        ("optimum_c", thermal.optimum_c, "base_c", thermal.base_c),
        (
            "ceiling_c",
            thermal.ceiling_c,
            "optimum_c",
            thermal.optimum_c,
        ),
    ];
    for (key, value, below, low) in steps {
        if value <= low {
            let message = format!("{value} is not above {below} {low}");
            complain(
                f,
                key,
                V305,
                message,
                "base, optimum and ceiling rise in this order",
                problems,
            );
        }
    }
    Some(thermal)
}

/// The method as written in files.
pub fn method(word: &str) -> Method {
    match word {
        "direct" => Method::Direct,
        "modules" => Method::Modules,
        "sets" => Method::Sets,
        "tubers" => Method::Tubers,
        "cloves" => Method::Cloves,
        _ => Method::Crowns,
    }
}

/// Keys that say how plants are raised on the shelf.
const SHELF_KEYS: [&str; 4] = [
    "ready_units",
    "max_shelf_weeks",
    "shelf",
    "plants_per_shelf_m2",
];

fn raising(f: &Fields, problems: &mut Problems) -> Option<Raising> {
    let word = f.word("method")?;
    let method = method(word);
    if method == Method::Modules {
        needs_keys(f, "method", word, &SHELF_KEYS, problems);
    } else {
        let shelf_keys = SHELF_KEYS.iter().chain(&["prick_out_weeks"]);
        for key in shelf_keys.filter(|key| f.has(key)) {
            let message = format!("belongs to modules only, this is {word}");
            complain(f, key, V304, message, "remove it", problems);
        }
    }
    let (sow_from, sow_to) = f.span("sow")?;
    Some(Raising {
        method,
        sow_from,
        sow_to,
        sow_only: WeeksOfYear::ALL,
        ready_units: f.number("ready_units").unwrap_or(0.0),
        max_shelf_weeks: f.whole("max_shelf_weeks").unwrap_or(0),
        prick_out_weeks: f.whole("prick_out_weeks").unwrap_or(0),
        shelf: match f.word("shelf") {
            Some("lit") => ShelfNeed::Lit,
            _ => ShelfNeed::Either,
        },
        plants_per_shelf_m2: f.number("plants_per_shelf_m2").unwrap_or(0.0),
        plants_per_m2: f.number("plants_per_m2")?,
        seeds_per_plant: f.number("seeds_per_plant")?,
        seed_money: f.number("seed_money")?,
        sow_minutes_per_m2: f.number("sow_minutes_per_m2")?,
        plant_minutes_per_m2: f.number("plant_minutes_per_m2")?,
    })
}

fn way(
    f: &Fields,
    is_perennial: bool,
    foods: &Names,
    units: &[Option<&'static str>],
    problems: &mut Problems,
) -> Option<Way> {
    let food = foods.find_in(f, "food", problems);
    if let (Some(unit), Some(Some(expected))) = (f.word("unit"), food.map(|i| units[i]))
        && unit != expected
    {
        let message = format!(
            "{unit}, but {} are counted in {expected}",
            foods.list()[food?]
        );
        complain(
            f,
            "unit",
            P406,
            message,
            "give yield and weight in the unit of the food",
            problems,
        );
    }
    let yields = f.numbers("yield_per_m2");
    if let Some(&[low, usual, high]) = yields.as_deref()
        && !(low <= usual && usual <= high)
    {
        let message = format!("{low}, {usual}, {high} do not rise");
        complain(
            f,
            "yield_per_m2",
            V305,
            message,
            "give low, usual and high in this order",
            problems,
        );
    }
    let word = f.word("kind")?;
    if is_perennial && word != "picking" {
        let message = format!("{word}, but a perennial is picked");
        complain(f, "kind", V304, message, "write picking", problems);
    }
    // A perennial's harvest is spread over its season, so it needs no span of growth.
    let wants_span = word == "picking" && !is_perennial;
    for (key, wanted, allowed) in [
        ("weeks", word == "standing", word == "standing"),
        ("span_units", wants_span, word == "picking"),
    ] {
        if wanted {
            needs_keys(f, "kind", word, &[key], problems);
        } else if f.has(key) && !allowed {
            let message = format!("does not belong to a way that is {word}");
            complain(f, key, V304, message, "remove it", problems);
        }
    }
    let kind = match word {
        "picking" => WayKind::Picking {
            span: f.number("span_units").unwrap_or(0.0),
        },
        "standing" => WayKind::Standing {
            weeks: f.whole("weeks").unwrap_or(0),
        },
        _ => WayKind::Clearing,
    };
    let &[low, usual, high] = yields.as_deref()? else {
        return None;
    };
    Some(Way {
        name: f.text("name")?,
        kind,
        food: food?,
        ready_units: f.number("ready_units")?,
        yield_per_m2: Amount { low, usual, high },
        kg_per_unit: f.number("kg_per_unit")?,
        keeps_weeks: f.whole("keeps_weeks")?,
        weekly_loss: f.number("weekly_loss")?,
        harvest_minutes_per_unit: f.number("harvest_minutes_per_unit")?,
    })
}
