//! Monthly normals of a station.

/// Months in a year.
pub const MONTHS: usize = 12;

/// Twelve monthly normals of one weather station, January first.
#[derive(Clone, Debug, PartialEq)]
pub struct Climate {
    pub name: String,
    /// Degrees north, -66 to 66.
    pub latitude_deg: f64,
    pub elevation_m: f64,
    /// On or near a coast, where the daily range of temperature is small for the light.
    pub coastal: bool,
    /// Mean daily maximum, °C.
    pub tmax_c: [f64; MONTHS],
    /// Mean daily minimum, °C.
    pub tmin_c: [f64; MONTHS],
    /// Standard deviation of single nights' minima about the month's mean, °C.
    pub tmin_spread_c: [f64; MONTHS],
    /// Where the figures come from.
    pub source: String,
}

/// Whether a latitude, degrees north, is south of the equator, where the seasons come half a year later.
pub fn is_southern(latitude_deg: f64) -> bool {
    latitude_deg < 0.0
}
