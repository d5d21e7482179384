//! Files to the domain: a scenario and the shipped models, checked and merged, all errors at once.
//!
//! Text becomes a tree of positioned values (`tree`), the scenario is laid over the models
//! (`overlay`), the tables (`tables`) check every key and value (`read`), and `build` resolves
//! names, checks what must fit together, and makes the domain's types.

mod build;
mod code;
mod diagnostic;
mod nearest;
mod overlay;
mod read;

mod scalar;
mod schema;
mod shipped;
mod source;
mod tables;
mod tree;

pub use code::{CODES, Code};
pub use diagnostic::{Diagnostic, Diagnostics};

use crate::domain::Scenario;
use code::*;
use diagnostic::Problems;
use read::Fields;
use source::{At, Source};
use std::collections::BTreeSet;
use std::fs::File;
use std::io::Read;
use std::path::Path;
use tree::{Body, Entry, Node};

/// Largest scenario file, bytes; a year on 400 beds takes about a tenth of it.
pub const MAX_BYTES: u64 = 2_000_000;

/// A scenario that has passed every check.
#[derive(Clone, Debug)]
pub struct Loaded {
    pub scenario: Scenario,
    /// Fingerprint of what the scenario means, models included: equal for inputs that differ in
    /// order, comments or spelling of numbers only.
    pub digest: u64,
}

/// Reads a scenario file.
///
/// # Errors
/// Everything that is wrong with the file, sorted by place.
pub fn load(path: &Path) -> Result<Loaded, Diagnostics> {
    let name = path.display().to_string();
    match read_file(path) {
        Ok(text) => load_text(&name, &text),
        Err((code, at, message, help)) => {
            let mut problems = Problems::default();
            problems.sources.push(Source::new(&name, ""));
            problems.add(code, at, message, help);
            Err(problems.finish())
        }
    }
}

/// Reads a scenario from its text; `name` is how messages call it.
///
/// # Errors
/// Everything that is wrong with the text, sorted by place.
pub fn load_text(name: &str, text: &str) -> Result<Loaded, Diagnostics> {
    let mut problems = Problems::default();
    problems.sources.push(Source::new(name, text));
    let scenario =
        read_all(text, &mut problems).and_then(|records| build::scenario(&records, &mut problems));
    match scenario {
        Some(scenario) if problems.is_empty() => Ok(Loaded {
            digest: digest(&scenario),
            scenario,
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
            file: 0,
            line,
            column,
            width: 1,
        };
        let message = "not UTF-8 text from here on".to_string();
        (S103, at, message, "save the file again as UTF-8")
    })
}

/// The scenario's tree laid over the models and checked against the tables.
fn read_all(text: &str, problems: &mut Problems) -> Option<build::Records> {
    if text.len() as u64 > MAX_BYTES {
        let message = format!("larger than {MAX_BYTES} bytes");
        problems.add(
            S102,
            At::file(0),
            message,
            "check that this is the right file",
        );
        return None;
    }
    let mut models = shipped_tree(problems)?;
    let scenario = tree::parse(0, problems);
    let mut scenario = match scenario {
        Some(node) if matches!(node.body, Body::Map(_)) => node,
        _ if !problems.is_empty() => return None,
        _ => {
            let message = "the file holds no scenario";
            let help =
                "a scenario is a record with the keys name, start, climate, beds, needs, work";
            problems.add(S108, At::file(0), message, help);
            return None;
        }
    };
    let overrides: BTreeSet<String> = overlaid_models(&mut scenario, &mut models);
    let to_hand = overlay::lay_onto(&mut scenario, "covers", &mut models, "covers", problems);
    let needed = overlay::lay_onto(&mut scenario, "needs", &mut models, "foods", problems);
    let rotated = overlay::lay_onto(&mut scenario, "rotation", &mut models, "families", problems);
    splice_climate(&mut scenario, &mut models, problems);

    let root = At {
        file: 0,
        line: 1,
        column: 1,
        width: 1,
    };
    let fields = read::record(&scenario, "", root, "", &tables::SCENARIO, problems);
    // Keys of `models` itself are checked here, its records below.
    for key in &overrides {
        if tables::MODELS.attribute(key).is_none() {
            let known: Vec<&str> = tables::MODELS.attributes.iter().map(|a| a.key).collect();
            let at = models.entry_mut(key).map_or(root, |e| e.at);
            let message = format!("models has no key \"{}\"", diagnostic::shown(key));
            problems.add(S111, at, message, nearest::advice(key, &known));
        }
    }
    let mut of = |kind: &'static str, table, role: Option<(&str, &BTreeSet<String>)>| {
        named_records(&models, kind, table, role, problems)
    };
    let covers = of("covers", &tables::COVER, Some(("covers", &to_hand)));
    Some(build::Records {
        scenario: fields,
        crops: of("crops", &tables::CROP, None),
        families: of("families", &tables::FAMILY, Some(("rotation", &rotated))),
        foods: of("foods", &tables::FOOD, Some(("needs", &needed))),
        covers: covers
            .into_iter()
            .filter(|c| to_hand.contains(&c.name))
            .collect(),
        recipes: of("recipes", &tables::RECIPE, None),
        climates: of("climates", &tables::CLIMATE, None),
        tunnel: models.entry_mut("tunnel").map(|e| {
            read::record(
                &e.value,
                "tunnel",
                e.at,
                "models.tunnel",
                &tables::TUNNEL,
                problems,
            )
        }),
        needed,
    })
}

