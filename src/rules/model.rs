//! A linear or mixed-integer programme in our own names: columns, rows, objective.
//!
//! Knows nothing of beds or crops; the rules fill it, `programme` writes and checks it, `solve`
//! hands it to a solver.

use std::collections::BTreeSet;

/// Longest name of a column or row, so that lines of exported files stay short.
const NAME_CHARS: usize = 200;

/// Index of a column in [`Programme::columns`].
pub type ColumnId = usize;
/// A sum of columns with their coefficients.
pub type Terms = Vec<(ColumnId, f64)>;

/// Whether the objective is to be made large or small.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Goal {
    Maximise,
    Minimise,
}

/// How a row's terms compare with its right-hand side.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sense {
    AtMost,
    Equal,
    AtLeast,
}

/// What a family of rows means, for messages, comments and the reference.
#[derive(Debug, PartialEq, Eq)]
pub struct Rule {
    /// First part of the names of its rows.
    pub id: &'static str,
    /// What each row says, as one sentence.
    pub sentence: &'static str,
    /// Unit of both sides.
    pub unit: &'static str,
}

/// A variable.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    pub name: String,
    pub lower: f64,
    pub upper: f64,
    pub integer: bool,
    /// Coefficient in the objective.
    pub objective: f64,
}

/// A constraint.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    pub name: String,
    /// The rule it comes from, if it comes from one.
    pub rule: Option<&'static Rule>,
    pub sense: Sense,
    pub rhs: f64,
    /// Ascending columns, each once, no zeros.
    pub terms: Terms,
}

impl Row {
    /// A row that comes from no rule and needs no name: for relaxations, never for files.
    pub fn unnamed(mut terms: Terms, sense: Sense, rhs: f64) -> Row {
        terms.sort_by_key(|(column, _)| *column);
        Row {
            name: String::new(),
            rule: None,
            sense,
            rhs,
            terms,
        }
    }
}

/// A programme: columns, rows, objective.
#[derive(Clone, Debug)]
pub struct Programme {
    pub name: String,
    pub goal: Goal,
    /// Part of the objective that no column changes.
    pub constant: f64,
    pub columns: Vec<Column>,
    pub rows: Vec<Row>,
    column_names: BTreeSet<String>,
    row_names: BTreeSet<String>,
}

impl Programme {
    /// An empty programme.
    pub fn new(name: &str, goal: Goal) -> Programme {
        Programme {
            name: legal(name),
            goal,
            constant: 0.0,
            columns: Vec::new(),
            rows: Vec::new(),
            column_names: BTreeSet::new(),
            row_names: BTreeSet::new(),
        }
    }

    /// Adds a continuous column. The parts of its name are made legal and joined with dots.
    pub fn column(
        &mut self,
        parts: &[&str],
        (lower, upper): (f64, f64),
        objective: f64,
    ) -> ColumnId {
        self.columns.push(Column {
            name: unique(&mut self.column_names, parts),
            lower,
            upper,
            integer: false,
            objective,
        });
        self.columns.len() - 1
    }

    /// Adds an integer column.
    pub fn integer(&mut self, parts: &[&str], bounds: (f64, f64), objective: f64) -> ColumnId {
        let column = self.column(parts, bounds, objective);
        self.columns[column].integer = true;
        column
    }

    /// Adds a row; terms of the same column are added up. A row without terms is not added
    /// when it holds, and is a fault of the caller when it does not.
    pub fn row(
        &mut self,
        rule: Option<&'static Rule>,
        parts: &[&str],
        mut terms: Terms,
        sense: Sense,
        rhs: f64,
    ) {
        terms.sort_by_key(|(column, _)| *column);
        terms.dedup_by(|next, kept| {
            let same = next.0 == kept.0;
            if same {
                kept.1 += next.1;
            }
            same
        });
        terms.retain(|(_, coefficient)| *coefficient != 0.0);
        if terms.is_empty() {
            let holds = match sense {
                Sense::AtMost => 0.0 <= rhs,
                Sense::Equal => rhs == 0.0,
                Sense::AtLeast => 0.0 >= rhs,
            };
            assert!(holds, "the row {parts:?} has no columns and cannot hold");
            return;
        }
        let name = match rule {
            Some(rule) => {
                let all: Vec<&str> = std::iter::once(rule.id)
                    .chain(parts.iter().copied())
                    .collect();
                unique(&mut self.row_names, &all)
            }
            None => unique(&mut self.row_names, parts),
        };
        self.rows.push(Row {
            name,
            rule,
            sense,
            rhs,
            terms,
        });
    }

    /// Smallest value the terms can take within the columns' bounds.
    pub fn least(&self, terms: &[(ColumnId, f64)]) -> f64 {
        let negated: Terms = terms.iter().map(|&(c, a)| (c, -a)).collect();
        -self.most(&negated)
    }

    /// Largest value the terms can take within the columns' bounds.
    pub fn most(&self, terms: &[(ColumnId, f64)]) -> f64 {
        terms
            .iter()
            .map(|&(column, coefficient)| {
                let column = &self.columns[column];
                if coefficient >= 0.0 {
                    coefficient * column.upper
                } else {
                    coefficient * column.lower
                }
            })
            .sum()
    }
}

/// Letters, digits and underscores only: legal in LP and MPS files.
fn legal(part: &str) -> String {
    part.chars()
        .map(|c| if c.is_ascii_alphanumeric() { c } else { '_' })
        .collect()
}

/// Joins the parts with dots, shortens, and adds a number where the name is taken.
fn unique(taken: &mut BTreeSet<String>, parts: &[&str]) -> String {
    let legal: Vec<String> = parts.iter().map(|p| legal(p)).collect();
    let mut name = legal.join(".");
    name.truncate(NAME_CHARS);
    let mut candidate = name.clone();
    let mut number = 2;
    while !taken.insert(candidate.clone()) {
        candidate = format!("{name}.{number}");
        number += 1;
    }
    candidate
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_legal_and_unique() {
        let mut programme = Programme::new("a b", Goal::Maximise);
        for _ in 0..3 {
            programme.column(&["x", "spring onion/1", "B 01"], (0.0, 1.0), 0.0);
        }
        let names: Vec<&str> = programme.columns.iter().map(|c| &*c.name).collect();
        assert_eq!(programme.name, "a_b");
        assert_eq!(
            names,
            [
                "x.spring_onion_1.B_01",
                "x.spring_onion_1.B_01.2",
                "x.spring_onion_1.B_01.3"
            ]
        );
    }

    #[test]
    fn terms_of_one_column_are_added_up() {
        let mut programme = Programme::new("t", Goal::Maximise);
        let a = programme.column(&["a"], (0.0, 2.0), 1.0);
        let b = programme.column(&["b"], (-1.0, 3.0), 1.0);
        programme.row(
            None,
            &["r"],
            vec![(b, 1.0), (a, 2.0), (b, -3.0)],
            Sense::AtMost,
            4.0,
        );
        assert_eq!(programme.rows[0].terms, [(a, 2.0), (b, -2.0)]);
        assert_eq!(programme.most(&programme.rows[0].terms), 6.0);
    }
}
