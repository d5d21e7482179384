//! Every kind of event on a small holding of its own, from the plan through `replan` to what has become
//! of it in the repaired plan.
//!
//! Source of truth: relations between the answers (a repair lies between leaving things as they are and
//! drawing the year anew, a loss never raises the worth), `verify`, and what the event itself says. Crops
//! are invented.

#[path = "support/carried.rs"]
mod carried;
#[path = "support/room.rs"]
mod room;
#[path = "support/told.rs"]
mod told;

use bedweek::plan::{CoverSpell, Planting, YearPlan};
use bedweek::repair::LostWeek;
use bedweek::units::Week;
use carried::{Year, answer, in_order};
use room::{assert_code, stderr};
use told::*;

#[test]
fn plants_lost() {
    let event = "{ date: 2026-10-12, what: lost, planting: old salad, share: 0.5, cause: cutworm }";
    let told = told(&format!("{TUNNEL}{STANDING}"), "2026-W43", |_| event.into());
    told.cost();
    assert!(told.hurt.events[0].contains("cutworm"));
    let (before, after) = (
        standing(&told.first, "old salad"),
        standing(&told.repaired, "old salad"),
    );
    assert!((after.yield_share - 0.5 * before.yield_share).abs() < SLACK);
    let rest: f64 = (before
        .lots
        .iter()
        .filter(|lot| lot.from >= week("2026-W43")))
    .map(|lot| lot.amount)
    .sum();
    assert!(
        rest > 0.1 && (gives(after) - 0.5 * rest).abs() < 1e-3,
        "{rest} {after:#?}"
    );
    assert!(told.lost("salad leaves").lost <= 0.5 * rest + SLACK);
}

#[test]
fn seed_that_did_not_come_up() {
    let told = told(TUNNEL, "2026-W39", |plan| {
        let first = sown(plan, "autumn salad", "2026-W36");
        format!(
            "{{ date: {}, what: not up, planting: {}, share: 0.9 }}",
            first.sown, first.id
        )
    });
    told.cost();
    // There is time to sow again, which fills the hole.
    let salad = told.lost("salad leaves");
    assert!(!salad.filled_by.is_empty(), "{salad:#?}");
    assert!(salad.lost_after_repair < salad.lost, "{salad:#?}");
    let again = sown(&told.repaired, "autumn salad", "2026-W39");
    assert!(again.sown <= week("2026-W39"), "its last week of sowing");
}

#[test]
fn a_bolted_crop() {
    let event = "{ date: 2026-10-12, what: bolted, crop: autumn salad }";
    let lines = format!("{TUNNEL}{}", STANDING.replace(", keep: true", ""));
    let told = told(&lines, "2026-W43", |_| event.into());
    told.cost();
    // Nothing is counted on of any of it, and its ground is free.
    for planting in told
        .repaired
        .plantings
        .iter()
        .filter(|p| p.crop == "autumn salad")
    {
        assert!(planting.sown >= week("2026-W43"), "{planting:#?}");
    }
    assert!(told.lost("salad leaves").recovers.is_some());
}

#[test]
fn a_frosted_crop() {
    let lines = format!(
        "{BOTH}standing:\n  within: {{ bed: T, strips: [1, 1], crop: autumn salad, sown: 2026-W33, keep: true }}\n  \
         outside: {{ bed: O, strips: [1, 1], crop: autumn salad, sown: 2026-W33 }}\n"
    );
    let event = "{ date: 2026-10-12, what: frosted, crop: autumn salad, bed: O }";
    let told = told(&lines, "2026-W43", |_| event.into());
    told.cost();
    // Frost in the open, not in the tunnel.
    let outside = |p: &&Planting| p.bed == "O" && p.crop == "autumn salad";
    assert_eq!(told.repaired.plantings.iter().filter(outside).count(), 0);
    assert!((standing(&told.repaired, "within").yield_share - 1.0).abs() < SLACK);
}

