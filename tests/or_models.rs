//! Textbook farm programmes, built as our own programmes and solved through our own layer, to
//! their published optima. Data and sources: tests/data/or_models.yaml.

#[path = "support/linear.rs"]
mod linear;

use bedweek::programme::{ColumnId, Goal, Programme, Sense, Terms};
use linear::{Ended, Limits, Solved, solve};
use serde::Deserialize;

const FREE: (f64, f64) = (0.0, f64::INFINITY);

#[derive(Deserialize)]
struct Models {
    williams: Williams,
    farmer: Farmer,
    regional: Regional,
}

#[derive(Deserialize)]
struct Uses {
    heifer: f64,
    cow: f64,
    grain_acre: f64,
    beet_acre: f64,
}

#[derive(Deserialize)]
struct Williams {
    years: usize,
    land_acres: f64,
    herd: Vec<f64>,
    heifer_acres: f64,
    cow_acres: f64,
    calves_per_cow: f64,
    share_bullock: f64,
    bullock: f64,
    heifer_calf: f64,
    old_cow: f64,
    milk_per_cow: f64,
    grain_sell: f64,
    grain_buy: f64,
    beet_sell: f64,
    beet_buy: f64,
    heifer_loss: f64,
    cow_loss: f64,
    housing: f64,
    grain_per_cow_t: f64,
    beet_per_cow_t: f64,
    beet_yield: f64,
    grain_acres: Vec<f64>,
    grain_yield: Vec<f64>,
    labour_h: Uses,
    regular_h: f64,
    regular_cost: f64,
    overtime_per_h: f64,
    other_cost: Uses,
    instalment: f64,
    final_dairy_cows: [f64; 2],
    optimum: f64,
    profit_by_year: Vec<f64>,
}

#[derive(Deserialize)]
struct Farmer {
    land_acres: f64,
    yield_t_per_acre: Vec<f64>,
    plant_cost: Vec<f64>,
    need_t: Vec<f64>,
    sell: Vec<f64>,
    buy: Vec<f64>,
    beet_quota_t: f64,
    beet_sell: f64,
    beet_over_quota: f64,
    optimum: f64,
    acres: Vec<f64>,
    optimum_good_year: f64,
    acres_good_year: Vec<f64>,
    optimum_bad_year: f64,
    acres_bad_year: Vec<f64>,
    optimum_three_years: f64,
    acres_three_years: Vec<f64>,
}

#[derive(Deserialize)]
struct Regional {
    land_acres: Vec<f64>,
    water_acre_ft: Vec<f64>,
    crop_max_acres: Vec<f64>,
    crop_water: Vec<f64>,
    crop_net: Vec<f64>,
    optimum: f64,
}

fn models() -> Models {
    serde_yaml::from_str(include_str!("data/or_models.yaml")).expect("the data file reads")
}

fn optimum(programme: &Programme) -> Solved {
    let solved = solve(programme, Limits::default(), None).expect("the model has an optimum");
    assert_eq!(solved.ended, Ended::Optimal);
    assert!(solved.check.violation() < 1e-6, "{:?}", solved.check);
    solved
}

/// Published optima are printed to the cent.
fn assert_cents(found: f64, published: f64) {
    assert!(
        (found - published).abs() < 0.01,
        "{found} is not {published}"
    );
}

fn scaled(terms: &[(ColumnId, f64)], by: f64) -> Terms {
    terms.iter().map(|&(c, a)| (c, a * by)).collect()
}

