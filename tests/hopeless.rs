//! What `check` warns of: crops that cannot be grown on the holding, foods that cannot be had, what stands for nothing.
//!
//! Source of truth: the plantings that the search may choose from (candidates), by another road; lines of
//! the scenario; by hand.

#[path = "support/room.rs"]
mod room;

use bedweek::almanac::{Want, hopeless};
use bedweek::candidates;
use bedweek::domain::{Directive, DirectiveKind, Scenario, Setting, Standing, StandingId};
use bedweek::units::Week;
use room::{Room, assert_code, stderr, stdout};
use std::collections::BTreeSet;
use std::path::Path;

fn as_shipped() -> Scenario {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios/four-households.yaml");
    let loaded = bedweek::input::load(&file).unwrap_or_else(|errors| panic!("{errors}"));
    loaded.scenario
}

fn demo() -> Scenario {
    let mut scenario = as_shipped();
    // What stands hides whether it could be sown.
    scenario.standing.clear();
    // Every planting is worth while, so that none is left out for its price.
    for food in &mut scenario.foods {
        food.price_money = food.price_money.max(100.0);
    }
    scenario
}

/// Crops of which the search has a planting to choose.
fn with_candidates(scenario: &Scenario) -> BTreeSet<usize> {
    let season = candidates::season(scenario);
    let members = season.candidates.iter().flat_map(|c| &c.members);
    members.map(|m| m.crop).collect()
}