#[test]
fn a_late_crop_and_an_early_one() {
    let change = |what: &str, from: &str| {
        let what = what.to_string();
        told(TUNNEL, from, move |plan| {
            let first = sown(plan, "autumn salad", "2026-W36");
            assert_eq!(first.sown, week("2026-W37"));
            let id = &first.id;
            format!("{{ date: 2026-W37, what: {what}, planting: {id}, weeks: 1 }}")
        })
    };
    let first = |told: &Told| {
        let meant = sown(&told.first, "autumn salad", "2026-W36");
        let planting = told.repaired.plantings.iter().find(|p| p.id == meant.id);
        planting
            .and_then(|p| p.first_harvest)
            .expect("it is harvested")
    };
    let (late, early) = (change("late", "2026-W39"), change("early", "2026-W38"));
    let planned = sown(&late.first, "autumn salad", "2026-W36").first_harvest;
    let planned = planned.expect("it is harvested");
    assert!(
        planned >= week("2026-W39"),
        "it is still to come: {planned}"
    );
    assert!(first(&late) > planned, "{} {planned}", first(&late));
    assert!(first(&early) < planned, "{} {planned}", first(&early));
    late.cost();
    // Sown a week ago it cannot be as far as one that was sown later than that, and the answer says so.
    let told = change("late", "2026-W38");
    let said = |note: &String| note.contains("reckoned as sown in 2026-W37");
    assert!(told.hurt.notes.iter().any(said), "{:?}", told.hurt.notes);
}

#[test]
fn a_harvest_below_forecast_and_one_above_it() {
    let change = |times: f64| {
        let event = format!(
            "{{ date: 2026-10-12, what: yield, planting: old salad, of_forecast: {times} }}"
        );
        told(&format!("{TUNNEL}{STANDING}"), "2026-W43", move |_| {
            event.clone()
        })
    };
    let (below, above) = (change(0.6), change(1.4));
    below.cost();
    assert!(below.left_more() < -0.1 && above.left_more() > 0.1);
    let share = |told: &Told| standing(&told.repaired, "old salad").yield_share;
    assert!((share(&below) - 0.6).abs() < SLACK && (share(&above) - 1.4).abs() < SLACK);
    assert!(above.hurt.lost.is_empty());
}

#[test]
fn a_sowing_that_was_left_out() {
    let told = told(TUNNEL, "2026-W41", |plan| {
        let first = sown(plan, "autumn salad", "2026-W36");
        format!(
            "{{ date: {}, what: not sown, planting: {} }}",
            first.sown, first.id
        )
    });
    told.cost();
    let first = sown(&told.first, "autumn salad", "2026-W36");
    let still = |p: &&Planting| {
        p.sown == first.sown && p.strips.iter().any(|strip| first.strips.contains(strip))
    };
    assert_eq!(told.repaired.plantings.iter().filter(still).count(), 0);
    assert!(told.lost("salad leaves").lost > 0.1);
}

/// Another crop, another bed, another week, and something that nobody had planned.
#[test]
fn sowings_done_differently() {
    type Differs = fn(&Planting) -> (String, Week, &'static str, &'static str);
    let cases: [Differs; 3] = [
        |p| {
            (
                "crop: winter salad, raising: direct".into(),
                p.sown,
                "winter salad",
                "T",
            )
        },
        |p| ("bed: O, strips: [1, 1]".into(), p.sown, "winter salad", "O"),
        |p| (String::new(), p.sown.plus(1), "winter salad", "T"),
    ];
    for (n, differs) in cases.into_iter().enumerate() {
        let crop = if n == 0 {
            "autumn salad"
        } else {
            "winter salad"
        };
        let planned = |plan: &YearPlan| {
            let new = plan.plantings.iter();
            let here = new.filter(|p| p.crop == crop && p.standing.is_none() && p.bed == "T");
            let first = here
                .filter(|p| p.sown == p.planted)
                .min_by_key(|p| (p.sown, p.id.clone()));
            first
                .unwrap_or_else(|| panic!("no {crop} in the tunnel: {plan:#?}"))
                .clone()
        };
        let room = Year::new(&holding(&format!("{BOTH}{NOT_IN_THE_OPEN}")));
        let first = planned(&room.plan("first"));
        let (how, when, sown_crop, bed) = differs(&first);
        let event = format!(
            "{{ date: {when}, what: sown, planting: {}, {how} }}",
            first.id
        );
        let event = event.replace(",  }", " }");
        let from = when.plus(2).to_string();
        let replan = room.replan("first/plan.yaml", &[&event], &from, "second");
        in_order(&replan);
        let repaired = room.plan("second");
        let there = |p: &Planting| p.crop == sown_crop && p.bed == bed && p.sown == when;
        assert!(
            repaired
                .plantings
                .iter()
                .any(|p| there(p) && p.standing.is_some()),
            "{event}: {:#?}",
            repaired.plantings
        );
    }
}

