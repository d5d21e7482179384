//! What is kept is cleared when it was to be cleared, unless another week brings more, and stands where it was to
//! stand.
//!
//! Source of truth: the worth of the plan with and without the change, reckoned anew.

#[path = "support/greedy.rs"]
mod greedy;
#[path = "support/plans.rs"]
mod plans;
#[path = "support/still.rs"]
mod still;

use bedweek::candidates::{self, CandidateId, Decided, Season};
use bedweek::domain::Diary;
use bedweek::explain::steady;
use bedweek::repair;
use bedweek::solve::{Answer, Given, evaluate};
use bedweek::units::Week;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use still::Still;

const HOLDINGS: [&str; 2] = ["small-plot", "plot-250"];
/// Two worths nearer than that are not told apart, a share of them.
const SAME: f64 = 1e-6;

fn answered(season: &Season, decided: &Decided) -> Answer {
    let given = Given {
        strips: &decided.strips,
        covers: &decided.covers,
    };
    evaluate(season, given, &Still).expect("it keeps shelf and work")
}

/// A plan made without search, carried on from its ninth week: its season, and what is decided on.
fn carried_on(name: &str) -> (Season, Decided) {
    let loaded = bedweek::input::load(&plans::file(name));
    let scenario = loaded.unwrap_or_else(|errors| panic!("{errors}")).scenario;
    let made = plans::made_of(scenario, |season| {
        let greedy = greedy::greedy(season);
        let given = Given {
            strips: &greedy.strips,
            covers: &greedy.covers,
        };
        evaluate(season, given, &Still).expect("it keeps shelf and work")
    });
    let date = made.scenario.start.plus(8);
    let carried = repair::carry_on(
        &made.scenario,
        &made.plan,
        &made.scenario,
        &Diary::default(),
        date,
    );
    let scenario = carried.expect("it can be carried on").scenario;
    let season = candidates::season(&scenario);
    let decided = candidates::decided(&scenario, &season);
    (season, decided)
}

/// The same planting with other endings within the plan, that strip and covers leave room for. Those that are
/// cleared sooner leave room for every break.
fn other_ends(
    season: &Season,
    decided: &Decided,
    (bed, strip, at): (usize, usize, usize),
) -> Vec<CandidateId> {
    let year = &decided.strips[bed][strip];
    let own = &season.candidates[year[at]];
    let next = year
        .get(at + 1)
        .map_or(season.weeks, |&c| season.candidates[c].start);
    let last = at + 1 == year.len();
    let fits = |&id: &CandidateId| {
        let c = &season.candidates[id];
        let begun = |c: &candidates::Candidate| -> Vec<_> {
            let of = |m: &candidates::Member| (m.crop, m.raising, m.lit, m.way, m.sown, m.planted);
            c.members.iter().map(of).collect()
        };
        c.end > 0
            && c.end < season.weeks
            && own.end < season.weeks
            && c.end != own.end
            && c.standing == own.standing
            && begun(c) == begun(own)
            && season.allowed(id, bed)
            && if last { c.end <= next } else { c.end < own.end }
            && decided.covers[bed][c.start..c.end] == c.states[..]
    };
    (0..season.candidates.len()).filter(fits).collect()
}

/// Every place of a strip's year with its other endings, where there are any.
fn movable(season: &Season, decided: &Decided) -> Vec<((usize, usize, usize), Vec<CandidateId>)> {
    let mut found = Vec::new();
    for (bed, years) in decided.strips.iter().enumerate() {
        for (strip, year) in years.iter().enumerate() {
            for at in 0..year.len() {
                let ends = other_ends(season, decided, (bed, strip, at));
                if !ends.is_empty() {
                    found.push(((bed, strip, at), ends));
                }
            }
        }
    }
    found
}

/// When the plantings of a bed are cleared.
fn clearings(season: &Season, strips: &[Vec<CandidateId>]) -> Vec<(usize, Week)> {
    let members = strips
        .iter()
        .flatten()
        .flat_map(|&c| &season.candidates[c].members);
    let mut found: Vec<(usize, Week)> = members.map(|m| (m.crop, m.cleared)).collect();
    found.sort_unstable();
    found
}

