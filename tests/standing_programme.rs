//! The programme of a standing year: every plan of it keeps its rows at its own worth, and what is counted by
//! groups of rings is laid out ring by ring.
//!
//! Where the answers come from: the worth that the search reckons by code of its own; breaks and ground followed
//! round each ring here. HiGHS solves the exported file in `tests/cross/highs.py --standing-year`.

#[path = "support/still.rs"]
mod still;

use bedweek::candidates::{CandidateId, Rotation, Season, season};
use bedweek::input;
use bedweek::programme::{
    Drawn, Form, Layout, Placing, Split, by_bed, check, lay_out, place, point, split,
};
use bedweek::solve::{Answer, Draw, Given, Options, evaluate, solve};
use std::collections::BTreeMap;
use std::path::Path;
use still::Still;

/// Two beds in the open, one with a ring of two years and a strip left over, and a tunnel that one may have.
const TWO_BEDS: &str = "\
name: Two beds
currency: EUR
start: 2027-W08
weeks: 52
tail: 0
climate: ross-on-wye
beds:
  A: { setting: open, length_m: 2.4, width_m: 1.2, strips: 3 }
  B: { setting: open, length_m: 2.4, width_m: 1.2, strips: 4 }
covers:
  low tunnel: { count: 1, spells: [[W42, W12]] }
shelf: { lit_m2: 0, unlit_m2: 0.6, day_c: 18, night_c: 13, transmission: 0.5 }
needs:
  cooking greens: { floor: 0.05, wish: 0.9 }
  carrots: { floor: 0, wish: 0.3 }
  cabbage heads: { floor: 0, wish: 0.1 }
  leeks: { floor: 0, wish: 0, seasons: [{ weeks: [W40, W16], floor: 0.05, wish: 0.3 }] }
work: { hour_money: 3 }
rotation: { brassica: { break_weeks: 30 }, beet: { break_weeks: 52 }, carrot: { break_weeks: 52 }, allium: { break_weeks: 40 } }
crops_used: [winter leeks, winter carrots, winter spinach, spring cabbage, leaf beet]
";

fn two_beds() -> Season {
    let loaded = input::load_text("test.yaml", TWO_BEDS).expect("it has no faults");
    season(&loaded.scenario.standing_year().expect("a year"))
}

fn small_plot() -> Season {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios/small-plot.yaml");
    let loaded = input::load(&file).expect("it is shipped");
    season(&loaded.scenario.standing_year().expect("a year"))
}

fn planned(season: &Season) -> Answer {
    let options = Options {
        gap: 0.0,
        seconds: None,
        work: Some(300),
    };
    solve(season, &options, &Still)
}

/// The strips of each candidate in each group of rings, the years of a ring not told apart.
fn counts(season: &Season, strips: &[Vec<Vec<CandidateId>>]) -> Vec<Vec<(CandidateId, u32)>> {
    let of_group = |group: &bedweek::candidates::StripGroup| {
        let mut counts: BTreeMap<CandidateId, u32> = BTreeMap::new();
        for &strip in &group.strips {
            for &candidate in &strips[group.bed][strip as usize] {
                *counts.entry(season.first_turn(candidate)).or_default() += 1;
            }
        }
        counts.into_iter().collect()
    };
    season.groups.iter().map(of_group).collect()
}

/// Whether a ring's plantings do not overlap and every break is kept, followed over two rounds.
fn keeps(season: &Season, group: usize, ring: &[CandidateId]) -> bool {
    let round = season.groups[group].weeks;
    let rules = &season.beds[season.groups[group].bed].rotation;
    let twice: Vec<(usize, CandidateId)> = (0..2)
        .flat_map(|again| ring.iter().map(move |&c| (again * round, c)))
        .collect();
    (0..twice.len()).all(|n| {
        let (on, c) = twice[n];
        let one = &season.candidates[c];
        twice[n + 1..].iter().all(|&(later, c)| {
            let two = &season.candidates[c];
            let apart = one.end + on <= two.start + later;
            apart
                && one.families.iter().all(|a| match rules[a.family] {
                    Rotation::Forbid { weeks } => (two.families.iter())
                        .filter(|b| b.family == a.family)
                        .all(|b| a.until + on + weeks <= b.from + later),
                    _ => true,
                })
        })
    })
}

