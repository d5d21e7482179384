//! The binary: hands the arguments to the library and turns the outcome into an exit code.

fn main() -> std::process::ExitCode {
    bedweek::cli::main()
}
