//! Breaks of the rotation as prices in the bound of a standing year.
//!
//! Where the answers come from: windows are counted here on the rings of plans that the search makes; two roads
//! to one figure (the search's own sum, and that of `certify`, which share no code).

#[path = "support/still.rs"]
mod still;

use bedweek::candidates::{CandidateId, Rotation, Season, season};
use bedweek::certify::{self, BreakPrice, PriceList};
use bedweek::cli::listed;
use bedweek::domain::YEAR_WEEKS;
use bedweek::input;
use bedweek::plan::{About, build};
use bedweek::solve::{Answer, Options, bound_at, solve, solve_priced};
use bedweek::strips::Prices;
use bedweek::verify::verify;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::path::Path;
use std::sync::OnceLock;
use still::Still;

struct Made {
    season: Season,
    answer: Answer,
    prices: Prices,
}

/// Standing years of a shipped holding with breaks of one year, two and three for all families, on beds of so many
/// strips: with few of them it is the path that tells, and no break is priced.
fn made() -> &'static [Made] {
    static MADE: OnceLock<Vec<Made>> = OnceLock::new();
    MADE.get_or_init(|| {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios/small-plot.yaml");
        [(52, 4), (104, 12), (156, 12)]
            .map(|(weeks, strips)| {
                let mut scenario = input::load(&path).expect("it is shipped").scenario;
                for family in &mut scenario.families {
                    family.break_weeks = weeks;
                }
                scenario.beds.iter_mut().for_each(|bed| bed.strips = strips);
                let season = season(&scenario.standing_year().expect("a year"));
                let options = Options {
                    gap: 0.0,
                    seconds: None,
                    work: Some(300),
                };
                let (answer, prices) = solve_priced(&season, &options, &Still, None);
                Made {
                    season,
                    answer,
                    prices: prices.expect("the search gives prices"),
                }
            })
            .into()
    })
}

/// Every row of breaks that may be priced, at no price.
fn rows(season: &Season) -> Vec<BreakPrice> {
    let mut rows = Vec::new();
    for kind in 0..season.kinds.len() {
        let mut beds = (0..season.beds.len()).filter(|&b| season.beds[b].kind == kind);
        let Some(bed) = beds.next() else { continue };
        for family in 0..season.family_names.len() {
            let forbids =
                |b: usize| matches!(season.beds[b].rotation[family], Rotation::Forbid { .. });
            if forbids(bed) && beds.clone().all(forbids) {
                let years = season.cycle.as_ref().expect("a standing year").years;
                let of_weeks =
                    (0..YEAR_WEEKS).flat_map(|week| (1..=years).map(move |by| (Some(week), by)));
                rows.extend(of_weeks.chain([(None, 1)]).map(|(week, by)| BreakPrice {
                    bed,
                    family,
                    week,
                    by,
                    price: 0.0,
                }));
            }
        }
    }
    rows
}

/// How often the plan's plantings count in a row, by the definition.
fn counted(made: &Made, row: &BreakPrice) -> usize {
    let season = &made.season;
    let kind = season.beds[row.bed].kind;
    let count = |c: CandidateId| {
        let candidate = &season.candidates[c];
        let uses = candidate.families.iter().filter(|u| u.family == row.family);
        uses.map(
            |used| match (row.week, season.beds[row.bed].rotation[row.family]) {
                (None, _) => 1,
                (Some(week), Rotation::Forbid { weeks }) => (used.from..used.until + weeks)
                    .filter(|t| t % YEAR_WEEKS == week)
                    .count()
                    .div_euclid(row.by),
                _ => 0,
            },
        )
        .sum::<usize>()
    };
    let beds = (0..season.beds.len()).filter(|&b| season.beds[b].kind == kind);
    beds.flat_map(|b| made.answer.strips[b].iter().flatten())
        .filter(|&&c| season.candidates[c].standing.is_none())
        .map(|&c| count(c))
        .sum()
}

/// The bound with no price but that of one row, so high that nothing of the row is planted: what is added is the
/// most that the row allows.
fn allowed(made: &Made, row: &BreakPrice) -> f64 {
    const HIGH: f64 = 1e4;
    let with = |price: f64| {
        let mut list = listed(&made.season, &made.prices);
        list.breaks = vec![BreakPrice {
            price,
            ..row.clone()
        }];
        certify::bound(&made.season, &list).expect("prices in order")
    };
    (with(2.0 * HIGH) - with(HIGH)) / HIGH
}

#[test]
fn no_plan_counts_more_in_a_row_than_the_row_allows() {
    // Rows that bind, by the years that count as one.
    let mut full = [0; 5];
    for made in made() {
        for row in rows(&made.season).iter().step_by(5) {
            let (there, most) = (counted(made, row) as f64, allowed(made, row));
            assert!(there <= most + 1e-6, "{there} of {most} in {row:?}");
            full[row.by] += usize::from(there > 0.0 && there > most - 1e-6);
        }
    }
    assert!(
        full[1] > 0 && full[2..].iter().sum::<usize>() > 0,
        "no row binds: nothing has been shown, {full:?}"
    );
}

