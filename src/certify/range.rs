//! Ranges of numbers, rounded outward: whatever the exact result of a sum is, the range holds it.
//!
//! Every operation is done in doubles, rounded to nearest by IEEE 754, and then moved out by one step,
//! which is more than the half step that rounding can be off.

use std::ops::{Add, AddAssign, Mul, Sub, SubAssign};

/// A number known to lie between two doubles, both included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    pub low: f64,
    pub high: f64,
}

impl Range {
    /// Nothing.
    pub const ZERO: Range = Range::exact(0.0);

    /// A double taken as it stands.
    pub const fn exact(value: f64) -> Range {
        Range {
            low: value,
            high: value,
        }
    }

    fn around(low: f64, high: f64) -> Range {
        Range {
            low: low.next_down(),
            high: high.next_up(),
        }
    }

    /// The number or 0, whichever is greater.
    pub fn or_nothing(self) -> Range {
        self.max(Range::ZERO)
    }

    /// The greater of two numbers.
    pub fn max(self, other: Range) -> Range {
        Range {
            low: self.low.max(other.low),
            high: self.high.max(other.high),
        }
    }

    /// The smaller of two numbers.
    pub fn min(self, other: Range) -> Range {
        Range {
            low: self.low.min(other.low),
            high: self.high.min(other.high),
        }
    }

    /// Divided by a double above 0.
    pub fn over(self, divisor: f64) -> Range {
        Range::around(self.low / divisor, self.high / divisor)
    }

    /// Divided by a number above 0.
    pub fn through(self, divisor: Range) -> Range {
        let ends = [
            self.low / divisor.low,
            self.low / divisor.high,
            self.high / divisor.low,
            self.high / divisor.high,
        ];
        let (low, high) = hull(&ends);
        Range::around(low, high)
    }
}

fn hull(ends: &[f64; 4]) -> (f64, f64) {
    let low = ends.iter().copied().fold(f64::INFINITY, f64::min);
    let high = ends.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    (low, high)
}

impl Add for Range {
    type Output = Range;
    fn add(self, other: Range) -> Range {
        Range::around(self.low + other.low, self.high + other.high)
    }
}

impl Sub for Range {
    type Output = Range;
    fn sub(self, other: Range) -> Range {
        Range::around(self.low - other.high, self.high - other.low)
    }
}

impl Mul for Range {
    type Output = Range;
    fn mul(self, other: Range) -> Range {
        let ends = [
            self.low * other.low,
            self.low * other.high,
            self.high * other.low,
            self.high * other.high,
        ];
        let (low, high) = hull(&ends);
        Range::around(low, high)
    }
}

impl Mul<f64> for Range {
    type Output = Range;
    fn mul(self, other: f64) -> Range {
        self * Range::exact(other)
    }
}

impl AddAssign for Range {
    fn add_assign(&mut self, other: Range) {
        *self = *self + other;
    }
}

impl SubAssign for Range {
    fn sub_assign(&mut self, other: Range) {
        *self = *self - other;
    }
}

#[cfg(test)]
mod tests {
    use super::Range;
    use proptest::prelude::*;

    /// A whole number of 2^-40, which sums and products of two keep exactly in 128 bits.
    fn exact(whole: i64) -> f64 {
        whole as f64 * 2f64.powi(-40)
    }

    proptest! {
        // Against exact arithmetic in whole numbers.
        #[test]
        fn ranges_hold_the_exact_sum_and_product(a in -(1i64 << 50)..(1 << 50), b in -(1i64 << 50)..(1 << 50)) {
            let (x, y) = (Range::exact(exact(a)), Range::exact(exact(b)));
            let sum = x + y;
            let scale = 2f64.powi(40);
            prop_assert!(sum.low * scale <= (a + b) as f64 && (a + b) as f64 <= sum.high * scale);
            let product = x * y;
            let whole = i128::from(a) * i128::from(b);
            // The ends, in units of 2^-80, rounded away from the product.
            let low = (product.low * scale * scale).floor() as i128;
            let high = (product.high * scale * scale).ceil() as i128;
            prop_assert!(low <= whole && whole <= high);
        }
    }

    #[test]
    fn a_tenth_ten_times_is_within_the_range_of_its_sum() {
        let mut sum = Range::ZERO;
        for _ in 0..10 {
            sum += Range::exact(1.0).over(10.0);
        }
        assert!(sum.low < 1.0 && 1.0 < sum.high && sum.high - sum.low < 1e-14);
    }
}
