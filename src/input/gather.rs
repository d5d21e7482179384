//! The records of one load: the scenario's tree laid over the shipped models and checked.

use super::build::Records;
use super::code::*;
use super::diagnostic::{Problems, shown};
use super::fields::Fields;
use super::overlay::{lay, lay_onto};
use super::scalar::described;
use super::schema::{Kind, Presence, Record};
use super::source::{At, Source};
use super::tree::{Body, Entry, Node};
use super::{MAX_BYTES, read, shipped, south, tables, tree};
use crate::domain::is_southern;
use std::collections::BTreeSet;

/// The tree of a scenario's file; `None` when its text cannot be read at all.
pub fn parsed(file: usize, problems: &mut Problems) -> Option<Node> {
    if problems.sources[file].text.len() as u64 > MAX_BYTES {
        let message = format!("larger than {MAX_BYTES} bytes");
        problems.add(
            S102,
            At::file(file),
            message,
            "check that this is the right file",
        );
        return None;
    }
    let found = tree::parse(file, problems);
    match found {
        Some(node) if matches!(node.body, Body::Map(_)) => Some(node),
        _ if !problems.is_empty() => None,
        _ => {
            let message = "the file holds no scenario";
            let help =
                "a scenario is a record with the keys name, start, climate, beds, needs, work";
            problems.add(S108, At::file(file), message, help);
            None
        }
    }
}

/// Reads a scenario's tree over the models; `None` when a text cannot be read at all.
pub fn records(mut scenario: Node, problems: &mut Problems) -> Option<Records> {
    let shipped = problems.sources.len();
    let mut models = shipped_tree(problems)?;
    lay_models(&mut scenario, &mut models, problems);
    let to_hand = lay_onto(&mut scenario, "covers", &mut models, "covers", problems);
    let asked = scenario.get("needs").map_or(0, |n| n.entries().len());
    let needed = lay_onto(&mut scenario, "needs", &mut models, "foods", problems);
    let rotated = lay_onto(&mut scenario, "rotation", &mut models, "families", problems);
    splice_climate(&mut scenario, &mut models, problems);

    let table = &tables::SCENARIO;
    let fields = read::record(
        &scenario,
        "",
        At::start(scenario.at.file),
        "",
        table,
        problems,
    );
    let nobody = BTreeSet::new();
    let mut of = |kind, role, names| named_records(&models, kind, role, names, problems);
    let mut covers = of("covers", "covers", &to_hand);
    covers.retain(|c| to_hand.contains(&c.name));
    let mut crops = of("crops", "", &nobody);
    let latitude = fields
        .record("climate")
        .and_then(|c| c.number("latitude_deg"));
    if latitude.is_some_and(is_southern) {
        south::turn(&mut covers, shipped);
        south::turn(&mut crops, shipped);
    }
    Some(Records {
        scenario: fields,
        covers,
        crops,
        families: of("families", "rotation", &rotated),
        foods: of("foods", "needs", &needed),
        recipes: of("recipes", "", &nobody),
        climates: of("climates", "", &nobody),
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
        all_known: needed.len() == asked,
        needed,
    })
}

/// All shipped files as one tree.
pub fn shipped_tree(problems: &mut Problems) -> Option<Node> {
    let mut all: Option<Node> = None;
    for (name, text) in shipped::FILES {
        problems.sources.push(Source::new(name, text));
        let node = tree::parse(problems.sources.len() - 1, problems)?;
        match &mut all {
            None => all = Some(node),
            Some(all) => lay(all, node),
        }
    }
    all
}

