//! Plans carried on: losing nothing changes nothing, losses cost, repairs lie between leaving things
//! as they are and drawing the year anew. Kinds of events one by one: `event_kinds.rs`.
//!
//! Source of truth: relations between the answers; the plan that is carried on; `verify`. Crops are
//! invented, so that no shipped figure matters.

#[path = "support/carried.rs"]
mod carried;
#[path = "support/room.rs"]
mod room;
#[path = "support/told.rs"]
mod told;

use bedweek::plan::Planting;
use bedweek::repair::{Difference, Job, Replan};
use bedweek::units::Week;
use carried::{MODELS, NOTHING_NEW, Year, answer, in_order, said};
use room::{assert_code, stderr, stdout};
use told::{BOTH, carried_on, holding, standing, week};

/// A tunnel bed and a bed in the open, salad for the autumn and for the winter, roots to store.
const STORY: &str = "\
name: Salad in winter
start: 2026-W36
weeks: 40
tail: 4
climate: oxford
beds:
  O: { setting: open, length_m: 1.2, width_m: 1.2, strips: 3 }
  T: { setting: tunnel, length_m: 2.4, width_m: 1.2, strips: 4 }
covers:
  fleece: { count: 1 }
shelf: { lit_m2: 0.1, unlit_m2: 0.1, day_c: 18, night_c: 13, lamp_mj: 6, transmission: 0.5 }
standing:
  roots: { bed: O, strips: [1, 2], crop: storing roots, sown: 2026-W20 }
  autumn salad: { bed: T, strips: [1, 3], crop: autumn salad, sown: 2026-W33, keep: true }
needs:
  salad leaves: { floor: 0.5, wish: 2, price_money: 3, short_money: 3, single_crop_share: 1 }
  roots: { floor: 0.1, wish: 0.3, price_money: 2, short_money: 1, single_crop_share: 1 }
work: { hour_money: 1 }
rotation:
  daisy: { break_weeks: 0, rule: off }
crops_used: [autumn salad, winter salad, storing roots]
solving: { gap: 0.02 }
";

fn story() -> String {
    format!("{STORY}{MODELS}")
}

#[test]
fn losing_nothing_changes_nothing() {
    let room = Year::new(&story());
    let before = room.read("first/plan.yaml");
    room.write("none.yaml", "events: []\n");
    for arguments in [&["--events", "none.yaml"][..], &[]] {
        let mut all = vec![
            "replan",
            "first/plan.yaml",
            "--from",
            "2026-W44",
            "--out",
            "same",
        ];
        all.extend(arguments);
        let done = room.run(&all);
        assert_eq!(done.status.code(), Some(0), "{}", said(&done));
        assert!(said(&done).contains("it stands as it is"));
        assert_eq!(room.read("same/plan.yaml"), before);
    }
}

#[test]
fn what_is_carried_on_gives_what_it_was_to_give() {
    let room = Year::new(&story());
    for (n, from) in ["2026-W38", "2026-W44", "2026-W50", "2027-W08"]
        .into_iter()
        .enumerate()
    {
        let replan = room.replan("first/plan.yaml", &[NOTHING_NEW], from, &format!("on{n}"));
        assert!(replan.notes.is_empty(), "{:#?}", replan.notes);
        assert!(replan.lost.is_empty(), "from {from}: {:#?}", replan.lost);
        assert_eq!(answer(&replan, "left as it is").changes.all(), 0);
        in_order(&replan);
    }
}

/// The search for the redraw begins from the repair, however little time there is.
#[test]
fn a_redraw_cut_short_is_no_worse_than_the_repair() {
    let room = Year::new(&story());
    room.write(
        "events.yaml",
        "events:\n  - { date: 2026-10-12, what: lost, crop: autumn salad }\n",
    );
    for work in ["1", "40", "150"] {
        let done = room.run(&[
            "replan",
            "first/plan.yaml",
            "--events",
            "events.yaml",
            "--from",
            "2026-W43",
            "--work-limit",
            work,
            "--timeless",
            "--quiet",
            "--format",
            "yaml",
        ]);
        assert!(matches!(done.status.code(), Some(0 | 3)), "{}", said(&done));
        let replan = serde_yaml::from_str(&stdout(&done)).expect("a replan");
        in_order(&replan);
    }
}