fn whole(season: &Season, answer: &Answer) {
    let (programme, layout) = lay_out(season, Form::Bed, &|_| true);
    let drawn: Vec<Drawn> = answer.draws.iter().map(Draw::drawn).collect();
    let placing = Placing {
        strips: &answer.strips,
        covers: &asked_for(&layout, answer),
        drawn: &drawn,
    };
    let point = point(season, &programme, &layout, &placing).expect("it has all columns");
    let found = check(&programme, &point);
    assert!(
        found.violation() < 1e-6,
        "{} off by {}",
        found.worst,
        found.violation()
    );
    let tolerance = 1e-6 * answer.worth.abs().max(1.0);
    assert!(
        (found.objective - answer.worth).abs() < tolerance,
        "{} in the programme, {} as found",
        found.objective,
        answer.worth
    );
}

/// The covers, but in weeks in which no planting could ask for one.
fn asked_for(layout: &Layout, answer: &Answer) -> Vec<Vec<u8>> {
    let mut covers = answer.covers.clone();
    for (bed, mask) in covers.iter_mut().enumerate() {
        for (week, state) in mask.iter_mut().enumerate().filter(|(_, s)| **s > 0) {
            let year = (bed, usize::from(*state) - 1, week % 52);
            if !layout.covers.contains_key(&year) {
                *state = 0;
            }
        }
    }
    covers
}

#[test]
fn a_plan_keeps_every_row_of_the_programme_at_its_own_worth() {
    for season in [two_beds(), small_plot()] {
        let answer = planned(&season);
        assert!(answer.strips.iter().flatten().flatten().count() > 3);
        whole(&season, &answer);
    }
}

#[test]
fn what_was_laid_out_once_is_laid_out_again_from_its_counts() {
    for season in [two_beds(), small_plot()] {
        let answer = planned(&season);
        let counts = counts(&season, &answer.strips);
        let mut places = Vec::new();
        for (group, counted) in counts.iter().enumerate() {
            let Split::Found(years) = split(&season, group, counted, None) else {
                panic!("group {group} was laid out before");
            };
            assert!(years.iter().all(|ring| keeps(&season, group, ring)));
            places.push(years);
        }
        let again = by_bed(&season, places);
        assert_eq!(self::counts(&season, &again), counts);
        same_worth(&season, &again, &answer);
        // All groups together, under the plan's covers.
        let mut totals: BTreeMap<CandidateId, u32> = BTreeMap::new();
        for &(candidate, strips) in counts.iter().flatten() {
            *totals.entry(candidate).or_default() += strips;
        }
        let totals: Vec<(CandidateId, u32)> = totals.into_iter().collect();
        if let Some(placed) = place(&season, &totals, &answer.covers) {
            for (group, it) in season.groups.iter().enumerate() {
                let rings = it.strips.iter().map(|&s| &placed[it.bed][s as usize]);
                assert!(rings.into_iter().all(|ring| keeps(&season, group, ring)));
            }
            same_worth(&season, &placed, &answer);
        }
    }
}

/// The same plantings on other rings are worth the same.
fn same_worth(season: &Season, strips: &[Vec<Vec<CandidateId>>], answer: &Answer) {
    let given = Given {
        strips,
        covers: &answer.covers,
    };
    let worth = evaluate(season, given, &Still).expect("a plan").worth;
    let tolerance = 1e-6 * answer.worth.abs().max(1.0);
    assert!(
        (worth - answer.worth).abs() < tolerance,
        "{worth} for {}",
        answer.worth
    );
}

#[test]
fn what_no_ring_can_hold_is_refused() {
    let season = two_beds();
    // The ring of bed A has two years, the strip beside it one.
    let years: Vec<usize> = season.groups.iter().map(|g| g.weeks / 52).collect();
    assert_eq!(years, [2, 1, 2], "bed B has two rings");
    let leeks = |bed: usize| {
        let of_bed = |c: &CandidateId| {
            let it = &season.candidates[*c];
            let whole = season.first_turn(*c) == *c && it.end < 52;
            whole && it.kind == season.beds[bed].kind && it.name.starts_with("winter_leeks")
        };
        let mut all = (0..season.candidates.len()).filter(of_bed);
        all.next().expect("leeks that are cleared within the year")
    };
    let used = season.candidates[leeks(0)].families[0];
    let window = used.until - used.from + 40;
    assert!(window > 52 && window <= 104, "{window} weeks");
    // A break of 40 weeks: a ring of two years has leeks once, a strip that does the same every year never.
    let found = |group: usize, strips: u32| {
        let counts = [(leeks(season.groups[group].bed), strips)];
        match split(&season, group, &counts, None) {
            Split::Found(_) => true,
            Split::Impossible => false,
            Split::Unknown => panic!("too few tries"),
        }
    };
    assert!(found(0, 1) && !found(0, 2));
    assert!(!found(1, 1));
    assert!(found(2, 2) && !found(2, 3));
}
