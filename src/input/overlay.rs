//! Scenario values laid over the shipped models, tree over tree, each value keeping its place.

use super::code::{N201, S110};
use super::diagnostic::{Problems, shown};
use super::nearest::of_members;
use super::scalar::described;
use super::tree::{Body, Entry, Node};
use std::collections::{BTreeMap, BTreeSet};

/// `over` laid on `base`: records are merged key by key, anything else is replaced.
pub fn lay(base: &mut Node, over: Node) {
    match (&mut base.body, over.body) {
        (Body::Map(entries), Body::Map(new)) => {
            for (place, entry) in positions(entries, new) {
                match place {
                    Some(index) => {
                        entries[index].at = entry.at;
                        lay(&mut entries[index].value, entry.value);
                    }
                    None => entries.push(entry),
                }
            }
        }
        (body, new) => *body = new,
    }
    base.at = over.at;
}

/// Each new entry with the index of the old one of the same key.
fn positions(old: &[Entry], new: Vec<Entry>) -> Vec<(Option<usize>, Entry)> {
    let keys = old.iter().enumerate().map(|(i, e)| (e.key.as_str(), i));
    let index: BTreeMap<&str, usize> = keys.collect();
    new.into_iter()
        .map(|entry| (index.get(entry.key.as_str()).copied(), entry))
        .collect()
}

/// Moves what a scenario says about models of one kind (its `covers`, `needs`, `rotation`) onto
/// those models; gives the names it mentions. Names without a model are errors; where one is that of a crop, its foods
/// are offered.
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
    let Body::Map(new) = node.body else {
        problems.add(
            S110,
            node.at,
            format!("{key}: expected named records, found {}", described(&node)),
            format!("give names of {kind}, each with its keys"),
        );
        return named;
    };
    let served = match kind {
        "foods" => served(models),
        _ => Vec::new(),
    };
    let Some(Body::Map(entries)) = models.entry_mut(kind).map(|e| &mut e.value.body) else {
        return named;
    };
    for (place, entry) in positions(entries, new) {
        let Some(index) = place else {
            let known: Vec<&str> = entries.iter().map(|e| e.key.as_str()).collect();
            let crops: Vec<(&str, &str)> = (served.iter())
                .map(|(crop, food)| (crop.as_str(), food.as_str()))
                .filter(|(_, food)| known.contains(food))
                .collect();
            let of_crop = match problems.are_many() {
                true => None,
                false => of_members(&entry.key, &crops),
            };
            let advice = of_crop.unwrap_or_else(|| problems.advice(&entry.key, &known));
            problems.add(
                N201,
                entry.at,
                format!("{key}: \"{}\" is not among the {kind}", shown(&entry.key)),
                format!("{advice} (a new one is defined under models.{kind})"),
            );
            continue;
        };
        let old = &mut entries[index];
        old.at = entry.at;
        if entry.value.body != Body::Nothing {
            lay(&mut old.value, entry.value);
        }
        named.insert(entry.key);
    }
    named
}

/// Each crop of the models with each food that it serves.
fn served(models: &Node) -> Vec<(String, String)> {
    let mut served = Vec::new();
    for crop in models.get("crops").map_or(&[][..], Node::entries) {
        let Some(Body::List(ways)) = crop.value.get("ways").map(|ways| &ways.body) else {
            continue;
        };
        for way in ways {
            if let Some(Body::Scalar { text, .. }) = way.get("food").map(|food| &food.body) {
                served.push((crop.key.clone(), text.clone()));
            }
        }
    }
    served
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
