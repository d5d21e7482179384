//! Plain microlp on a holding's programme by beds, for the benchmark: `microlp SCENARIO SECONDS`.
//!
//! Prints how it ended, worth, bound and seconds as one line of JSON; its clock begins when the programme
//! is built. microlp tells nothing of plans on its way, so there is no trace.

#[path = "../support/linear.rs"]
mod linear;

use bedweek::programme::{self, Form};
use bedweek::{explain, input};
use linear::{Limits, NoPoint, solve};
use std::path::Path;
use std::process::ExitCode;
use std::time::Instant;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [file, seconds] = &arguments[..] else {
        eprintln!("microlp SCENARIO SECONDS");
        return ExitCode::from(2);
    };
    let Ok(seconds) = seconds.parse() else {
        eprintln!("{seconds}: not a number of seconds");
        return ExitCode::from(2);
    };
    let loaded = match input::load(Path::new(file)) {
        Ok(loaded) => loaded,
        Err(errors) => {
            eprintln!("{errors}");
            return ExitCode::from(2);
        }
    };
    let programme = programme::build(&explain::binding(&loaded.scenario), Form::Bed);
    let limits = Limits {
        seconds: Some(seconds),
        nodes: None,
        gap: 0.0,
    };
    let began = Instant::now();
    let solved = solve(&programme, limits, None);
    let seconds = began.elapsed().as_secs_f64();
    match solved {
        Ok(it) => println!(
            "{{\"ended\": \"{:?}\", \"plan\": {}, \"bound\": {}, \"seconds\": {seconds:.3}}}",
            it.ended, it.check.objective, it.bound
        ),
        Err(NoPoint::Limit) => {
            println!("{{\"ended\": \"Limit\", \"seconds\": {seconds:.3}}}");
        }
        Err(other) => println!("{{\"ended\": \"{other:?}\", \"seconds\": {seconds:.3}}}"),
    }
    ExitCode::SUCCESS
}