/// The programme and the terms (with constant) of each year's profit.
fn farm_planning(m: &Williams) -> (Programme, Vec<(Terms, f64)>) {
    let mut p = Programme::new("farm planning", Goal::Maximise);
    let ages = m.herd.len();
    let year = |t: usize| (t + 1).to_string();
    let mut newborn: Vec<ColumnId> = Vec::new();
    let mut cows: Vec<Vec<ColumnId>> = Vec::new();
    let mut outlays: Terms = Vec::new();
    let mut profits = Vec::new();
    for t in 0..m.years {
        let y = year(t);
        newborn.push(p.column(&["newborn", &y], FREE, 0.0));
        cows.push(
            (0..ages)
                .map(|k| p.column(&["cows", &y, &(k + 1).to_string()], FREE, 0.0))
                .collect(),
        );
        for k in 0..ages {
            // What becomes of last year's animals; the herd in the first year.
            let (from, rhs) = match (t, k) {
                (0, k) => (Vec::new(), m.herd[k]),
                (t, 0) => (vec![(newborn[t - 1], m.heifer_loss - 1.0)], 0.0),
                (t, 1) => (vec![(cows[t - 1][0], m.heifer_loss - 1.0)], 0.0),
                (t, k) => (vec![(cows[t - 1][k - 1], m.cow_loss - 1.0)], 0.0),
            };
            let terms = [vec![(cows[t][k], 1.0)], from].concat();
            p.row(None, &["age", &y, &k.to_string()], terms, Sense::Equal, rhs);
        }
        // Dairy cows are of ages 2 to 11.
        let dairy: Terms = cows[t][1..ages - 1].iter().map(|&c| (c, 1.0)).collect();
        let young: Terms = vec![(newborn[t], 1.0), (cows[t][0], 1.0)];
        let sold = p.column(&["heifers_sold", &y], FREE, 0.0);
        let heifers_born = m.calves_per_cow * (1.0 - m.share_bullock);
        p.row(
            None,
            &["born", &y],
            [
                vec![(newborn[t], 1.0), (sold, 1.0)],
                scaled(&dairy, -heifers_born),
            ]
            .concat(),
            Sense::Equal,
            0.0,
        );
        let outlay = p.column(&["places_built", &y], FREE, 0.0);
        outlays.push((outlay, 1.0));
        let herd: Terms = cows[t][..ages - 1].iter().map(|&c| (c, 1.0)).collect();
        p.row(
            None,
            &["housing", &y],
            [vec![(newborn[t], 1.0)], herd, scaled(&outlays, -1.0)].concat(),
            Sense::AtMost,
            m.housing,
        );
        let grain: Vec<ColumnId> = (0..m.grain_acres.len())
            .map(|g| {
                let most = m.grain_acres[g] * m.grain_yield[g];
                p.column(&["grain_grown", &y, &g.to_string()], (0.0, most), 0.0)
            })
            .collect();
        let [grain_buy, grain_sell, beet, beet_buy, beet_sell, overtime] = [
            "grain_bought",
            "grain_sold",
            "beet_grown",
            "beet_bought",
            "beet_sold",
            "overtime",
        ]
        .map(|name| p.column(&[name, &y], FREE, 0.0));
        let grown: Terms = grain.iter().map(|&g| (g, 1.0)).collect();
        let feed = |grown: Terms, buy, sell, per_cow: f64| {
            [
                grown,
                vec![(buy, 1.0), (sell, -1.0)],
                scaled(&dairy, -per_cow),
            ]
            .concat()
        };
        let of_grain = feed(grown, grain_buy, grain_sell, m.grain_per_cow_t);
        p.row(None, &["grain_fed", &y], of_grain, Sense::AtLeast, 0.0);
        let of_beet = feed(vec![(beet, 1.0)], beet_buy, beet_sell, m.beet_per_cow_t);
        p.row(None, &["beet_fed", &y], of_beet, Sense::AtLeast, 0.0);
        let grain_acres: Terms = grain
            .iter()
            .zip(&m.grain_yield)
            .map(|(&g, per_acre)| (g, 1.0 / per_acre))
            .collect();
        let uses = |u: &Uses| -> Terms {
            [
                scaled(&young, u.heifer),
                scaled(&dairy, u.cow),
                scaled(&grain_acres, u.grain_acre),
                vec![(beet, u.beet_acre / m.beet_yield)],
            ]
            .concat()
        };
        let acres = Uses {
            heifer: m.heifer_acres,
            cow: m.cow_acres,
            grain_acre: 1.0,
            beet_acre: 1.0,
        };
        p.row(
            None,
            &["land", &y],
            uses(&acres),
            Sense::AtMost,
            m.land_acres,
        );
        let labour = [uses(&m.labour_h), vec![(overtime, -1.0)]].concat();
        p.row(None, &["labour", &y], labour, Sense::AtMost, m.regular_h);
        let bullocks = m.calves_per_cow * m.share_bullock;
        let profit = [
            scaled(&dairy, m.bullock * bullocks + m.milk_per_cow),
            vec![
                (sold, m.heifer_calf),
                (cows[t][ages - 1], m.old_cow),
                (grain_sell, m.grain_sell),
                (grain_buy, -m.grain_buy),
                (beet_sell, m.beet_sell),
                (beet_buy, -m.beet_buy),
                (overtime, -m.overtime_per_h),
            ],
            scaled(&uses(&m.other_cost), -1.0),
            scaled(&outlays, -m.instalment),
        ]
        .concat();
        let cash = profit.clone();
        p.row(None, &["cash", &y], cash, Sense::AtLeast, m.regular_cost);
        profits.push((profit, -m.regular_cost));
        if t + 1 == m.years {
            let [least, most] = m.final_dairy_cows;
            p.row(
                None,
                &["dairy_at_least"],
                dairy.clone(),
                Sense::AtLeast,
                least,
            );
            p.row(None, &["dairy_at_most"], dairy, Sense::AtMost, most);
        }
    }
    for (t, (profit, constant)) in profits.iter().enumerate() {
        p.constant += constant;
        for &(column, money) in profit {
            p.columns[column].objective += money;
        }
        // Instalments that fall due after the last year.
        p.columns[outlays[t].0].objective -= m.instalment * (t + 5) as f64;
    }
    (p, profits)
}