#[test]
fn no_prices_of_breaks_bring_the_bound_below_a_plan() {
    for made in made() {
        let dice = &mut ChaCha8Rng::seed_from_u64(7);
        for round in 0..12 {
            let mut list = listed(&made.season, &made.prices);
            let most = 0.02 * f64::from(1 << round.min(6));
            list.breaks = rows(&made.season)
                .into_iter()
                .map(|row| BreakPrice {
                    price: dice.random_range(0.0..most),
                    ..row
                })
                .collect();
            let bound = certify::bound(&made.season, &list).expect("prices in order");
            let worth = made.answer.worth;
            assert!(bound >= worth, "{bound} below a plan of {worth}");
        }
    }
}

#[test]
fn a_break_that_binds_lowers_the_bound_when_it_is_priced() {
    // What food brings at the most; then strips would grow more of a family than its breaks leave.
    const DEAR: f64 = 4.0;
    let mut lowered = 0;
    for made in made() {
        let mut list = listed(&made.season, &made.prices);
        list.breaks = Vec::new();
        list.food
            .iter_mut()
            .flatten()
            .for_each(|price| *price *= DEAR);
        let bound = |breaks: Vec<BreakPrice>| {
            let list = PriceList {
                breaks,
                ..list.clone()
            };
            certify::bound(&made.season, &list).expect("prices in order")
        };
        let without = bound(Vec::new());
        let whole_rings = rows(&made.season).into_iter().filter(|r| r.week.is_none());
        lowered += whole_rings
            .filter(|row| {
                let priced = BreakPrice {
                    price: 1.0,
                    ..row.clone()
                };
                bound(vec![priced]) < without - 0.1
            })
            .count();
    }
    assert!(lowered > 0, "no price of breaks lowers a bound");
}

#[test]
fn the_search_and_the_certificate_reckon_the_same_with_breaks() {
    let mut priced = 0;
    for made in made() {
        let dice = &mut ChaCha8Rng::seed_from_u64(11);
        let mut prices = made.prices.clone();
        for _ in 0..4 {
            priced += prices
                .break_price
                .iter()
                .filter(|&&price| price > 0.0)
                .count();
            let own = bound_at(&made.season, &prices);
            let list = listed(&made.season, &prices);
            let shown = certify::bound(&made.season, &list).expect("prices in order");
            let apart = (shown - own) / own;
            assert!((-1e-13..1e-9).contains(&apart), "{own}, {shown}");
            (prices.break_price.iter_mut()).for_each(|price| *price = dice.random_range(0.0..1.0));
        }
    }
    assert!(priced > 0, "the search prices no break");
}

#[test]
fn a_break_that_nobody_has_to_keep_is_not_priced() {
    let made = &made()[0];
    let price = |season: &Season, row: BreakPrice| {
        let mut list = listed(&made.season, &made.prices);
        list.breaks = vec![row];
        certify::bound(season, &list)
    };
    let row = rows(&made.season).remove(0);
    assert!(price(&made.season, row.clone()).is_ok());
    let mut off = made.season.clone();
    off.beds[row.bed].rotation[row.family] = Rotation::Off;
    let of_no_week = BreakPrice {
        week: Some(YEAR_WEEKS),
        ..row.clone()
    };
    let by_none = BreakPrice {
        by: 0,
        ..row.clone()
    };
    for fault in [
        price(&off, row.clone()),
        price(&made.season, of_no_week),
        price(&made.season, by_none),
        price(
            &made.season,
            BreakPrice {
                family: 1000,
                ..row.clone()
            },
        ),
    ] {
        assert!(fault.expect_err("refused").contains("break"));
    }
    let below = price(&made.season, BreakPrice { price: -1.0, ..row });
    assert!(below.expect_err("refused").contains("below nothing"));
}

/// What the standing year of some bushes and carrots is worth, the break of bushes held in this way.
fn beside_bushes(rule: &str) -> f64 {
    let text = format!(
        "\
name: Bushes
start: 2027-W23
climate: heathrow
beds:
  A: {{ setting: open, length_m: 4, width_m: 1.2, strips: 8 }}
standing:
  bushes: {{ bed: A, strips: [1, 3], crop: blackcurrants, sown: 2020-W46 }}
needs:
  soft fruit: {{ floor: 0, wish: 1 }}
  carrots: {{ floor: 0, wish: 1 }}
work: {{ hour_money: 4 }}
rotation:
  currant: {{ break_weeks: 200, rule: {rule} }}
"
    );
    let scenario = match input::load_text("bushes.yaml", &text) {
        Ok(loaded) => loaded.scenario,
        Err(errors) => panic!("{errors}"),
    };
    let year = scenario.standing_year().expect("a year");
    let season = season(&year);
    let options = Options {
        gap: 0.0,
        seconds: None,
        work: Some(60),
    };
    let answer = solve(&season, &options, &Still);
    let about = About {
        file: "bushes.yaml".into(),
        fingerprint: String::new(),
        options,
        timeless: true,
    };
    let plan = build(&year, &season, &answer, &about);
    assert_eq!(verify(&year, &plan), [], "{rule}");
    let ledger: f64 = plan.ledger.iter().map(|line| line.money).sum();
    assert!((ledger - answer.worth).abs() < 1e-6, "{rule}: {ledger}");
    answer.worth
}

#[test]
fn a_perennial_that_stays_has_no_break_to_keep() {
    let off = beside_bushes("off");
    for rule in ["forbid", "{ discourage_money_per_m2_week: 0.05 }"] {
        let held = beside_bushes(rule);
        assert!((held - off).abs() < 1e-6, "{rule}: {held}, {off}");
    }
}
