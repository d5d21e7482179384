//! Arguments, one file per verb, progress, exit codes: the only room with a clock and a terminal.
//!
//! Results go to standard output, progress and messages to standard error. What a verb does is
//! left to the library; here it is only asked for and shown.

mod args;
mod calendar;
mod cases;
mod certificate;
mod check;
mod compare;
mod crops;
mod exit;
mod export;
mod files;
mod forms;
mod history;
mod import;
mod life;
mod named;
mod paint;
mod plan;
mod progress;
mod reference;
mod replan;
mod show;
mod solution;
mod trace;
mod verify;
mod why;
mod worth;

pub use certificate::listed;
pub use exit::Exit;

use args::{Arguments, Verb};
use clap::Parser;
use clap::error::ErrorKind;
use std::process::ExitCode;
use std::time::Instant;

/// Runs the program.
pub fn main() -> ExitCode {
    let began = Instant::now();
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            let asked = matches!(
                error.kind(),
                ErrorKind::DisplayHelp | ErrorKind::DisplayVersion
            );
            // Nothing can be done about a terminal that is gone.
            let _ = error.print();
            return if asked { Exit::Done } else { Exit::Input }.into();
        }
    };
    let outcome = match &arguments.verb {
        Verb::Plan(asked) => plan::run(asked, began),
        Verb::Check(asked) => check::run(asked),
        Verb::Calendar(asked) => calendar::run(asked),
        Verb::Verify(asked) => verify::run(asked),
        Verb::Show(asked) => show::run(asked),
        Verb::Export(asked) => export::run(asked),
        Verb::Import(asked) => import::run(asked, began),
        Verb::Compare(asked) => compare::run(asked, began),
        Verb::Worth(asked) => worth::run(asked, began),
        Verb::Why(asked) => why::run(asked, began),
        Verb::Completions(asked) => reference::completions(asked),
        Verb::Manual => reference::manual(),
        Verb::Replan(asked) => replan::run(asked, began),
        Verb::History(asked) => history::run(asked),
    };
    match outcome {
        Ok(exit) => exit.into(),
        Err(message) => {
            eprintln!("{}", message.trim_end());
            Exit::Input.into()
        }
    }
}