/// Lays the scenario's `models` over the shipped ones, kind by kind.
fn lay_models(scenario: &mut Node, models: &mut Node, problems: &mut Problems) {
    let Some(entry) = scenario.entry_mut("models") else {
        return;
    };
    // Anything but a record, and unknown kinds, stay for the table to complain about.
    let Body::Map(kinds) = &mut entry.value.body else {
        return;
    };
    let is_kind = |e: &Entry| tables::MODELS.attribute(&e.key).is_some();
    let (known, unknown) = kinds.drain(..).partition(is_kind);
    *kinds = unknown;
    let known: Vec<Entry> = known;
    for mut over in known {
        let Some(base) = models.entry_mut(&over.key) else {
            continue;
        };
        match (
            &mut over.value.body,
            tables::MODELS.attribute(&over.key).map(|a| a.kind),
        ) {
            (Body::Nothing, _) => {}
            (Body::Map(entries), Some(Kind::Map(table, most))) => {
                let shipped: Vec<&str> = base
                    .value
                    .entries()
                    .iter()
                    .map(|e| e.key.as_str())
                    .collect();
                // One entry more than allowed is enough for the complaint about too many.
                entries.truncate(most + 1);
                entries.retain(|e| !misspelt(e, &over.key, table, &shipped, problems));
                lay(&mut base.value, over.value);
            }
            (Body::Map(_), _) => lay(&mut base.value, over.value),
            _ => problems.add(
                S110,
                over.value.at,
                format!(
                    "models.{}: expected a record, found {}",
                    over.key,
                    described(&over.value)
                ),
                "give names, each with its keys",
            ),
        }
    }
}

/// Whether a record is meant to change a shipped one but names none: it is new, lacks at least
/// half of what a new one needs, and a shipped name is like it. It is then reported once
/// instead of once for each missing key.
fn misspelt(
    entry: &Entry,
    kind: &str,
    table: &Record,
    shipped: &[&str],
    problems: &mut Problems,
) -> bool {
    if shipped.contains(&entry.key.as_str()) {
        return false;
    }
    let needed = table
        .attributes
        .iter()
        .filter(|a| matches!(a.presence, Presence::Required));
    let (needed, missing) = needed.fold((0, 0), |(needed, missing), a| {
        (
            needed + 1,
            missing + usize::from(entry.value.get(a.key).is_none()),
        )
    });
    let Some(name) = problems.nearest(&entry.key, shipped) else {
        return false;
    };
    if 2 * missing < needed {
        return false;
    }
    problems.add(
        N201,
        entry.at,
        format!(
            "models.{kind}: there is no shipped \"{}\" to change",
            shown(&entry.key)
        ),
        format!("did you mean \"{name}\"? (a new one needs all its keys)"),
    );
    true
}

/// Puts the climate that the scenario names in the place of its name.
fn splice_climate(scenario: &mut Node, models: &mut Node, problems: &mut Problems) {
    let Some(entry) = scenario.entry_mut("climate") else {
        return;
    };
    let Body::Scalar { text: name, .. } = &entry.value.body else {
        return;
    };
    let Some(Body::Map(climates)) = models.entry_mut("climates").map(|e| &mut e.value.body) else {
        return;
    };
    let named = climates.iter().position(|e| e.key == *name);
    if named.is_none() {
        let known: Vec<&str> = climates.iter().map(|e| e.key.as_str()).collect();
        let help = problems.advice(name, &known);
        let message = format!("climate: there is no climate \"{}\"", shown(name));
        problems.add(N201, entry.value.at, message, help);
    }
    // Another one stands in for an unknown one, so that it is not reported as missing too.
    if !climates.is_empty() {
        entry.value = climates.remove(named.unwrap_or(0)).value;
    }
}

/// The records of one kind of model, sorted by name. Those with a role in the scenario (its
/// `covers`, `needs`, `rotation`) are called by it in messages.
fn named_records(
    models: &Node,
    kind: &'static str,
    role: &str,
    with_role: &BTreeSet<String>,
    problems: &mut Problems,
) -> Vec<Fields> {
    let Some(Kind::Map(table, most)) = tables::MODELS.attribute(kind).map(|a| a.kind) else {
        unreachable!("kinds of models are maps in their table");
    };
    let Some(node) = models.get(kind) else {
        return Vec::new();
    };
    let entries = read::at_most(node.entries(), most, node.at, kind, problems);
    let mut records: Vec<Fields> = entries
        .iter()
        .map(|e| {
            let path = if with_role.contains(&e.key) {
                format!("{role}.{}", e.key)
            } else {
                format!("models.{kind}.{}", e.key)
            };
            read::record(&e.value, &e.key, e.at, &path, table, problems)
        })
        .collect();
    records.sort_by(|a, b| a.name.cmp(&b.name));
    records
}
