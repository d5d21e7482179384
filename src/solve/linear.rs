//! Hands a programme to microlp through good_lp and checks what comes back.
//!
//! The only file that names the two libraries. Names stay in our own table; the point is checked
//! against the programme in our own arithmetic before anybody sees it.

use crate::programme::{Check, Column, ColumnId, Goal, Programme, Sense, check};
use good_lp::{Expression, ProblemVariables, SolverModel, variable};
use std::rc::Rc;
use std::time::Duration;

/// Largest violation of a bound, a row or integrality that is taken as kept, relative to the
/// size of the numbers in it: a hundred times microlp's own tolerance of 1e-7, for it measures
/// rows after scaling them.
pub const TOLERANCE: f64 = 1e-5;

/// When to stop.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Limits {
    /// Clock limit, seconds.
    pub seconds: Option<f64>,
    /// Nodes of branch and bound, root not counted (deterministic).
    pub nodes: Option<u64>,
    /// Relative gap at which to stop.
    pub gap: f64,
}

/// How a solve ended that returns a point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ended {
    /// No point is better.
    Optimal,
    /// The gap asked for was reached.
    WithinGap,
    /// A limit was reached.
    Limit,
}

/// Why there is no point.
#[derive(Clone, Debug, PartialEq)]
pub enum NoPoint {
    Infeasible,
    Unbounded,
    /// A limit was reached before any point was found.
    Limit,
    /// The solver gave up, in its own words.
    Failed(String),
    /// The solver's point does not keep the programme.
    Wrong(Check),
}

/// A point that keeps the programme.
#[derive(Clone, Debug, PartialEq)]
pub struct Solved {
    pub ended: Ended,
    /// One value for each column; integer columns hold whole numbers.
    pub point: Vec<f64>,
    pub check: Check,
    /// Best bound the solver claims (it is not checked here).
    pub bound: f64,
    pub nodes: u64,
    /// Simplex pivots.
    pub pivots: u64,
}

/// Solves the programme; `start` may be a point to begin from (ignored when it does not fit).
///
/// # Errors
/// [`NoPoint`] says why there is no point.
pub fn solve(
    programme: &Programme,
    limits: Limits,
    start: Option<&[f64]>,
) -> Result<Solved, NoPoint> {
    let problem = hand_over(programme);
    let mut options = microlp::SolveOptions::default();
    options.time_limit = limits.seconds.map(Duration::from_secs_f64);
    options.node_limit = limits.nodes;
    options.mip_gap = limits.gap;
    options.warm_start =
        start.map(|point| handles(point.len()).zip(point.iter().copied()).collect());
    let outcome = problem.solve_with(options).map_err(no_point)?;
    let stats = outcome.stats();
    let ended = match outcome.termination_reason() {
        microlp::TerminationReason::ProvenOptimal => Ended::Optimal,
        microlp::TerminationReason::MipGap => Ended::WithinGap,
        _ => Ended::Limit,
    };
    let solution = outcome.into_solution().map_err(|_| NoPoint::Limit)?;
    let point: Vec<f64> = solution.iter().map(|(_, value)| value).collect();
    let check = check(programme, &point);
    if check.violation() > TOLERANCE * scale(programme) {
        return Err(NoPoint::Wrong(check));
    }
    let bound = match stats.best_bound {
        Some(bound) if ended != Ended::Optimal => bound + programme.constant,
        _ => check.objective,
    };
    Ok(Solved {
        ended,
        point,
        check,
        bound,
        nodes: stats.nodes_solved,
        pivots: stats.lp_iterations,
    })
}

/// Size of the largest right-hand side, at least one.
fn scale(programme: &Programme) -> f64 {
    programme
        .rows
        .iter()
        .map(|row| row.rhs.abs())
        .fold(1.0, f64::max)
}

fn no_point(error: microlp::Error) -> NoPoint {
    match error {
        microlp::Error::Infeasible => NoPoint::Infeasible,
        microlp::Error::Unbounded => NoPoint::Unbounded,
        other => NoPoint::Failed(other.to_string()),
    }
}

/// The columns' names in microlp: it numbers them as they are added.
fn handles(count: usize) -> impl Iterator<Item = microlp::Variable> {
    let mut numbered = microlp::Problem::new(microlp::OptimizationDirection::Maximize);
    (0..count).map(move |_| numbered.add_var(0.0, (0.0, 0.0)))
}

/// The programme as microlp's problem, columns in our order.
fn hand_over(programme: &Programme) -> microlp::Problem {
    let mut variables = ProblemVariables::new();
    let columns: Vec<good_lp::Variable> = programme
        .columns
        .iter()
        .map(|column| {
            let definition = variable().min(column.lower).max(column.upper);
            variables.add(if column.integer {
                definition.integer()
            } else {
                definition
            })
        })
        .collect();
    let sum = |terms: &mut dyn Iterator<Item = (usize, f64)>| {
        let mut sum = Expression::with_capacity(terms.size_hint().0);
        for (column, coefficient) in terms {
            sum.add_mul(coefficient, columns[column]);
        }
        sum
    };
    let mut objective = programme.columns.iter().map(|c| c.objective).enumerate();
    let objective = sum(&mut objective);
    let unsolved = match programme.goal {
        Goal::Maximise => variables.maximise(objective),
        Goal::Minimise => variables.minimise(objective),
    };
    let mut model = unsolved.using(good_lp::microlp);
    for row in &programme.rows {
        let left = sum(&mut row.terms.iter().copied());
        model.add_constraint(match row.sense {
            Sense::AtMost => left.leq(row.rhs),
            Sense::Equal => left.eq(row.rhs),
            Sense::AtLeast => left.geq(row.rhs),
        });
    }
    model.as_inner().clone()
}

