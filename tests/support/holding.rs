//! A tiny valid holding for tests: one bed in the open, one in the polytunnel, a cold-frame top, a
//! raising shelf and whatever crops the test brings. Used through `#[path]`.
//!
//! The climate is that of a real station; every other figure is invented or copied from the
//! shipped models, where its source stands.
#![allow(dead_code)]

use bedweek::climate::Place;
use bedweek::domain::*;
use bedweek::units::{Week, WeekOfYear, WeeksOfYear};

/// Bare ground in the open.
pub const OPEN: Place = Place {
    inside: false,
    cover: None,
    exposure: 1.0,
};
/// Under the cold-frame top in the open.
pub const FRAME: Place = Place {
    cover: Some(0),
    ..OPEN
};
/// In the polytunnel.
pub const TUNNEL: Place = Place {
    inside: true,
    ..OPEN
};
/// Under the cold-frame top in the polytunnel.
pub const FRAME_IN_TUNNEL: Place = Place {
    inside: true,
    ..FRAME
};

/// Oxford, 1991-2020: Met Office historic station data (Open Government Licence); the spread of
/// minima is an estimate.
pub fn oxford() -> Climate {
    Climate {
        name: "oxford".into(),
        latitude_deg: 51.761,
        elevation_m: 63.0,
        coastal: false,
        tmax_c: [
            8.0, 8.6, 11.3, 14.4, 17.7, 20.7, 23.0, 22.5, 19.4, 15.1, 10.9, 8.2,
        ],
        tmin_c: [
            2.4, 2.3, 3.6, 5.3, 8.2, 11.1, 13.1, 13.0, 10.7, 8.0, 4.9, 2.6,
        ],
        tmin_spread_c: [3.9, 3.7, 3.1, 3.2, 3.4, 3.0, 3.0, 3.0, 3.4, 4.0, 3.9, 4.4],
        source: "Met Office historic station data 1991-2020".into(),
    }
}

/// A place on the equator where every day has the same mean, five degrees up and down.
pub fn constant_climate(mean_c: f64) -> Climate {
    Climate {
        name: "constant".into(),
        latitude_deg: 0.0,
        elevation_m: 0.0,
        coastal: false,
        tmax_c: [mean_c + 5.0; MONTHS],
        tmin_c: [mean_c - 5.0; MONTHS],
        tmin_spread_c: [0.0; MONTHS],
        source: "invented".into(),
    }
}

/// A holding with those crops, from the middle of October 2026. Every crop's ways bring food 0,
/// every crop is of family 0.
pub fn holding(crops: Vec<Crop>) -> Scenario {
    let horizon = 52 + 26;
    let bed = |name: &str, setting| Bed {
        name: name.into(),
        setting,
        length_m: 4.0,
        width_m: 1.2,
        strips: 8,
        exposure: 1.0,
        indoors: Vec::new(),
        covered_by: None,
        history: Vec::new(),
    };
    Scenario {
        name: "tiny".into(),
        currency: "EUR".into(),
        start: week(2026, 42),
        weeks: 52,
        tail: 26,
        repeats: false,
        climate: oxford(),
        tunnel: Surroundings {
            day_lift_c_per_mj: 1.2,
            night_lift_c: 1.5,
            transmission: 0.78,
            vented_above_c: 25.0,
            source: "estimate".into(),
        },
        beds: vec![bed("B1", Setting::Open), bed("T1", Setting::Tunnel)],
        covers: vec![Cover {
            name: "cold-frame top".into(),
            count: 1,
            effect: Surroundings {
                day_lift_c_per_mj: 2.0,
                night_lift_c: 3.0,
                transmission: 0.88,
                vented_above_c: 22.0,
                source: "estimate".into(),
            },
            settings: vec![Setting::Open, Setting::Tunnel],
            max_length_m: 5.0,
            max_width_m: 1.3,
            spells: vec![Spell {
                on: of_year(41),
                off: of_year(15),
            }],
            place_minutes: 25.0,
            remove_minutes: 15.0,
            yearly_cost_money: Some(15.0),
            cautions: Vec::new(),
        }],
        families: vec![Family {
            name: "any".into(),
            break_weeks: 8,
            rule: RotationRule::Forbid,
            exceptions: Vec::new(),
        }],
        crops,
        recipes: Vec::new(),
        shelf: Shelf {
            lit_m2: 1.0,
            unlit_m2: 1.0,
            day_c: 19.0,
            night_c: 14.0,
            lamp_mj: 7.0,
            transmission: 0.5,
        },
        standing: Vec::new(),
        in_store: Vec::new(),
        on_shelf: Vec::new(),
        planned: Vec::new(),
        changes: Changes::USUAL,
        carried: Carried::default(),
        experience: Vec::new(),
        foods: vec![Food {
            name: "food".into(),
            unit: Unit::Kilograms,
            price_money: 3.0,
            floor: vec![0.2; horizon],
            wish: vec![1.0; horizon],
            must: vec![false; horizon],
            short_money: 3.0,
            single_crop_share: 1.0,
        }],
        level: None,
        work: Work {
            hour_money: 10.0,
            hours_per_week: None,
        },
        directives: Vec::new(),
        solving: Solving { gap: 0.01 },
    }
}

