//! What part of a plan is shown: all beds or one, all weeks or some.

use crate::plan::YearPlan;
use crate::units::Week;

/// A part of a plan.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Selection {
    /// One bed only.
    pub bed: Option<String>,
    /// The first week whose jobs are listed; the plan's first when left out.
    pub from: Option<Week>,
    /// How many weeks' jobs are listed; all planned ones when left out.
    pub weeks: Option<usize>,
}

impl Selection {
    /// Whether the bed is shown.
    pub fn has_bed(&self, bed: &str) -> bool {
        self.bed.as_deref().is_none_or(|only| only == bed)
    }

    /// The weeks whose jobs are listed: `most` of them where the user asks for no number.
    pub fn weeks(&self, plan: &YearPlan, most: usize) -> Vec<Week> {
        let about = &plan.scenario;
        let count = self.weeks.unwrap_or(most);
        let end = about.start.plus(i32::try_from(about.weeks).expect("short"));
        let from = self.from.unwrap_or(about.start).max(about.start);
        (0..i32::try_from(count).unwrap_or(i32::MAX))
            .map_while(|i| Some(from.plus(i)).filter(|week| *week < end))
            .collect()
    }
}
