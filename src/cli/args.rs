//! The command line: verbs, options, their ranges and help.

use crate::units::Week;
use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

/// Clock limit of a search when none is given, seconds.
pub const DEFAULT_SECONDS: f64 = 120.0;
/// Longest clock limit, seconds.
const MOST_SECONDS: f64 = 1e6;

/// Plans a year of vegetables on a small holding: a level supply, every week of the year, with a
/// proof of how near the best possible it is.
#[derive(Debug, Parser)]
#[command(version, about, max_term_width = 100, arg_required_else_help = true)]
#[command(
    after_help = "Exit codes: 0 done, a plan within the gap; 1 proven impossible: musts clash, or what \
    stands cannot be cleared in the hours to hand; 2 bad input or usage; 3 a limit was reached, a plan is \
    given; 4 no plan found, nor proven that there is none; 5 a plan does not hold."
)]
pub struct Arguments {
    #[command(subcommand)]
    pub verb: Verb,
}

#[derive(Debug, Subcommand)]
pub enum Verb {
    /// Make a year plan
    Plan(PlanArgs),
    /// Read a scenario and report every error in it
    Check(CheckArgs),
    /// Show when each crop can be sown and harvested, and why not at other times
    Calendar(CalendarArgs),
    /// Check a plan file against its scenario, everything reckoned again
    Verify(VerifyArgs),
    /// Show a plan file: as text, page, calendar or table, without solving again
    Show(ShowArgs),
    /// Write the programme that is optimised, for any other solver
    Export(ExportArgs),
    /// Make a plan of another solver's solution of the exported programme
    Import(ImportArgs),
    /// Set a scenario and variants of it side by side
    Compare(CompareArgs),
    /// Say what one more of each thing would be worth
    Worth(WorthArgs),
    /// Say why a food is short in a plan, or why a crop is not grown
    Why(WhyArgs),
    /// Carry a plan on after something happened: repaired, left as it is, freely redrawn
    Replan(ReplanArgs),
    /// Show which plans a plan carries on, and what happened in between
    History(HistoryArgs),
    /// Write a shell's completions of this command line
    Completions(CompletionsArgs),
    /// Write the manual page, in roff
    Manual,
}

/// Arguments of `plan`.
#[derive(Debug, Args)]
pub struct PlanArgs {
    /// The scenario file
    pub scenario: PathBuf,
    /// Write the plan, its page, calendar, tables and charts into this directory
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Stop once (bound - worth) / |bound| is at most this, 0 to 1 [default: the scenario's]
    #[arg(long, value_name = "FRACTION", value_parser = gap)]
    pub gap: Option<f64>,
    /// Stop after so many seconds [default: 120, or none with --work-limit]
    #[arg(long, value_name = "SECONDS", value_parser = seconds)]
    pub time_limit: Option<f64>,
    /// Stop after so many units of work; unlike a time limit, it gives the same plan every time
    #[arg(long, value_name = "UNITS")]
    pub work_limit: Option<u64>,
    /// Plan the year that comes again for ever: week 53 is week 1, and rotation goes round among a bed's
    /// strips
    #[arg(long)]
    pub standing_year: bool,
    #[command(flatten)]
    pub shown: Shown,
    /// Write the prices that the bound rests on into this file, for `verify --certificate`
    #[arg(long, value_name = "FILE")]
    pub certificate: Option<PathBuf>,
    /// Write every better plan and bound into this file as it is found, as CSV
    #[arg(long, value_name = "FILE")]
    pub trace: Option<PathBuf>,
    /// Write the plan as values of the columns of `export --form bed` into this file
    #[arg(long, value_name = "FILE")]
    pub solution: Option<PathBuf>,
    /// Leave out the seconds, so that equal runs give equal files
    #[arg(long)]
    pub timeless: bool,
    /// No progress and no closing report
    #[arg(long, short)]
    pub quiet: bool,
}

/// What of a plan goes to standard output.
#[derive(Debug, Args)]
pub struct Shown {
    /// What goes to standard output
    #[arg(long, value_enum, default_value_t = PlanFormat::Text)]
    pub format: PlanFormat,
    /// With --format csv: which table
    #[arg(long, value_enum, default_value_t = TableName::Jobs)]
    pub table: TableName,
    /// Jobs of so many weeks [default: 4 as text, else all]
    #[arg(long, value_name = "WEEKS", value_parser = clap::value_parser!(u16).range(1..=104))]
    pub weeks: Option<u16>,
    /// Jobs from this ISO week on, for example 2027-W10 [default: the plan's first]
    #[arg(long, value_name = "WEEK")]
    pub from: Option<Week>,
    /// Only this bed
    #[arg(long, value_name = "NAME")]
    pub bed: Option<String>,
}

/// Forms of a plan on standard output.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum PlanFormat {
    /// A report for people
    Text,
    /// The plan file
    Yaml,
    /// A page for the browser, in one file
    Html,
    /// The jobs as a calendar
    Ics,
    /// A table, named by --table
    Csv,
}

