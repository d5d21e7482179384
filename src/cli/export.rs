//! `export`: the programme of a scenario, written out for any other solver.

use super::args::{ExportArgs, ProgrammeForm, ProgrammeFormat};
use super::check::load;
use super::exit::Exit;
use super::files::to_stdout;
use crate::candidates;
use crate::programme::{self, Form};

pub fn run(asked: &ExportArgs) -> Result<Exit, String> {
    let scenario = load(&asked.scenario)?.scenario;
    let season = candidates::season(&scenario);
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