#[test]
fn something_sown_that_nobody_had_planned() {
    let event = "{ date: 2026-W40, what: sown, crop: winter salad, raising: direct, bed: O, strips: [2, 2] }";
    let told = told(&format!("{BOTH}{NOT_IN_THE_OPEN}"), "2026-W42", |_| {
        event.into()
    });
    let there = |p: &&Planting| p.bed == "O" && p.strips == [2] && p.crop == "winter salad";
    let found = told
        .repaired
        .plantings
        .iter()
        .find(there)
        .expect("it stands there");
    assert_eq!(
        (found.sown, found.planted),
        (week("2026-W40"), week("2026-W40"))
    );
    // It is more than was planned.
    assert!(told.left_more() > 0.0, "{} {:#?}", told.left_more(), found);
}

/// Plants from the shelf that went into another bed than planned.
#[test]
fn plants_set_out_differently() {
    let lines = format!(
        "{BOTH}{NOT_IN_THE_OPEN}shelf: {{ lit_m2: 0, unlit_m2: 1, day_c: 18, night_c: 13, transmission: 0.5 }}\n\
         on_shelf:\n  seedlings: {{ crop: winter salad, raising: modules, sown: 2026-W35, plants: 60 }}\n"
    );
    let told = told(&lines, "2026-W43", |plan| {
        let out = plan.plantings.iter().find(|p| p.on_shelf.is_some());
        let out = out.unwrap_or_else(|| panic!("they are used: {:#?}", plan.plantings));
        let other = if out.bed == "T" { "O" } else { "T" };
        format!(
            "{{ date: {}, what: planted, planting: {}, bed: {other}, strips: [1, 1] }}",
            out.planted, out.id
        )
    });
    let out = told
        .first
        .plantings
        .iter()
        .find(|p| p.on_shelf.is_some())
        .expect("as above");
    let there = |p: &&Planting| p.planted == out.planted && p.crop == out.crop;
    let found = told
        .repaired
        .plantings
        .iter()
        .find(there)
        .expect("it stands");
    assert_ne!(found.bed, out.bed, "{found:#?}");
    assert_eq!((found.sown, &found.strips[..]), (out.sown, &[1][..]));
}

/// Two beds of salad in the open.
const FRAMED: &str = "\
beds:
  O: { setting: open, length_m: 1.2, width_m: 1.2, strips: 2 }
  P: { setting: open, length_m: 1.2, width_m: 1.2, strips: 2 }
standing:
  here: { bed: O, strips: [1, 2], crop: autumn salad, sown: 2026-W33 }
  there: { bed: P, strips: [1, 2], crop: autumn salad, sown: 2026-W33 }
";

/// Most covers that lie in one week from `from` on.
fn most_lying(plan: &YearPlan, from: Week) -> usize {
    let lying = |week: Week| {
        let here = |c: &&CoverSpell| c.placed <= week && week < c.removed;
        plan.covers.iter().filter(here).count()
    };
    (0..30).map(|w| lying(from.plus(w))).max().unwrap_or(0)
}

/// So many frames for salad that is not hardy, of which there is never enough.
fn framed(count: u32) -> String {
    let lines = format!("{FRAMED}covers:\n  cold-frame top: {{ count: {count} }}\n");
    holding(&lines)
        .replace("wish: 1.5", "wish: 9")
        .replace("[autumn salad, winter salad,", "[autumn salad,")
        .replacen("killed_below_c: -12", "killed_below_c: -4", 1)
}

