//! Crops that cannot be grown, foods that therefore cannot be had, and what stands for nothing, in words.

use super::entry::{method_name, setting_name};
use super::text::meaning;
use crate::almanac::{Hopeless, Want};
use crate::domain::{Scenario, StandingId};

/// Crops that a warning names; the others are counted.
const MOST_CROPS: usize = 4;

/// One warning: the key of the scenario that it is about, what is wrong, and what to do.
#[derive(Clone, Debug, PartialEq)]
pub struct Warning {
    pub key: String,
    pub message: String,
    pub help: String,
}

/// A warning for each food that no crop can give, for each other crop that the scenario `lists` and that cannot be
/// grown, and for what stands and gives no food that is needed, or nothing in the time that is planned.
pub fn warnings(
    scenario: &Scenario,
    hopeless: &[Hopeless],
    spent: &[(StandingId, String)],
    lists: impl Fn(&str) -> bool,
) -> Vec<Warning> {
    let mut found = Vec::new();
    let mut told = vec![false; scenario.crops.len()];
    for (food, need) in scenario.foods.iter().enumerate() {
        let gives = |crop: usize| scenario.crops[crop].ways.iter().any(|w| w.food == food);
        let all = (0..scenario.crops.len())
            .filter(|&crop| gives(crop))
            .count();
        let here: Vec<&Hopeless> = hopeless.iter().filter(|h| gives(h.crop)).collect();
        if here.len() < all {
            continue;
        }
        let mut crops: Vec<String> = (here.iter().take(MOST_CROPS))
            .map(|h| format!("{} ({})", scenario.crops[h.crop].name, why(h)))
            .collect();
        if here.len() > MOST_CROPS {
            crops.push(format!("and {} more", here.len() - MOST_CROPS));
        }
        let message = match crops.is_empty() {
            true => "no crop in use gives it".to_string(),
            false => format!("none of its crops can be grown here: {}", crops.join("; ")),
        };
        found.push(Warning {
            key: format!("needs.{}", need.name),
            message,
            help: here.first().map_or(
                "use a crop that gives it, or take the need out".into(),
                |h| help(h, "take the need out"),
            ),
        });
        for h in here {
            told[h.crop] = true;
        }
    }
    for h in hopeless.iter().filter(|h| !told[h.crop]) {
        let name = &scenario.crops[h.crop].name;
        if lists(name) {
            found.push(Warning {
                key: format!("crops_used.{name}"),
                message: format!("it cannot be grown here: {}", why(h)),
                help: help(h, "take the crop out"),
            });
        }
    }
    for standing in &scenario.standing {
        let crop = &scenario.crops[standing.crop];
        let green_manure = crop.credit_money_per_m2_week > 0.0;
        if crop.ways.is_empty() && !green_manure {
            found.push(Warning {
                key: format!("standing.{}", standing.name),
                message: format!(
                    "no food that is needed comes from {}: it takes ground, and nothing of it is eaten",
                    crop.name
                ),
                help: "add a need for what it gives".into(),
            });
        }
    }
    found.extend(
        (spent.iter()).map(|(standing, why)| standing_for_nothing(scenario, *standing, why)),
    );
    found
}

fn standing_for_nothing(scenario: &Scenario, standing: StandingId, why: &str) -> Warning {
    let standing = &scenario.standing[standing];
    let crop = &scenario.crops[standing.crop].name;
    Warning {
        key: format!("standing.{}", standing.name),
        message: format!(
            "nothing is to be had of it in this time, by the growth model: {crop}, {why}"
        ),
        help: "write taken: 1 where that is so; where not, look at its crop, sown and planted"
            .into(),
    }
}

fn why(hopeless: &Hopeless) -> String {
    let wants = hopeless.wants.iter().map(|(method, want)| match method {
        None => words(want),
        Some(method) => format!("{}, {}", method_name(*method), words(want)),
    });
    wants.collect::<Vec<_>>().join("; ")
}

fn words(want: &Want) -> String {
    match want {
        Want::Years => {
            "it stands for years, none stands at the start, and a plan plants none anew".into()
        }
        Want::Setting(settings) => {
            let settings: Vec<&str> = settings.iter().map(|s| setting_name(*s)).collect();
            format!("it needs a bed with the setting {}", settings.join(" or "))
        }
        Want::Never => "it is never to be planted in any bed that it could be in".into(),
        Want::Shelf { lit: false } => "there is no shelf to raise it on".into(),
        Want::Shelf { lit: true } => "it needs a lit shelf, and there is none".into(),
        Want::Time => "it is not ready before the plan ends".into(),
        Want::Growth(verdict) => meaning(*verdict).into(),
    }
}

fn help(hopeless: &Hopeless, or: &str) -> String {
    let first = match &hopeless.wants[0].1 {
        Want::Years => "list what stands under standing".to_string(),
        Want::Setting(_) => "give such a bed".into(),
        Want::Never => "take the directive out".into(),
        Want::Shelf { lit: false } => "give the shelf some space".into(),
        Want::Shelf { lit: true } => "give the shelf some lit space".into(),
        Want::Time => "plan more weeks".into(),
        Want::Growth(_) => "`calendar` shows what comes of it week by week".into(),
    };
    format!("{first}, or {or}")
}
