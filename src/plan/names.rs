//! How ways of raising, units and things to buy are named in a plan.

use crate::domain::{Crop, FoodId, Method, Scenario};

/// What is bought for a planting raised so.
pub fn pieces_of(method: Method) -> &'static str {
    match method {
        Method::Direct | Method::Modules => "seed",
        _ => method.word(),
    }
}

/// The name of one of a crop's raisings: its method, numbered where the crop has several of the
/// same method (`modules`, `modules 2`).
pub fn raising_name(crop: &Crop, raising: usize) -> String {
    let method = crop.raisings[raising].method;
    let before = crop.raisings[..raising]
        .iter()
        .filter(|r| r.method == method)
        .count();
    match before {
        0 => method.word().to_string(),
        n => format!("{} {}", method.word(), n + 1),
    }
}

/// The raising with that name.
pub fn raising_named(crop: &Crop, name: &str) -> Option<usize> {
    (0..crop.raisings.len()).find(|&r| raising_name(crop, r) == name)
}

/// The unit of a food, as written.
pub fn unit_of(scenario: &Scenario, food: FoodId) -> String {
    scenario.foods[food].unit.symbol().to_string()
}