#[test]
fn a_cover_broken_and_one_bought() {
    let had = |count: u32, what: &str| {
        let event = format!("{{ date: 2026-10-19, what: cover {what}, cover: cold-frame top }}");
        carried_on(&framed(count), "2026-W44", move |_| event.clone())
    };
    let from = week("2026-W44");
    let broken = had(2, "broken");
    broken.cost();
    assert_eq!(most_lying(&broken.first, from), 2, "both were to be used");
    assert_eq!(most_lying(&broken.repaired, from), 1);
    let bought = had(1, "bought");
    assert_eq!(most_lying(&bought.first, from), 1);
    assert_eq!(most_lying(&bought.repaired, from), 2, "{:#?}", bought.hurt);
    let gain = answer(&bought.hurt, "repaired").worth - answer(&bought.unhurt, "repaired").worth;
    assert!(gain > 0.0, "{gain}");
}

#[test]
fn what_breaks_on_the_monday_itself_is_gone_from_its_bed_and_from_no_other() {
    let from = week("2026-W44");
    let lies = |plan: &YearPlan| -> Vec<String> {
        let then = |c: &&CoverSpell| c.placed < from && from < c.removed;
        let mut beds: Vec<String> = (plan.covers.iter().filter(then))
            .map(|c| c.bed.clone())
            .collect();
        beds.sort();
        beds
    };
    let told = carried_on(&framed(2), "2026-W44", |plan| {
        let (date, bed) = (from.monday(), &lies(plan)[0]);
        format!("{{ date: {date}, what: cover broken, cover: cold-frame top, bed: {bed} }}")
    });
    told.cost();
    let beds = lies(&told.first);
    assert_eq!(beds.len(), 2, "both: {:#?}", told.first.covers);
    let on_from_before: Vec<&String> = (told.repaired.covers.iter())
        .filter(|c| c.before)
        .map(|c| &c.bed)
        .collect();
    assert_eq!(on_from_before, [&beds[1]], "{:#?}", told.repaired.covers);
}

#[test]
fn guests_for_a_fortnight_and_a_household_that_leaves() {
    let needs = |event: &str| {
        let event = event.to_string();
        told(&format!("{TUNNEL}{STANDING}"), "2026-W43", move |_| {
            event.clone()
        })
    };
    let floor = |plan: &YearPlan, when: &str| {
        let salad = plan
            .supply
            .iter()
            .find(|s| s.food == "salad leaves")
            .expect("needed");
        let there = salad.weeks.iter().find(|w| w.week == week(when));
        let there = there.expect("a week of the plan");
        (there.floor, there.wish)
    };
    let guests = needs(
        "{ date: 2026-10-12, what: need, food: salad leaves, times: 2, from: 2026-W47, to: 2026-W48 }",
    );
    for (when, wanted) in [
        ("2026-W46", (0.3, 1.5)),
        ("2026-W47", (0.6, 3.0)),
        ("2026-W49", (0.3, 1.5)),
    ] {
        assert_eq!(floor(&guests.repaired, when), wanted, "{when}");
    }
    let fewer = needs("{ date: 2026-10-12, what: need, times: 0.5 }");
    assert_eq!(floor(&fewer.repaired, "2027-W01"), (0.15, 0.75));
    // What nobody asks for any more is no loss: where less is eaten the floor is met.
    let short = |w: &&LostWeek| w.as_it_is < 0.15 - SLACK;
    let lost = fewer.hurt.lost.iter().flat_map(|food| &food.weeks);
    assert_eq!(lost.filter(short).count(), 0, "{:#?}", fewer.hurt.lost);
    assert!(fewer.left_more() < 0.0, "less is eaten");
}

