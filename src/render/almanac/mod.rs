//! The almanac in its written forms: text for a terminal, YAML for programs, a picture of weeks.

mod entry;
mod hopeless;
mod picture;
mod text;
mod yaml;

pub use hopeless::{Warning, warnings};
pub use picture::picture as almanac_picture;
pub use text::calendar as almanac_text;
pub use yaml::calendar as almanac_yaml;