/// A solved relaxation (integer columns taken as continuous) that can be solved again with
/// columns fixed, from where it stands.
#[derive(Clone)]
pub struct Relaxation {
    solution: microlp::Solution,
    columns: Rc<[Handle]>,
    constant: f64,
}

/// Where a column of ours went.
#[derive(Clone, Copy)]
enum Handle {
    Free(microlp::Variable),
    /// Its bounds are equal: the solver never sees it.
    Fixed(f64),
}

impl Relaxation {
    /// Solves the relaxation of a programme, in so many `seconds` at the most; solving it again takes no longer
    /// each time.
    ///
    /// # Errors
    /// [`NoPoint`] says why there is none.
    pub fn new(programme: &Programme, seconds: Option<f64>) -> Result<Relaxation, NoPoint> {
        let (relaxed, kept) = without_fixed(programme);
        let mut problem = hand_over(&relaxed);
        // What is too long for the clock's own figures is no limit.
        if let Some(limit) = seconds.and_then(|s| Duration::try_from_secs_f64(s).ok()) {
            problem.set_time_limit(limit);
        }
        let solution = problem
            .solve()
            .map_err(no_point)?
            .into_solution()
            .map_err(|_| NoPoint::Limit)?;
        let variables: Vec<microlp::Variable> = solution.iter().map(|(v, _)| v).collect();
        let columns = programme.columns.iter().zip(kept);
        Ok(Relaxation {
            columns: columns
                .map(|(column, kept)| {
                    kept.map_or(Handle::Fixed(column.lower), |n| Handle::Free(variables[n]))
                })
                .collect(),
            solution,
            constant: relaxed.constant,
        })
    }

    /// The same with one more column fixed.
    ///
    /// # Errors
    /// [`NoPoint::Infeasible`] when nothing is left.
    pub fn fixed(&self, column: ColumnId, value: f64) -> Result<Relaxation, NoPoint> {
        let variable = match self.columns[column] {
            Handle::Free(variable) => variable,
            Handle::Fixed(at) if at == value => return Ok(self.clone()),
            Handle::Fixed(_) => return Err(NoPoint::Infeasible),
        };
        let solution = self
            .solution
            .clone()
            .fix_var(variable, value)
            .map_err(no_point)?
            .into_solution()
            .map_err(|_| NoPoint::Limit)?;
        Ok(Relaxation {
            solution,
            columns: self.columns.clone(),
            constant: self.constant,
        })
    }

    /// Value of the objective, constant included.
    pub fn objective(&self) -> f64 {
        self.solution.objective() + self.constant
    }

    /// Value of a column.
    pub fn value(&self, column: ColumnId) -> f64 {
        match self.columns[column] {
            Handle::Free(variable) => self.solution.var_value_raw(variable),
            Handle::Fixed(at) => at,
        }
    }

    /// Values of all columns.
    pub fn point(&self) -> Vec<f64> {
        (0..self.columns.len()).map(|c| self.value(c)).collect()
    }
}

/// The relaxation without columns whose bounds are equal and rows that then always hold, and
/// where each column went.
fn without_fixed(programme: &Programme) -> (Programme, Vec<Option<ColumnId>>) {
    let mut relaxed = Programme::new(&programme.name, programme.goal);
    relaxed.constant = programme.constant;
    let mut kept = Vec::new();
    for column in &programme.columns {
        if column.lower < column.upper {
            relaxed.columns.push(Column {
                integer: false,
                ..column.clone()
            });
            kept.push(Some(relaxed.columns.len() - 1));
        } else {
            relaxed.constant += column.objective * column.lower;
            kept.push(None);
        }
    }
    for row in &programme.rows {
        let mut row = row.clone();
        let mut rhs = row.rhs;
        row.terms = std::mem::take(&mut row.terms)
            .into_iter()
            .filter_map(|(column, coefficient)| {
                if kept[column].is_none() {
                    rhs -= coefficient * programme.columns[column].lower;
                }
                kept[column].map(|n| (n, coefficient))
            })
            .collect();
        row.rhs = rhs;
        let always = match row.sense {
            Sense::AtMost => relaxed.most(&row.terms) <= rhs,
            Sense::AtLeast => relaxed.least(&row.terms) >= rhs,
            Sense::Equal => row.terms.is_empty() && rhs.abs() <= TOLERANCE,
        };
        if !always {
            relaxed.rows.push(row);
        }
    }
    (relaxed, kept)
}
