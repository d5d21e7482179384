//! The command line: verbs, options, their ranges and help.

use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

/// Plans a year of vegetables on a small holding: a level supply, every week of the year, with a
/// proof of how near the best possible it is.
#[derive(Debug, Parser)]
#[command(version, about, max_term_width = 100, arg_required_else_help = true)]
#[command(
    after_help = "Exit codes: 0 done, a plan within the gap; 2 bad input or usage; \
    3 a limit was reached, a plan is given; 5 a plan does not hold. \
    1 (impossible) and 4 (a limit, no plan) are kept for later."
)]
pub struct Arguments {
    #[command(subcommand)]
    pub verb: Verb,
}

#[derive(Debug, Subcommand)]
pub enum Verb {
    /// Read a scenario and report every error in it
    Check(CheckArgs),
    /// Check a plan file against its scenario, everything reckoned again
    Verify(VerifyArgs),
    /// Write the programme that is optimised, for any other solver
    Export(ExportArgs),
}

/// Arguments of `check`.
#[derive(Debug, Args)]
pub struct CheckArgs {
    /// The scenario file
    pub scenario: PathBuf,
}

/// Arguments of `verify`.
#[derive(Debug, Args)]
pub struct VerifyArgs {
    /// The plan file
    pub plan: PathBuf,
    /// The scenario file [default: the one named in the plan]
    #[arg(long, value_name = "FILE")]
    pub scenario: Option<PathBuf>,
}

/// Arguments of `export`.
#[derive(Debug, Args)]
pub struct ExportArgs {
    /// The scenario file
    pub scenario: PathBuf,
    /// Form of the file
    #[arg(long, value_enum)]
    pub format: ProgrammeFormat,
    /// How beds are counted
    #[arg(long, value_enum, default_value_t = ProgrammeForm::Bed)]
    pub form: ProgrammeForm,
}

/// Forms of a programme file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum ProgrammeFormat {
    /// Free-form MPS
    Mps,
    /// CPLEX LP
    Lp,
}

/// How beds are counted in a programme.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum ProgrammeForm {
    /// Every bed for itself
    Bed,
    /// Like beds added together: smaller, a relaxation
    Pooled,
}
