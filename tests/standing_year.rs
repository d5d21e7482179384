//! The standing year: it repeats, rotation goes round, nothing is better than its bound.
//!
//! Where the answers come from: strips are followed from year to year here, by the sections that the plan tells
//! of; the best ring of a bed is sought by trying all of them; damage is done here, so what is wrong is known.

#[path = "support/room.rs"]
mod room;
#[path = "support/still.rs"]
mod still;

use bedweek::candidates::{Candidate, CandidateId, Rotation, Season, season};
use bedweek::certify;
use bedweek::cli::listed;
use bedweek::domain::{DirectiveKind, Scenario, YEAR_WEEKS};
use bedweek::input;
use bedweek::plan::{About, Draws, Planting, YearPlan, build};
use bedweek::solve::{Answer, Given, Options, Status, bound_at, evaluate, solve, solve_priced};
use bedweek::units::Week;
use bedweek::verify::{Check, verify};
use room::{Room, assert_code, stderr, stdout};
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::OnceLock;
use still::Still;

/// One bed of two strips in the open, with few sowings: one ring of two years.
const RING: &str = "\
name: One ring
currency: EUR
start: 2027-W08
weeks: 52
tail: 0
climate: ross-on-wye
beds:
  A: { setting: open, length_m: 2.4, width_m: 1.2, strips: 2 }
covers: {}
shelf: { lit_m2: 0, unlit_m2: 0.6, day_c: 18, night_c: 13, transmission: 0.5 }
needs:
  cooking greens: { floor: 0.05, wish: 0.9 }
  carrots: { floor: 0, wish: 0.3 }
  cabbage heads: { floor: 0, wish: 0.1 }
  leeks: { floor: 0, wish: 0, seasons: [{ weeks: [W40, W16], floor: 0.05, wish: 0.3 }] }
level: { low_money: 0.5, high_money: 12, below_cost: 0.5 }
work: { hour_money: 3 }
rotation: { brassica: { break_weeks: 30 }, beet: { break_weeks: 52 }, carrot: { break_weeks: 52 }, allium: { break_weeks: 40 } }
sow:
  spring cabbage: { weeks: [[W31, W31]] }
  winter carrots: { weeks: [[W25, W25]] }
  winter leeks: { weeks: [[W13, W13]] }
  winter spinach: { weeks: [[W35, W36]] }
  leaf beet: { weeks: [[W16, W16]] }
crops_used: [winter leeks, winter carrots, winter spinach, spring cabbage, leaf beet]
solving: { gap: 0 }
";

fn scenario(text: &str) -> Scenario {
    match input::load_text("test.yaml", text) {
        Ok(loaded) => loaded.scenario,
        Err(errors) => panic!("{errors}"),
    }
}

fn shipped(name: &str) -> Scenario {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("scenarios/{name}.yaml"));
    input::load(&path).expect("it is shipped").scenario
}

fn options(work: u64) -> Options {
    Options {
        gap: 0.0,
        seconds: None,
        work: Some(work),
    }
}

/// A shipped holding's standing year, its season, an answer after so much work, and the plan made of it.
fn planned(name: &str, work: u64) -> (Scenario, Season, Answer, YearPlan) {
    let year = shipped(name).standing_year().expect("a year");
    let season = season(&year);
    let answer = solve(&season, &options(work), &Still);
    let about = About {
        file: format!("{name}.yaml"),
        fingerprint: String::new(),
        options: options(work),
        timeless: true,
    };
    let plan = build(&year, &season, &answer, &about);
    (year, season, answer, plan)
}

/// The small plot's standing year, planned once.
fn small_plot() -> &'static (Scenario, YearPlan) {
    static MADE: OnceLock<(Scenario, YearPlan)> = OnceLock::new();
    MADE.get_or_init(|| {
        let (year, _, _, plan) = planned("small-plot", 600);
        (year, plan)
    })
}

