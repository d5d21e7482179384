//! The written forms of a plan, to standard output and into a directory.

use super::args::{PlanFormat, Shown, TableName};
use super::files::{OutDir, to_stdout};
use crate::domain::Scenario;
use crate::input::advice;
use crate::plan::YearPlan;
use crate::render::{self, Selection, Table};
use chrono::{DateTime, NaiveTime, Utc};

/// A plan ready to be shown.
pub struct Forms<'a> {
    pub scenario: &'a Scenario,
    pub plan: &'a YearPlan,
    /// The plan file's text.
    pub yaml: &'a str,
    /// When the plan was made, for calendars.
    pub made: DateTime<Utc>,
}

/// Midnight before the plan's first Monday: when a plan without clock was made.
pub fn timeless(plan: &YearPlan) -> DateTime<Utc> {
    plan.scenario
        .start
        .monday()
        .and_time(NaiveTime::MIN)
        .and_utc()
}

/// What is asked to be shown.
///
/// # Errors
/// Says which bed or week the plan does not have.
pub fn selection(scenario: &Scenario, shown: &Shown) -> Result<Selection, String> {
    if let Some(bed) = &shown.bed {
        let beds: Vec<&str> = scenario.beds.iter().map(|b| b.name.as_str()).collect();
        if !beds.contains(&bed.as_str()) {
            let advice = advice(bed, &beds);
            return Err(format!(
                "error: --bed {bed}: there is no such bed\n  help: {advice}"
            ));
        }
    }
    if let Some(from) = shown.from {
        let last = scenario.week(scenario.weeks - 1);
        if from < scenario.start || from > last {
            return Err(format!(
                "error: --from {from}: the planned weeks are {} to {last}\n  \
                 help: name one of them",
                scenario.start
            ));
        }
    }
    Ok(Selection {
        bed: shown.bed.clone(),
        from: shown.from,
        weeks: shown.weeks.map(usize::from),
    })
}

impl Forms<'_> {
    /// What is asked for, to standard output.
    pub fn print(&self, shown: &Shown, selection: &Selection) -> Result<(), String> {
        let (scenario, plan) = (self.scenario, self.plan);
        if shown.format == PlanFormat::Text {
            let report = render::report_part(scenario, plan, selection);
            return super::paint::print(&report);
        }
        let text = match shown.format {
            PlanFormat::Text | PlanFormat::Yaml => self.yaml.to_string(),
            PlanFormat::Html => render::page(scenario, plan, selection),
            PlanFormat::Ics => render::job_calendar(scenario, plan, selection, self.made),
            PlanFormat::Csv => render::table(scenario, plan, selection, table(shown.table)),
        };
        to_stdout(|out| out.write_all(text.as_bytes()))
    }

    /// Every form but the plan file itself, into a directory.
    pub fn write(&self, out: &OutDir) -> Result<(), String> {
        let (scenario, plan) = (self.scenario, self.plan);
        let all = Selection::default();
        out.replace("report.txt", &render::report(scenario, plan))?;
        out.replace("plan.html", &render::page(scenario, plan, &all))?;
        out.replace(
            "jobs.ics",
            &render::job_calendar(scenario, plan, &all, self.made),
        )?;
        for table in Table::ALL {
            let text = render::table(scenario, plan, &all, table);
            out.replace(&format!("{}.csv", table.name()), &text)?;
        }
        for (name, text) in render::charts(scenario, plan) {
            out.replace(name, &text)?;
        }
        Ok(())
    }
}

fn table(name: TableName) -> Table {
    match name {
        TableName::Plantings => Table::Plantings,
        TableName::Jobs => Table::Jobs,
        TableName::Supply => Table::Supply,
        TableName::Buying => Table::Buying,
    }
}
