//! Rotation, work, and the grower's own directives.

use super::{BedId, CropId};
use crate::units::Week;

/// How a family's break is held.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RotationRule {
    Forbid,
    /// Each m² and week by which the break is cut short costs so much money.
    Discourage {
        money_per_m2_week: f64,
    },
    Off,
}

/// A botanical family with its rotation rule.
#[derive(Clone, Debug, PartialEq)]
pub struct Family {
    pub name: String,
    /// Weeks from clearing one member to planting the next on the same strip.
    pub break_weeks: u32,
    pub rule: RotationRule,
    /// Beds where another rule holds.
    pub exceptions: Vec<(BedId, RotationRule)>,
}

impl Family {
    /// The rule that holds in `bed`.
    pub fn rule_in(&self, bed: BedId) -> RotationRule {
        self.exceptions
            .iter()
            .find(|(b, _)| *b == bed)
            .map_or(self.rule, |(_, rule)| *rule)
    }
}

/// What work costs and how much of it there is.
#[derive(Clone, Debug, PartialEq)]
pub struct Work {
    /// Money per hour.
    pub hour_money: f64,
    /// Hours to hand in a week; `None`: no limit.
    pub hours_per_week: Option<f64>,
}

/// What a directive asks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum DirectiveKind {
    /// Not planted there (anywhere when `bed` is `None`).
    Never,
    /// At least so many strips of it are begun there between two weeks; each strip missing
    /// costs so much money.
    Always {
        strips: u32,
        from: Week,
        to: Week,
        missing_money: f64,
    },
}

/// The grower's own word about a crop.
#[derive(Clone, Debug, PartialEq)]
pub struct Directive {
    pub crop: CropId,
    pub bed: Option<BedId>,
    pub kind: DirectiveKind,
}