/// Tables of a plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum TableName {
    /// Every planting
    Plantings,
    /// The jobs, week by week
    Jobs,
    /// Each food, week by week
    Supply,
    /// What to buy
    Buying,
}

/// Arguments of `show`.
#[derive(Debug, Args)]
pub struct ShowArgs {
    /// The plan file
    pub plan: PathBuf,
    /// The scenario file [default: the one named in the plan]
    #[arg(long, value_name = "FILE")]
    pub scenario: Option<PathBuf>,
    /// Write the page, calendar, tables and charts into this directory
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    #[command(flatten)]
    pub shown: Shown,
}

/// Arguments of `completions`.
#[derive(Debug, Args)]
pub struct CompletionsArgs {
    /// The shell
    #[arg(value_enum)]
    pub shell: clap_complete::Shell,
}

/// Arguments of `check`.
#[derive(Debug, Args)]
pub struct CheckArgs {
    /// The scenario file
    pub scenario: PathBuf,
}

/// Arguments of `calendar`.
#[derive(Debug, Args)]
pub struct CalendarArgs {
    /// The scenario file
    pub scenario: PathBuf,
    /// Only this crop; may be given more than once
    #[arg(long, value_name = "NAME")]
    pub crop: Vec<String>,
    /// What goes to standard output
    #[arg(long, value_enum, default_value_t = CalendarFormat::Text)]
    pub format: CalendarFormat,
}

/// Forms of a calendar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum CalendarFormat {
    /// Lines of weeks and windows in words, for people
    Text,
    /// Every sowing with its outcome
    Yaml,
    /// A picture of weeks
    Svg,
}

/// Arguments of `verify`.
#[derive(Debug, Args)]
pub struct VerifyArgs {
    /// The plan file
    pub plan: PathBuf,
    /// The scenario file [default: the one named in the plan]
    #[arg(long, value_name = "FILE")]
    pub scenario: Option<PathBuf>,
    /// Recompute the bound from the prices in this file, written by `plan --certificate` or
    /// `replan --certificate`
    #[arg(long, value_name = "FILE")]
    pub certificate: Option<PathBuf>,
}

/// Arguments of `export`.
#[derive(Debug, Args)]
pub struct ExportArgs {
    /// The scenario file
    #[arg(required_unless_present = "plan")]
    pub scenario: Option<PathBuf>,
    /// A plan made by `replan`, in the place of a scenario: the rest of the year as it stood then
    #[arg(long, value_name = "FILE", conflicts_with = "scenario")]
    pub plan: Option<PathBuf>,
    /// Form of the file
    #[arg(long, value_enum)]
    pub format: ProgrammeFormat,
    /// How beds are counted
    #[arg(long, value_enum, default_value_t = ProgrammeForm::Bed)]
    pub form: ProgrammeForm,
    /// The programme of the year that comes again for ever
    #[arg(long, conflicts_with_all = ["plan", "form"])]
    pub standing_year: bool,
}

/// Arguments of `import`.
#[derive(Debug, Args)]
pub struct ImportArgs {
    /// The scenario file
    pub scenario: PathBuf,
    /// Values of the columns of `export --form bed`, a name and a value to a line
    pub solution: PathBuf,
    /// What the other solver proved that no plan is worth more than; its word is taken for it
    #[arg(long, value_name = "MONEY")]
    pub bound: Option<f64>,
    /// The solution is one of `export --standing-year`
    #[arg(long)]
    pub standing_year: bool,
    /// Write the plan, its page, calendar, tables and charts into this directory
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    #[command(flatten)]
    pub shown: Shown,
    /// Leave out the seconds, so that equal runs give equal files
    #[arg(long)]
    pub timeless: bool,
    /// No closing report
    #[arg(long, short)]
    pub quiet: bool,
}

/// Limits of each search, where a verb makes several.
#[derive(Debug, Args)]
pub struct SearchArgs {
    /// Stop each search once (bound - worth) / |bound| is at most this [default: the scenario's]
    #[arg(long, value_name = "FRACTION", value_parser = gap)]
    pub gap: Option<f64>,
    /// Stop each search after so many seconds [default: 120, with `why` 15, or none with --work-limit]
    #[arg(long, value_name = "SECONDS", value_parser = seconds)]
    pub time_limit: Option<f64>,
    /// Stop each search after so many units of work; unlike a time limit, it gives the same plan
    /// every time
    #[arg(long, value_name = "UNITS")]
    pub work_limit: Option<u64>,
    /// No progress
    #[arg(long, short)]
    pub quiet: bool,
}

/// Arguments of `compare`.
#[derive(Debug, Args)]
pub struct CompareArgs {
    /// The scenario that the others are compared with
    pub base: PathBuf,
    /// Variants, or other scenarios
    pub variants: Vec<PathBuf>,
    /// Compare with the base so changed, as in "covers.low tunnel.count=12"; several make one variant
    #[arg(long, value_name = "KEY=VALUE")]
    pub set: Vec<String>,
    /// Solve on until each difference is decided, or nothing is left to try
    #[arg(long)]
    pub decide: bool,
    /// Write compare.html, compare.yaml, compare.txt, and plan and page of each side there
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    #[command(flatten)]
    pub search: SearchArgs,
    /// What goes to standard output
    #[arg(long, value_enum, default_value_t = ResultFormat::Text)]
    pub format: ResultFormat,
}

