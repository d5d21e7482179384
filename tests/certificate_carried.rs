//! The certificate of a repair: it holds for the rest of the year that it was made for, with all that stands, is in
//! store, on the shelf and decided on, and for no other; damage is caught.
//!
//! Source of truth: two roads to one figure (the search's own sum in `solve`, the one of `certify`, which
//! share no code); the damage is done by the test. Crops are invented.

#[path = "support/carried.rs"]
mod carried;
#[path = "support/room.rs"]
mod room;
#[path = "support/still.rs"]
mod still;

use bedweek::candidates::{self, Counted, Season};
use bedweek::certify;
use bedweek::cli::listed;
use bedweek::domain::{Diary, Scenario};
use bedweek::solve::{Options, bound_at, solve_priced};
use bedweek::{input, repair};
use carried::{MODELS, Year, said};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use room::{assert_code, stdout};
use still::Still;

/// Roots stand and are lifted into store, young salad waits on the shelf for weeks, a crop is asked for,
/// work is scarce.
const STORY: &str = "\
name: Salad in winter
start: 2026-W41
weeks: 30
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
  old salad: { bed: T, strips: [1, 3], crop: autumn salad, sown: 2026-W33 }
in_store:
  old roots: { crop: storing roots, way: roots, amount: 3, harvested: 2026-W38 }
on_shelf:
  young salad: { crop: winter salad, sown: 2026-W40, plants: 60 }
directives:
  - { always: winter salad, bed: T, strips: 2, from: 2026-W45, to: 2026-W48, missing_money: 1 }
needs:
  salad leaves: { floor: 0.5, wish: 2, price_money: 3, short_money: 3, single_crop_share: 0.8 }
  roots: { floor: 0.1, wish: 0.3, price_money: 2, short_money: 1, single_crop_share: 1 }
work: { hour_money: 1, hours_per_week: 2 }
rotation:
  daisy: { break_weeks: 0, rule: off }
crops_used: [autumn salad, winter salad, storing roots]
solving: { gap: 0.02 }
";

/// Half of what stands in the tunnel is lost.
const EVENTS: &str =
    "events:\n  - { date: 2026-10-08, what: lost, planting: old salad, share: 0.5 }\n";

fn year() -> Year {
    Year::new(&format!("{STORY}{MODELS}"))
}

/// The rest of the year from a week on, without events.
fn carried_on(room: &Year, from: &str) -> Scenario {
    let scenario = input::load(&room.path("year.yaml")).expect("read").scenario;
    let date = from.parse().expect("a week");
    let carried = repair::carry_on(
        &scenario,
        &room.plan("first"),
        &scenario,
        &Diary::default(),
        date,
    );
    carried.expect("carried on").scenario
}

/// All kinds of things that a year carried on begins with.
fn assert_full(season: &Season) {
    assert!(season.candidates.iter().any(|c| c.standing.is_some()));
    assert!(!season.in_store.is_empty(), "nothing is in store");
    assert!(!season.on_shelf.is_empty(), "nothing is on the shelf");
    assert!(season.given_back > 0.0, "nothing is given back");
    let asked = |planned: bool| {
        let of = |a: &candidates::Always| matches!(a.of, Counted::Planned(_)) == planned;
        season.always.iter().any(of)
    };
    assert!(asked(true) && asked(false), "{:?}", season.always);
    assert!(season.minutes_per_week.is_some());
}

