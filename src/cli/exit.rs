//! What the exit code says.

use std::process::ExitCode;

/// The outcome of a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Exit {
    /// 0: what was asked is done; `plan`: within the gap asked for.
    Done,
    /// 1: proven impossible: what stands at the start cannot even be cleared within the work to hand,
    /// or floors that are musts clash. Nothing else is: a year in which nothing is planted and every
    /// other floor is missed is a plan too.
    Impossible,
    /// 2: bad input or usage, or a file that cannot be read or written.
    Input,
    /// 3: a limit was reached, or the user stopped the search; a plan is given.
    Limit,
    /// 4: no plan was found within the work to hand or that keeps every must, and it is not proven
    /// that there is none.
    NoPlan,
    /// 5: a plan does not hold (`verify`), or the program made one that does not (`plan`, an
    /// internal fault: no plan is given).
    Fault,
}

impl Exit {
    /// The number.
    pub fn code(self) -> u8 {
        match self {
            Exit::Done => 0,
            Exit::Impossible => 1,
            Exit::Input => 2,
            Exit::Limit => 3,
            Exit::NoPlan => 4,
            Exit::Fault => 5,
        }
    }
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> ExitCode {
        ExitCode::from(exit.code())
    }
}
