//! Sets of weeks.

/// Weeks told by one word.
const WORD_WEEKS: usize = 64;
/// Words enough for the longest horizon: 104 planned weeks and a tail of 52 (`input/tables/scenario.rs`).
const WORDS: usize = 3;

/// A set of weeks of the horizon.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct WeekSet([u64; WORDS]);

impl WeekSet {
    /// Puts a week in or takes it out.
    pub fn set(&mut self, week: usize, there: bool) {
        let bit = 1 << (week % WORD_WEEKS);
        let word = &mut self.0[week / WORD_WEEKS];
        if there {
            *word |= bit;
        } else {
            *word &= !bit;
        }
    }

    /// Whether a week is in the set.
    pub fn has(self, week: usize) -> bool {
        self.0[week / WORD_WEEKS] >> (week % WORD_WEEKS) & 1 == 1
    }

    /// Whether no week is in it.
    pub fn is_empty(self) -> bool {
        self.0 == [0; WORDS]
    }

    /// Whether any week is in both.
    pub fn meets(self, other: WeekSet) -> bool {
        self.0
            .iter()
            .zip(other.0)
            .any(|(one, other)| one & other != 0)
    }

    /// For a week and all after it, whether they are in the set.
    pub fn flags(self, from: usize) -> impl Iterator<Item = bool> {
        (from..WORDS * WORD_WEEKS).map(move |week| self.has(week))
    }

    /// The weeks, in order.
    pub fn iter(self) -> impl Iterator<Item = usize> {
        self.0.into_iter().enumerate().flat_map(|(word, mut rest)| {
            std::iter::from_fn(move || {
                let next = (rest != 0).then(|| word * WORD_WEEKS + rest.trailing_zeros() as usize);
                rest &= rest.wrapping_sub(1);
                next
            })
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    /// As a general set of numbers holds them, in the longest horizon that a scenario may have.
    #[test]
    fn weeks_of_the_longest_horizon() {
        const LAST: usize = 155;
        let (mut set, mut other) = (WeekSet::default(), BTreeSet::new());
        for n in 0..400 {
            let week = n * 53 % (LAST + 1);
            set.set(week, n % 3 > 0);
            if n % 3 > 0 {
                other.insert(week);
            } else {
                other.remove(&week);
            }
            assert!(set.iter().eq(other.iter().copied()));
            assert_eq!(set.is_empty(), other.is_empty());
            let has = |week: usize| other.contains(&week);
            assert!((0..=LAST).all(|week| set.has(week) == has(week)));
            assert!(
                (week..=LAST)
                    .zip(set.flags(week))
                    .all(|(week, there)| there == has(week))
            );
            let mut alone = WeekSet::default();
            alone.set(week, true);
            assert_eq!(set.meets(alone), has(week));
        }
    }
}
