//! Units of time used everywhere: the ISO week and the week of the year.
//!
//! Every other quantity is an `f64` whose unit stands at the end of its name
//! (`length_m`, `tmax_c`, `cost_money`), so that no unit is ever implied.

mod week;

pub use week::{Week, WeekOfYear, WeeksOfYear};
