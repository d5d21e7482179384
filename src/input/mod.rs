//! Files to the domain: a scenario and the shipped models, checked and merged, all errors at once.
//!
//! Text becomes a tree of positioned values (`tree`), the scenario is laid over the models
//! (`overlay`), the tables (`tables`) check every key and value (`read`), and `build` resolves
//! names, checks what must fit together, and makes the domain's types.

mod build;
mod code;
mod diagnostic;
pub mod events;
mod fields;
mod gather;
mod nearest;
mod overlay;
mod places;
mod read;
pub mod reference;

mod scalar;
mod schema;
mod shipped;
mod source;
mod south;
mod tables;
mod tree;
mod variant;

pub use code::{CODES, Code};
pub use diagnostic::{Diagnostic, Diagnostics, shown};
pub use nearest::advice;
pub use places::Places;

use crate::domain::Scenario;
use code::*;
use diagnostic::Problems;
use source::{At, Source};
use std::collections::BTreeMap;
use std::fs::File;
use std::io::Read;
use std::path::Path;
use tree::Node;

/// Largest scenario file, bytes; a year on 400 beds takes about a tenth of it.
pub const MAX_BYTES: u64 = 2_000_000;

/// A scenario that has passed every check.
#[derive(Clone, Debug)]
pub struct Loaded {
    pub scenario: Scenario,
    /// Fingerprint of what the scenario means, models included: equal for inputs that differ in
    /// order, comments or spelling of numbers only.
    pub digest: u64,
    /// Where its keys stand.
    pub places: Places,
}

/// A crop, and a way of its harvest, that a plan names: to be known though the scenario need not ask for it any more.
#[derive(Clone, Debug)]
pub struct Named {
    pub crop: String,
    pub way: Option<String>,
}

/// Reads a scenario file, or a variant of one.
///
/// # Errors
/// Everything that is wrong with the file, sorted by place.
pub fn load(path: &Path) -> Result<Loaded, Diagnostics> {
    load_changed(path, &[])
}

/// Reads a scenario or a variant that a plan is carried on with: it knows what the plan names, of which nothing new is
/// planted where it does not take part, and nothing eaten where it is not needed.
///
/// # Errors
/// Everything that is wrong with the file, sorted by place.
pub fn load_knowing(path: &Path, named: &[Named]) -> Result<Loaded, Diagnostics> {
    of_file(path, &[], named)
}

/// Reads a scenario or a variant with further changes, each `KEY=VALUE`, as on the command line.
///
/// # Errors
/// Everything that is wrong with the files and the changes, sorted by place.
pub fn load_changed(path: &Path, sets: &[String]) -> Result<Loaded, Diagnostics> {
    of_file(path, sets, &[])
}

fn of_file(path: &Path, sets: &[String], named: &[Named]) -> Result<Loaded, Diagnostics> {
    let mut problems = Problems::default();
    let tree = variant::tree(path, sets, &mut problems);
    finished(tree, named, problems)
}

/// Reads a scenario from its text; `name` is how messages call it.
///
/// # Errors
/// Everything that is wrong with the text, sorted by place.
pub fn load_text(name: &str, text: &str) -> Result<Loaded, Diagnostics> {
    let mut problems = Problems::default();
    problems.sources.push(Source::new(name, text));
    let tree = gather::parsed(0, &mut problems);
    finished(tree, &[], problems)
}

/// The scenario of a tree, or everything that is wrong.
fn finished(
    tree: Option<Node>,
    named: &[Named],
    mut problems: Problems,
) -> Result<Loaded, Diagnostics> {
    let records = tree.and_then(|tree| gather::records(tree, &mut problems));
    let scenario =
        (records.as_ref()).and_then(|records| build::scenario(records, named, &mut problems));
    match (scenario, records) {
        (Some(scenario), Some(records)) if problems.is_empty() => Ok(Loaded {
            digest: digest(&scenario),
            scenario,
            places: Places::of(&records, &problems.sources),
        }),
        _ => {
            assert!(!problems.is_empty(), "a failed load names its reason");
            Err(problems.finish())
        }
    }
}

/// Name and text of every model file that is shipped.
pub fn shipped_models() -> impl Iterator<Item = (&'static str, &'static str)> {
    shipped::FILES.iter().copied()
}

/// Whether a crop of that name is shipped, used or not.
pub fn ships_crop(name: &str) -> bool {
    #[derive(serde::Deserialize)]
    struct Crops {
        crops: BTreeMap<String, serde::de::IgnoredAny>,
    }
    let mut files = shipped_models().filter(|(file, _)| file.starts_with("models/crops/"));
    let read =
        |text| serde_yaml::from_str::<Crops>(text).expect("shipped models are read in every load");
    files.any(|(_, text)| read(text).crops.contains_key(name))
}

type FileFault = (Code, At, String, &'static str);

/// The text of a plain file of bounded size.
fn read_file(path: &Path) -> Result<String, FileFault> {
    let whole = At::file(0);
    let unreadable = |reason: String| {
        let help = "check the path; it must be a plain file that you may read";
        (S101, whole, format!("cannot be read: {reason}"), help)
    };
    let meta = std::fs::metadata(path).map_err(|e| unreadable(e.to_string()))?;
    if meta.is_dir() {
        return Err(unreadable("it is a directory".into()));
    }
    // Anything else, a pipe for example, might never end.
    if !meta.is_file() {
        return Err(unreadable("it is not a plain file".into()));
    }
    let mut bytes = Vec::new();
    File::open(path)
        .and_then(|file| file.take(MAX_BYTES + 1).read_to_end(&mut bytes))
        .map_err(|e| unreadable(e.to_string()))?;
    if bytes.len() as u64 > MAX_BYTES {
        let message = format!("larger than {MAX_BYTES} bytes");
        return Err((S102, whole, message, "check that this is the right file"));
    }
    String::from_utf8(bytes).map_err(|error| {
        let valid = &error.as_bytes()[..error.utf8_error().valid_up_to()];
        let text = String::from_utf8_lossy(valid);
        let line = text.matches('\n').count() + 1;
        let column = text.rsplit('\n').next().unwrap_or("").chars().count() + 1;
        let at = At {
            line,
            column,
            ..At::start(0)
        };
        let message = "not UTF-8 text from here on".to_string();
        (S103, at, message, "save the file again as UTF-8")
    })
}

/// FNV-1a, 64 bits, over the scenario's printed form without the notes on sources.
pub fn digest(scenario: &Scenario) -> u64 {
    const OFFSET: u64 = 0xcbf2_9ce4_8422_2325;
    const PRIME: u64 = 0x0000_0100_0000_01b3;
    let mut meaning = scenario.clone();
    meaning.climate.source.clear();
    meaning.tunnel.source.clear();
    for cover in &mut meaning.covers {
        cover.effect.source.clear();
    }
    let bytes = format!("{meaning:?}").into_bytes();
    bytes.iter().fold(OFFSET, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(PRIME)
    })
}
