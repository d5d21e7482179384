//! Weather of a place: the polytunnel, a cover on a bed (inside it or out), the raising shelf.

use super::sky::{Sky, Weather};
use crate::domain::{CoverId, Scenario, Surroundings};
use chrono::NaiveDate;

/// Where a planting is in a week.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Inside the polytunnel.
    pub inside: bool,
    /// What lies on the bed.
    pub cover: Option<CoverId>,
    /// Share of the open sky's light that reaches the bed, 0 to 1.
    pub exposure: f64,
}

/// Weather at a place: the open air, shaded by the bed's exposure, changed by the polytunnel and
/// then by the cover inside it.
pub fn weather_at(scenario: &Scenario, sky: &Sky, date: NaiveDate, place: Place) -> Weather {
    let mut weather = sky.day(date);
    weather.light_mj *= place.exposure;
    if place.inside {
        weather = beneath(&scenario.tunnel, weather);
    }
    if let Some(cover) = place.cover {
        weather = beneath(&scenario.covers[cover].effect, weather);
    }
    weather
}

/// Weather on the raising shelf. Unheated it is never colder than the open air.
pub fn weather_on_shelf(scenario: &Scenario, sky: &Sky, date: NaiveDate, lit: bool) -> Weather {
    let (open, shelf) = (sky.day(date), &scenario.shelf);
    let daylight_mj = open.light_mj * shelf.transmission;
    let night_c = shelf.night_c.max(open.tmin_c);
    Weather {
        tmax_c: shelf.day_c.max(open.tmax_c),
        tmin_c: night_c,
        coldest_c: shelf.night_c.max(open.coldest_c),
        daylight_h: open.daylight_h,
        light_mj: if lit {
            shelf.lamp_mj.max(daylight_mj)
        } else {
            daylight_mj
        },
    }
}

/// Weather beneath something, from the weather around it.
fn beneath(effect: &Surroundings, around: Weather) -> Weather {
    let light_mj = around.light_mj * effect.transmission;
    let warmed = around.tmax_c + effect.day_lift_c_per_mj * light_mj;
    let tmin_c = around.tmin_c + effect.night_lift_c;
    let vented = warmed.min(effect.vented_above_c).max(around.tmax_c);
    Weather {
        tmax_c: vented.max(tmin_c),
        tmin_c,
        coldest_c: around.coldest_c + effect.night_lift_c,
        daylight_h: around.daylight_h,
        light_mj,
    }
}
