//! Tolerances, and comparisons that also catch what is not a number.

/// Amounts and money agree if they differ by less than this, or this share of their size.
const TOLERANCE: f64 = 1e-6;

fn slack(size: f64) -> f64 {
    TOLERANCE * size.abs().max(1.0)
}

/// Whether `amount` is above `limit`, or not a number.
pub fn exceeds(amount: f64, limit: f64) -> bool {
    amount.is_nan() || limit.is_nan() || amount > limit + slack(limit)
}

/// Whether two amounts differ, or one is not a number.
pub fn differ(a: f64, b: f64) -> bool {
    exceeds(a, b) || exceeds(b, a)
}

/// An amount in a sentence.
pub fn say(amount: f64) -> String {
    let text = format!("{amount:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}
