//! The usual cautions: every crop that needs one carries it, and the plan's text, its page and the
//! calendar in each form show it once, with whose word comes first.
//!
//! What calls for a caution: the bodies named in the words themselves. Words without a body are
//! general prudence.

#[path = "support/garden.rs"]
mod garden;
#[path = "support/greedy.rs"]
mod greedy;
#[path = "support/plans.rs"]
mod plans;

use bedweek::almanac::almanac;
use bedweek::domain::{Scenario, Setting};
use bedweek::render::{self, Selection};
use garden::MILD;
use plans::{Made, made, made_of};
use std::collections::BTreeSet;

/// What comes first, by the words in which every list ends.
const DEFERS: &str = "Follow the label, local rules and qualified advice";
/// A mark of each caution, and the crops that must carry it.
const NEEDED: [(&str, &[&str]); 11] = [
    (
        "green, strongly sprouted or bitter potatoes",
        &[
            "first early potatoes",
            "second early potatoes",
            "maincrop potatoes",
            "late-planted potatoes",
        ],
    ),
    (
        "poisonous raw",
        &[
            "dwarf French beans",
            "climbing French beans",
            "runner beans",
            "drying beans",
        ],
    ),
    ("boil 30 minutes", &["drying beans"]),
    (
        "bitter courgette, squash or cucumber",
        &["courgettes", "squash", "cucumbers"],
    ),
    ("Rhubarb leaves are poisonous", &["rhubarb"]),
    ("Garlic in oil", &["garlic"]),
    (
        "Herbs in oil",
        &["parsley", "coriander", "dill", "basil", "chives", "mint"],
    ),
    (
        "inherited enzyme",
        &["overwintered broad beans", "spring broad beans"],
    ),
    (
        "stems of tomato",
        &["tunnel tomatoes", "outdoor tomatoes", "basket tomatoes"],
    ),
    ("Sap of parsnip", &["parsnips"]),
    ("oxalic acid", &["sorrel"]),
];
/// Bodies and people whose advice was read; only these may be named.
const READ: [&str; 5] = [
    "German Federal Institute for Risk Assessment",
    "Food Safety Authority of Ireland",
    "consumer ministry, Baden-Wuerttemberg",
    "Guelph Food Science Network, as quoted",
    "Health Canada",
];

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn every_crop_that_needs_a_caution_carries_it() {
    let scenario = garden::garden(MILD[0]);
    for (mark, crops) in NEEDED {
        for name in crops {
            let crop = &scenario.crops[garden::crop(&scenario, name)];
            let marked = crop.cautions.iter().filter(|words| words.contains(mark));
            assert_eq!(marked.count(), 1, "{name}: {mark}");
        }
    }
    // Kinds are caught whole, so that a crop that is added does not slip through.
    for crop in &scenario.crops {
        let family = scenario.families[crop.family].name.as_str();
        if family == "gourd" || family == "potato" || crop.name.ends_with("French beans") {
            assert!(!crop.cautions.is_empty(), "{}", crop.name);
        }
    }
    // Anything that lies in the wind says so.
    for cover in &scenario.covers {
        assert!(
            flat(&cover.cautions.concat()).contains("wind"),
            "{}",
            cover.name
        );
    }
}

#[test]
fn only_advice_that_was_read_names_a_body() {
    let scenario = garden::garden(MILD[0]);
    let crops = scenario.crops.iter().flat_map(|crop| &crop.cautions);
    let covers = scenario.covers.iter().flat_map(|cover| &cover.cautions);
    for words in crops.chain(covers) {
        for named in words.split('(').skip(1) {
            let named = named.split(')').next().unwrap();
            assert!(
                READ.contains(&named) || named == "an inherited enzyme lack",
                "{words}"
            );
        }
        // Not a word that frightens without saying what to do.
        assert!(words.ends_with('.') && words.len() > 40, "{words}");
    }
}