/// A hardy leafy crop sown in place at any time and picked; tests change what they are about.
pub fn leaves(name: &str) -> Crop {
    Crop {
        name: name.into(),
        anew: true,
        family: 0,
        settings: vec![Setting::Open, Setting::Tunnel],
        thermal: thermal(3.5, 18.0, 32.0, 4.0, 1.5, 100.0),
        raisings: vec![raising(Method::Direct)],
        ways: vec![way(WayKind::Picking { span: 60.0 }, 30.0, 4.0)],
        killed_below_c: -12.0,
        bolting: None,
        vernalisation: None,
        perennial: None,
        max_ground_weeks: 60,
        credit_money_per_m2_week: 0.0,
        clear_minutes_per_m2: 2.0,
        cautions: Vec::new(),
    }
}

/// Possible in every week of the year; modules are fit after 15 growth units.
pub fn raising(method: Method) -> Raising {
    let modules = method == Method::Modules;
    Raising {
        method,
        sow_from: of_year(1),
        sow_to: of_year(53),
        sow_only: WeeksOfYear::ALL,
        ready_units: if modules { 15.0 } else { 0.0 },
        max_shelf_weeks: if modules { 8 } else { 0 },
        prick_out_weeks: 0,
        shelf: ShelfNeed::Either,
        plants_per_shelf_m2: 400.0,
        plants_per_m2: 20.0,
        seeds_per_plant: 1.2,
        seed_money: 0.01,
        sow_minutes_per_m2: 2.0,
        plant_minutes_per_m2: if modules { 4.0 } else { 0.0 },
    }
}

/// A way of harvest for food 0.
pub fn way(kind: WayKind, ready_units: f64, yield_per_m2: f64) -> Way {
    Way {
        name: "harvest".into(),
        kind,
        food: 0,
        ready_units,
        yield_per_m2: Amount {
            low: 0.7 * yield_per_m2,
            usual: yield_per_m2,
            high: 1.3 * yield_per_m2,
        },
        kg_per_unit: 1.0,
        keeps_weeks: 1,
        weekly_loss: 0.1,
        harvest_minutes_per_unit: 1.0,
    }
}

pub fn thermal(
    base_c: f64,
    optimum_c: f64,
    ceiling_c: f64,
    half_light_mj: f64,
    emergence_base_c: f64,
    emergence_cd: f64,
) -> Thermal {
    Thermal {
        base_c,
        optimum_c,
        ceiling_c,
        half_light_mj,
        emergence_base_c,
        emergence_cd,
    }
}

pub fn week(year: i32, number: u32) -> Week {
    Week::from_iso(year, number).expect("a week of that year")
}

pub fn of_year(number: u32) -> WeekOfYear {
    WeekOfYear::new(number).expect("1 to 53")
}
