//! Writes a programme in free-format MPS text.

use super::{Goal, Programme, RULES, Sense, number};
use std::io::{Result, Write};

/// Name of the objective row.
const OBJECTIVE: &str = "objective";
/// Lines with two entries stay shorter than this.
const LINE_CHARS: usize = 250;

/// Writes the programme. A maximisation carries an `OBJSENSE` section with `MAX`; the constant
/// of the objective stands, negated as the format wants it, in the right-hand side of its row.
pub fn write_mps(programme: &Programme, out: &mut impl Write) -> Result<()> {
    writeln!(out, "* Rows, by the first part of their names:")?;
    for rule in RULES.iter() {
        if programme
            .rows
            .iter()
            .any(|r| r.rule.is_some_and(|it| it.id == rule.id))
        {
            writeln!(out, "* {} ({}): {}", rule.id, rule.unit, rule.sentence)?;
        }
    }
    writeln!(out, "NAME {}", programme.name)?;
    let goal = match programme.goal {
        Goal::Maximise => "MAX",
        Goal::Minimise => "MIN",
    };
    writeln!(out, "OBJSENSE\n    {goal}")?;
    writeln!(out, "ROWS\n N {OBJECTIVE}")?;
    for row in &programme.rows {
        let sense = match row.sense {
            Sense::AtMost => 'L',
            Sense::Equal => 'E',
            Sense::AtLeast => 'G',
        };
        writeln!(out, " {sense} {}", row.name)?;
    }
    write_columns(programme, out)?;
    writeln!(out, "RHS")?;
    if programme.constant != 0.0 {
        writeln!(out, " RHS {OBJECTIVE} {}", number(-programme.constant))?;
    }
    for row in programme.rows.iter().filter(|r| r.rhs != 0.0) {
        writeln!(out, " RHS {} {}", row.name, number(row.rhs))?;
    }
    write_bounds(programme, out)?;
    writeln!(out, "ENDATA")
}

fn write_columns(programme: &Programme, out: &mut impl Write) -> Result<()> {
    // Rows of each column.
    let mut entries: Vec<Vec<(usize, f64)>> = vec![Vec::new(); programme.columns.len()];
    for (r, row) in programme.rows.iter().enumerate() {
        for &(column, coefficient) in &row.terms {
            entries[column].push((r, coefficient));
        }
    }
    writeln!(out, "COLUMNS")?;
    let mut integer = false;
    let mut markers = 0;
    let mut mark = |out: &mut dyn Write, kind: &str| -> Result<()> {
        markers += 1;
        writeln!(out, " MARKER{markers} 'MARKER' '{kind}'")
    };
    for (column, entries) in programme.columns.iter().zip(&entries) {
        if column.integer != integer {
            integer = column.integer;
            mark(out, if integer { "INTORG" } else { "INTEND" })?;
        }
        // Written even when zero, so that every column is declared.
        let own = (column.objective != 0.0 || entries.is_empty())
            .then_some((OBJECTIVE, column.objective));
        let all = own.into_iter().chain(
            entries
                .iter()
                .map(|&(row, coefficient)| (&*programme.rows[row].name, coefficient)),
        );
        let mut line = String::new();
        for (row, coefficient) in all {
            let entry = format!(" {row} {}", number(coefficient));
            // The format takes two entries to a line.
            if !line.is_empty() && line.len() + entry.len() < LINE_CHARS {
                writeln!(out, "{line}{entry}")?;
                line.clear();
                continue;
            }
            if !line.is_empty() {
                writeln!(out, "{line}")?;
            }
            line = format!(" {}{entry}", column.name);
        }
        if !line.is_empty() {
            writeln!(out, "{line}")?;
        }
    }
    if integer {
        mark(out, "INTEND")?;
    }
    Ok(())
}

fn write_bounds(programme: &Programme, out: &mut impl Write) -> Result<()> {
    writeln!(out, "BOUNDS")?;
    for column in &programme.columns {
        let (name, lower, upper) = (&column.name, column.lower, column.upper);
        if lower == upper {
            writeln!(out, " FX BND {name} {}", number(lower))?;
            continue;
        }
        if lower == f64::NEG_INFINITY && upper == f64::INFINITY {
            writeln!(out, " FR BND {name}")?;
            continue;
        }
        if lower == f64::NEG_INFINITY {
            writeln!(out, " MI BND {name}")?;
        } else {
            writeln!(out, " LO BND {name} {}", number(lower))?;
        }
        if upper == f64::INFINITY {
            writeln!(out, " PL BND {name}")?;
        } else {
            writeln!(out, " UP BND {name} {}", number(upper))?;
        }
    }
    Ok(())
}
