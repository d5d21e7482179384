//! Arguments, one file per verb, progress, exit codes.

/// Runs the program.
pub fn main() -> std::process::ExitCode {
    std::process::ExitCode::from(2)
}