#[test]
fn half_the_autumn_salad_is_lost_and_the_winter_salad_recovers() {
    let room = Year::new(&story());
    let lost = "{ date: 2026-10-12, what: lost, crop: autumn salad, share: 0.5, cause: cutworm }";
    let replan = room.replan("first/plan.yaml", &[lost], "2026-W43", "second");
    in_order(&replan);
    assert!(replan.events[0].contains("cutworm"), "{:?}", replan.events);
    let salad = replan.lost.iter().find(|f| f.food == "salad leaves");
    let salad = salad.unwrap_or_else(|| panic!("nothing lost: {replan:#?}"));
    assert!(salad.lost > 0.0 && salad.weeks[0].week.to_string().as_str() >= "2026-W43");
    let recovers = salad.recovers.expect("winter salad makes up for it");
    assert!(recovers > salad.weeks[0].week, "{salad:#?}");
    assert!(
        salad.filled_by.iter().any(|f| f.crop == "winter salad"),
        "{salad:#?}"
    );
    let text = room.read("second/replan.txt");
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        text.contains(&format!("as planned again from {recovers} on")),
        "{text}"
    );
    // The same again, and nothing new: it stands.
    let again = room.run(&[
        "replan",
        "second/plan.yaml",
        "--events",
        "events.yaml",
        "--from",
        "2026-W43",
        "--out",
        "third",
    ]);
    assert!(
        said(&again).contains("it stands as it is"),
        "{}",
        said(&again)
    );
    assert_eq!(room.read("third/plan.yaml"), room.read("second/plan.yaml"));
    // The plan's life is kept, and can be followed.
    let both = "events:\n  - { date: 2026-10-12, what: lost, crop: autumn salad, share: 0.5, cause: cutworm }\n  \
                - { date: 2026-11-09, what: late, crop: autumn salad, weeks: 1 }\n";
    let next = room.replan_text("second/plan.yaml", both, "2026-W47", "fourth");
    assert_eq!((next.known, next.events.len()), (1, 1));
    in_order(&next);
    let history = room.run(&["history", "fourth/plan.yaml"]);
    let told = said(&history);
    let order = [
        "first/plan.yaml",
        "second/plan.yaml",
        "cutworm",
        "fourth/plan.yaml",
        "late",
    ];
    let places: Vec<_> = order
        .iter()
        .map(|w| told.find(w).unwrap_or_else(|| panic!("{w}: {told}")))
        .collect();
    assert!(places.is_sorted(), "{told}");
    // A plan that others carry on is not written over.
    let over = room.run(&[
        "replan",
        "fourth/plan.yaml",
        "--events",
        "events.yaml",
        "--from",
        "2026-W48",
        "--out",
        "second",
    ]);
    assert_eq!(over.status.code(), Some(2), "{}", said(&over));
    // Nor may it be changed.
    let changed = room
        .read("first/plan.yaml")
        .replace("format: 1", "format: 1 ");
    room.write("first/plan.yaml", &changed);
    let refused = room.run(&["verify", "fourth/plan.yaml"]);
    assert!(
        said(&refused).contains("have changed"),
        "{}",
        said(&refused)
    );
}

