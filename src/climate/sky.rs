//! The weather of a station in the open, day by day, from its monthly normals.

use super::sun;
use crate::domain::Climate;
use crate::domain::MONTHS;
use chrono::{Datelike, NaiveDate};

/// Days in a leap year; tables by day of the year are kept for one.
pub const YEAR_DAYS: usize = 366;
/// A common and a leap year, whatever their date.
const COMMON_YEAR: i32 = 2025;
const LEAP_YEAR: i32 = 2024;
/// Rounds of correction of the mid-month values; each leaves less than a third of the error.
const ROUNDS: usize = 40;
/// Hargreaves coefficient inland and at the coast, °C^-½ (FAO-56 Eq. 50).
const INLAND_COEFFICIENT: f64 = 0.16;
const COASTAL_COEFFICIENT: f64 = 0.19;
/// How many standard deviations below the mean minimum the coldest of seven nights lies in one
/// year out of five, the nights taken as independent and normal: 1 - Φ(-z) = 0.8^(1/7). Real
/// nights hang together (warmer) and their minima are skewed (colder); taken as even: estimate.
const COLDEST_DEVIATIONS: f64 = 1.86;

/// Weather of one day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weather {
    /// Daily maximum, °C.
    pub tmax_c: f64,
    /// Nightly minimum, °C.
    pub tmin_c: f64,
    /// The night minimum to be reckoned with: about the coldest night of that week in one year
    /// out of five, °C.
    pub coldest_c: f64,
    /// Day length, hours.
    pub daylight_h: f64,
    /// Light that reaches the plants, MJ m⁻² d⁻¹ of solar radiation.
    pub light_mj: f64,
}

/// Daily climate of a station by day of the year.
///
/// Monthly means of the daily values reproduce the normals: the days lie on straight lines
/// between mid-month values that are corrected until they do (after Rymes & Myers 2001, Solar
/// Energy 71, 225-231, who correct smoothed values the same way).
#[derive(Clone, Debug)]
pub struct Sky {
    days: Vec<Weather>,
}

impl Sky {
    /// The daily climate of a station.
    pub fn of(climate: &Climate) -> Sky {
        let tmax = mid_months(&climate.tmax_c);
        let tmin = mid_months(&climate.tmin_c);
        let spread = mid_months(&climate.tmin_spread_c);
        let latitude = climate.latitude_deg.to_radians();
        let coefficient = if climate.coastal {
            COASTAL_COEFFICIENT
        } else {
            INLAND_COEFFICIENT
        };
        let days = (0..YEAR_DAYS)
            .map(|index| {
                let date = date_of_index(index);
                let (tmax_c, tmin_c) = (on(&tmax, date), on(&tmin, date));
                let outside_mj = sun::extraterrestrial_mj(latitude, day_of_common_year(date));
                Weather {
                    tmax_c,
                    tmin_c,
                    coldest_c: tmin_c - COLDEST_DEVIATIONS * on(&spread, date).max(0.0),
                    daylight_h: sun::day_length_h(latitude, day_of_common_year(date)),
                    light_mj: sun::from_range_mj(
                        coefficient,
                        outside_mj,
                        tmax_c,
                        tmin_c,
                        climate.elevation_m,
                    ),
                }
            })
            .collect();
        Sky { days }
    }

    /// Weather in the open on that day of any year.
    pub fn day(&self, date: NaiveDate) -> Weather {
        self.days[day_index(date)]
    }
}

/// Index of a date in tables by day of the year, 0 to 365: the same for every year.
pub fn day_index(date: NaiveDate) -> usize {
    let leap = date
        .with_year(LEAP_YEAR)
        .expect("a leap year has every day");
    leap.ordinal0() as usize
}

/// A date with that [`day_index`].
pub fn date_of_index(index: usize) -> NaiveDate {
    NaiveDate::from_yo_opt(LEAP_YEAR, index as u32 + 1).expect("an index below YEAR_DAYS")
}

/// Day of the year of the same calendar day in a common year; 29 February counts as 1 March.
fn day_of_common_year(date: NaiveDate) -> u32 {
    match date.with_year(COMMON_YEAR) {
        Some(day) => day.ordinal(),
        None => 60,
    }
}

/// Days in the month of `date`.
fn month_days(date: NaiveDate) -> u32 {
    u32::from(date.num_days_in_month())
}

/// The value on a day, from mid-month values.
fn on(mid: &[f64; MONTHS], date: NaiveDate) -> f64 {
    let month = date.month0() as usize;
    // From -0.5 at the start of the month to 0.5 at its end.
    let place = (f64::from(date.day()) - 0.5) / f64::from(month_days(date)) - 0.5;
    let other = if place < 0.0 {
        (month + MONTHS - 1) % MONTHS
    } else {
        (month + 1) % MONTHS
    };
    mid[month] + (mid[other] - mid[month]) * place.abs()
}

/// Mid-month values whose daily interpolation has the given monthly means.
fn mid_months(normals: &[f64; MONTHS]) -> [f64; MONTHS] {
    let mut mid = *normals;
    for _ in 0..ROUNDS {
        let means = monthly_means(&mid);
        for month in 0..MONTHS {
            mid[month] += normals[month] - means[month];
        }
    }
    mid
}

/// Means over the months of the daily values. 29 February counts half, so that February's mean
/// is as near in a common year as in a leap year.
fn monthly_means(mid: &[f64; MONTHS]) -> [f64; MONTHS] {
    let mut sums = [0.0; MONTHS];
    let mut weights = [0.0; MONTHS];
    for date in (0..YEAR_DAYS).map(date_of_index) {
        let leap_day = date.with_year(COMMON_YEAR).is_none();
        let weight = if leap_day { 0.5 } else { 1.0 };
        sums[date.month0() as usize] += weight * on(mid, date);
        weights[date.month0() as usize] += weight;
    }
    std::array::from_fn(|month| sums[month] / weights[month])
}
