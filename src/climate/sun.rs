//! Geometry of the sun and the light it sends: FAO Irrigation and Drainage Paper 56
//! (Allen, Pereira, Raes & Smith 1998), chapter 3. Angles in radians, day of the year from 1.
//!
//! Day length here is from centre to centre of the sun without refraction, as FAO-56 has it:
//! some ten minutes shorter than from upper limb to upper limb through the air.

use std::f64::consts::PI;

/// Solar constant, MJ m⁻² min⁻¹ (FAO-56, below Eq. 21).
pub const SOLAR_CONSTANT: f64 = 0.0820;
/// Days in the year of FAO-56 Eqs 23 and 24.
const YEAR_DAYS: f64 = 365.0;
/// Minutes in a day.
const DAY_MINUTES: f64 = 24.0 * 60.0;

/// Inverse relative distance from earth to sun (FAO-56 Eq. 23).
pub fn inverse_distance(day_of_year: u32) -> f64 {
    1.0 + 0.033 * (2.0 * PI / YEAR_DAYS * f64::from(day_of_year)).cos()
}

/// Declination of the sun, rad (FAO-56 Eq. 24).
pub fn declination(day_of_year: u32) -> f64 {
    0.409 * (2.0 * PI / YEAR_DAYS * f64::from(day_of_year) - 1.39).sin()
}

/// Hour angle of sunset, rad (FAO-56 Eq. 25); 0 in polar night, pi under the midnight sun.
pub fn sunset_hour_angle(latitude: f64, day_of_year: u32) -> f64 {
    (-latitude.tan() * declination(day_of_year).tan())
        .clamp(-1.0, 1.0)
        .acos()
}

/// Day length, hours (FAO-56 Eq. 34).
pub fn day_length_h(latitude: f64, day_of_year: u32) -> f64 {
    24.0 / PI * sunset_hour_angle(latitude, day_of_year)
}

/// Radiation on a level surface outside the atmosphere, MJ m⁻² d⁻¹ (FAO-56 Eq. 21).
pub fn extraterrestrial_mj(latitude: f64, day_of_year: u32) -> f64 {
    let (delta, omega) = (
        declination(day_of_year),
        sunset_hour_angle(latitude, day_of_year),
    );
    DAY_MINUTES / PI
        * SOLAR_CONSTANT
        * inverse_distance(day_of_year)
        * (omega * latitude.sin() * delta.sin() + latitude.cos() * delta.cos() * omega.sin())
}

/// Radiation under a cloudless sky, MJ m⁻² d⁻¹ (FAO-56 Eq. 37).
pub fn clear_sky_mj(extraterrestrial_mj: f64, elevation_m: f64) -> f64 {
    (0.75 + 2e-5 * elevation_m) * extraterrestrial_mj
}

/// Radiation from hours of bright sunshine, MJ m⁻² d⁻¹ (FAO-56 Eq. 35, Ångström, with
/// a = 0.25 and b = 0.50).
pub fn from_sunshine_mj(extraterrestrial_mj: f64, sunshine_h: f64, day_length_h: f64) -> f64 {
    (0.25 + 0.50 * sunshine_h / day_length_h) * extraterrestrial_mj
}

/// Radiation from the daily range of temperature, MJ m⁻² d⁻¹ (FAO-56 Eq. 50, Hargreaves), never
/// above that of a cloudless sky. `coefficient`: 0.16 inland, 0.19 at the coast, °C^-½.
pub fn from_range_mj(
    coefficient: f64,
    extraterrestrial_mj: f64,
    tmax_c: f64,
    tmin_c: f64,
    elevation_m: f64,
) -> f64 {
    let range = (tmax_c - tmin_c).max(0.0);
    (coefficient * range.sqrt() * extraterrestrial_mj)
        .min(clear_sky_mj(extraterrestrial_mj, elevation_m))
}