#[test]
fn records_correct_what_is_reckoned_with_and_say_so() {
    let room = Year::new(&story());
    // Far less than forecast, over weeks.
    let records = "harvests:\n  - { date: 2026-10-14, crop: autumn salad, amount: 0.1 }\n  \
                   - { date: 2026-10-21, crop: autumn salad, amount: 0.1 }\n";
    let events = format!("events:\n  - {NOTHING_NEW}\n{records}");
    let replan = room.replan_text("first/plan.yaml", &events, "2026-W45", "second");
    in_order(&replan);
    let learned = (replan.learned.iter()).find(|l| l.crop == "autumn salad");
    let learned = learned.unwrap_or_else(|| panic!("nothing learned: {replan:#?}"));
    assert_eq!((learned.book_per_m2, learned.records), (14.0, 2));
    assert!(
        learned.recorded_per_m2 < learned.used_per_m2,
        "{learned:#?}"
    );
    assert!(learned.used_per_m2 < learned.book_per_m2, "{learned:#?}");
    let text = room.read("second/replan.txt");
    assert!(text.contains("Learned from the record"), "{text}");
    // Next year's scenario can hold it.
    let experience = room.read("second/experience.yaml");
    room.write("next.yaml", &format!("{}{experience}", story()));
    let checked = room.run(&["check", "next.yaml"]);
    assert_eq!(checked.status.code(), Some(0), "{}", said(&checked));
    let next = bedweek::input::load(&room.path("next.yaml"))
        .expect("read")
        .scenario;
    let crop = next
        .crops
        .iter()
        .find(|c| c.name == "autumn salad")
        .expect("in use");
    let used = crop.ways[0].yield_per_m2.usual;
    assert!(
        (used - learned.used_per_m2).abs() < 1e-3,
        "{used} {learned:#?}"
    );
}

#[test]
fn changed_jobs_are_added_dropped_and_moved() {
    let room = Year::new(&story());
    let lost = "{ date: 2026-10-12, what: lost, crop: autumn salad }";
    let replan = room.replan("first/plan.yaml", &[lost], "2026-W43", "second");
    in_order(&replan);
    assert!(replan.jobs.windows(2).all(|w| w[0].week <= w[1].week));
    // What is gone is not cleared any more.
    let dropped =
        |what: &str| (replan.jobs.iter()).any(|j| j.change == Difference::Drop && j.what == what);
    assert!(dropped("autumn salad"), "{:#?}", replan.jobs);
    // In the report clearings come last, crop by crop, after all else that is to be done.
    let text = room.read("second/replan.txt");
    let (_, jobs) = text.split_once("Changed jobs\n").expect("jobs");
    let (others, clearings) = (jobs.split_once("Cleared otherwise than was planned\n"))
        .unwrap_or_else(|| panic!("{text}"));
    assert!(!others.contains("clear "), "{others}");
    let clears = replan.jobs.iter().filter(|j| j.job == Job::Clear);
    for job in clears.clone() {
        let line = clearings
            .lines()
            .find(|line| line.trim_start().starts_with(&job.what));
        assert!(line.is_some(), "{job:?}: {clearings}");
    }
    let sown = replan.jobs.len() - clears.count();
    let told = others
        .lines()
        .filter(|line| line.starts_with("  2"))
        .count();
    assert_eq!(told, sown, "{others}");
}

#[test]
fn a_rest_of_the_year_without_any_plan_is_said_to_have_none() {
    let room = Year::new(&story());
    // Nothing can be cleared in so little time, and the roots must go.
    room.write(
        "busy.yaml",
        &story().replace("hour_money: 1", "hour_money: 1, hours_per_week: 0.0001"),
    );
    let busy = ["--scenario", "busy.yaml"];
    let refused = room.replanned("first/plan.yaml", busy, "2026-W44", "second");
    assert_code(&refused, 1);
    assert!(
        stderr(&refused).contains("there is no plan"),
        "{}",
        said(&refused)
    );
    assert!(stdout(&refused).is_empty() && !room.path("second/plan.yaml").exists());
}

