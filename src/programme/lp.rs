//! Writes a programme in CPLEX-LP text.

use super::{Goal, Programme, RULES, Row, Sense, number};
use std::io::{Result, Write};

/// Writes the programme; one term to a line. The objective is written as it is, its constant
/// as a number among the terms.
pub fn write_lp(programme: &Programme, out: &mut impl Write) -> Result<()> {
    writeln!(out, "\\ {}", programme.name)?;
    writeln!(out, "\\ Rows, by the first part of their names:")?;
    for rule in RULES.iter() {
        if programme
            .rows
            .iter()
            .any(|r| r.rule.is_some_and(|it| it.id == rule.id))
        {
            writeln!(out, "\\ {} ({}): {}", rule.id, rule.unit, rule.sentence)?;
        }
    }
    writeln!(
        out,
        "{}",
        match programme.goal {
            Goal::Maximise => "Maximize",
            Goal::Minimise => "Minimize",
        }
    )?;
    writeln!(out, " objective:")?;
    for column in programme.columns.iter().filter(|c| c.objective != 0.0) {
        term(out, column.objective, &column.name)?;
    }
    if programme.constant != 0.0 {
        writeln!(out, "  {}", signed(programme.constant))?;
    }
    writeln!(out, "Subject To")?;
    for row in &programme.rows {
        write_row(programme, row, out)?;
    }
    writeln!(out, "Bounds")?;
    for column in &programme.columns {
        let (lower, upper) = (column.lower, column.upper);
        if lower == f64::NEG_INFINITY && upper == f64::INFINITY {
            writeln!(out, " {} free", column.name)?;
        } else if upper == f64::INFINITY {
            writeln!(out, " {} >= {}", column.name, number(lower))?;
        } else {
            let lower = if lower == f64::NEG_INFINITY {
                "-inf".into()
            } else {
                number(lower)
            };
            writeln!(out, " {lower} <= {} <= {}", column.name, number(upper))?;
        }
    }
    if programme.columns.iter().any(|c| c.integer) {
        writeln!(out, "General")?;
        for column in programme.columns.iter().filter(|c| c.integer) {
            writeln!(out, " {}", column.name)?;
        }
    }
    writeln!(out, "End")
}

fn write_row(programme: &Programme, row: &Row, out: &mut impl Write) -> Result<()> {
    writeln!(out, " {}:", row.name)?;
    for &(column, coefficient) in &row.terms {
        term(out, coefficient, &programme.columns[column].name)?;
    }
    let sense = match row.sense {
        Sense::AtMost => "<=",
        Sense::Equal => "=",
        Sense::AtLeast => ">=",
    };
    writeln!(out, "  {sense} {}", number(row.rhs))
}

fn term(out: &mut impl Write, coefficient: f64, name: &str) -> Result<()> {
    writeln!(out, "  {} {name}", signed(coefficient))
}

fn signed(value: f64) -> String {
    let sign = if value < 0.0 { '-' } else { '+' };
    format!("{sign} {}", number(value.abs()))
}