/// Changes to the demo holding, with what some crop then wants for.
type Case = (&'static str, fn(&mut Scenario), Option<Want>);

#[test]
fn those_are_named_of_which_there_is_nothing_to_choose() {
    let cases: [Case; 6] = [
        (
            "as it is, but that nothing stands",
            |_| {},
            Some(Want::Years),
        ),
        (
            "no shelf",
            |s| (s.shelf.lit_m2, s.shelf.unlit_m2) = (0.0, 0.0),
            Some(Want::Shelf { lit: false }),
        ),
        (
            "no tunnel",
            |s| s.beds.retain(|b| b.setting == Setting::Open),
            Some(Want::Setting(vec![Setting::Tunnel])),
        ),
        (
            "a short autumn",
            |s| {
                (s.weeks, s.tail) = (10, 0);
                for food in &mut s.foods {
                    for row in [&mut food.floor, &mut food.wish] {
                        row.truncate(10);
                    }
                    food.must.truncate(10);
                }
                s.level = None;
            },
            Some(Want::Time),
        ),
        (
            "no leeks anywhere",
            |s| {
                let crop = s.crops.iter().position(|c| c.name == "winter leeks");
                s.directives.push(Directive {
                    crop: crop.expect("in use"),
                    bed: None,
                    kind: DirectiveKind::Never,
                });
            },
            Some(Want::Never),
        ),
        (
            "a cold place",
            |s| {
                for t in s.climate.tmin_c.iter_mut().chain(&mut s.climate.tmax_c) {
                    *t -= 12.0;
                }
            },
            None,
        ),
    ];
    let mut some = 0;
    for (name, change, wanted) in cases {
        let mut scenario = demo();
        change(&mut scenario);
        let found = hopeless(&scenario);
        let chosen = with_candidates(&scenario);
        let said: BTreeSet<usize> = found.iter().map(|h| h.crop).collect();
        // Of a perennial that is ready in the last weeks, and of a green manure in a short year, there is
        // too little to be worth its seed.
        let lasts = |crop: &usize| {
            let crop = &scenario.crops[*crop];
            crop.perennial.is_some() || crop.ways.is_empty()
        };
        let none: BTreeSet<usize> = (0..scenario.crops.len())
            .filter(|crop| !chosen.contains(crop) && (!lasts(crop) || said.contains(crop)))
            .collect();
        assert!(said.iter().all(|crop| !chosen.contains(crop)), "{name}");
        let called = |set: &BTreeSet<usize>| -> Vec<String> {
            set.iter()
                .map(|&c| scenario.crops[c].name.clone())
                .collect()
        };
        assert_eq!(called(&said), called(&none), "{name}");
        some += said.len();
        if let Some(wanted) = wanted {
            let wants = found.iter().flat_map(|h| &h.wants);
            assert!(
                wants.clone().any(|(_, want)| *want == wanted),
                "{name}: {found:#?}"
            );
        }
    }
    assert!(some > 20, "{some}");
}

/// Lines are referred to below.
const HOLDING: &str = "\
name: One bed
start: 2027-W10
weeks: 40
tail: 0
climate: oxford
beds:
  A: { setting: open, length_m: 1.2, width_m: 1.2, strips: 2 }
covers: {}
shelf: { lit_m2: 0, unlit_m2: 0, day_c: 18, night_c: 13, transmission: 0.5 }
needs:
  radishes: { floor: 0, wish: 1 }
  leeks: { floor: 0.1, wish: 1 }
  tomatoes: { floor: 0.1, wish: 1 }
  carrots: { floor: 0, wish: 1 }
work: { hour_money: 3 }
crops_used: [radish, winter leeks, tunnel tomatoes, main carrots, early carrots]
directives: [{ never: early carrots }]
";

#[test]
fn each_is_told_once_with_its_line_and_what_it_wants_for() {
    let room = Room::empty();
    room.write("holding.yaml", HOLDING);
    let done = room.run(&["check", "holding.yaml"]);
    assert_code(&done, 0);
    let said = stderr(&done);
    let warnings: Vec<&str> = said.split("\n\n").filter(|w| !w.is_empty()).collect();
    assert_eq!(warnings.len(), 3, "{said}");
    let expected = [
        (
            "needs.leeks: none of its crops can be grown here: winter leeks (",
            "holding.yaml:12",
            "no shelf",
        ),
        (
            "needs.tomatoes: none of its crops can be grown here: tunnel tomatoes (",
            "holding.yaml:13",
            "tunnel",
        ),
        (
            "crops_used.early carrots: it cannot be grown here: it is never",
            "holding.yaml:16",
            "directive",
        ),
    ];
    for (message, place, word) in expected {
        let found = warnings
            .iter()
            .find(|w| w.starts_with(&format!("warning: {message}")));
        let found = found.unwrap_or_else(|| panic!("{message}: {said}"));
        assert!(
            found.contains(&format!("at {place}\n")) && found.contains(word),
            "{found}"
        );
        assert!(found.contains("\n  help: "), "{found}");
    }
    assert!(
        stdout(&done).contains("no errors, 3 warnings"),
        "{}",
        stdout(&done)
    );
    // With what is wanting they are gone.
    let better = HOLDING
        .replace(
            "lit_m2: 0, unlit_m2: 0,",
            "lit_m2: 1, unlit_m2: 1, lamp_mj: 6,",
        )
        .replace(
            "covers: {}",
            "  T: { setting: tunnel, length_m: 1.2, width_m: 1.2, strips: 2 }\ncovers: {}",
        )
        .replace("directives: [{ never: early carrots }]\n", "");
    room.write("better.yaml", &better);
    let done = room.run(&["check", "better.yaml"]);
    assert_code(&done, 0);
    assert!(stderr(&done).is_empty(), "{}", stderr(&done));
}

/// Garlic that stands where nobody asks for garlic, beside clover, a green manure that is there for the ground; by hand.
#[test]
fn what_stands_for_nothing_is_told() {
    let room = Room::empty();
    let holding = HOLDING.replace(
        "covers: {}",
        "standing:
  old garlic: { bed: A, strips: [1, 1], crop: garlic, sown: 2026-W41 }
  clover: { bed: A, strips: [2, 2], crop: crimson clover, sown: 2026-W36 }
covers: {}",
    );
    room.write("holding.yaml", &holding);
    let said = stderr(&room.run(&["check", "holding.yaml"]));
    let found: Vec<&str> = said
        .split("\n\n")
        .filter(|w| w.contains("standing"))
        .collect();
    assert_eq!(found.len(), 1, "{said}");
    let begins = "warning: standing.old garlic: no food that is needed comes from garlic";
    assert!(found[0].starts_with(begins), "{}", found[0]);
    let asked = holding.replace("needs:", "needs:\n  garlic heads: { floor: 0, wish: 1 }");
    room.write("asked.yaml", &asked);
    let said = stderr(&room.run(&["check", "asked.yaml"]));
    assert!(!said.contains("standing"), "{said}");
}

/// The demo holding as it stands, with one planting changed.
fn with_standing(name: &str, change: impl FnOnce(&mut Standing)) -> (Scenario, StandingId) {
    let mut scenario = as_shipped();
    let mut all = 0..scenario.standing.len();
    let id = all.find(|&id| scenario.standing[id].name == name);
    let id = id.expect("it stands");
    change(&mut scenario.standing[id]);
    (scenario, id)
}

#[test]
fn what_stands_picked_bare_is_told() {
    let early = |s: &mut Standing| (s.sown, s.planted) = (s.sown.plus(-8), s.planted.plus(-8));
    assert_eq!(candidates::spent(&with_standing("peppers", |_| {}).0), []);
    let (scenario, id) = with_standing("peppers", early);
    let found = candidates::spent(&scenario);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].standing, id);
    assert!(
        found[0]
            .why
            .as_ref()
            .is_ok_and(|last| *last < scenario.start),
        "{found:?}"
    );
    // Where the grower says that all of it has been eaten, there is nothing to tell.
    let (eaten, _) = with_standing("peppers", |s| {
        early(s);
        s.taken = 1.0;
    });
    assert_eq!(candidates::spent(&eaten), []);
}

#[test]
fn young_perennials_are_not_told() {
    let (scenario, _) = with_standing("asparagus", |s| {
        (s.sown, s.planted) = (
            Week::from_iso(2026, 13).unwrap(),
            Week::from_iso(2026, 13).unwrap(),
        );
    });
    let short = Scenario {
        weeks: 26,
        tail: 0,
        ..scenario
    };
    let told = candidates::spent(&short);
    assert!(
        told.iter()
            .all(|it| short.standing[it.standing].name != "asparagus")
    );
}

#[test]
fn what_stands_ripe_since_long_ago_may_still_be_lifted() {
    // Source: the grower, who sees it in the bed; ripe squash keep on the plant until frost (common practice, no source).
    for weeks in [0, 3, 6] {
        let (scenario, id) = with_standing("squash", |s| {
            (s.sown, s.planted) = (s.sown.plus(-weeks), s.planted.plus(-weeks));
        });
        assert_eq!(candidates::spent(&scenario), []);
        let season = candidates::season(&scenario);
        let its = season.candidates.iter().filter(|c| c.standing == Some(id));
        let given: Vec<_> = its.filter(|c| !c.lots.is_empty()).collect();
        assert!(!given.is_empty());
        for candidate in given {
            assert!(
                candidate
                    .lots
                    .iter()
                    .all(|lot| lot.from == 0 && lot.amount > 0.0)
            );
        }
    }
}
