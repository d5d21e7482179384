//! Scenario values laid over the shipped models, tree over tree, each value keeping its place.

use super::code::{N201, S110};
use super::diagnostic::{Problems, shown};
use super::nearest::advice;
use super::scalar::described;
use super::tree::{Body, Entry, Node};
use std::collections::BTreeSet;

/// `over` laid on `base`: records are merged key by key, anything else is replaced.
pub fn lay(base: &mut Node, over: Node) {
    match (&mut base.body, over.body) {
        (Body::Map(entries), Body::Map(new)) => {
            for entry in new {
                match entries.iter_mut().find(|e| e.key == entry.key) {
                    Some(old) => {
                        old.at = entry.at;
                        lay(&mut old.value, entry.value);
                    }
                    None => entries.push(entry),
                }
            }
        }
        (body, new) => {
            *body = new;
        }
    }
    base.at = over.at;
}

/// Moves what a scenario says about models of one kind (its `covers`, `needs`, `rotation`) onto
/// those models; gives the names it mentions. Names without a model are errors.
pub fn lay_onto(
    scenario: &mut Node,
    key: &str,
    models: &mut Node,
    kind: &str,
    problems: &mut Problems,
) -> BTreeSet<String> {
    let mut named = BTreeSet::new();
    let Some(node) = take(scenario, key) else {
        return named;
    };
    let new = match node.body {
        Body::Map(new) => new,
        _ => {
            problems.add(
                S110,
                node.at,
                format!("{key}: expected named records, found {}", described(&node)),
                format!("give names of {kind}, each with its keys"),
            );
            return named;
        }
    };
    let Some(base) = models.entry_mut(kind) else {
        return named;
    };
    for entry in new {
        let Some(old) = base.value.entry_mut(&entry.key) else {
            let known: Vec<&str> = base
                .value
                .entries()
                .iter()
                .map(|e| e.key.as_str())
                .collect();
            problems.add(
                N201,
                entry.at,
                format!("{key}: \"{}\" is not among the {kind}", shown(&entry.key)),
                advice(&entry.key, &known) + &format!(" A new one is defined under models.{kind}"),
            );
            continue;
        };
        named.insert(entry.key);
        old.at = entry.at;
        if !matches!(entry.value.body, Body::Map(_) | Body::Nothing) {
            problems.add(
                S110,
                entry.value.at,
                format!(
                    "{key}: expected a record, found {}",
                    described(&entry.value)
                ),
                "give its keys, as in { key: value }",
            );
        } else if entry.value.body != Body::Nothing {
            lay(&mut old.value, entry.value);
        }
    }
    named
}

/// Takes the value out from under a key; leaves an empty record in its place, so that the key
/// still counts as given.
fn take(node: &mut Node, key: &str) -> Option<Node> {
    let entry = node.entry_mut(key)?;
    if entry.value.body == Body::Nothing {
        return None;
    }
    let empty = Node {
        at: entry.value.at,
        body: Body::Map(Vec::new()),
    };
    Some(std::mem::replace(&mut entry.value, empty))
}

impl Node {
    /// The entry under `key`, to be changed.
    pub fn entry_mut(&mut self, key: &str) -> Option<&mut Entry> {
        match &mut self.body {
            Body::Map(entries) => entries.iter_mut().find(|e| e.key == key),
            _ => None,
        }
    }
}
