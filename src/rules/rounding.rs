//! Mixed-integer rounding (Nemhauser & Wolsey 1990): from `sum A_p x_p + s >= D` with whole `x_p` and `s` at least
//! nothing, for a divisor `delta` and `r = D/delta - floor(D/delta)`, follows
//!
//! `sum (floor(A_p/delta) + min(1, frac(A_p/delta)/r)) x_p + s/(r delta) >= ceil(D/delta)`.

/// Smallest remainder `r` used: smaller ones give badly scaled rows (estimate).
pub const LEAST_REMAINDER: f64 = 0.02;

/// A divisor against what is asked for.
#[derive(Clone, Copy, Debug)]
pub struct Scale {
    divisor: f64,
    remainder: f64,
    /// `r delta`, the food's unit.
    pub units: f64,
    /// `ceil(D / delta)`.
    pub up: f64,
}

impl Scale {
    /// For `most` and a divisor above nothing; `None` where the remainder is too small for a useful row.
    pub fn of(most: f64, divisor: f64) -> Option<Scale> {
        let ratio = most / divisor;
        let remainder = if divisor >= most {
            ratio
        } else {
            ratio - ratio.floor()
        };
        (remainder >= LEAST_REMAINDER).then(|| Scale {
            divisor,
            remainder,
            units: remainder * divisor,
            up: ratio.ceil(),
        })
    }

    /// What a strip that gives so much counts for.
    pub fn coefficient(&self, units: f64) -> f64 {
        let parts = units / self.divisor;
        parts.floor() + ((parts - parts.floor()) / self.remainder).min(1.0)
    }
}
