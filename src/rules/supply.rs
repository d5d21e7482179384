//! From lots to the table: what is grown limits what is drawn, what is drawn is what is eaten.

use super::model::{Rule, Sense, Terms};
use super::sketch::{LotClass, Sketch};
use crate::candidates::Lot;
use std::collections::BTreeMap;

pub static LOT: Rule = Rule {
    id: "lot",
    sentence: "What is used of a class of lots (losses in keeping included) is at most the amount of it in the plan and in store at the start.",
    unit: "units of the food",
};
pub static SUPPLY: Rule = Rule {
    id: "supply",
    sentence: "What is eaten of a food in a week is the sum of what is drawn from its lots.",
    unit: "units of the food",
};

/// Adds the columns of draws and of food eaten, and the rows that tie them to plantings.
pub fn add(sketch: &mut Sketch) {
    let season = sketch.season;
    let mut classes: BTreeMap<LotClass, (f64, Terms)> = BTreeMap::new();
    for lot in &season.in_store {
        classes.entry(LotClass::of(lot)).or_default().0 += lot.amount;
    }
    for (&(_, candidate), &column) in &sketch.layout.strips {
        for lot in &season.candidates[candidate].lots {
            let grown = &mut classes.entry(LotClass::of(lot)).or_default().1;
            grown.push((column, lot.amount));
        }
    }
    let mut eaten: BTreeMap<(usize, usize), Terms> = BTreeMap::new();
    for (class, (stored, grown)) in classes {
        add_class(sketch, class, stored, grown, &mut eaten);
    }
    for ((food, week), mut drawn) in eaten {
        let need = &season.foods[food];
        let week_name = sketch.week(week);
        let most = need.wish[week].min(sketch.programme.most(&drawn));
        let parts = ["supply", &*need.name, &*week_name];
        let column = sketch.programme.column(&parts, (0.0, most), need.price);
        sketch.layout.supply.insert((food, week), column);
        drawn.push((column, -1.0));
        sketch
            .programme
            .row(Some(&SUPPLY), &parts[1..], drawn, Sense::Equal, 0.0);
    }
}

/// A class of which `stored` units are there whatever is planted.
fn add_class(
    sketch: &mut Sketch,
    class: LotClass,
    stored: f64,
    grown: Terms,
    eaten: &mut BTreeMap<(usize, usize), Terms>,
) {
    let season = sketch.season;
    let product = &season.products[class.product];
    let need = &season.foods[product.food];
    let amount = stored + sketch.programme.most(&grown);
    let lot = Lot {
        product: class.product,
        from: class.from,
        fresh_until: class.fresh_until,
        until: class.until,
        amount,
    };
    let weeks = [class.from, class.fresh_until, class.until].map(|w| sketch.week(w));
    let parts = [&*product.name, &*weeks[0], &*weeks[1], &*weeks[2]];
    let mut terms = Terms::new();
    // Most that can be used of the class, whatever is grown.
    let mut useful = 0.0;
    for week in class.from..=class.until {
        let used = lot.used_per_unit(week, product.weekly_loss);
        let most = need.wish[week].min(amount / used);
        if most <= 0.0 || !used.is_finite() {
            continue;
        }
        let week_name = sketch.week(week);
        let column = sketch.programme.column(
            &[
                "draw", parts[0], parts[1], parts[2], parts[3], "in", &week_name,
            ],
            (0.0, most),
            0.0,
        );
        sketch.add_work(week, column, product.minutes_per_unit);
        sketch.layout.draws.insert((class, week), column);
        eaten
            .entry((product.food, week))
            .or_default()
            .push((column, 1.0));
        terms.push((column, used));
        useful += used * need.wish[week];
    }
    if terms.is_empty() {
        return;
    }
    // One strip gives no more than is useful: the same plans, a tighter relaxation.
    terms.extend(
        grown
            .into_iter()
            .map(|(column, amount)| (column, -amount.min(useful))),
    );
    sketch.at_most(&LOT, &parts, terms, stored);
}
