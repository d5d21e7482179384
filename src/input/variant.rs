//! Variants: a small file that names a scenario and changes some of it, and changes given on the
//! command line (docs/reference/variant.md).
//!
//! They change the scenario's tree before it is read. What they put in keeps its place in the
//! variant, so that whatever the reader finds wrong with it points there.

mod change;
mod path;

use super::code::*;
use super::diagnostic::{Problems, shown};
use super::scalar::described;
use super::source::{At, Source};
use super::tree::{self, Body, Entry, Node};
use super::{gather, read_file};
use change::Change;
use std::path::{Path, PathBuf};

/// Longest chain of variants, each the base of the next.
pub const MAX_BASES: usize = 8;
/// Most changes of one kind in a variant.
const MAX_CHANGES: usize = 1_000;

/// The key that tells a variant from a scenario.
const BASE: &str = "base";
/// Keys of a scenario that it cannot do without, and that nobody takes for a variant's.
const OWN: [&str; 4] = ["beds", "climate", "start", "work"];
/// Keys of a variant.
pub const KEYS: [&str; 6] = ["name", BASE, "remove", "set", "scale", "shift"];

/// The tree of a scenario, or of a variant with its changes made, then those of the command line,
/// each `KEY=VALUE`. `None`: it cannot be read, and the problems say why.
pub fn tree(file: &Path, sets: &[String], problems: &mut Problems) -> Option<Node> {
    let mut scenario = whole(file, None, 0, problems);
    for set in sets {
        from_command_line(set, scenario.as_mut(), problems);
    }
    scenario
}

/// The tree of the file, its base below it when it is a variant. `named`: where a variant names it.
fn whole(path: &Path, named: Option<At>, depth: usize, problems: &mut Problems) -> Option<Node> {
    let name = path.display().to_string();
    let text = match read_file(path) {
        Ok(text) => text,
        Err((code, at, message, help)) => {
            match named {
                Some(named) => {
                    let message = format!("base: {name}: {message}");
                    let help = "the base is looked for from the folder of the variant";
                    problems.add(code, named, message, help);
                }
                None => {
                    problems.sources.push(Source::new(&name, ""));
                    let file = problems.sources.len() - 1;
                    problems.add(code, At { file, ..at }, message, help);
                }
            }
            return None;
        }
    };
    problems.sources.push(Source::new(&name, &text));
    let node = gather::parsed(problems.sources.len() - 1, problems)?;
    if node.get(BASE).is_none() {
        return baseless(node, problems);
    }
    known_keys(&node, problems);
    let base = base(path, &node, problems)?;
    let at = node.get(BASE).map_or(node.at, |n| n.at);
    if depth >= MAX_BASES {
        problems.add(
            S105,
            at,
            format!("base: more than {MAX_BASES} variants upon one another"),
            "name a scenario as base; a variant must not be its own base",
        );
        return None;
    }
    let mut scenario = whole(&base, Some(at), depth + 1, problems)?;
    apply(&node, &mut scenario, problems);
    Some(scenario)
}

/// The tree of a file that names no base: a scenario, unless it has no key but those that a variant may have too.
fn baseless(node: Node, problems: &mut Problems) -> Option<Node> {
    let own = |key: &&str| node.get(key).is_some();
    if node.entries().is_empty() || OWN.iter().any(own) {
        return Some(node);
    }
    let help = format!(
        "add base: the scenario that it changes, from this folder, and put keys of the scenario under set (a scenario has {})",
        OWN.join(", ")
    );
    let message = format!("the variant lacks the key \"{BASE}\"");
    problems.add(S113, node.at, message, help);
    None
}

/// The base's file, from the folder of the variant.
fn base(path: &Path, node: &Node, problems: &mut Problems) -> Option<PathBuf> {
    let value = node.get(BASE)?;
    match &value.body {
        Body::Scalar { text, .. } if !text.trim().is_empty() => {
            let folder = path.parent().unwrap_or(Path::new(""));
            Some(folder.join(text))
        }
        _ => {
            let message = format!("base: expected a file name, found {}", described(value));
            problems.add(
                S110,
                value.at,
                message,
                "name the scenario that is changed, from this folder",
            );
            None
        }
    }
}

