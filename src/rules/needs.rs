//! Floors and variety, food by food and week by week.

use super::model::{Rule, Sense, Terms};
use super::sketch::Sketch;
use std::collections::BTreeMap;

pub static FLOOR: Rule = Rule {
    id: "floor",
    sentence: "What is eaten of a food and what is short of its floor are at least the floor.",
    unit: "units of the food",
};
pub static VARIETY: Rule = Rule {
    id: "variety",
    sentence: "What one crop supplies of a food is at most its share of the week's wish.",
    unit: "units of the food",
};

/// Adds the columns of shortage and the rows of floors and variety.
pub fn add(sketch: &mut Sketch) {
    add_floors(sketch);
    add_variety(sketch);
}

fn add_floors(sketch: &mut Sketch) {
    for (f, food) in sketch.season.foods.iter().enumerate() {
        for week in 0..sketch.season.weeks {
            let floor = food.floor[week];
            if floor <= 0.0 {
                continue;
            }
            let cost = food.short_cost[week];
            let must = cost.is_infinite();
            let eaten = sketch.layout.supply.get(&(f, week)).copied();
            if eaten.is_none() && !must {
                // Nothing can be eaten: the whole floor is short in every plan.
                sketch.programme.constant -= cost * floor;
                continue;
            }
            let week_name = sketch.week(week);
            let parts = ["short", &*food.name, &*week_name];
            let (most, cost) = if must { (0.0, 0.0) } else { (floor, cost) };
            let short = sketch.programme.column(&parts, (0.0, most), -cost);
            sketch.layout.short.insert((f, week), short);
            let mut terms: Terms = eaten.map(|eaten| (eaten, 1.0)).into_iter().collect();
            terms.push((short, 1.0));
            sketch
                .programme
                .row(Some(&FLOOR), &parts[1..], terms, Sense::AtLeast, floor);
        }
    }
}

fn add_variety(sketch: &mut Sketch) {
    let season = sketch.season;
    let mut by_crop: BTreeMap<(usize, usize, usize), Terms> = BTreeMap::new();
    for (&(class, week), &column) in &sketch.layout.draws {
        let product = &season.products[class.product];
        if season.foods[product.food].single_crop_share < 1.0 {
            by_crop
                .entry((product.food, product.crop, week))
                .or_default()
                .push((column, 1.0));
        }
    }
    for ((food, crop, week), terms) in by_crop {
        let need = &season.foods[food];
        let most = need.most_of_one_crop(week);
        let week_name = sketch.week(week);
        sketch.at_most(
            &VARIETY,
            &[&need.name, &format!("crop{crop}"), &week_name],
            terms,
            most,
        );
    }
}
