//! Runs of weeks in the ring of a year.

use crate::units::{Week, WeekOfYear};
use std::fmt;

/// Weeks `from..=to` of the year; may run over its turn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Window {
    pub from: WeekOfYear,
    pub to: WeekOfYear,
}

impl fmt::Display for Window {
    /// `W09-W16`, or `W09` alone.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.from == self.to {
            write!(f, "{}", self.from)
        } else {
            write!(f, "{}-{}", self.from, self.to)
        }
    }
}

/// The unbroken runs of flagged weeks in a ring: `weeks` are those of one year in the order of
/// their numbers, the first follows the last. A run over the turn of the year comes last.
pub fn windows(weeks: &[Week], flagged: impl Fn(usize) -> bool) -> Vec<Window> {
    let count = weeks.len();
    let window = |from: usize, to: usize| Window {
        from: weeks[from].of_year(),
        to: weeks[to].of_year(),
    };
    let Some(gap) = (0..count).find(|&i| !flagged(i)) else {
        return if count == 0 {
            Vec::new()
        } else {
            vec![window(0, count - 1)]
        };
    };
    let mut found: Vec<(usize, usize)> = Vec::new();
    let mut open: Option<usize> = None;
    // Once around from a gap to the same gap, so that no run is cut.
    for step in 1..=count {
        let index = (gap + step) % count;
        match (open, flagged(index)) {
            (None, true) => open = Some(index),
            (Some(from), false) => {
                found.push((from, (index + count - 1) % count));
                open = None;
            }
            _ => {}
        }
    }
    found.sort_unstable();
    found
        .into_iter()
        .map(|(from, to)| window(from, to))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_go_round_the_turn_of_the_year() {
        let weeks: Vec<Week> = (1..=52).map(|n| Week::from_iso(2027, n).unwrap()).collect();
        let of = |numbers: &[usize]| {
            let texts: Vec<String> = windows(&weeks, |i| numbers.contains(&(i + 1)))
                .iter()
                .map(Window::to_string)
                .collect();
            texts.join(" ")
        };
        assert_eq!(of(&[]), "");
        assert_eq!(of(&[5]), "W05");
        assert_eq!(of(&[1, 2, 10, 11, 12, 51, 52]), "W10-W12 W51-W02");
        assert_eq!(of(&(1..=52).collect::<Vec<_>>()), "W01-W52");
        assert_eq!(of(&[1, 52]), "W52-W01");
    }
}