#[test]
fn both_sums_agree_for_a_year_carried_on() {
    let room = year();
    let scenario = carried_on(&room, "2026-W42");
    let season = candidates::season(&scenario);
    assert_full(&season);
    let options = Options {
        gap: 0.0,
        seconds: None,
        work: Some(200),
    };
    let (answer, prices) = solve_priced(&season, &options, &Still, None);
    let mut prices = prices.expect("the search gives prices");
    let dice = &mut ChaCha8Rng::seed_from_u64(1);
    for turn in 0..20 {
        let own = bound_at(&season, &prices);
        let certified = certify::bound(&season, &listed(&season, &prices)).expect("in order");
        let apart = (certified - own) / own.abs().max(1.0);
        assert!((-1e-13..1e-9).contains(&apart), "{turn}: {own} {certified}");
        assert!(
            certified >= answer.worth,
            "{turn}: {certified} {}",
            answer.worth
        );
        let other: Vec<f64> = (prices.flat().iter())
            .map(|p| p * dice.random_range(0.0..2.0) + dice.random_range(-0.1..0.1))
            .collect();
        prices.set_flat(&other);
        prices.clamp(&season);
    }
}

#[test]
fn a_certificate_of_a_repair_holds_for_it_alone() {
    let room = year();
    room.write("events.yaml", EVENTS);
    let search = ["--work-limit", "400", "--timeless", "-q"];
    let run = |words: &[&str]| room.run(&[words, &search].concat());
    run(&["plan", "year.yaml", "--certificate", "first.cert"]);
    let replan = ["replan", "first/plan.yaml", "--from", "2026-10-09"];
    let files = [
        "--events",
        "events.yaml",
        "--out",
        "second",
        "--certificate",
        "second.cert",
    ];
    let done = run(&[&replan[..], &files].concat());
    assert!(matches!(done.status.code(), Some(0 | 3)), "{}", said(&done));

    let verified = |plan: &str, certificate: &str| {
        let plan = format!("{plan}/plan.yaml");
        room.run(&["verify", &plan, "--certificate", certificate])
    };
    let holds = |plan: &str, certificate: &str| {
        let done = verified(plan, certificate);
        assert_code(&done, 0);
        assert!(
            stdout(&done).contains("the certificate holds"),
            "{}",
            said(&done)
        );
    };
    let refused = |plan: &str, certificate: &str, words: &str| {
        let done = verified(plan, certificate);
        assert_code(&done, 5);
        assert!(stdout(&done).contains(words), "{}", said(&done));
    };
    holds("first", "first.cert");
    holds("second", "second.cert");
    refused(
        "second",
        "first.cert",
        "the rest of the year as of 2026-10-09",
    );
    refused("first", "second.cert", "another scenario than year.yaml");

    let text = room.read("second.cert");
    let damaged = |from: &str, to: &str, words: &str| {
        assert!(text.contains(from), "{from:?} is not in {text}");
        room.write("damaged.cert", &text.replacen(from, to, 1));
        refused("second", "damaged.cert", words);
    };
    let line = |start: &str| {
        let found = text.lines().find(|line| line.starts_with(start));
        found.expect("a line of the certificate")
    };
    damaged(
        line("bound: "),
        "bound: 1.0",
        "claims that no plan is worth more than 1,",
    );
    // What is decided on counts up to the price of changing it, no further.
    let counted = text.split("counted_on:\n").nth(1).expect("prices");
    let first = counted.lines().next().expect("a price");
    damaged(
        &format!("counted_on:\n{first}"),
        "counted_on:\n- 1000.0",
        "priced above what missing it costs",
    );
    damaged(
        &format!("counted_on:\n{first}\n"),
        "counted_on:\n",
        "not as long",
    );
    let shelf = text.split("plants:\n").nth(1).expect("prices");
    let first = shelf.lines().next().expect("a price");
    damaged(
        &format!("plants:\n{first}"),
        "plants:\n- -1",
        "below nothing",
    );
}

/// Without a search there are no prices; the plan stands, and so does its certificate.
#[test]
fn a_plan_that_stands_has_no_new_certificate() {
    let room = year();
    let done = room.run(&[
        "replan",
        "first/plan.yaml",
        "--from",
        "2026-10-09",
        "--certificate",
        "second.cert",
    ]);
    assert_code(&done, 0);
    assert!(
        said(&done).contains("second.cert is not written"),
        "{}",
        said(&done)
    );
    assert!(!room.path("second.cert").exists());
}
