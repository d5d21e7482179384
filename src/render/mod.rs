//! A plan in its written forms: YAML for programs and for `verify`, text for a terminal, HTML
//! pages, SVG charts, calendar of jobs and tables. None knows where it is written to.

mod almanac;
mod cautions;
mod csv;
mod experience;
mod html;
mod ics;
mod jobs;
mod level;
mod rows;
mod select;
mod sides;
mod svg;
mod text;
mod turns;
mod words;
mod yaml;

pub use almanac::{Warning, almanac_picture, almanac_text, almanac_yaml, warnings};
pub use csv::{Table, table};
pub use experience::experience;
pub use html::{
    compare as comparison_page, plan as page, replan as repair_page, worth as worth_page,
};
pub use ics::calendar as job_calendar;
pub use jobs::{Job, Kind, Place, jobs};
pub use level::{LevelWeek, level};
pub use select::Selection;
pub use svg::files as charts;
pub use text::{
    clash, comparison, ending, history, replanned, report, report_part, why_not, why_short,
    worth_of_more,
};
pub use yaml::{plain, read, write};