#[test]
fn one_clearing_goes_back_if_that_costs_nothing() {
    let (mut back, mut stayed) = (0, 0);
    for name in HOLDINGS {
        let (season, decided) = carried_on(name);
        let meant = answered(&season, &decided);
        let movable = movable(&season, &decided);
        // A sample of them, spread over the beds.
        let step = movable.len().div_ceil(25).max(1);
        for ((bed, strip, at), ends) in movable.into_iter().step_by(step) {
            let mut moved = decided.clone();
            moved.strips[bed][strip][at] = ends[0];
            let moved = answered(&season, &moved);
            let slack = SAME * moved.worth.abs();
            if (moved.worth - meant.worth).abs() < slack && moved.worth > meant.worth {
                continue; // too near to call
            }
            let found = steady(&season, moved.clone(), &decided, None, (None, &Still));
            assert_eq!(found.covers, moved.covers);
            assert!(
                found.worth >= moved.worth - slack,
                "{name}: {} {}",
                found.worth,
                moved.worth
            );
            let wanted = match meant.worth >= moved.worth {
                true => &decided.strips,
                false => &moved.strips,
            };
            assert_eq!(
                clearings(&season, &found.strips[bed]),
                clearings(&season, &wanted[bed]),
                "{name}: {} is meant to be worth {}, moved {}",
                season.candidates[decided.strips[bed][strip][at]].name,
                meant.worth,
                moved.worth
            );
            match meant.worth >= moved.worth {
                true => back += 1,
                false => stayed += 1,
            }
        }
    }
    assert!(back > 5 && stayed > 0, "{back} went back, {stayed} stayed");
}

#[test]
fn of_many_clearings_those_go_back_that_cost_nothing() {
    for name in HOLDINGS {
        let (season, decided) = carried_on(name);
        let mut dice = ChaCha8Rng::seed_from_u64(1);
        let mut moved = decided.clone();
        for ((bed, strip, at), ends) in movable(&season, &decided) {
            if dice.random_range(0..3) > 0 {
                moved.strips[bed][strip][at] = ends[dice.random_range(0..ends.len())];
            }
        }
        let moved = answered(&season, &moved);
        let found = steady(&season, moved.clone(), &decided, None, (None, &Still));
        assert!(
            found.worth >= moved.worth - SAME * moved.worth.abs(),
            "{name}"
        );
        let unlike = |strips: &[Vec<Vec<CandidateId>>]| -> usize {
            let beds = strips.iter().zip(&decided.strips);
            let in_bed = |(now, meant): (&Vec<Vec<CandidateId>>, &Vec<Vec<CandidateId>>)| {
                let mut meant = clearings(&season, meant);
                let mut over = clearings(&season, now);
                over.retain(|c| {
                    let place = meant.iter().position(|m| m == c);
                    place.map(|place| meant.remove(place)).is_none()
                });
                over.len()
            };
            beds.map(in_bed).sum()
        };
        let (before, after) = (unlike(&moved.strips), unlike(&found.strips));
        assert!(2 * after < before, "{name}: {before} before, {after} after");
        let begun = |strips: &[Vec<Vec<CandidateId>>]| -> Vec<_> {
            let all = strips
                .iter()
                .flatten()
                .flatten()
                .map(|&c| &season.candidates[c]);
            all.flat_map(|c| c.members.iter().map(|m| (m.crop, m.sown, m.planted)))
                .collect()
        };
        assert_eq!(begun(&found.strips), begun(&moved.strips), "{name}");
    }
}

/// Strips with the same history and the same standing planting are alike.
#[test]
fn years_go_back_to_their_strips() {
    for name in HOLDINGS {
        let (season, decided) = carried_on(name);
        let mut moved = decided.clone();
        let mut turned = 0;
        for group in &season.groups {
            let years = &decided.strips[group.bed];
            let shifted = group.strips.iter().cycle().skip(1);
            for (&strip, &from) in group.strips.iter().zip(shifted) {
                let (strip, from) = (strip as usize, from as usize);
                moved.strips[group.bed][strip].clone_from(&years[from]);
                turned += usize::from(years[strip] != years[from]);
            }
        }
        assert!(turned > 2, "{name}: {turned} strips have another year");
        let moved = answered(&season, &moved);
        let found = steady(&season, moved.clone(), &decided, None, (None, &Still));
        assert!(found.worth >= moved.worth - SAME * moved.worth.abs());
        assert_eq!(found.strips, decided.strips, "{name}");
    }
}
