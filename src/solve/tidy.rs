//! A programme made smaller before its relaxation is solved again and again: bounds that rows and use imply, and rows
//! that say nothing beside others. A best point at least is left.

use crate::programme::{Programme, Row, Sense};

/// Room for digits where a bound is rounded to whole numbers, and where rows are compared.
const DIGITS: f64 = 1e-9;
/// Times that bounds are implied from rows (estimate: the third changes next to nothing).
const ROUNDS: usize = 3;

/// Lowers the upper bounds of columns.
pub(super) fn lower_bounds(programme: &mut Programme) {
    for _ in 0..ROUNDS {
        let implied = implied(programme);
        for (column, most) in programme.columns.iter_mut().zip(implied) {
            let most = if column.integer {
                (most + DIGITS).floor()
            } else {
                most
            };
            column.upper = column.upper.min(most).max(column.lower);
        }
    }
    let useful = most_useful(programme);
    for (column, most) in programme.columns.iter_mut().zip(useful) {
        column.upper = column.upper.min(most).max(column.lower);
    }
}

/// What each row says of its columns, the others being as small as they may.
fn implied(programme: &Programme) -> Vec<f64> {
    let columns = &programme.columns;
    let mut upper: Vec<f64> = columns.iter().map(|c| c.upper).collect();
    for row in &programme.rows {
        for side in sides(row) {
            let least = |c: usize, a: f64| (a * columns[c].lower).min(a * columns[c].upper);
            let all: f64 = row.terms.iter().map(|&(c, a)| least(c, side * a)).sum();
            for &(column, a) in &row.terms {
                let a = side * a;
                if a > 0.0 {
                    let most = (side * row.rhs - (all - least(column, a))) / a;
                    if most.is_finite() {
                        upper[column] = upper[column].min(most);
                    }
                }
            }
        }
    }
    upper
}

/// Factors by which a row says "at most".
fn sides(row: &Row) -> &'static [f64] {
    match row.sense {
        Sense::AtMost => &[1.0],
        Sense::AtLeast => &[-1.0],
        Sense::Equal => &[1.0, -1.0],
    }
}

/// For each column, from where on more of it is useless. A whole column that earns nothing itself, and of which more only
/// helps some rows, need not be greater than where all of these hold whatever the other columns are: with less of it a
/// point that had more keeps all rows, and is worth no less.
fn most_useful(programme: &Programme) -> Vec<f64> {
    let columns = &programme.columns;
    let idle = |column: usize| columns[column].integer && columns[column].objective <= 0.0;
    let mut most: Vec<f64> = (0..columns.len())
        .map(|c| {
            if idle(c) {
                columns[c].lower
            } else {
                f64::INFINITY
            }
        })
        .collect();
    for row in &programme.rows {
        for &side in sides(row) {
            let greatest = |c: usize, a: f64| (a * columns[c].upper).max(a * columns[c].lower);
            let all: f64 = row.terms.iter().map(|&(c, a)| greatest(c, side * a)).sum();
            for &(column, a) in row.terms.iter().filter(|t| side * t.1 < 0.0) {
                let others = all - greatest(column, side * a);
                let need = (others - side * row.rhs) / a.abs();
                most[column] = most[column].max((need - DIGITS).ceil());
            }
        }
    }
    most
}

/// Which rows of a programme say something that no other one does alone. Of those that say the same the first stays.
pub(super) fn telling(programme: &Programme) -> Vec<bool> {
    let positive = |row: &Row| {
        let mut terms = row.terms.iter();
        row.sense == Sense::AtMost
            && row.rhs > 0.0
            && terms.all(|&(c, a)| a > 0.0 && programme.columns[c].lower >= 0.0)
    };
    let rows: Vec<usize> = (0..programme.rows.len())
        .filter(|&r| positive(&programme.rows[r]))
        .collect();
    let mut with = vec![Vec::new(); programme.columns.len()];
    for &row in &rows {
        for &(column, _) in &programme.rows[row].terms {
            with[column].push(row);
        }
    }
    let mut telling = vec![true; programme.rows.len()];
    for &row in &rows {
        let rarest = programme.rows[row].terms.iter().map(|t| t.0);
        let Some(rarest) = rarest.min_by_key(|&column| with[column].len()) else {
            continue;
        };
        let said = |&&other: &&usize| {
            let (this, that) = (&programme.rows[row], &programme.rows[other]);
            other != row
                && telling[other]
                && implies(that, this)
                && (other < row || !implies(this, that))
        };
        telling[row] = with[rarest].iter().find(said).is_none();
    }
    telling
}

/// Whether what one row says, scaled, says another one too. Both have positive entries only.
fn implies(that: &Row, this: &Row) -> bool {
    if that.terms.len() < this.terms.len() {
        return false;
    }
    let scale = this.rhs / that.rhs;
    let mut terms = that.terms.iter();
    (this.terms.iter()).all(|&(column, a)| {
        let found = terms.find(|t| t.0 >= column);
        found.is_some_and(|&(c, b)| c == column && a <= scale * b * (1.0 + DIGITS * 1e-3))
    })
}

#[cfg(test)]
mod tests {
    //! Against microlp's optimum of the whole programme.

    use super::*;
    use crate::programme::{Form, Goal, lay_out};
    use crate::solve::linear::{Limits, solve};
    use bedweek::test_season::{SeasonOptions, random_season};

    #[test]
    fn a_programme_made_smaller_has_the_same_best_worth() {
        let mut lowered = 0;
        for seed in 0..10 {
            let season = random_season(seed, 2, 2, 8, 44, SeasonOptions::small());
            let (whole, _) = lay_out(&season, Form::Bed, &|_| true);
            let mut smaller = whole.clone();
            lower_bounds(&mut smaller);
            let telling = telling(&smaller);
            let mut told = telling.iter();
            smaller
                .rows
                .retain(|_| *told.next().expect("one for each row"));
            let [best, again] = [&whole, &smaller].map(|p| {
                let solved = solve(p, Limits::default(), None).expect("idle ground is a plan");
                solved.check.objective
            });
            let near = 1e-6 * best.abs().max(1.0);
            assert!((best - again).abs() < near, "seed {seed}: {best} {again}");
            let columns = whole.columns.iter().zip(&smaller.columns);
            lowered += columns.filter(|(a, b)| b.upper < a.upper).count();
        }
        assert!(lowered > 0);
    }

    #[test]
    fn of_rows_that_say_the_same_the_first_stays() {
        let mut p = Programme::new("rows", Goal::Maximise);
        let x = p.integer(&["x"], (0.0, 9.0), 1.0);
        let y = p.integer(&["y"], (0.0, 9.0), 1.0);
        let rows = [
            (vec![(x, 1.0), (y, 2.0)], Sense::AtMost, 4.0),
            // The first one doubled, a part of it, one that says more, and one of another kind.
            (vec![(x, 2.0), (y, 4.0)], Sense::AtMost, 8.0),
            (vec![(y, 1.0)], Sense::AtMost, 2.0),
            (vec![(x, 1.0), (y, 1.0)], Sense::AtMost, 3.0),
            (vec![(x, 1.0)], Sense::AtLeast, 1.0),
        ];
        for (terms, sense, right) in rows {
            p.row(None, &["r"], terms, sense, right);
        }
        assert_eq!(telling(&p), [true, false, false, true, true]);
    }
}
