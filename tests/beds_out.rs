//! Beds that go out of use and come back.
//!
//! Source of truth: relations between plans before and after; `verify`. Crops are invented.

#[path = "support/carried.rs"]
mod carried;
#[path = "support/room.rs"]
mod room;
#[path = "support/told.rs"]
mod told;

use bedweek::plan::{Planting, YearPlan};
use bedweek::units::Week;
use carried::{Year, in_order};
use room::{assert_code, stderr};
use told::{STANDING, TUNNEL, holding, told, week};

#[test]
fn a_bed_out_of_use() {
    let event = "{ date: 2026-10-12, what: bed out, bed: T, from: 2026-W46, to: 2026-W50 }";
    let told = told(TUNNEL, "2026-W43", |_| event.into());
    told.cost();
    let (from, to) = (week("2026-W46"), week("2026-W50"));
    let there = |plan: &YearPlan| {
        let then = |p: &&Planting| p.planted <= to && p.cleared > from;
        plan.plantings.iter().filter(then).count()
    };
    assert!(there(&told.first) > 0, "it was to be used then");
    assert_eq!(there(&told.repaired), 0);
    assert!(told.lost("salad leaves").weeks[0].week <= to);
}

/// A bed that is back sooner than was thought is planted again.
#[test]
fn a_bed_back_in_use() {
    let out = "{ date: 2026-10-12, what: bed out, bed: T, from: 2026-W44, to: 2027-W12 }";
    let back = "{ date: 2026-W46, what: bed back, bed: T }";
    let told = told(TUNNEL, "2026-W43", |_| out.into());
    let planted = |plan: &YearPlan| {
        plan.plantings
            .iter()
            .filter(|p| p.planted >= week("2026-W44"))
            .count()
    };
    assert_eq!(planted(&told.repaired), 0, "{:#?}", told.repaired.plantings);
    let mended = told
        .year
        .replan("second/plan.yaml", &[back], "2026-W46", "third");
    in_order(&mended);
    let third = told.year.plan("third");
    assert!(planted(&third) > 0, "{mended:#?}");
    assert!(
        third.result.worth > told.repaired.result.worth,
        "{mended:#?}"
    );
}

/// What stands in a bed is harvested until the bed goes out of use, kept or not.
#[test]
fn what_stands_is_harvested_until_its_bed_goes_out_of_use() {
    let event = "{ date: 2026-10-12, what: bed out, bed: T, from: 2026-W46, to: 2027-W10 }";
    let from = week("2026-W46");
    for keep in ["", ", keep: true"] {
        let lines = format!("{TUNNEL}{}", STANDING.replace(", keep: true", keep));
        let told = told(&lines, "2026-W43", |_| event.into());
        let before: Vec<Week> = told
            .first
            .supply
            .iter()
            .flat_map(|s| &s.weeks)
            .filter(|w| w.fresh > 0.0 && (week("2026-W43")..from).contains(&w.week))
            .map(|w| w.week)
            .collect();
        assert!(
            !before.is_empty(),
            "something was to be eaten of it: {:#?}",
            told.first.supply
        );
        let first = told.lost("salad leaves").weeks[0].week;
        assert!(first >= from, "lost from {first} on: {:#?}", told.hurt);
    }
}

/// A bed that an earlier plan knew to go out of use takes what was sown there since with it; while it is out of use nothing
/// can have been sown there.
#[test]
fn what_was_sown_in_a_bed_since_goes_when_it_goes_out_of_use() {
    let year = Year::new(&holding(TUNNEL));
    let out = "{ date: 2026-10-12, what: bed out, bed: T, from: 2026-W47, to: 2027-W02 }";
    year.replan("first/plan.yaml", &[out], "2026-W43", "second");
    let sown = |when: &str| {
        format!(
            "{{ date: {when}, what: sown, crop: winter salad, raising: direct, bed: T, strips: [3, 3] }}"
        )
    };
    let cleared = "{ date: 2026-W43, what: lost, crop: winter salad }";
    year.replan(
        "second/plan.yaml",
        &[cleared, &sown("2026-W45")],
        "2026-W50",
        "third",
    );
    let there = year.plan("third").plantings;
    let mut there = there.iter().filter(|p| p.bed == "T");
    assert!(there.all(|p| p.planted > week("2027-W02")), "{there:#?}");

    year.write(
        "events.yaml",
        &format!("events:\n  - {}\n", sown("2026-W48")),
    );
    let refused = year.replanned(
        "second/plan.yaml",
        ["--events", "events.yaml"],
        "2026-W50",
        "none",
    );
    assert_code(&refused, 2);
    let said = stderr(&refused);
    assert!(
        said.contains("E506") && said.contains("T is out of use from 2026-W47 to 2027-W02"),
        "{said}"
    );
}
