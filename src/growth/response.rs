//! How fast plants grow, and seeds come up, in one day's weather.

use crate::climate::Weather;
use crate::domain::Thermal;
use std::f64::consts::PI;

/// Instants of the day at which the response to warmth is taken; the day's course is a cosine
/// between minimum and maximum, so these cover half of it evenly.
const INSTANTS: usize = 6;
/// Above `ceiling - this` emergence slows, to stop at the ceiling, °C (estimate).
const EMERGENCE_FALL_C: f64 = 5.0;

/// Response of growth to temperature, 0 to 1: the beta function of Yan & Hunt 1999 (Annals of
/// Botany 84, 607-614), 0 at base and ceiling, 1 at the optimum.
pub fn warmth(thermal: &Thermal, temperature_c: f64) -> f64 {
    let Thermal {
        base_c,
        optimum_c,
        ceiling_c,
        ..
    } = *thermal;
    if temperature_c <= base_c || temperature_c >= ceiling_c {
        return 0.0;
    }
    let (rise, fall) = (optimum_c - base_c, ceiling_c - optimum_c);
    (ceiling_c - temperature_c) / fall * ((temperature_c - base_c) / rise).powf(rise / fall)
}

/// Response of growth to light, 0 to 1: `1 - 2^(-light / half)` (Mitscherlich's law of
/// diminishing returns, written with the light at half response).
pub fn light(thermal: &Thermal, light_mj: f64) -> f64 {
    1.0 - (-light_mj.max(0.0) / thermal.half_light_mj).exp2()
}

/// Growth units gathered in a day: the mean response to warmth over the day's course times the
/// response to light.
pub fn growth_units(thermal: &Thermal, weather: &Weather) -> f64 {
    mean_over_day(weather, |t| warmth(thermal, t)) * light(thermal, weather.light_mj)
}

/// Rate towards emergence at a temperature, °C: degrees above the base, falling to nothing
/// within the last degrees below the ceiling.
pub fn emergence_rate_c(thermal: &Thermal, temperature_c: f64) -> f64 {
    let base_c = thermal.emergence_base_c;
    let knee_c = thermal.ceiling_c - EMERGENCE_FALL_C;
    let fall = (knee_c - base_c) / EMERGENCE_FALL_C;
    (temperature_c - base_c)
        .min((thermal.ceiling_c - temperature_c) * fall)
        .max(0.0)
}

/// Thermal time towards emergence gathered in a day, °C d.
pub fn emergence_cd(thermal: &Thermal, weather: &Weather) -> f64 {
    mean_over_day(weather, |t| emergence_rate_c(thermal, t))
}

/// Mean of a response over the day's course.
fn mean_over_day(weather: &Weather, response: impl Fn(f64) -> f64) -> f64 {
    let middle = (weather.tmax_c + weather.tmin_c) / 2.0;
    let swing = (weather.tmax_c - weather.tmin_c) / 2.0;
    (0..INSTANTS)
        .map(|i| {
            let phase = PI * (i as f64 + 0.5) / INSTANTS as f64;
            response(middle + swing * phase.cos())
        })
        .sum::<f64>()
        / INSTANTS as f64
}
