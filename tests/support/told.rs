//! Small holdings on which one thing happens: the plan, what was to be, what happened, and what came of
//! it.
#![allow(dead_code)]

use super::carried::{MODELS, NOTHING_NEW, Year, answer, in_order};
use bedweek::plan::{Planting, YearPlan};
use bedweek::repair::{LostFood, Replan};
use bedweek::units::Week;

/// Amounts in plans are rounded, money and units.
pub const SLACK: f64 = 1e-4;

/// A holding from September to the end of March; `beds`, `standing` and the like are lines of YAML.
pub fn holding(lines: &str) -> String {
    let usual = "\
name: One kind
start: 2026-W36
weeks: 30
tail: 0
climate: oxford
needs:
  salad leaves: { floor: 0.3, wish: 1.5, price_money: 3, short_money: 3, single_crop_share: 1 }
  roots: { floor: 0, wish: 0.3, price_money: 2, single_crop_share: 1 }
work: { hour_money: 1 }
rotation: { daisy: { break_weeks: 0, rule: off } }
crops_used: [autumn salad, winter salad, storing roots]
solving: { gap: 0 }
";
    let covers = if lines.contains("covers:") {
        ""
    } else {
        "covers: {}\n"
    };
    let shelf = if lines.contains("shelf:") {
        ""
    } else {
        "shelf: { lit_m2: 0, unlit_m2: 0, day_c: 18, night_c: 13, transmission: 0.5 }\n"
    };
    format!("{usual}{covers}{shelf}{lines}{MODELS}")
}

/// One bed in the tunnel.
pub const TUNNEL: &str =
    "beds:\n  T: { setting: tunnel, length_m: 1.2, width_m: 1.2, strips: 3 }\n";
/// One in the open as well.
pub const BOTH: &str = "beds:\n  T: { setting: tunnel, length_m: 1.2, width_m: 1.2, strips: 2 }\n  \
                    O: { setting: open, length_m: 1.2, width_m: 1.2, strips: 2 }\n";
/// Nothing is to be sown in the open.
pub const NOT_IN_THE_OPEN: &str =
    "directives: [{ never: winter salad, bed: O }, { never: autumn salad, bed: O }]\n";
/// Salad that stands in the tunnel and stays.
pub const STANDING: &str = "standing:\n  old salad: { bed: T, strips: [1, 2], crop: autumn salad, sown: 2026-W33, keep: true }\n";

/// A year, what was to be, what happened and what came of it.
pub struct Told {
    pub year: Year,
    pub first: YearPlan,
    /// As if nothing had happened, from the same week.
    pub unhurt: Replan,
    pub hurt: Replan,
    pub repaired: YearPlan,
}

/// Plans the holding and carries it on from `from` with the event that `event` makes of the plan.
pub fn told(lines: &str, from: &str, event: impl Fn(&YearPlan) -> String) -> Told {
    carried_on(&holding(lines), from, event)
}

pub fn carried_on(scenario: &str, from: &str, event: impl Fn(&YearPlan) -> String) -> Told {
    let year = Year::new(scenario);
    let first = year.plan("first");
    let unhurt = year.replan("first/plan.yaml", &[NOTHING_NEW], from, "unhurt");
    let hurt = year.replan("first/plan.yaml", &[&event(&first)], from, "second");
    for replan in [&unhurt, &hurt] {
        in_order(replan);
    }
    assert_eq!(hurt.events.len(), 1);
    Told {
        first,
        unhurt,
        hurt,
        repaired: year.plan("second"),
        year,
    }
}

impl Told {
    /// Neither as it is nor redrawn is the year worth more than without the loss.
    #[track_caller]
    pub fn cost(&self) {
        let worth = |replan: &Replan, name| answer(replan, name).worth;
        let (left, before) = (
            worth(&self.hurt, "left as it is"),
            worth(&self.unhurt, "left as it is"),
        );
        assert!(left <= before + SLACK, "{left} above {before}");
        let redrawn = worth(&self.hurt, "freely redrawn");
        let most = answer(&self.unhurt, "freely redrawn")
            .bound
            .expect("it was sought");
        assert!(redrawn <= most + SLACK, "{redrawn} above {most}");
    }

    #[track_caller]
    pub fn lost(&self, food: &str) -> &LostFood {
        let found = self.hurt.lost.iter().find(|f| f.food == food);
        found.unwrap_or_else(|| panic!("no {food} is lost: {:#?}", self.hurt))
    }

    /// Worth left as it is, over what it would have been.
    pub fn left_more(&self) -> f64 {
        answer(&self.hurt, "left as it is").worth - answer(&self.unhurt, "left as it is").worth
    }
}

#[track_caller]
pub fn standing<'p>(plan: &'p YearPlan, name: &str) -> &'p Planting {
    let found = plan
        .plantings
        .iter()
        .find(|p| p.standing.as_deref() == Some(name));
    found.unwrap_or_else(|| panic!("{name} does not stand: {:#?}", plan.plantings))
}

/// The first planting that the plan itself sows from `from` on.
#[track_caller]
pub fn sown<'p>(plan: &'p YearPlan, crop: &str, from: &str) -> &'p Planting {
    let new = plan
        .plantings
        .iter()
        .filter(|p| p.standing.is_none() && p.crop == crop);
    let found = new
        .filter(|p| p.sown >= week(from))
        .min_by_key(|p| (p.sown, p.id.clone()));
    found.unwrap_or_else(|| panic!("no {crop} is sown from {from} on: {:#?}", plan.plantings))
}

pub fn week(text: &str) -> Week {
    text.parse().expect("a week")
}

pub fn gives(planting: &Planting) -> f64 {
    planting.lots.iter().map(|lot| lot.amount).sum()
}
