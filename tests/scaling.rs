//! A holding twice as large with needs twice as large has a plan worth twice as much.
//! Source of truth: the programme is homogeneous of degree one in areas, needs and money per bed.

#[path = "support/season.rs"]
mod season;
#[path = "support/still.rs"]
mod still;

use bedweek::candidates::{Rotation, Season};
use bedweek::solve::{Options, Status, solve};
use season::{SeasonOptions, random_season};
use still::Still;

fn scale(season: &mut Season, by: f64) {
    for candidate in &mut season.candidates {
        candidate.cost *= by;
        candidate.lots.iter_mut().for_each(|lot| lot.amount *= by);
        candidate.shelf.iter_mut().for_each(|shelf| shelf.m2 *= by);
        candidate
            .work
            .iter_mut()
            .for_each(|(_, minutes)| *minutes *= by);
    }
    for food in &mut season.foods {
        food.floor
            .iter_mut()
            .chain(&mut food.wish)
            .for_each(|units| *units *= by);
    }
    if let Some(level) = &mut season.level {
        level
            .low
            .iter_mut()
            .chain(&mut level.high)
            .for_each(|money| *money *= by);
    }
    for cover in &mut season.covers {
        cover.place_minutes *= by;
        cover.remove_minutes *= by;
    }
    season.in_store.iter_mut().for_each(|lot| lot.amount *= by);
    season.given_back *= by;
    for rule in season.beds.iter_mut().flat_map(|bed| &mut bed.rotation) {
        if let Rotation::Discourage {
            money_per_strip_week,
            ..
        } = rule
        {
            *money_per_strip_week *= by;
        }
    }
    season.shelf_lit_m2 *= by;
    season.shelf_unlit_m2 *= by;
    season.minutes_per_week = season.minutes_per_week.map(|minutes| minutes * by);
    season
        .always
        .iter_mut()
        .for_each(|always| always.missing_money *= by);
}

#[test]
fn twice_the_holding_and_twice_the_needs_are_worth_twice_as_much() {
    let options = Options {
        gap: 0.0,
        seconds: None,
        work: None,
    };
    let mut proven = 0;
    for seed in 1..=4 {
        let mut season = random_season(seed, 2, 2, 5, 26, SeasonOptions::small());
        let once = solve(&season, &options, &Still);
        scale(&mut season, 2.0);
        let twice = solve(&season, &options, &Still);
        if once.status == Status::Optimal && twice.status == Status::Optimal {
            proven += 1;
            let difference = (twice.worth - 2.0 * once.worth).abs();
            assert!(
                difference <= 1e-5 * once.worth.abs().max(1.0),
                "seed {seed}: {} is not twice {}",
                twice.worth,
                once.worth
            );
        }
    }
    assert!(proven >= 3, "only {proven} of 4 seasons were proven best");
}
