//! From monthly normals to days: warmth, frost risk, day length and light, in the open, in the
//! polytunnel, under covers and on the raising shelf.
//!
//! `sky` turns the normals of a station into days, `sun` holds the geometry of the sun (FAO-56),
//! `place` changes the open air's weather into that of a place. How plants respond is left to
//! `growth`.

mod place;
mod sky;
pub mod sun;

pub use place::{Place, weather_at, weather_on_shelf};
pub use sky::{Sky, Weather, YEAR_DAYS, date_of_index, day_index};
