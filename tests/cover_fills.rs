//! A hole that a cover fills: said where nothing but the cover can be the reason, and only there.
//!
//! Source of truth: by hand; the change is made by the test.

#[path = "support/greedy.rs"]
mod greedy;
#[path = "support/plans.rs"]
mod plans;
#[path = "support/still.rs"]
mod still;

use bedweek::plan::{Planting, Under, YearPlan};
use bedweek::repair::{Answers, CoverFiller, compare};
use bedweek::solve::{Given, evaluate};
use bedweek::units::Week;
use plans::Made;
use still::Still;

const COVER: &str = "cloth";
/// Amounts in plans are rounded.
const SLACK: f64 = 1e-9;

fn made() -> Made {
    plans::made("small-plot", |season| {
        let greedy = greedy::greedy(season);
        let given = Given {
            strips: &greedy.strips,
            covers: &greedy.covers,
        };
        evaluate(season, given, &Still).expect("it keeps shelf and work")
    })
}

/// A planting under nothing, alone of its kind, that is harvested for some weeks; the first of them and
/// the place of its food.
fn kept(made: &Made) -> (usize, Week, usize) {
    let plan = &made.plan;
    let alone = |p: &Planting| {
        let like = |o: &&Planting| (&o.bed, &o.crop, o.sown) == (&p.bed, &p.crop, p.sown);
        plan.plantings.iter().filter(like).count() == 1
    };
    let found = plan.plantings.iter().enumerate().find_map(|(place, p)| {
        let crop = made.scenario.crops.iter().find(|c| c.name == p.crop)?;
        let way = crop.ways.iter().find(|w| Some(&w.name) == p.way.as_ref())?;
        let first = p.first_harvest?;
        let fits = p.under.is_empty() && p.partner.is_none() && alone(p) && p.lots.len() > 3;
        fits.then_some((place, first, way.food))
    });
    found.expect("a planting that is picked")
}

/// What is said where the old plan ate a unit more of the food in three weeks, and the repair did `change` to
/// the planting.
fn told(made: &Made, change: impl Fn(&mut Planting)) -> Vec<CoverFiller> {
    let (place, first, food) = kept(made);
    let mut old = made.plan.clone();
    let mut scenario = made.scenario.clone();
    for week in &mut old.supply[food].weeks {
        if (0..3).contains(&week.week.since(first)) {
            week.eaten += 1.0;
        }
    }
    scenario.foods[food].wish.fill(1e3);
    let mut as_it_is: YearPlan = made.plan.clone();
    for week in &mut as_it_is.supply[food].weeks {
        week.wish = 1e3;
    }
    let mut repaired = as_it_is.clone();
    change(&mut repaired.plantings[place]);
    let answers = Answers {
        repaired: &repaired,
        as_it_is: Some(&as_it_is),
        redrawn: &repaired,
    };
    let (_, lost, _) = compare(&old, &scenario, &answers);
    let name = &scenario.foods[food].name;
    let lost = lost.into_iter().find(|f| f.food == *name);
    lost.expect("it is lost").filled_under
}

fn cover(planting: &mut Planting, from: Week) {
    planting.under.push(Under {
        cover: COVER.into(),
        from,
        until: planting.cleared.plus(-1),
    });
}

fn double(planting: &mut Planting) {
    for lot in &mut planting.lots {
        lot.amount *= 2.0;
    }
}

#[test]
fn a_cover_under_which_more_grows_is_named() {
    let made = made();
    let (place, first, _) = kept(&made);
    let found = told(&made, |p| {
        cover(p, p.planted);
        double(p);
    });
    let [filler] = &found[..] else {
        panic!("{found:?}");
    };
    let kept = &made.plan.plantings[place];
    assert_eq!(
        (&*filler.cover, &filler.bed, &filler.crop),
        (COVER, &kept.bed, &kept.crop)
    );
    assert_eq!((filler.placed, filler.by), (kept.planted, first.plus(2)));
    assert_eq!(filler.plantings, std::slice::from_ref(&kept.id));
    // Twice as much, so as much again as there was in the three weeks of the loss.
    let there: f64 = (kept.lots.iter())
        .filter(|lot| lot.from <= first.plus(2) && lot.until >= first)
        .map(|lot| lot.amount)
        .sum();
    assert!((filler.more - there).abs() < SLACK, "{filler:?} {there}");
}

#[test]
fn what_another_reason_may_have_is_not_owed_to_a_cover() {
    let made = made();
    let none = |what: &str, change: &dyn Fn(&mut Planting)| {
        let found = told(&made, change);
        assert!(found.is_empty(), "{what}: {found:?}");
    };
    none("nothing changed", &|_| {});
    none("no cover", &double);
    none("no more", &|p| cover(p, p.planted));
    none("more ground", &|p| {
        cover(p, p.planted);
        double(p);
        p.area_m2 *= 2.0;
    });
    none("another way", &|p| {
        cover(p, p.planted);
        double(p);
        p.way = Some("otherwise".into());
    });
    none("sown sooner", &|p| {
        cover(p, p.planted);
        double(p);
        p.sown = p.sown.plus(-1);
    });
    none("a cover after the loss", &|p| {
        cover(p, p.cleared.plus(-1));
        double(p);
    });
}

/// In a plan that clears it in the middle of the loss, standing longer is a reason as well.
#[test]
fn what_stands_longer_is_not_owed_to_a_cover() {
    let mut made = made();
    let (place, first, _) = kept(&made);
    let cleared = made.plan.plantings[place].cleared;
    made.plan.plantings[place].cleared = first.plus(1);
    let change = |until: Week| {
        told(&made, move |p| {
            p.cleared = until;
            cover(p, p.planted);
            double(p);
        })
    };
    assert_eq!(change(first.plus(1)).len(), 1);
    assert!(change(cleared).is_empty());
}