#[test]
fn needs_follow_the_week_of_the_year_and_the_start_is_forgotten() {
    let own = shipped("four-households");
    let year = own.standing_year().expect("a year");
    assert_eq!((year.weeks, year.tail), (YEAR_WEEKS, 0));
    assert_eq!(year.start.of_year(), own.start.of_year());
    for (food, was) in year.foods.iter().zip(&own.foods) {
        for w in 0..own.horizon() {
            let same = (0..YEAR_WEEKS).find(|&v| year.week(v).of_year() == own.week(w).of_year());
            // A 53rd week has no place in a standing year.
            if let Some(v) = same {
                assert_eq!((food.floor[v], food.wish[v]), (was.floor[w], was.wish[w]));
            }
        }
    }
    assert!(year.in_store.is_empty() && year.on_shelf.is_empty());
    assert!(year.beds.iter().all(|bed| bed.history.is_empty()));
    assert!(!year.standing.is_empty());
    let perennial = |crop: usize| year.crops[crop].perennial.is_some();
    assert!(year.standing.iter().all(|s| perennial(s.crop)));
    assert_eq!(year.standing_year().as_ref(), Ok(&year), "it is its own");
}

#[test]
fn what_is_always_asked_for_is_asked_for_by_the_week_of_the_year() {
    let asked = |from: &str, to: &str| {
        let directive = format!(
            "directives: [{{ always: leaf beet, strips: 1, from: {from}, to: {to}, missing_money: 9 }}]\n"
        );
        let own = scenario(
            &RING
                .replace("2027-W08", "2026-W42")
                .replace("tail: 0", "tail: 8")
                .replace("crops_used", &format!("{directive}crops_used")),
        );
        let year = own.standing_year().expect("a year");
        match year.directives[0].kind {
            DirectiveKind::Always { from, to, .. } => (from.to_string(), to.to_string()),
            DirectiveKind::Never => panic!("it is an always"),
        }
    };
    // 2026 has 53 weeks, the standing year of its 42nd week begins in 2028. By hand from the calendar.
    let weeks = |from: &str, to: &str| (from.to_string(), to.to_string());
    assert_eq!(asked("2027-W14", "2027-W18"), weeks("2029-W14", "2029-W18"));
    assert_eq!(asked("2026-W50", "2027-W02"), weeks("2028-W50", "2029-W02"));
    assert_eq!(asked("2026-W42", "2027-W45"), weeks("2028-W42", "2029-W41"));
    // Over the turn of the year: the part before it.
    assert_eq!(asked("2027-W40", "2027-W44"), weeks("2029-W40", "2029-W41"));
}

/// All that a ring of the first bed can hold: sequences of plantings, breaks kept all round.
fn rings(season: &Season) -> Vec<Vec<CandidateId>> {
    let mut order: Vec<CandidateId> = (0..season.candidates.len()).collect();
    order.sort_by_key(|&c| (season.candidates[c].start, c));
    let mut all = vec![Vec::new()];
    let mut open: Vec<(Vec<CandidateId>, usize)> = vec![(Vec::new(), 0)];
    while let Some((ring, from)) = open.pop() {
        for (n, &c) in order.iter().enumerate().skip(from) {
            let free = ring.last().map_or(0, |&l: &usize| season.candidates[l].end);
            if season.candidates[c].start < free {
                continue;
            }
            let mut longer = ring.clone();
            longer.push(c);
            if breaks_kept(season, &longer) {
                all.push(longer.clone());
                open.push((longer, n + 1));
            }
        }
    }
    all
}

/// Two rounds of a ring, every pair of plantings of one family.
fn breaks_kept(season: &Season, ring: &[CandidateId]) -> bool {
    let round = season.groups[0].weeks;
    let mut windows: Vec<(usize, usize, usize)> = Vec::new();
    for again in 0..2 {
        for &c in ring {
            for used in &season.candidates[c].families {
                windows.push((
                    used.family,
                    used.from + again * round,
                    used.until + again * round,
                ));
            }
        }
    }
    let pairs = windows.iter().enumerate();
    pairs.clone().all(|(i, (family, _, until))| {
        let Rotation::Forbid { weeks } = season.beds[0].rotation[*family] else {
            return true;
        };
        let mut later = pairs.clone().skip(i + 1);
        later.all(|(_, (other, from, _))| other != family || until + weeks <= *from)
    })
}