/// Complains about keys that a variant does not have, and about a missing name.
fn known_keys(node: &Node, problems: &mut Problems) {
    for entry in node.entries() {
        if !KEYS.contains(&entry.key.as_str()) {
            let help = problems.advice(&entry.key, &KEYS);
            let message = format!("the variant has no key \"{}\"", shown(&entry.key));
            let help = format!("{help} (keys of the scenario go under set)");
            problems.add(S111, entry.at, message, help);
        }
    }
    if node.get("name").is_none() {
        problems.add(
            S113,
            node.at,
            "the variant lacks the key \"name\"",
            "add name: what plans and comparisons call it",
        );
    }
}

/// Makes the changes of a variant, in this order whatever their order in the file.
fn apply(variant: &Node, scenario: &mut Node, problems: &mut Problems) {
    if let Some(name) = variant.entries().iter().find(|e| e.key == "name") {
        change::set_name(scenario, name);
    }
    if let Some(removed) = variant.get("remove") {
        match &removed.body {
            Body::List(items) => {
                for item in at_most(items, removed.at, "remove", problems) {
                    match &item.body {
                        Body::Scalar { text, .. } => {
                            make(scenario, text, item.at, &Change::Remove, problems);
                        }
                        _ => {
                            let message =
                                format!("remove: expected a path, found {}", described(item));
                            problems.add(S110, item.at, message, "write it as in beds.B01");
                        }
                    }
                }
            }
            Body::Nothing => {}
            _ => {
                let message = format!(
                    "remove: expected a list of paths, found {}",
                    described(removed)
                );
                problems.add(S110, removed.at, message, "write it as in [beds.B01]");
            }
        }
    }
    for (key, change) in [
        ("set", Change::Set as fn(Node) -> Change),
        ("scale", Change::Scale),
        ("shift", Change::Shift),
    ] {
        let Some(value) = variant.get(key) else {
            continue;
        };
        if !matches!(value.body, Body::Map(_) | Body::Nothing) {
            let message = format!(
                "{key}: expected paths with values, found {}",
                described(value)
            );
            problems.add(
                S110,
                value.at,
                message,
                "write it as in covers.fleece.count: 4",
            );
            continue;
        }
        for Entry { key, at, value } in at_most(value.entries(), value.at, key, problems) {
            make(scenario, key, *at, &change(value.clone()), problems);
        }
    }
}

fn at_most<'t, T>(items: &'t [T], at: At, key: &str, problems: &mut Problems) -> &'t [T] {
    super::read::at_most(items, MAX_CHANGES, at, key, problems)
}

/// Makes one change at the path written at `at`.
fn make(scenario: &mut Node, path: &str, at: At, change: &Change, problems: &mut Problems) {
    match path::parse(path) {
        Ok(steps) => change::make(scenario, path, &steps, at, change, problems),
        Err(reason) => problems.add(
            S109,
            at,
            format!("\"{}\" is not a path: {reason}", shown(path)),
            "write keys and names with points between them, as in covers.low tunnel.count",
        ),
    }
}

/// A change `KEY=VALUE` from the command line; the value is YAML, as in a file.
fn from_command_line(set: &str, scenario: Option<&mut Node>, problems: &mut Problems) {
    problems.sources.push(Source::new("--set", set));
    let file = problems.sources.len() - 1;
    let Some((key, value)) = set.split_once('=') else {
        problems.add(
            S104,
            At::start(file),
            "--set: there is no = between key and value",
            "write it as in --set \"covers.low tunnel.count=12\"",
        );
        return;
    };
    // Blanks in place of the key leave the value where it stands.
    let blank = " ".repeat(key.chars().count() + 1);
    let mut scratch = Problems::default();
    scratch.sources = vec![Source::new("", ""); file];
    scratch
        .sources
        .push(Source::new("", &format!("{blank}{value}")));
    let parsed = tree::parse(file, &mut scratch);
    let at = At {
        width: key.chars().count().max(1),
        ..At::start(file)
    };
    let nothing = Node {
        at,
        body: Body::Nothing,
    };
    let Some(scenario) = scenario else { return };
    match parsed {
        Some(node) => make(scenario, key.trim(), at, &Change::Set(node), problems),
        None if value.trim().is_empty() => {
            make(scenario, key.trim(), at, &Change::Set(nothing), problems);
        }
        None => {
            let message = format!("--set: \"{}\" is not readable as YAML", shown(value));
            let help = "look at its brackets and quotes; the shell may have taken some";
            problems.add(S104, at, message, help);
        }
    }
}
