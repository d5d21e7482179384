//! Checks a point against a programme: a second opinion on what a solver returned.

use super::{Programme, Sense};

/// What a point is worth and how far it is from keeping the programme.
#[derive(Clone, Debug, PartialEq)]
pub struct Check {
    pub objective: f64,
    /// Largest violation of a bound, in the column's unit.
    pub bounds: f64,
    /// Largest violation of a row, in the row's unit.
    pub rows: f64,
    /// Largest distance of an integer column from an integer.
    pub integrality: f64,
    /// Name of the column or row with the largest violation; empty when there is none.
    pub worst: String,
}

impl Check {
    /// The largest violation of any kind.
    pub fn violation(&self) -> f64 {
        self.bounds.max(self.rows).max(self.integrality)
    }
}

/// Evaluates `point`, one value for each column.
///
/// # Panics
/// When the point has another number of values than the programme has columns.
pub fn check(programme: &Programme, point: &[f64]) -> Check {
    assert_eq!(point.len(), programme.columns.len(), "one value per column");
    let mut found = Check {
        objective: programme.constant,
        bounds: 0.0,
        rows: 0.0,
        integrality: 0.0,
        worst: String::new(),
    };
    let mut largest = 0.0;
    let mut note = |violation: f64, name: &str, worst: &mut String| {
        // A value that is no number is as wrong as can be.
        let violation = if violation.is_nan() {
            f64::INFINITY
        } else {
            violation
        };
        if violation > largest {
            largest = violation;
            name.clone_into(worst);
        }
        violation
    };
    for (column, &value) in programme.columns.iter().zip(point) {
        found.objective += column.objective * value;
        let outside = violation_of_bounds(value, column.lower, column.upper);
        found.bounds = found
            .bounds
            .max(note(outside, &column.name, &mut found.worst));
        if column.integer {
            let off = (value - value.round()).abs();
            found.integrality = found
                .integrality
                .max(note(off, &column.name, &mut found.worst));
        }
    }
    for row in &programme.rows {
        let left: f64 = row.terms.iter().map(|&(c, a)| a * point[c]).sum();
        let off = match row.sense {
            Sense::AtMost => left - row.rhs,
            Sense::AtLeast => row.rhs - left,
            Sense::Equal => (left - row.rhs).abs(),
        };
        let off = if off.is_nan() { off } else { off.max(0.0) };
        found.rows = found.rows.max(note(off, &row.name, &mut found.worst));
    }
    found
}

fn violation_of_bounds(value: f64, lower: f64, upper: f64) -> f64 {
    if value.is_nan() {
        return f64::NAN;
    }
    (lower - value).max(value - upper).max(0.0)
}