#[test]
fn a_shelf_that_fails() {
    let lines = format!(
        "{TUNNEL}shelf: {{ lit_m2: 0, unlit_m2: 1, day_c: 18, night_c: 13, transmission: 0.5 }}\n"
    );
    // Winter salad is raised on the shelf only, for some weeks.
    let scenario =
        holding(&lines).replacen("ready_units: 6, max_shelf", "ready_units: 15, max_shelf", 1);
    let (before, after) = scenario.split_once("sow: [W40, W50]").expect("it is there");
    let (before, _) = before
        .rsplit_once("        - { method: direct")
        .expect("as above");
    let (_, after) = after
        .split_once("plant_minutes_per_m2: 0 }\n")
        .expect("as above");
    let waiting = |plan: &YearPlan, when: Week| {
        let waits = |p: &&Planting| p.shelf.is_some() && p.sown < when && when < p.planted;
        plan.plantings.iter().filter(waits).count()
    };
    let failed = week("2026-W40");
    let told = carried_on(&format!("{before}{after}"), "2026-W41", |plan| {
        assert!(
            waiting(plan, failed) > 0,
            "some wait there: {:#?}",
            plan.plantings
        );
        format!("{{ date: {failed}, what: shelf failure, part: unlit, to: 2026-W44, share: 1 }}")
    });
    told.cost();
    // What waited is lost, and nothing is raised there until it is mended.
    assert!(told.repaired.plantings.iter().all(|p| p.on_shelf.is_none()));
    for stay in &told.repaired.shelf {
        let closed = stay.week <= week("2026-W44");
        assert!(!closed || stay.unlit_m2 < SLACK, "{stay:?}");
    }
    let raised = |p: &Planting| p.shelf.is_some() && p.sown > week("2026-W44");
    assert!(
        told.repaired.plantings.iter().any(raised),
        "then it is again"
    );
    assert!(
        told.year
            .read("second/replan.txt")
            .contains("shelf failure")
    );
}

/// Each record is one, however many plantings there are, and whichever it speaks of.
#[test]
fn records_of_two_plantings_are_both_counted() {
    let lines = format!(
        "{BOTH}standing:\n  within: {{ bed: T, strips: [1, 1], crop: autumn salad, sown: 2026-W33 }}\n  \
         outside: {{ bed: O, strips: [1, 1], crop: autumn salad, sown: 2026-W32 }}\n"
    );
    let year = Year::new(&holding(&lines));
    let records = "harvests:\n  - { date: 2026-09-15, planting: within, amount: 0.1 }\n  \
                   - { date: 2026-09-22, planting: outside, amount: 0.1 }\n  \
                   - { date: 2026-09-29, planting: outside, amount: 0.2 }\n";
    let replan = year.replan_text("first/plan.yaml", records, "2026-W43", "second");
    let learned = replan.learned.iter().find(|l| l.crop == "autumn salad");
    let learned = learned.unwrap_or_else(|| panic!("nothing learned: {replan:#?}"));
    assert_eq!((learned.plantings, learned.records), (2, 3));
    let text = year.read("second/replan.txt");
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("(2 plantings, 3 harvests)"), "{text}");
}

#[test]
fn events_that_cannot_be_read_leave_nothing() {
    let year = Year::new(&holding(&format!("{TUNNEL}{STANDING}")));
    year.write(
        "bad.yaml",
        "events: [{ date: 2026-10-12, what: lost, planting: old salad, share: 1.5 }]\n",
    );
    let out = ["--from", "2026-W43", "--out", "second", "-q"];
    let asked = ["replan", "first/plan.yaml", "--events", "bad.yaml"];
    let done = year.run(&[&asked[..], &out[..]].concat());
    assert_code(&done, 2);
    assert!(stderr(&done).contains("bad.yaml:1:"), "{}", stderr(&done));
    assert!(!year.path("second").exists(), "nothing is written");
}

/// A plan finds the one that it carries on, and the scenario, wherever it is looked at from.
#[test]
fn a_plans_life_is_found_from_another_directory() {
    let year = Year::new(&holding(&format!("{TUNNEL}{STANDING}")));
    let event = "{ date: 2026-10-12, what: lost, planting: old salad, share: 0.5 }";
    year.replan("first/plan.yaml", &[event], "2026-W43", "second");
    for verb in ["history", "verify"] {
        let mut there = assert_cmd::Command::cargo_bin("bedweek").expect("the program");
        let there = there.current_dir(year.path("second"));
        let said = there.args([verb, "plan.yaml"]).output().expect("it runs");
        assert_code(&said, 0);
    }
}
