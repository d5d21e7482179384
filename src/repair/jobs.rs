//! Jobs of two plans beside each other: what is added, dropped, moved.

use crate::plan::YearPlan;
use crate::units::Week;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What is to be done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Job {
    #[serde(rename = "sow")]
    Sow,
    #[serde(rename = "plant out")]
    PlantOut,
    #[serde(rename = "clear")]
    Clear,
    #[serde(rename = "cover")]
    Cover,
    #[serde(rename = "uncover")]
    Uncover,
}

impl Job {
    /// As written.
    pub fn name(self) -> &'static str {
        match self {
            Job::Sow => "sow",
            Job::PlantOut => "plant out",
            Job::Clear => "clear",
            Job::Cover => "cover",
            Job::Uncover => "uncover",
        }
    }
}

/// How a job differs from the old plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Difference {
    #[serde(rename = "drop")]
    Drop,
    #[serde(rename = "move")]
    Move,
    #[serde(rename = "add")]
    Add,
}

impl Difference {
    /// As written.
    pub fn name(self) -> &'static str {
        match self {
            Difference::Drop => "drop",
            Difference::Move => "move",
            Difference::Add => "add",
        }
    }
}

/// A job that is not as it was.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ChangedJob {
    pub change: Difference,
    pub job: Job,
    /// The week it is, or was, to be done.
    pub week: Week,
    /// Crop or cover.
    pub what: String,
    pub bed: String,
    /// How many strips; of a cover, none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub strips: Option<u32>,
    /// Moved: from there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_week: Option<Week>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_bed: Option<String>,
}

/// What is done where and when, and on how many strips.
type Jobs = BTreeMap<(Job, String, Week, String), u32>;

/// The jobs from `date` on that differ, in order of their weeks.
pub fn changed_jobs(old: &YearPlan, new: &YearPlan, date: Week) -> Vec<ChangedJob> {
    let (mut gone, mut come) = (jobs(old, date), jobs(new, date));
    for (key, strips) in &mut gone {
        if let Some(new) = come.get_mut(key) {
            let same = (*strips).min(*new);
            *strips -= same;
            *new -= same;
        }
    }
    let mut found = Vec::new();
    // Moved: the same job, first in another week of the same bed, then in another bed of the same
    // week.
    for same_bed in [true, false] {
        for ((job, what, week, bed), strips) in &mut gone {
            for ((job_now, what_now, week_now, bed_now), now) in &mut come {
                let moved = (*job, what) == (*job_now, what_now)
                    && (if same_bed {
                        bed == bed_now
                    } else {
                        week == week_now
                    });
                let count = (*strips).min(*now);
                if !moved || count == 0 {
                    continue;
                }
                *strips -= count;
                *now -= count;
                found.push(ChangedJob {
                    change: Difference::Move,
                    job: *job,
                    week: *week_now,
                    what: what.clone(),
                    bed: bed_now.clone(),
                    strips: strips_of(*job, count),
                    from_week: (week != week_now).then_some(*week),
                    from_bed: (bed != bed_now).then(|| bed.clone()),
                });
            }
        }
    }
    for (change, jobs) in [(Difference::Drop, gone), (Difference::Add, come)] {
        let rest = jobs.into_iter().filter(|(_, strips)| *strips > 0);
        found.extend(rest.map(|((job, what, week, bed), strips)| ChangedJob {
            change,
            job,
            week,
            what,
            bed,
            strips: strips_of(job, strips),
            from_week: None,
            from_bed: None,
        }));
    }
    found.sort_by(|a, b| {
        (a.week, a.change, a.job, &a.what, &a.bed).cmp(&(b.week, b.change, b.job, &b.what, &b.bed))
    });
    found
}

fn strips_of(job: Job, strips: u32) -> Option<u32> {
    (!matches!(job, Job::Cover | Job::Uncover)).then_some(strips)
}

fn jobs(plan: &YearPlan, date: Week) -> Jobs {
    let end = super::roster::end_of(plan);
    let mut jobs = Jobs::new();
    let mut add = |job, what: &str, week: Week, bed: &str, strips: usize| {
        if week >= date && week < end {
            let key = (job, what.to_string(), week, bed.to_string());
            *jobs.entry(key).or_default() += u32::try_from(strips).expect("strips are few");
        }
    };
    for p in &plan.plantings {
        let strips = p.strips.len();
        if p.standing.is_none() {
            add(Job::Sow, &p.crop, p.sown, &p.bed, strips);
            if p.planted > p.sown {
                add(Job::PlantOut, &p.crop, p.planted, &p.bed, strips);
            }
        }
        add(Job::Clear, &p.crop, p.cleared, &p.bed, strips);
    }
    for c in &plan.covers {
        if !c.before {
            add(Job::Cover, &c.cover, c.placed, &c.bed, 1);
        }
        if !c.stays {
            add(Job::Uncover, &c.cover, c.removed, &c.bed, 1);
        }
    }
    jobs
}
