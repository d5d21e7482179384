//! The almanac: what it says of sowings beside what the search may choose from, and by hand.

#[path = "support/holding.rs"]
mod holding;
#[path = "support/plantings.rs"]
mod plantings;

use bedweek::almanac::{Almanac, Reason, Row, Success, Verdict, almanac};
use bedweek::candidates::{BARE, Candidate, season};
use bedweek::domain::*;
use bedweek::growth::Failure;
use bedweek::input::load;
use holding::*;
use plantings::*;
use std::path::Path;

fn of_everything(scenario: &Scenario) -> Almanac {
    let crops: Vec<usize> = (0..scenario.crops.len()).collect();
    almanac(scenario, &crops)
}

/// The success that the almanac tells of a candidate's sowing, at its place and under its cover.
fn told<'a>(
    scenario: &Scenario,
    almanac: &'a Almanac,
    bed: BedId,
    candidate: &Candidate,
) -> Option<&'a Success> {
    let member = &candidate.members[0];
    let method = scenario.crops[member.crop].raisings[member.raising?].method;
    let covered: Vec<usize> = (0..candidate.states.len())
        .filter(|&k| candidate.states[k] != BARE)
        .collect();
    let under = |row: &&Row| {
        let spot = &almanac.spots[row.spot];
        match (covered.first(), spot.covered(member.planted)) {
            (None, None) => true,
            (Some(&first), Some((on, off))) => {
                let (cover, _) = spot.cover.expect("covered");
                let week = |k: usize| scenario.week(candidate.start + k);
                let last = week(*covered.last().expect("not empty"));
                usize::from(candidate.states[first]) == cover + 1
                    && week(first) == on.max(week(0))
                    && last.plus(1) == off.min(week(candidate.states.len()))
            }
            _ => false,
        }
    };
    let mut rows = almanac.rows.iter().filter(|row| {
        row.crop == member.crop
            && row.method == method
            && row.way == member.way
            && almanac.spots[row.spot].beds.contains(&bed)
    });
    let row = rows.find(under)?;
    let sowing = row.sowings.iter().find(|s| s.week == member.sown)?;
    sowing.success()
}

/// Every new candidate of one crop is a sowing that the almanac tells to succeed, planted in the
/// weeks and ready in the week that it tells.
fn agrees(scenario: &Scenario) {
    let almanac = of_everything(scenario);
    let season = season(scenario);
    let mut compared = 0;
    for candidate in &season.candidates {
        let [member] = &candidate.members[..] else {
            continue;
        };
        if candidate.standing.is_some() || member.way.is_none() {
            continue;
        }
        if member.sown.since(scenario.start) >= 52 {
            // The almanac tells of one year.
            continue;
        }
        let bed = (0..season.beds.len())
            .find(|&bed| season.beds[bed].kind == candidate.kind)
            .expect("a kind has a bed");
        let success = told(scenario, &almanac, bed, candidate)
            .unwrap_or_else(|| panic!("the almanac does not know {}", candidate.name));
        if success.lit != member.lit {
            // Lamps where daylight would do: the search may pay for an earlier harvest.
            assert!(member.lit && !success.lit, "{}", candidate.name);
            continue;
        }
        assert!(
            success.planted <= member.planted && member.planted <= success.planted_by,
            "{}",
            candidate.name
        );
        if success.planted == member.planted {
            let first = candidate.lots.iter().map(|lot| lot.from).min();
            let first = scenario.week(first.expect("something to harvest"));
            assert_eq!(first, success.ready, "{}", candidate.name);
            assert!(member.cleared <= success.last.plus(1), "{}", candidate.name);
            compared += 1;
        }
    }
    assert!(compared > 20, "only {compared} were compared");
    // And the other way round: what the almanac tells to be ready in time, the search can choose,
    // in that week or a week that brings nearly the same harvest.
    let end = scenario.week(scenario.horizon());
    for row in &almanac.rows {
        let spot = &almanac.spots[row.spot];
        let in_time = |s: &Success| s.last < end;
        let told = row.sowings.iter().filter_map(|s| s.success()).any(in_time);
        if spot.cover.is_some() || row.way.is_none() || !told {
            continue;
        }
        if scenario.crops[row.crop].perennial.is_some() {
            // Not planted anew by the search.
            continue;
        }
        let name = &scenario.crops[row.crop].name;
        let known = season.candidates.iter().any(|candidate| {
            candidate.standing.is_none()
                && candidate
                    .members
                    .iter()
                    .any(|m| m.crop == row.crop && m.way == row.way)
        });
        assert!(known, "no candidate of {name}");
    }
}