/// A scenario edited from the first one says nothing of what happened since: a bed out of use stays so, and what it says
/// anew of covers and needs is told.
#[test]
fn an_edited_scenario_opens_no_bed_and_forgets_nothing_silently() {
    let year = Year::new(&story());
    year.replan(
        "first/plan.yaml",
        &[
            "{ date: 2026-10-12, what: bed out, bed: T, from: 2026-W50, to: 2027-W02 }",
            "{ date: 2026-10-12, what: need, times: 1.5 }",
            "{ date: 2026-10-13, what: cover broken, cover: fleece }",
            "{ date: 2026-10-14, what: yield, crop: autumn salad, of_forecast: 1 }",
        ],
        "2026-W43",
        "second",
    );
    year.write(
        "edited.yaml",
        &story().replace("hour_money: 1", "hour_money: 2"),
    );
    let edited = ["--scenario", "edited.yaml"];
    let done = year.replanned("second/plan.yaml", edited, "2026-W45", "third");
    assert!(matches!(done.status.code(), Some(0 | 3)), "{}", said(&done));
    let checked = year.run(&["verify", "third/plan.yaml"]);
    assert_code(&checked, 0);
    let (from, to) = (week("2026-W50"), week("2027-W02"));
    let third = year.plan("third");
    let in_tunnel = third.plantings.iter().filter(|p| p.bed == "T");
    for planting in in_tunnel {
        let there = planting.planted <= to && planting.cleared > from;
        assert!(!there, "{planting:#?}");
    }
    let told: Replan = serde_yaml::from_str(&year.read("third/replan.yaml")).expect("a replan");
    let of = |what: &str| {
        let notes = told.notes.iter().filter(|note| note.contains(what));
        notes.filter(|note| note.contains("edited.yaml")).count()
    };
    assert_eq!(
        ["12 need", "13 cover broken", "12 bed out", "14 yield"].map(of),
        [1, 1, 0, 0],
        "{:#?}",
        told.notes
    );
}

/// What the scenario no longer asks for stays known: what stands of it is carried on, nothing of it is begun anew; of a food
/// that nobody needs nothing is eaten, and what was decided on is left out.
#[test]
fn what_is_asked_for_no_longer_is_carried_on_and_not_begun_anew() {
    let year = Year::new(&story());
    let first = year.plan("first");
    let all = "crops_used: [autumn salad, winter salad, storing roots]\n";
    let text = story();
    let need = |food: &str| -> String {
        let its = |line: &&str| line.starts_with(&format!("  {food}: {{ floor"));
        format!("{}\n", text.lines().find(its).expect("it is needed"))
    };
    let edits = [
        (
            vec![need("roots"), all.into()],
            "storing roots",
            Some("roots"),
        ),
        (
            vec![need("salad leaves"), all.into()],
            "winter salad",
            Some("salad leaves"),
        ),
        (vec!["winter salad, ".into()], "winter salad", None),
    ];
    for (n, (taken_out, crop, food)) in edits.into_iter().enumerate() {
        let edited = taken_out.iter().fold(story(), |text, part: &String| {
            assert!(text.contains(part), "{part}");
            text.replacen(part, "", 1)
        });
        year.write("edited.yaml", &edited);
        let (second, third) = (format!("second{n}"), format!("third{n}"));
        let scenario = ["--scenario", "edited.yaml"];
        let done = year.replanned("first/plan.yaml", scenario, "2026-W39", &second);
        assert!(matches!(done.status.code(), Some(0 | 3)), "{}", said(&done));
        year.replan(
            &format!("{second}/plan.yaml"),
            &["{ date: 2026-09-28, what: need, times: 1 }"],
            "2026-W46",
            &third,
        );
        for out in [second, third] {
            assert_code(&year.run(&["verify", &format!("{out}/plan.yaml")]), 0);
            let plan = year.plan(&out);
            let its = plan.plantings.iter().filter(|p| p.crop == crop);
            for planting in its.filter(|p| p.standing.is_none()) {
                let planned = |p: &Planting| p.crop == crop && p.sown == planting.sown;
                let decided_on = first.plantings.iter().any(planned);
                assert!(decided_on && food.is_none(), "{planting:#?}");
            }
            let eaten = plan.draws.iter().filter(|d| Some(&*d.food) == food);
            let units: f64 = eaten.flat_map(|d| d.eaten.values()).sum();
            assert_eq!(units, 0.0, "{food:?}");
        }
    }
    let not = year.run(&["why", "third2/plan.yaml", "--not", "winter salad"]);
    assert_code(&not, 2);
    assert!(stderr(&not).contains("takes no part"), "{}", said(&not));
}

