//! What stands for years: no plan plants it anew, whoever asks is told so, and what the grower plants stays.
//!
//! Source of truth: the scenario and the record of what happened; `verify`. That a herb or a fruit bush is planted for
//! years and not cleared in its first is common practice, no source.

#[path = "support/carried.rs"]
mod carried;
#[path = "support/room.rs"]
mod room;

use carried::{Year, said};
use room::{assert_code, stderr};

/// Two beds in which chives may grow, none of which stands.
const HOLDING: &str = "\
name: Two beds
currency: EUR
start: 2027-W10
weeks: 52
tail: 26
climate: oxford
beds:
  A: { setting: open, length_m: 1.2, width_m: 1.2, strips: 3 }
  B: { setting: open, length_m: 1.2, width_m: 1.2, strips: 2 }
covers: {}
shelf: { lit_m2: 0, unlit_m2: 1, day_c: 17, night_c: 12, transmission: 0.5 }
needs:
  herbs: { floor: 0.01, wish: 0.05 }
  carrots: { floor: 0, wish: 0.2 }
work: { hour_money: 3 }
crops_used: [chives, parsley, main carrots]
";

#[test]
fn no_plan_plants_it_and_who_asks_why_is_told() {
    let year = Year::new(HOLDING);
    let first = year.plan("first");
    assert!(first.plantings.iter().any(|p| p.crop == "parsley"));
    assert!(first.plantings.iter().all(|p| p.crop != "chives"));
    let asked = year.run(&["why", "first/plan.yaml", "--not", "chives"]);
    assert_code(&asked, 2);
    let told = stderr(&asked);
    assert!(told.contains("chives stands for years"), "{told}");

    // A crop that is listed for nothing, and a food that nothing else gives.
    let checked = year.run(&["check", "year.yaml"]);
    assert_code(&checked, 0);
    let told = said(&checked);
    assert!(told.contains("warning: crops_used.chives: "), "{told}");
    year.write("chives.yaml", &HOLDING.replace("parsley, ", ""));
    let checked = year.run(&["check", "chives.yaml"]);
    let told = said(&checked);
    assert!(told.contains("warning: needs.herbs: "), "{told}");
    assert!(told.contains("list what stands under standing"), "{told}");
}

#[test]
fn what_the_grower_plants_stays_whatever_is_replanned() {
    let year = Year::new(HOLDING);
    let planted =
        "{ date: 2027-04-20, what: planted, crop: chives, bed: B, strips: [2, 2], sown: 2027-W10 }";
    let nothing_new = "{ date: 2027-05-31, what: need, times: 1 }";
    for (from, event, date, to) in [
        ("first/plan.yaml", planted, "2027-04-26", "second"),
        ("second/plan.yaml", nothing_new, "2027-06-07", "third"),
    ] {
        year.replan(from, &[event], date, to);
        let plan = year.plan(to);
        let chives = plan.plantings.iter().find(|p| p.crop == "chives");
        let chives = chives.expect("it stands");
        assert_eq!((chives.bed.as_str(), &chives.strips[..]), ("B", &[2][..]));
        assert_eq!(chives.cleared.to_string(), "2028-W36", "{to}");
        assert!(chives.lots.iter().map(|lot| lot.amount).sum::<f64>() > 0.0);
    }
}