#[test]
fn no_ring_is_worth_more_than_the_bound_and_the_search_finds_the_best() {
    let year = scenario(RING).standing_year().expect("a year");
    let season = season(&year);
    assert_eq!(season.groups.len(), 1);
    assert_eq!(season.groups[0].weeks, 2 * YEAR_WEEKS);
    let all = rings(&season);
    assert!(all.len() > 100, "{} rings", all.len());
    let bare = vec![vec![0; season.groups[0].weeks]];
    let worth = |ring: &Vec<CandidateId>| {
        let strips = [vec![ring.clone(), Vec::new()]];
        let given = Given {
            strips: &strips,
            covers: &bare,
        };
        evaluate(&season, given, &Still).map_or(f64::NEG_INFINITY, |answer| answer.worth)
    };
    let best = all.iter().map(worth).fold(f64::NEG_INFINITY, f64::max);
    let answer = solve(&season, &options(3000), &Still);
    let (found, bound) = (answer.worth, answer.bound);
    assert!(bound >= best - 1e-6, "a bound of {bound} for {best}");
    assert!(
        found <= best + 1e-6,
        "{found} is more than the best of {best}"
    );
    // A ring of one strip is hard to change by small steps: it is for the exact search to find and prove.
    assert_eq!(answer.status, Status::Optimal);
    assert!(found >= best * (1.0 - 1e-6), "{found} of {best}");
}

/// Weeks in the ground, from and until, and which planting.
type Held = (i32, i32, usize);

/// What holds each strip of each bed year after year.
fn followed(plan: &YearPlan, years: i32) -> BTreeMap<(String, u32), Vec<Held>> {
    let turns = plan.standing_year.as_ref().expect("a standing year");
    // Where the planting of a strip goes next year: to the same place in the section before.
    let mut goes: BTreeMap<(String, u32), u32> = BTreeMap::new();
    for entry in &turns.sections {
        let before = entry.sections.len() - 1;
        for (n, section) in entry.sections.iter().enumerate() {
            let to = &entry.sections[(n + before) % entry.sections.len()];
            for (strip, then) in section.iter().zip(to) {
                goes.insert((entry.bed.clone(), *strip), *then);
            }
        }
    }
    let mut found: BTreeMap<(String, u32), Vec<Held>> = BTreeMap::new();
    for (n, planting) in plan.plantings.iter().enumerate() {
        for &strip in &planting.strips {
            let mut at = strip;
            for year in 0..years {
                let on = 52 * year;
                let from = planting.planted.since(plan.scenario.start) + on;
                let until = planting.cleared.since(plan.scenario.start) + on;
                let key = (planting.bed.clone(), at);
                found.entry(key.clone()).or_default().push((from, until, n));
                at = goes[&key];
            }
        }
    }
    for strip in found.values_mut() {
        strip.sort_unstable();
    }
    found
}

#[test]
fn followed_for_ten_years_no_strip_is_held_twice_and_every_break_is_kept() {
    let (year, plan) = small_plot();
    let crop = |p: &Planting| {
        let mut crops = year.crops.iter();
        crops.find(|c| c.name == p.crop).expect("a crop")
    };
    let mut met = 0;
    for (strip, plantings) in followed(plan, 10) {
        for (i, &(from, until, a)) in plantings.iter().enumerate() {
            for &(next, _, b) in &plantings[i + 1..] {
                assert!(next >= until, "{strip:?}: {from} to {until}, then {next}");
                let families = [a, b].map(|n| crop(&plan.plantings[n]).family);
                if families[0] == families[1] {
                    let weeks = year.families[families[0]].break_weeks as i32;
                    assert!(until + weeks <= next, "{strip:?}: {until}, again {next}");
                    met += 1;
                }
            }
        }
    }
    assert!(met > 50, "rotation goes round: {met} families came back");
}

