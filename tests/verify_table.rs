//! `verify`: damage to what is eaten, to work, money and the proof is caught.
//!
//! Where the answers come from: the damage is done here, so what is wrong is known.

#[path = "support/damage.rs"]
mod damage;
#[path = "support/greedy.rs"]
mod greedy;
#[path = "support/plans.rs"]
mod plans;

use bedweek::domain::{Directive, DirectiveKind};
use bedweek::plan::Ending;
use bedweek::verify::Check;
use damage::{caught, first, full, sole};

#[test]
fn no_more_is_eaten_than_is_there() {
    caught(Check::Draws, "the plantings give", |_, p| {
        p.draws[0].amount *= 1.01
    });
    caught(Check::Draws, "uses up", |_, p| {
        for units in p.draws.iter_mut().flat_map(|d| d.eaten.values_mut()) {
            *units *= 5.0;
        }
    });
    caught(Check::Draws, "is drawn on twice", |_, p| {
        let again = p.draws[0].clone();
        p.draws.push(again);
    });
    caught(Check::Draws, "gives", |_, p| {
        let late = p.draws[0].until.plus(1);
        p.draws[0].eaten.insert(late, 0.1);
    });
    caught(Check::Draws, "gives NaN", |_, p| {
        let week = p.draws[0].from;
        p.draws[0].eaten.insert(week, f64::NAN);
    });
    // What is kept in store loses weight: without that loss in the plan, too much is eaten.
    caught(Check::Draws, "with losses", |s, _| {
        for way in s.crops.iter_mut().flat_map(|c| &mut c.ways) {
            way.weekly_loss = 0.5;
        }
    });
}

#[test]
fn supply_adds_up() {
    type Field = fn(&mut bedweek::plan::SupplyWeek) -> &mut f64;
    let fields: [(&str, Field); 7] = [
        ("the floor", |w| &mut w.floor),
        ("the wish", |w| &mut w.wish),
        ("fresh", |w| &mut w.fresh),
        ("from store", |w| &mut w.stored),
        ("eaten", |w| &mut w.eaten),
        ("short", |w| &mut w.short),
        ("left", |w| &mut w.left),
    ];
    for (words, field) in fields {
        caught(Check::Supply, words, |_, p| {
            *field(&mut p.supply[0].weeks[3]) += 0.01
        });
    }
    caught(Check::Supply, "stands in the place", |_, p| {
        p.supply[0].weeks.swap(0, 1)
    });
    caught(Check::Supply, "weeks in", |_, p| {
        p.supply[0].weeks.pop();
    });
    caught(Check::Supply, "the wish is", |s, _| {
        for food in &mut s.foods {
            food.wish.iter_mut().for_each(|w| *w *= 0.1);
            food.floor.iter_mut().for_each(|w| *w *= 0.1);
        }
    });
    caught(Check::Supply, "one crop may supply", |s, _| {
        for food in &mut s.foods {
            food.single_crop_share = 0.01;
        }
    });
    caught(Check::Supply, "the band ends at", |s, _| {
        let level = s.level.as_mut().expect("the full holding has a band");
        level.high_money.iter_mut().for_each(|m| *m = 1.0);
    });
    caught(Check::Supply, "the plan lists", |_, p| {
        p.shortfalls.pop();
    });
    caught(Check::Supply, "the store of", |_, p| {
        let weeks = &mut p.stores[0].weeks;
        *weeks.values_mut().next().expect("something is stored") += 0.5;
    });
}

#[test]
fn work_is_counted_and_limited() {
    caught(Check::Work, "are to hand", |s, _| {
        s.work.hours_per_week = Some(0.1)
    });
    caught(Check::Work, "the work of", |_, p| p.work[5].ground += 1.0);
    caught(Check::Work, "the work of", |_, p| {
        p.work.pop();
    });
}

#[test]
fn the_buying_list_is_complete() {
    caught(Check::Buying, "is off by", |_, p| {
        p.buying.pop();
    });
    caught(Check::Buying, "needs", |_, p| first(p, sole).seeds = None);
}

#[test]
fn the_ledger_is_reckoned_again() {
    for line in 0..full().plan.ledger.len() {
        let name = full().plan.ledger[line].rule.name();
        caught(Check::Ledger, name, |_, p| p.ledger[line].money += 0.01);
    }
    caught(Check::Ledger, "the amount of", |_, p| {
        p.ledger[0].amount += 0.01
    });
    caught(Check::Ledger, "the plan is worth", |_, p| {
        p.result.worth += 1.0
    });
    caught(Check::Ledger, "always missed", |s, _| {
        s.directives.push(Directive {
            crop: 0,
            bed: Some(0),
            kind: DirectiveKind::Always {
                strips: 1,
                from: s.start.plus(-5),
                to: s.start,
                missing_money: 10.0,
            },
        });
    });
}

#[test]
fn bound_gap_and_status_are_true() {
    caught(Check::Result, "adds up to", |_, p| p.result.worth += 1.0);
    caught(Check::Result, "more than the bound", |_, p| {
        p.result.bound = p.result.worth - 1.0;
    });
    caught(Check::Result, "the gap is", |_, p| p.result.gap *= 0.5);
    caught(Check::Result, "apart", |_, p| p.result.gap_money += 1.0);
    caught(Check::Result, "does not end as it says", |_, p| {
        p.result.status = Ending::Optimal;
    });
    caught(Check::Result, "does not end as it says", |_, p| {
        p.result.status = Ending::WithinGap;
        p.options.gap = 1e-5;
    });
}