/// All shipped files as one tree.
fn shipped_tree(problems: &mut Problems) -> Option<Node> {
    let mut all: Option<Node> = None;
    for (name, text) in shipped::FILES {
        problems.sources.push(Source::new(name, text));
        let node = tree::parse(problems.sources.len() - 1, problems)?;
        match &mut all {
            None => all = Some(node),
            Some(all) => overlay::lay(all, node),
        }
    }
    all
}

/// Lays the scenario's `models` over the shipped ones; gives the kinds it mentions.
fn overlaid_models(scenario: &mut Node, models: &mut Node) -> BTreeSet<String> {
    let Some(entry) = scenario.entry_mut("models") else {
        return BTreeSet::new();
    };
    // Anything but a record stays, for the table to complain about.
    let Body::Map(kinds) = &mut entry.value.body else {
        return BTreeSet::new();
    };
    let kinds: Vec<Entry> = kinds
        .drain(..)
        .filter(|e| e.value.body != Body::Nothing)
        .collect();
    let mentioned = kinds.iter().map(|e| e.key.clone()).collect();
    let at = entry.value.at;
    let body = Body::Map(kinds);
    overlay::lay(models, Node { at, body });
    mentioned
}

/// Puts the climate that the scenario names in the place of its name.
fn splice_climate(scenario: &mut Node, models: &mut Node, problems: &mut Problems) {
    let Some(entry) = scenario.entry_mut("climate") else {
        return;
    };
    let Body::Scalar { text: name, .. } = &entry.value.body else {
        return;
    };
    let Some(climates) = models.entry_mut("climates") else {
        return;
    };
    let known: Vec<String> = climates
        .value
        .entries()
        .iter()
        .map(|e| e.key.clone())
        .collect();
    let named = known.iter().position(|k| k == name);
    if named.is_none() {
        let known: Vec<&str> = known.iter().map(String::as_str).collect();
        problems.add(
            N201,
            entry.value.at,
            format!(
                "climate: there is no climate \"{}\"",
                diagnostic::shown(name)
            ),
            nearest::advice(name, &known),
        );
    }
    // Another one stands in for an unknown one, so that it is not reported as missing too.
    if let Body::Map(entries) = &mut climates.value.body
        && !entries.is_empty()
    {
        entry.value = entries.remove(named.unwrap_or(0)).value;
    }
}

/// The records of one kind of model, sorted by name. Those with a role in the scenario are
/// called by it in messages.
fn named_records(
    models: &Node,
    kind: &'static str,
    table: &'static schema::Record,
    role: Option<(&str, &BTreeSet<String>)>,
    problems: &mut Problems,
) -> Vec<Fields> {
    let Some(node) = models.get(kind) else {
        return Vec::new();
    };
    if !matches!(node.body, Body::Map(_)) {
        problems.add(
            S110,
            node.at,
            format!(
                "models.{kind}: expected named records, found {}",
                scalar::described(node)
            ),
            format!("give names of {kind}, each with its keys"),
        );
        return Vec::new();
    }
    let mut records: Vec<Fields> = node
        .entries()
        .iter()
        .map(|e| {
            let path = match role {
                Some((role, names)) if names.contains(&e.key) => format!("{role}.{}", e.key),
                _ => format!("models.{kind}.{}", e.key),
            };
            read::record(&e.value, &e.key, e.at, &path, table, problems)
        })
        .collect();
    records.sort_by(|a, b| a.name.cmp(&b.name));
    records
}

/// FNV-1a, 64 bits, over the scenario's printed form without the notes on sources.
fn digest(scenario: &Scenario) -> u64 {
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