#[test]
fn the_plan_holds_and_crosses_the_turn_of_the_year() {
    let (year, plan) = small_plot();
    assert_eq!(verify(year, plan), []);
    let end = year.week(YEAR_WEEKS);
    let over = plan.plantings.iter().filter(|p| p.cleared > end).count();
    assert!(
        over >= 3,
        "{over} plantings stand over the turn of the year"
    );
    let next = |d: &Draws| d.eaten.keys().any(|week| *week >= end);
    assert!(
        plan.draws.iter().any(next),
        "some is eaten in the next year"
    );
    // And the original scenario, with a beginning, is what the plan is checked against.
    assert_eq!(verify(&shipped("small-plot"), plan), []);
}

/// After the damage `verify` finds a violation of that check.
fn caught(check: Check, damage: impl FnOnce(&mut YearPlan)) {
    let (year, plan) = small_plot();
    let mut damaged = plan.clone();
    damage(&mut damaged);
    assert_ne!(&damaged, plan, "nothing was damaged");
    let found = verify(year, &damaged);
    assert!(
        found.iter().any(|v| v.check == check),
        "no violation of {check:?}: {:?}",
        found.iter().map(ToString::to_string).collect::<Vec<_>>()
    );
}

#[test]
fn damage_is_caught() {
    let turns = |plan: &mut YearPlan| plan.standing_year.take().expect("a standing year");
    // Strips that stay where they are have the same families year after year.
    caught(Check::Rotation, |plan| {
        let mut year = turns(plan);
        for entry in &mut year.sections {
            entry.sections = vec![entry.sections.concat()];
        }
        plan.standing_year = Some(year);
    });
    // What stands over the turn of the year meets what its strip does then.
    caught(Check::Ground, |plan| {
        let mut year = turns(plan);
        year.sections
            .iter_mut()
            .for_each(|entry| entry.sections.reverse());
        plan.standing_year = Some(year);
    });
    caught(Check::Names, |plan| {
        let mut year = turns(plan);
        year.sections.pop();
        plan.standing_year = Some(year);
    });
    caught(Check::Names, |plan| {
        let mut year = turns(plan);
        let twice = year.sections[0].clone();
        year.sections.push(twice);
        plan.standing_year = Some(year);
    });
    let end = small_plot().0.week(YEAR_WEEKS);
    let next = |d: &&mut Draws| d.eaten.keys().any(|w| *w >= end);
    caught(Check::Draws, |plan| {
        let draws = plan.draws.iter_mut().find(next).expect("eaten then");
        draws.eaten.values_mut().for_each(|units| *units += 1.0);
    });
    caught(Check::Supply, |plan| {
        let draws = plan.draws.iter_mut().find(next).expect("eaten then");
        draws.eaten.retain(|w, _| *w < end);
    });
    caught(Check::Covers, |plan| {
        let spell = plan.covers.iter_mut().find(|s| s.removed > end);
        let spell = spell.expect("a cover lies over the turn of the year");
        spell.removed = end;
    });
}

/// The plan of the ring, written into a directory.
fn ring(room: &Room, directory: &str, work: &str) {
    room.write("ring.yaml", RING);
    let made = room.run(&[
        "plan",
        "ring.yaml",
        "--standing-year",
        "--work-limit",
        work,
        "--timeless",
        "--certificate",
        &format!("{directory}.certificate.yaml"),
        "--out",
        directory,
    ]);
    assert!(
        [Some(0), Some(3)].contains(&made.status.code()),
        "{}",
        stderr(&made)
    );
    assert!(
        stdout(&made).contains("A standing year\n"),
        "{}",
        stdout(&made)
    );
}

#[test]
fn equal_runs_give_equal_bytes_and_every_form_is_written() {
    let room = Room::empty();
    ring(&room, "one", "150");
    ring(&room, "two", "150");
    for file in [
        "plan.yaml",
        "report.txt",
        "plan.html",
        "jobs.ics",
        "jobs.csv",
        "plantings.csv",
        "supply.csv",
    ] {
        let [a, b] = ["one", "two"].map(|dir| room.read(&format!("{dir}/{file}")));
        assert_eq!(a, b, "{file}");
    }
    assert_code(&room.run(&["verify", "one/plan.yaml"]), 0);
    let shown = room.run(&["show", "one/plan.yaml"]);
    assert_eq!(stdout(&shown), room.read("one/report.txt"));
}

