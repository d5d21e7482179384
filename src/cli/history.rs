//! `history`: the plans that a plan carries on, and what happened in between.

use super::args::HistoryArgs;
use super::exit::Exit;
use super::files::to_stdout;
use super::life::lived;
use crate::render;

pub fn run(asked: &HistoryArgs) -> Result<Exit, String> {
    let lived = lived(&asked.plan, asked.scenario.as_deref())?;
    let mut chain: Vec<(String, &crate::plan::YearPlan)> = (lived.before.iter())
        .map(|(path, plan)| (path.display().to_string(), plan))
        .collect();
    chain.push((asked.plan.display().to_string(), &lived.plan));
    let text = render::history(&chain);
    to_stdout(|out| out.write_all(text.as_bytes()))?;
    if !lived.as_made {
        eprintln!(
            "note: the scenario (or the models) have changed since {} was made",
            asked.plan.display()
        );
    }
    Ok(Exit::Done)
}
