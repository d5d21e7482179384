//! Values of the columns of the exported programme, for and from other solvers: a name and a value to a
//! line.

use super::files::{OutFile, read_text, unusable};
use crate::candidates::{BARE, Season};
use crate::input::shown;
use crate::programme::{Drawn, Form, Layout, Placing, Programme, point};
use crate::rules;
use crate::solve::{Answer, Draw};
use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::Path;

/// Largest file of values, bytes (estimate: a thousand beds have some two million columns of fifty
/// characters, few of them not zero).
const MAX_BYTES: u64 = 200_000_000;
/// How far from a whole number a solver may leave a column that is to be whole.
const WHOLE: f64 = 1e-4;
/// Faults of a file that are listed.
const LISTED: usize = 20;

/// The programme by beds, and where its variables are.
pub fn by_beds(season: &Season) -> (Programme, Layout) {
    rules::lay_out(season, Form::Bed, &|_| true)
}

/// Writes the values of a plan; what is zero is left out, and so is a cover in weeks in which no planting
/// could ask for it, for which there is no column.
///
/// # Errors
/// When the file cannot be written.
pub fn write(file: &OutFile, season: &Season, answer: &Answer) -> Result<(), String> {
    let (programme, layout) = by_beds(season);
    let drawn: Vec<Drawn> = answer.draws.iter().map(Draw::drawn).collect();
    let mut covers = answer.covers.clone();
    for (bed, weeks) in covers.iter_mut().enumerate() {
        for (week, lies) in weeks.iter_mut().enumerate().filter(|(_, s)| **s != BARE) {
            let column = (bed, usize::from(*lies) - 1, week);
            if !layout.covers.contains_key(&column) {
                *lies = BARE;
            }
        }
    }
    let placing = Placing {
        strips: &answer.strips,
        covers: &covers,
        drawn: &drawn,
    };
    let values = point(season, &programme, &layout, &placing)
        .map_err(|what| unusable(file.path(), &format!("cannot be written: {what}")))?;
    let mut text = format!(
        "# worth {}: values of the columns of `export --form bed`; those left out are 0\n",
        answer.worth
    );
    for (column, value) in programme.columns.iter().zip(values) {
        if value != 0.0 {
            let _ = writeln!(text, "{} {value}", column.name);
        }
    }
    file.replace(&text)
}

/// Reads values of the columns; those left out are 0.
///
/// # Errors
/// All faults of the file, with their places.
pub fn read(file: &Path, programme: &Programme) -> Result<Vec<f64>, String> {
    let text = read_text(file, MAX_BYTES)?;
    let known: BTreeMap<&str, usize> = (programme.columns.iter().enumerate())
        .map(|(c, column)| (column.name.as_str(), c))
        .collect();
    let mut values = vec![None; programme.columns.len()];
    let mut faults = Vec::new();
    for (number, line) in text.lines().enumerate() {
        if let Err(fault) = take(line, programme, &known, &mut values) {
            faults.push((number + 1, fault));
        }
    }
    if faults.is_empty() {
        return Ok(values.into_iter().map(Option::unwrap_or_default).collect());
    }
    let mut told: Vec<String> = (faults.iter().take(LISTED))
        .map(|(line, Fault { at, what, help })| {
            let file = file.display();
            format!("error: {file}:{line}:{at}: {what}\n  help: {help}")
        })
        .collect();
    if faults.len() > LISTED {
        told.push(format!("and {} more errors", faults.len() - LISTED));
    }
    Err(told.join("\n"))
}

/// What is wrong with a line.
struct Fault {
    /// Where in the line, counted from 1.
    at: usize,
    what: String,
    help: String,
}

/// Takes one line in.
fn take(
    line: &str,
    programme: &Programme,
    known: &BTreeMap<&str, usize>,
    values: &mut [Option<f64>],
) -> Result<(), Fault> {
    let fault = |word: &str, what: &str, help: String| Fault {
        at: word.as_ptr() as usize - line.as_ptr() as usize + 1,
        what: format!("{}: {what}", shown(word)),
        help,
    };
    let mut words = line.split('#').next().unwrap_or("").split_whitespace();
    let Some(name) = words.next() else {
        return Ok(());
    };
    let (Some(value), None) = (words.next(), words.next()) else {
        let help = "a line is the name of a column and its value; a comment begins with #";
        return Err(fault(name, "not a name and a value", help.into()));
    };
    let Some(&column) = known.get(name) else {
        let help = "names are those of `export --form bed` of this scenario";
        return Err(fault(name, "no column of the programme", help.into()));
    };
    let is = &programme.columns[column];
    let allowed = format!(
        "give a {}number from {} to {}",
        if is.integer { "whole " } else { "" },
        is.lower,
        is.upper
    );
    let slack = WHOLE * is.upper.abs().max(1.0);
    let number = match value.parse::<f64>() {
        Ok(number) if number.is_finite() => number,
        _ => return Err(fault(value, "not a number", allowed)),
    };
    if number < is.lower - slack || number > is.upper + slack {
        return Err(fault(value, "out of range", allowed));
    }
    if is.integer && (number - number.round()).abs() > WHOLE {
        return Err(fault(value, "not whole", allowed));
    }
    if values[column].replace(number).is_some() {
        let help = "give each column once".into();
        return Err(fault(name, "given already", help));
    }
    Ok(())
}