#[test]
fn almanac_and_candidates_agree_on_the_small_plot() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios/small-plot.yaml");
    agrees(&load(&path).unwrap().scenario);
}

#[test]
fn almanac_and_candidates_agree_under_covers_and_in_the_tunnel() {
    let scenario = holding(vec![lettuce(), radish(), spinach()]);
    agrees(&scenario);
}

/// The row of the first crop, first way, at the bare place of that setting.
fn row<'a>(scenario: &Scenario, almanac: &'a Almanac, setting: Setting) -> &'a Row {
    let bare = |row: &&Row| {
        let spot = &almanac.spots[row.spot];
        spot.cover.is_none() && scenario.beds[spot.bed()].setting == setting
    };
    almanac.rows.iter().find(bare).expect("a row")
}

#[test]
fn a_year_has_every_week_once_in_the_order_of_the_numbers() {
    // 2026 has a week 53 (ISO 8601), and the plan starts in October of that year.
    let scenario = holding(vec![radish()]);
    let weeks = of_everything(&scenario).weeks;
    let numbers: Vec<u32> = weeks.iter().map(|w| w.of_year().number()).collect();
    assert_eq!(numbers, (1..=53).collect::<Vec<_>>());
    assert!(
        weeks
            .iter()
            .all(|week| (0..53).contains(&week.since(scenario.start)))
    );
}

#[test]
fn outside_its_sowing_weeks_growth_is_asked_all_the_same() {
    let mut crop = radish();
    crop.raisings[0].sow_from = "W14".parse().unwrap();
    crop.raisings[0].sow_to = "W20".parse().unwrap();
    let scenario = holding(vec![crop]);
    let almanac = of_everything(&scenario);
    let row = row(&scenario, &almanac, Setting::Open);
    let sown: Vec<String> = row
        .sown(Verdict::Succeeds)
        .iter()
        .map(ToString::to_string)
        .collect();
    assert_eq!(sown, ["W14-W20"]);
    let verdict = |number: u32| {
        let sowing = row
            .sowings
            .iter()
            .find(|s| s.week.of_year().number() == number);
        sowing.unwrap().verdict()
    };
    // A radish sown in June is ready in July; one sown in October is up and not ready when the
    // frosts of winter come (-6.7 °C and lower in one year of five) or when it is too old.
    assert_eq!(verdict(25), Verdict::Unusual);
    assert!(matches!(verdict(43), Verdict::Frost | Verdict::Unripe));
    assert!(row.harvested().len() == 1);
}

#[test]
fn without_a_shelf_modules_have_a_reason_of_their_own() {
    let mut scenario = holding(vec![lettuce()]);
    scenario.shelf.lit_m2 = 0.0;
    scenario.shelf.unlit_m2 = 0.0;
    let almanac = of_everything(&scenario);
    for sowing in &row(&scenario, &almanac, Setting::Open).sowings {
        assert_eq!(sowing.outcome, Err(Reason::NoShelf { lit: false }));
    }
    // Lamps that are needed and not there.
    let mut crop = lettuce();
    crop.raisings[0].shelf = ShelfNeed::Lit;
    let mut scenario = holding(vec![crop]);
    scenario.shelf.lit_m2 = 0.0;
    let almanac = of_everything(&scenario);
    for sowing in &row(&scenario, &almanac, Setting::Open).sowings {
        assert_eq!(sowing.outcome, Err(Reason::NoShelf { lit: true }));
    }
}

#[test]
fn failures_are_those_of_the_growth_model() {
    // Spinach sown in July runs to seed: its critical day is 13 hours.
    let scenario = holding(vec![spinach()]);
    let almanac = of_everything(&scenario);
    let row = row(&scenario, &almanac, Setting::Open);
    let june = row
        .sowings
        .iter()
        .find(|s| s.week == week(2027, 22))
        .unwrap();
    assert!(
        matches!(june.outcome, Err(Reason::Growth(Failure::Bolts { .. }))),
        "{june:?}"
    );
    let september = row
        .sowings
        .iter()
        .find(|s| s.week == week(2027, 36))
        .unwrap();
    assert_eq!(september.verdict(), Verdict::Succeeds);
}
