//! `export`: the programme of a scenario, written out for any other solver.

use super::args::{ExportArgs, ProgrammeForm, ProgrammeFormat};
use super::check::{load, load_standing_year};
use super::exit::Exit;
use super::files::to_stdout;
use super::verify::{has_beginning, opened};
use crate::explain;
use crate::programme::{self, Form};

pub fn run(asked: &ExportArgs) -> Result<Exit, String> {
    let scenario = match (&asked.scenario, &asked.plan) {
        (Some(file), _) if asked.standing_year => load_standing_year(file)?.scenario,
        (Some(file), _) => load(file)?.scenario,
        (None, Some(file)) => {
            let opened = opened(file, None)?;
            has_beginning(file, &opened.plan)?;
            opened.loaded.scenario
        }
        (None, None) => unreachable!("one of the two is asked for by the arguments"),
    };
    let season = explain::binding(&scenario);
    let form = match asked.form {
        ProgrammeForm::Bed => Form::Bed,
        ProgrammeForm::Pooled => Form::Pooled,
    };
    let programme = programme::build(&season, form);
    to_stdout(|mut out| match asked.format {
        ProgrammeFormat::Mps => programme::write_mps(&programme, &mut out),
        ProgrammeFormat::Lp => programme::write_lp(&programme, &mut out),
    })?;
    Ok(Exit::Done)
}