#[test]
fn williams_farm_planning() {
    let m = models().williams;
    let (programme, profits) = farm_planning(&m);
    let solved = optimum(&programme);
    assert_cents(solved.check.objective, m.optimum);
    for ((terms, constant), published) in profits.iter().zip(&m.profit_by_year) {
        let profit: f64 = terms.iter().map(|&(c, a)| a * solved.point[c]).sum::<f64>() + constant;
        // Printed to a tenth.
        assert!(
            (profit - published).abs() < 0.06,
            "{profit} is not {published}"
        );
    }
}

/// One decision on acres for several years, each as likely, with these factors on yields.
fn farmer(m: &Farmer, factors: &[f64]) -> Programme {
    let mut p = Programme::new("farmer", Goal::Maximise);
    let acres: Vec<ColumnId> = (0..3)
        .map(|c| p.column(&["acres", &c.to_string()], FREE, -m.plant_cost[c]))
        .collect();
    let land = acres.iter().map(|&a| (a, 1.0)).collect();
    p.row(None, &["land"], land, Sense::AtMost, m.land_acres);
    let share = 1.0 / factors.len() as f64;
    for (s, factor) in factors.iter().enumerate() {
        let s = s.to_string();
        for (c, &planted) in acres.iter().take(2).enumerate() {
            let crop = c.to_string();
            let sell = p.column(&["sell", &crop, &s], FREE, share * m.sell[c]);
            let buy = p.column(&["buy", &crop, &s], FREE, -share * m.buy[c]);
            let grown = (planted, factor * m.yield_t_per_acre[c]);
            let terms = vec![grown, (buy, 1.0), (sell, -1.0)];
            p.row(
                None,
                &["need", &crop, &s],
                terms,
                Sense::AtLeast,
                m.need_t[c],
            );
        }
        let quota = p.column(&["beet", &s], (0.0, m.beet_quota_t), share * m.beet_sell);
        let over = p.column(&["beet_over", &s], FREE, share * m.beet_over_quota);
        let grown = (acres[2], -factor * m.yield_t_per_acre[2]);
        let terms = vec![(quota, 1.0), (over, 1.0), grown];
        p.row(None, &["beet", &s], terms, Sense::AtMost, 0.0);
    }
    p
}

#[test]
fn birge_and_louveaux_farmer() {
    let m = models().farmer;
    for (factors, published, acres) in [
        (vec![1.0], m.optimum, &m.acres),
        (vec![1.2], m.optimum_good_year, &m.acres_good_year),
        (vec![0.8], m.optimum_bad_year, &m.acres_bad_year),
        (
            vec![1.2, 1.0, 0.8],
            m.optimum_three_years,
            &m.acres_three_years,
        ),
    ] {
        let solved = optimum(&farmer(&m, &factors));
        assert_cents(solved.check.objective, published);
        for (found, published) in solved.point[..3].iter().zip(acres) {
            assert!(
                (found - published).abs() < 0.01,
                "{found} is not {published}"
            );
        }
    }
}

#[test]
fn hillier_and_lieberman_regional_planning() {
    let m = models().regional;
    let mut p = Programme::new("regional planning", Goal::Maximise);
    let acres: Vec<Vec<ColumnId>> = (0..3)
        .map(|k| {
            (0..3)
                .map(|c| {
                    p.column(
                        &["acres", &k.to_string(), &c.to_string()],
                        FREE,
                        m.crop_net[c],
                    )
                })
                .collect()
        })
        .collect();
    for k in 0..3 {
        let name = k.to_string();
        let planted: Terms = acres[k].iter().map(|&a| (a, 1.0)).collect();
        let water = acres[k]
            .iter()
            .zip(&m.crop_water)
            .map(|(&a, &w)| (a, w))
            .collect();
        p.row(
            None,
            &["land", &name],
            planted.clone(),
            Sense::AtMost,
            m.land_acres[k],
        );
        p.row(
            None,
            &["water", &name],
            water,
            Sense::AtMost,
            m.water_acre_ft[k],
        );
        // The same share of the land is planted everywhere.
        let first: Terms = acres[0]
            .iter()
            .map(|&a| (a, -1.0 / m.land_acres[0]))
            .collect();
        let share = scaled(&planted, 1.0 / m.land_acres[k]);
        p.row(
            None,
            &["share", &name],
            [share, first].concat(),
            Sense::Equal,
            0.0,
        );
        let crop = (0..3).map(|community| (acres[community][k], 1.0)).collect();
        p.row(
            None,
            &["crop", &name],
            crop,
            Sense::AtMost,
            m.crop_max_acres[k],
        );
    }
    assert_cents(optimum(&p).check.objective, m.optimum);
}