#[test]
fn the_bound_stands_by_itself() {
    let year = shipped("small-plot").standing_year().expect("a year");
    let season = season(&year);
    let (answer, prices) = solve_priced(&season, &options(200), &Still, None);
    let prices = prices.expect("the search gives prices");
    // Two roads to one figure: the search's sum and that of `certify`, which share no code.
    let own = bound_at(&season, &prices);
    let shown = certify::bound(&season, &listed(&season, &prices)).expect("prices in order");
    let apart = (shown - own) / own;
    assert!((-1e-13..1e-9).contains(&apart), "{own}, {shown}");
    assert!(shown >= answer.worth);

    let room = Room::empty();
    ring(&room, "out", "100");
    let whole = room.read("out.certificate.yaml");
    let check = || {
        room.run(&[
            "verify",
            "out/plan.yaml",
            "--certificate",
            "out.certificate.yaml",
        ])
    };
    assert_code(&check(), 0);
    // A lower bound than its prices carry.
    let bound = whole.lines().find(|line| line.starts_with("bound:"));
    let bound = bound.expect("a bound").to_string();
    room.write("out.certificate.yaml", &whole.replace(&bound, "bound: 1"));
    assert_code(&check(), 5);
}

#[test]
fn every_sowing_and_clearing_of_the_year_is_a_job_of_it() {
    let (_, plan) = small_plot();
    let seen = plan.in_window();
    let start = plan.scenario.start;
    let within = |week: Week| (0..52).contains(&week.since(start));
    let new = |p: &&Planting| p.standing.is_none();
    // Each planting is sown once in the year that is looked at, be it for the next one.
    let all = plan.plantings.iter().filter(new).count();
    let weeks: [fn(&Planting) -> Week; 3] = [|p| p.sown, |p| p.planted, |p| p.cleared];
    for of in weeks {
        let there = seen.plantings.iter().filter(new);
        assert_eq!(there.filter(|p| within(of(p))).count(), all);
    }
    let harvested = |plan: &YearPlan| -> f64 {
        let harvests = plan.plantings.iter().flat_map(|p| p.harvest.values());
        harvests.sum()
    };
    assert!((harvested(&seen) - harvested(plan)).abs() < 1e-6);
    let eaten = |plan: &YearPlan| -> f64 { plan.draws.iter().flat_map(|d| d.eaten.values()).sum() };
    assert!((eaten(&seen) - eaten(plan)).abs() < 1e-6);
}

#[test]
fn what_needs_a_beginning_says_so() {
    let room = Room::empty();
    ring(&room, "out", "50");
    let plan = "out/plan.yaml";
    for arguments in [
        &["replan", plan, "--from", "2028-06-01"][..],
        &["why", plan, "--short", "leeks"],
        &["worth", "ring.yaml", "--plan", plan],
        &["history", plan],
        &["export", "--plan", plan, "--format", "lp"],
    ] {
        let output = room.run(arguments);
        assert_code(&output, 2);
        assert!(
            stderr(&output).contains("it is a standing year"),
            "{}",
            stderr(&output)
        );
    }
    room.write("short.yaml", &RING.replace("weeks: 52\n", "weeks: 40\n"));
    let short = room.run(&["plan", "short.yaml", "--standing-year"]);
    assert_code(&short, 2);
    assert!(
        stderr(&short).contains("raise weeks or tail"),
        "{}",
        stderr(&short)
    );
}

/// The worths of an answer and of the plan made of it agree; perennials, covers and tunnel included.
#[test]
fn the_full_holding_has_a_standing_year_that_holds() {
    let (year, season, answer, plan) = planned("four-households", 60);
    assert_eq!(verify(&year, &plan), []);
    let apart = (plan.result.worth - answer.worth).abs();
    assert!(apart < 1e-6 * answer.worth.abs().max(1.0), "{apart}");
    let perennial = |c: &Candidate| c.standing.is_some();
    assert!(season.candidates.iter().any(perennial));
}
