//! `plan.yaml`: writes a plan and reads it back, checking its form; what it says is `verify`'s.

use crate::plan::{FORMAT, YearPlan};
use serde::Deserialize;

/// Largest number of YAML nodes that is read: a plan for a thousand beds has fewer (estimate).
const MAX_NODES: usize = 20_000_000;

/// The plan as YAML.
pub fn write(plan: &YearPlan) -> String {
    let options = serde_yaml::ser_options! { prefer_block_scalars: false };
    serde_yaml::to_string_with_options(plan, options).expect("a plan is plain data")
}

/// Any other result as YAML.
pub fn plain<T: serde::Serialize>(result: &T) -> String {
    let options = serde_yaml::ser_options! { prefer_block_scalars: false };
    serde_yaml::to_string_with_options(result, options).expect("results are plain data")
}

/// Only what tells one form of the file from another.
#[derive(Deserialize)]
struct Form {
    format: u32,
}

/// Reads a plan.
///
/// # Errors
/// Says where the file is not a plan, or of which other form it is.
pub fn read(text: &str) -> Result<YearPlan, String> {
    let options = || {
        serde_yaml::options! {
            budget: serde_yaml::budget! {
                max_nodes: MAX_NODES,
                max_events: MAX_NODES,
                // A plan repeats nothing by reference.
                max_anchors: 0,
                max_aliases: 0,
            },
        }
    };
    let form: Form = serde_yaml::from_str_with_options(text, options())
        .map_err(|error| format!("not a plan file: {error}"))?;
    if form.format != FORMAT {
        return Err(format!(
            "the plan file has form {}, this version reads form {FORMAT}; \
             make the plan again",
            form.format
        ));
    }
    serde_yaml::from_str_with_options(text, options())
        .map_err(|error| format!("not a plan file: {error}"))
}
