//! Needs, level and directives for the rest of the year.

use super::ground::Ground;
use crate::domain::*;
use crate::units::Week;

/// The weeks from `date` to `end` of the needs of `base`, changed by events.
pub fn foods(base: &Scenario, diary: &Diary, date: Week, weeks: usize) -> Vec<Food> {
    let from = usize::try_from(date.since(base.start)).expect("the date is in the plan");
    let mut foods = base.foods.clone();
    for (id, food) in foods.iter_mut().enumerate() {
        food.must = food.must[from..from + weeks].to_vec();
        for needs in [&mut food.floor, &mut food.wish] {
            *needs = needs[from..from + weeks].to_vec();
            for (week, need) in needs.iter_mut().enumerate() {
                *need *= times(diary, date.plus(week as i32), Some(id));
            }
        }
    }
    foods
}

/// The weeks from `date` on of the level of `base`, changed with the needs of all foods.
pub fn level(base: &Scenario, diary: &Diary, date: Week, weeks: usize) -> Option<Level> {
    let from = usize::try_from(date.since(base.start)).expect("the date is in the plan");
    let mut level = base.level.clone()?;
    for bounds in [&mut level.low_money, &mut level.high_money] {
        *bounds = bounds[from..from + weeks].to_vec();
        for (week, money) in bounds.iter_mut().enumerate() {
            *money *= times(diary, date.plus(week as i32), None);
        }
    }
    Some(level)
}

/// How many times the need of a food, or of all foods (`None`), counts in a week.
fn times(diary: &Diary, now: Week, wanted: Option<FoodId>) -> f64 {
    let mut product = 1.0;
    for event in &diary.events {
        if let Happening::Need {
            food,
            times,
            from,
            to,
        } = &event.happening
            && (food.is_none() || *food == wanted)
            && *from <= now
            && to.is_none_or(|to| now <= to)
        {
            product *= times;
        }
    }
    product
}

/// Whether the grower asked for a planting begun in that week, which then stays until its natural end: a
/// directive is not met by what is planted and cleared again.
pub fn asked_for(base: &Scenario, crop: CropId, bed: BedId, planted: Week) -> bool {
    (base.directives.iter()).any(|directive| counts_for(directive, crop, bed, planted))
}

/// Whether a planting begun in that week counts for an "always".
fn counts_for(directive: &Directive, crop: CropId, bed: BedId, planted: Week) -> bool {
    let DirectiveKind::Always { from, to, .. } = directive.kind else {
        return false;
    };
    directive.crop == crop
        && directive.bed.is_none_or(|b| b == bed)
        && (from..=to).contains(&planted)
}

/// Directives for what is left of their weeks; strips begun already count.
pub fn directives(base: &Scenario, ground: &Ground, date: Week) -> Vec<Directive> {
    let rest = base.directives.iter().filter_map(|directive| {
        let DirectiveKind::Always {
            strips,
            from,
            to,
            missing_money,
        } = directive.kind
        else {
            return Some(directive.clone());
        };
        let begun: u32 = (ground.begun.iter())
            .filter(|(crop, bed, week, _)| counts_for(directive, *crop, *bed, *week))
            .map(|(.., strips)| strips)
            .sum();
        let strips = strips.saturating_sub(begun);
        (to >= date && strips > 0).then(|| Directive {
            kind: DirectiveKind::Always {
                strips,
                from: from.max(date),
                to,
                missing_money,
            },
            ..directive.clone()
        })
    });
    rest.collect()
}