/// Arguments of `worth`.
#[derive(Debug, Args)]
pub struct WorthArgs {
    /// The scenario file, or a variant
    pub scenario: PathBuf,
    /// Change the scenario, as in "covers.low tunnel.count=12"
    #[arg(long, value_name = "KEY=VALUE")]
    pub set: Vec<String>,
    /// How many more of each thing
    #[arg(long, value_name = "COUNT", default_value_t = 2, value_parser = clap::value_parser!(u32).range(1..=10))]
    pub more: u32,
    /// Begin from this plan of the scenario, in the place of searching for one
    #[arg(long, value_name = "FILE", conflicts_with = "set")]
    pub plan: Option<PathBuf>,
    /// Only this thing, called as in the answer; may be given several times
    #[arg(long, value_name = "THING")]
    pub only: Vec<String>,
    /// Let the bound alone say what more is worth; quick, nothing is solved again
    #[arg(long)]
    pub bound_only: bool,
    /// Write worth.html, worth.yaml and worth.txt there
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    #[command(flatten)]
    pub search: SearchArgs,
    /// What goes to standard output
    #[arg(long, value_enum, default_value_t = ResultFormat::Text)]
    pub format: ResultFormat,
}

/// Arguments of `why`.
#[derive(Debug, Args)]
#[command(group = clap::ArgGroup::new("question").required(true).args(["short", "not"]))]
pub struct WhyArgs {
    /// The plan file
    pub plan: PathBuf,
    /// Why is this food short in the week of --week [default week: the worst]
    #[arg(long, value_name = "FOOD")]
    pub short: Option<String>,
    /// Why is this crop not grown (in --bed, planted in --week)
    #[arg(long, value_name = "CROP")]
    pub not: Option<String>,
    /// A week: 2026-W42, or W42 for the first such week of the plan
    #[arg(long, value_name = "WEEK")]
    pub week: Option<String>,
    /// With --not: in this bed
    #[arg(long, value_name = "BED", requires = "not")]
    pub bed: Option<String>,
    /// With --not: how many strips of it
    #[arg(long, value_name = "COUNT", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=24000))]
    pub strips: u32,
    /// The scenario file [default: the one named in the plan]
    #[arg(long, value_name = "FILE")]
    pub scenario: Option<PathBuf>,
    /// Look at the plan only; nothing is solved again
    #[arg(long)]
    pub look_only: bool,
    #[command(flatten)]
    pub search: SearchArgs,
    /// What goes to standard output
    #[arg(long, value_enum, default_value_t = ResultFormat::Text)]
    pub format: ResultFormat,
}

/// Arguments of `replan`.
#[derive(Debug, Args)]
pub struct ReplanArgs {
    /// The plan file that is carried on
    pub plan: PathBuf,
    /// What happened, and what was harvested
    #[arg(long, value_name = "FILE")]
    pub events: Option<PathBuf>,
    /// Today: a date, or an ISO week, which counts as its Monday; the first Monday from it on is the
    /// first day that is planned anew
    #[arg(long, value_name = "DATE", value_parser = super::replan::day)]
    pub from: chrono::NaiveDate,
    /// Take beds, covers, needs, prices and rules from this scenario instead
    #[arg(long, value_name = "FILE")]
    pub scenario: Option<PathBuf>,
    /// Write the new plan in all forms, and replan.html, replan.yaml and replan.txt (and
    /// experience.yaml) there
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Write the prices that the repair's bound rests on into this file, for `verify --certificate`
    #[arg(long, value_name = "FILE")]
    pub certificate: Option<PathBuf>,
    #[command(flatten)]
    pub search: SearchArgs,
    /// What goes to standard output
    #[arg(long, value_enum, default_value_t = ResultFormat::Text)]
    pub format: ResultFormat,
    /// Leave out the seconds, so that equal runs give equal files
    #[arg(long)]
    pub timeless: bool,
}

/// Arguments of `history`.
#[derive(Debug, Args)]
pub struct HistoryArgs {
    /// The plan file
    pub plan: PathBuf,
    /// The scenario file of the first plan [default: the one named in it]
    #[arg(long, value_name = "FILE")]
    pub scenario: Option<PathBuf>,
}

/// Forms of an answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum ResultFormat {
    /// For people
    Text,
    /// For programs
    Yaml,
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

fn gap(text: &str) -> Result<f64, String> {
    match text.parse() {
        Ok(gap) if (0.0..=1.0).contains(&gap) => Ok(gap),
        _ => Err("a gap is a fraction from 0 to 1, for example 0.01 for one per cent".into()),
    }
}

fn seconds(text: &str) -> Result<f64, String> {
    match text.parse() {
        Ok(seconds) if seconds > 0.0 && seconds <= MOST_SECONDS => Ok(seconds),
        _ => Err(format!(
            "a time limit is a number of seconds above 0, at most {MOST_SECONDS}"
        )),
    }
}