/// One planting may come to be sown in two weeks: either sowing is told for itself.
#[test]
fn a_planting_that_was_sown_twice() {
    let year = Year::new(&story());
    let plan = year.plan("first");
    let meant = told::sown(&plan, "winter salad", "2026-W40");
    let sown = |when: Week| {
        format!(
            "{{ date: {when}, what: sown, planting: {}, raising: modules }}",
            meant.id
        )
    };
    let events = [sown(meant.sown), sown(meant.sown.plus(1))];
    let from = meant.sown.plus(2).to_string();
    year.replan(
        "first/plan.yaml",
        &[&events[0], &events[1]],
        &from,
        "second",
    );
    let changes = year.plan("second").changes;
    let mut planned: Vec<&String> = (changes.iter())
        .filter_map(|change| change.planned.as_ref())
        .filter(|name| name.starts_with(&meant.id))
        .collect();
    planned.sort();
    planned.dedup();
    let [once, again] = ["as sown", "as sown 2"].map(|how| format!("{} {how}", meant.id));
    assert_eq!(planned, [&once, &again], "{changes:#?}");
}

/// Roots and leaves that had been eaten of, though the model has neither ready yet, are as ready as before when the
/// plan is carried on.
#[test]
fn what_was_ready_by_the_growers_word_stays_so() {
    let lines = format!(
        "{BOTH}standing:\n  leaves: {{ bed: T, strips: [1, 1], crop: autumn salad, sown: 2026-W34, taken: 0.2, keep: true }}\n  \
         roots: {{ bed: O, strips: [1, 1], crop: storing roots, sown: 2026-W30, taken: 0.1, keep: true }}\n"
    );
    let scenario = holding(&lines).replace("kind: clearing", "kind: standing, weeks: 9");
    let told = carried_on(&scenario, "2026-W40", |_| NOTHING_NEW.into());
    assert!(told.hurt.lost.is_empty(), "{:#?}", told.hurt.lost);
    let from = week("2026-W40");
    for name in ["leaves", "roots"] {
        let [first, repaired] = [&told.first, &told.repaired].map(|plan| standing(plan, name));
        let began = first.first_harvest.expect("it is eaten");
        assert!(began <= week("2026-W37"), "{first:#?}");
        assert_eq!(first.last_harvest, repaired.last_harvest, "{name}");
        if name == "roots" {
            continue;
        }
        let rest = |p: &Planting| -> Vec<(Week, i64)> {
            let later = p.lots.iter().filter(|lot| lot.from >= from);
            later
                .map(|lot| (lot.from, (1e3 * lot.amount).round() as i64))
                .collect()
        };
        assert_eq!(rest(first), rest(repaired), "{first:#?} {repaired:#?}");
    }
    assert_eq!(
        standing(&told.first, "roots").last_harvest,
        Some(week("2026-W43"))
    );
}

/// A harvest of the whole bed does not tell how much of it came from the strip that is cleared already.
#[test]
fn a_record_of_several_plantings_tells_their_yield_when_all_are_over() {
    let lines = format!(
        "{BOTH}standing:\n  early: {{ bed: O, strips: [1, 1], crop: storing roots, sown: 2026-W20, taken: 0.01, keep: true }}\n  \
         late: {{ bed: O, strips: [2, 2], crop: storing roots, sown: 2026-W26, keep: true }}\n"
    );
    let year = Year::new(&holding(&lines).replace("kind: clearing", "kind: standing, weeks: 5"));
    let learned = |whose: &str, out: &str| {
        let record = format!("harvests:\n  - {{ date: 2026-08-31, {whose}, amount: 0.2 }}\n");
        let replan = year.replan_text("first/plan.yaml", &record, "2026-W42", out);
        let of_roots = replan.learned.iter().find(|l| l.crop == "storing roots");
        of_roots.map(|l| (l.plantings, l.records))
    };
    assert_eq!(learned("planting: early", "early"), Some((1, 1)));
    assert_eq!(learned("crop: storing roots, bed: O", "both"), None);
}
