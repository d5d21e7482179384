//! Sets of weeks.

/// A set of weeks of the horizon, which is no longer than 104 weeks (`input/tables/scenario.rs`).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct WeekSet(u128);

impl WeekSet {
    /// Puts a week in or takes it out.
    pub fn set(&mut self, week: usize, there: bool) {
        let bit = 1 << week;
        if there {
            self.0 |= bit;
        } else {
            self.0 &= !bit;
        }
    }

    /// Whether a week is in the set.
    pub fn has(self, week: usize) -> bool {
        self.0 >> week & 1 == 1
    }

    /// Whether no week is in it.
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// Whether any week is in both.
    pub fn meets(self, other: WeekSet) -> bool {
        self.0 & other.0 != 0
    }

    /// For a week and all after it, whether they are in the set.
    pub fn flags(self, from: usize) -> impl Iterator<Item = bool> {
        let mut rest = self.0 >> from;
        std::iter::from_fn(move || {
            let there = rest & 1 == 1;
            rest >>= 1;
            Some(there)
        })
    }

    /// The weeks, in order.
    pub fn iter(self) -> impl Iterator<Item = usize> {
        let mut rest = self.0;
        std::iter::from_fn(move || {
            let next = (rest != 0).then(|| rest.trailing_zeros() as usize);
            rest &= rest.wrapping_sub(1);
            next
        })
    }
}