/// The cautions that a plan calls for, told from the plan and the scenario alone.
fn called_for(made: &Made) -> BTreeSet<&str> {
    let Made { scenario, plan, .. } = made;
    let crops = (scenario.crops.iter())
        .filter(|c| plan.plantings.iter().any(|p| p.crop == c.name))
        .flat_map(|c| &c.cautions);
    let covers = (scenario.covers.iter())
        .filter(|c| plan.covers.iter().any(|s| s.cover == c.name))
        .flat_map(|c| &c.cautions);
    crops.chain(covers).map(String::as_str).collect()
}

#[test]
fn the_plan_and_its_page_show_each_caution_once() {
    for name in ["small-plot", "four-households"] {
        let made = made(name, greedy::greedy);
        let words = called_for(&made);
        assert!(words.len() > 3, "{name}: {words:?}");
        let page = render::page(&made.scenario, &made.plan, &Selection::default());
        let report = flat(&render::report(&made.scenario, &made.plan));
        for shown in [&report, &page] {
            for words in &words {
                assert_eq!(shown.matches(words).count(), 1, "{name}: {words}");
            }
            assert_eq!(shown.matches(DEFERS).count(), 1, "{name}");
        }
        // What nobody grows is not warned of.
        let crops = made.scenario.crops.iter().flat_map(|crop| &crop.cautions);
        for other in crops.map(String::as_str).filter(|w| !words.contains(w)) {
            assert!(
                !report.contains(other) && !page.contains(other),
                "{name}: {other}"
            );
        }
    }
}

/// A mark of what is said of the soil, of pots and compost, and of the polytunnel.
const PLACES: [&str; 3] = ["may hold lead", "bags of compost", "Before gales"];

#[test]
fn places_are_warned_of_where_something_grows_in_them() {
    let seen = |scenario: Scenario| {
        let made = made_of(scenario, greedy::greedy);
        let report = flat(&render::report(&made.scenario, &made.plan));
        PLACES.map(|mark| report.matches(mark).count())
    };
    let full = made("four-households", greedy::greedy).scenario;
    assert_eq!(seen(full.clone()), [1, 1, 1]);
    // Without the tunnel nothing is said of it.
    let mut open = full;
    for bed in &mut open.beds {
        if bed.setting == Setting::Tunnel {
            bed.setting = Setting::Open;
        }
    }
    open.standing.clear();
    assert_eq!(seen(open)[2], 0);
}

#[test]
fn the_calendar_shows_each_caution_once_in_every_form() {
    let scenario = garden::garden(MILD[0]);
    let some = |names: &[&str]| {
        let crops: Vec<usize> = names.iter().map(|n| garden::crop(&scenario, n)).collect();
        let almanac = almanac(&scenario, &crops);
        [
            render::almanac_text(&scenario, &almanac),
            render::almanac_yaml(&scenario, &almanac),
            render::almanac_picture(&scenario, &almanac).replace("</text>", " "),
        ]
    };
    // Two crops share one caution, the third has its own, the last none.
    let forms = some(&[
        "first early potatoes",
        "maincrop potatoes",
        "rhubarb",
        "radish",
    ]);
    for form in forms {
        let mut bare = String::new();
        let mut inside = false;
        for letter in form.chars() {
            match letter {
                '<' => inside = true,
                '>' => inside = false,
                _ if !inside => bare.push(letter),
                _ => {}
            }
        }
        let bare = flat(&bare);
        for (mark, count) in [
            ("green, strongly sprouted or bitter potatoes", 1),
            ("Rhubarb leaves are poisonous", 1),
            ("poisonous raw", 0),
            (DEFERS, 1),
        ] {
            assert_eq!(bare.matches(mark).count(), count, "{mark}: {bare}");
        }
    }
    // Where none is called for, nothing is said.
    for form in some(&["radish"]) {
        assert!(!form.contains(DEFERS) && !form.contains("aution"));
    }
}
