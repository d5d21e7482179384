//! The agreement of the growth model with published calendars and tables: the comparison and the
//! page that shows it. Used through `#[path]` beside `table`.

pub mod days;
pub mod figures;
pub mod page;
pub mod published;
pub mod sowing;
pub mod station;
pub mod table;
