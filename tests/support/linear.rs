//! Hands a programme to microlp through good_lp and checks what comes back.
//!
//! The only file that names the two libraries. Names stay in our own table; the point is checked
//! against the programme in our own arithmetic before anybody sees it.

use bedweek::programme::{Check, Goal, Programme, Sense, check};
use good_lp::{Expression, ProblemVariables, SolverModel, variable};
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
