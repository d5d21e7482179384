//! A plan in its written forms, one file each: YAML for programs and for `verify`, text for a
//! terminal. Neither knows where it is written to.

mod calendar;
mod text;
mod yaml;

pub use calendar::{calendar_text, calendar_yaml};
pub use text::{comparison, ending, report, why_not, why_short, worth_of_more};
pub use yaml::{plain, read, write};
