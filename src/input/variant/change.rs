//! Single changes of a scenario's tree: laid over it, taken out, multiplied, added to.

use super::path::Step;
use crate::input::code::*;
use crate::input::diagnostic::{Problems, shown};
use crate::input::gather;
use crate::input::overlay::lay;
use crate::input::scalar::described;
use crate::input::source::At;
use crate::input::tree::{Body, Entry, Node};
use std::collections::BTreeSet;

/// What is done at a path.
pub enum Change {
    /// The value is laid over what stands there: records key by key, anything else replaced.
    Set(Node),
    /// It is taken out, a bed with what stands in it.
    Remove,
    /// Numbers are multiplied.
    Scale(Node),
    /// Numbers are added to.
    Shift(Node),
}

/// A change under way.
struct Job<'j> {
    change: &'j Change,
    /// The whole path as written, and its place.
    path: &'j str,
    at: At,
}

/// Gives the scenario the name of the variant.
pub fn set_name(scenario: &mut Node, name: &Entry) {
    if let Body::Map(entries) = &mut scenario.body {
        entries.retain(|e| e.key != "name");
        entries.push(name.clone());
    }
}

/// Makes a change at a path.
pub fn make(
    scenario: &mut Node,
    path: &str,
    steps: &[Step],
    at: At,
    change: &Change,
    problems: &mut Problems,
) {
    let job = Job { change, path, at };
    if steps.len() > 1 && is_key(&steps[0], "climate") {
        write_out_climate(scenario);
    }
    if is_key(&steps[0], "rotation") && steps.get(1) == Some(&Step::Each) {
        name_all_families(scenario, at);
    }
    match change {
        Change::Remove => remove(scenario, steps, &job, problems),
        _ => walk(scenario, steps, 0, &job, problems),
    }
}

fn is_key(step: &Step, key: &str) -> bool {
    matches!(step, Step::Key(name) if name == key)
}

/// Puts the shipped record in the place of the name of a climate, so that its figures can be
/// changed one by one. A name that is not shipped stays.
fn write_out_climate(scenario: &mut Node) {
    let own = scenario
        .get("models")
        .and_then(|m| m.get("climates"))
        .cloned();
    let Some(entry) = scenario.entry_mut("climate") else {
        return;
    };
    let Body::Scalar { text, .. } = &entry.value.body else {
        return;
    };
    let shipped = gather::shipped_tree(&mut Problems::default());
    let mut record = shipped
        .as_ref()
        .and_then(|models| models.get("climates")?.get(text))
        .cloned();
    if let Some(over) = own.as_ref().and_then(|climates| climates.get(text)) {
        match &mut record {
            Some(record) => lay(record, over.clone()),
            None => record = Some(over.clone()),
        }
    }
    if let Some(mut record) = record {
        // Its figures are found right already; whatever is changed gets a place of its own.
        place(&mut record, entry.value.at);
        entry.value = record;
    }
}

fn place(node: &mut Node, at: At) {
    node.at = at;
    match &mut node.body {
        Body::List(items) => items.iter_mut().for_each(|item| place(item, at)),
        Body::Map(entries) => {
            for entry in entries {
                entry.at = at;
                place(&mut entry.value, at);
            }
        }
        _ => {}
    }
}

/// Enters every family under `rotation`, where a scenario lists only those that it changes.
fn name_all_families(scenario: &mut Node, at: At) {
    let mut names: BTreeSet<String> = BTreeSet::new();
    let mut gather_names = |models: &Node| {
        if let Some(families) = models.get("families") {
            names.extend(families.entries().iter().map(|e| e.key.clone()));
        }
    };
    if let Some(models) = gather::shipped_tree(&mut Problems::default()) {
        gather_names(&models);
    }
    if let Some(models) = scenario.get("models") {
        gather_names(models);
    }
    let Some(rotation) = child(scenario, "rotation", at) else {
        return;
    };
    for name in names {
        let _ = child(&mut rotation.value, &name, at);
    }
}

/// The entry under the key, made if need be; `None` in a list.
fn child<'n>(node: &'n mut Node, key: &str, at: At) -> Option<&'n mut Entry> {
    if matches!(node.body, Body::Nothing | Body::Scalar { .. }) {
        node.body = Body::Map(Vec::new());
    }
    let Body::Map(entries) = &mut node.body else {
        return None;
    };
    let index = entries
        .iter()
        .position(|e| e.key == key)
        .unwrap_or_else(|| {
            entries.push(Entry {
                key: key.to_string(),
                at,
                value: Node {
                    at,
                    body: Body::Nothing,
                },
            });
            entries.len() - 1
        });
    Some(&mut entries[index])
}

/// Records whose names are made by the scenario alone: a path through an unknown one is a slip.
const OWN_NAMES: [&str; 2] = ["beds", "standing"];

/// Walks the rest of the path and makes the change at its end.
fn walk(node: &mut Node, steps: &[Step], done: usize, job: &Job, problems: &mut Problems) {
    let Some(step) = steps.get(done) else {
        match job.change {
            Change::Set(value) => lay(node, value.clone()),
            Change::Scale(by) => reckon(node, steps, by, job, problems),
            Change::Shift(by) => reckon(node, steps, by, job, problems),
            Change::Remove => unreachable!("removals are made by their parent"),
        }
        return;
    };
    let last = done + 1 == steps.len();
    match step {
        Step::Each => match &mut node.body {
            Body::Map(entries) => {
                for entry in entries {
                    entry.at = job.at;
                    walk(&mut entry.value, steps, done + 1, job, problems);
                }
            }
            Body::List(items) => {
                for item in items {
                    walk(item, steps, done + 1, job, problems);
                }
            }
            // Nothing there, nothing to change.
            _ => {}
        },
        Step::Key(key) => {
            if let Body::List(items) = &mut node.body {
                let count = items.len();
                match item(items, key) {
                    Some(index) => walk(&mut items[index], steps, done + 1, job, problems),
                    None => no_item(key, count, job, problems),
                }
                return;
            }
            let known: Vec<&str> = node.entries().iter().map(|e| e.key.as_str()).collect();
            let there = known.contains(&key.as_str());
            let own =
                done == 1 && matches!(&steps[0], Step::Key(k) if OWN_NAMES.contains(&k.as_str()));
            let makes = matches!(job.change, Change::Set(_)) && (last || !own);
            if !there && !makes {
                // After a `*`, records without the key are passed over.
                if !steps[..done].contains(&Step::Each) {
                    unknown(key, &known, job, problems);
                }
                return;
            }
            if let Some(entry) = child(node, key, job.at) {
                entry.at = job.at;
                walk(&mut entry.value, steps, done + 1, job, problems);
            }
        }
    }
}

/// The item of a list that a step means.
fn item(items: &[Node], key: &str) -> Option<usize> {
    let text = |node: &Node| matches!(&node.body, Body::Scalar { text, .. } if text == key);
    items.iter().position(text).or_else(|| {
        let number = key.parse::<usize>().ok()?.checked_sub(1)?;
        (number < items.len()).then_some(number)
    })
}

fn no_item(key: &str, count: usize, job: &Job, problems: &mut Problems) {
    problems.add(
        N201,
        job.at,
        format!("{}: the list has no \"{}\"", shown(job.path), shown(key)),
        format!("name one of its texts, or an item by its number, 1 to {count}"),
    );
}

fn unknown(key: &str, known: &[&str], job: &Job, problems: &mut Problems) {
    let advice = problems.advice(key, known);
    let message = format!("{}: there is no \"{}\" here", shown(job.path), shown(key));
    let help = match job.change {
        Change::Scale(_) | Change::Shift(_) => {
            format!("{advice} (a figure that stands in the models alone is changed by set)")
        }
        _ => advice,
    };
    problems.add(N201, job.at, message, help);
}

/// Takes out what the path leads to.
fn remove(scenario: &mut Node, steps: &[Step], job: &Job, problems: &mut Problems) {
    let (last, way) = steps.split_last().expect("paths have a step");
    let mut node = &mut *scenario;
    for step in way {
        let Step::Key(key) = step else {
            problems.add(
                S109,
                job.at,
                format!("{}: * can only end what is removed", shown(job.path)),
                "name what is taken out",
            );
            return;
        };
        if node.get(key).is_none() {
            let known: Vec<&str> = node.entries().iter().map(|e| e.key.as_str()).collect();
            unknown(key, &known, job, problems);
            return;
        }
        node = &mut node.entry_mut(key).expect("it is there").value;
    }
    match (last, &mut node.body) {
        (Step::Each, Body::Map(entries)) => entries.clear(),
        (Step::Each, Body::List(items)) => items.clear(),
        (Step::Key(key), Body::List(items)) => match item(items, key) {
            Some(index) => {
                items.remove(index);
            }
            None => no_item(key, items.len(), job, problems),
        },
        (Step::Key(key), Body::Map(entries)) => {
            match entries.iter().position(|e| e.key == *key) {
                Some(index) => {
                    entries.remove(index);
                }
                None => {
                    let known: Vec<&str> = entries.iter().map(|e| e.key.as_str()).collect();
                    unknown(key, &known, job, problems);
                }
            }
            if way.len() == 1 && is_key(&way[0], "beds") {
                forget_bed(scenario, key);
            }
        }
        _ => problems.add(
            N201,
            job.at,
            format!("{}: there is nothing to remove", shown(job.path)),
            "check the path",
        ),
    }
}

/// What stands in a bed, and what is said about it, goes with it.
fn forget_bed(scenario: &mut Node, bed: &str) {
    let there = |node: &Node| matches!(node.get("bed"), Some(Node { body: Body::Scalar { text, .. }, .. }) if text == bed);
    for key in ["standing", "planned"] {
        if let Some(entry) = scenario.entry_mut(key)
            && let Body::Map(entries) = &mut entry.value.body
        {
            entries.retain(|e| !there(&e.value));
        }
    }
    if let Some(entry) = scenario.entry_mut("directives")
        && let Body::List(items) = &mut entry.value.body
    {
        items.retain(|item| !there(item));
    }
    if let Some(rotation) = scenario.entry_mut("rotation")
        && let Body::Map(families) = &mut rotation.value.body
    {
        for family in families {
            if let Some(beds) = family.value.entry_mut("beds")
                && let Body::Map(rules) = &mut beds.value.body
            {
                rules.retain(|e| e.key != bed);
            }
        }
    }
}

/// Multiplies or adds to the numbers at the end of a path.
fn reckon(node: &mut Node, steps: &[Step], by: &Node, job: &Job, problems: &mut Problems) {
    // A need is scaled as a whole: floors and wishes, those of its seasons too.
    let a_need = is_key(&steps[0], "needs") && steps.len() <= 2;
    if let (true, Body::Map(entries), Change::Scale(_)) = (a_need, &mut node.body, job.change) {
        let all = steps.len() == 1;
        for entry in entries {
            match (all, entry.key.as_str()) {
                (true, _) => scale_need(&mut entry.value, by, job, problems),
                (false, "floor" | "wish" | "seasons") => {
                    scale_need(&mut entry.value, by, job, problems);
                }
                _ => {}
            }
        }
        return;
    }
    let Some(numbers) = numbers(by) else {
        let message = format!(
            "{}: expected a number or a list of numbers, found {}",
            shown(job.path),
            described(by)
        );
        problems.add(S110, by.at, message, "give the factor, or what is added");
        return;
    };
    match &mut node.body {
        Body::List(items) if numbers.len() == 1 || numbers.len() == items.len() => {
            for (i, item) in items.iter_mut().enumerate() {
                let number = numbers[if numbers.len() == 1 { 0 } else { i }];
                one(item, number, by.at, job, problems);
            }
        }
        Body::List(items) => problems.add(
            S114,
            by.at,
            format!(
                "{}: a list of {}, expected {} or a single number",
                shown(job.path),
                numbers.len(),
                items.len()
            ),
            "give one for all, or one for each",
        ),
        _ if numbers.len() == 1 => one(node, numbers[0], by.at, job, problems),
        _ => problems.add(
            S114,
            by.at,
            format!("{}: a list for a single number", shown(job.path)),
            "give a single number",
        ),
    }
}

/// Scales the floors and wishes of a need or of its seasons.
fn scale_need(node: &mut Node, by: &Node, job: &Job, problems: &mut Problems) {
    match &mut node.body {
        Body::List(items) => {
            for item in items {
                scale_need(item, by, job, problems);
            }
        }
        Body::Map(entries) => {
            for entry in entries {
                if matches!(entry.key.as_str(), "floor" | "wish" | "seasons") {
                    scale_need(&mut entry.value, by, job, problems);
                }
            }
        }
        Body::Nothing => {}
        Body::Scalar { .. } => match numbers(by).as_deref() {
            Some([number]) => one(node, *number, by.at, job, problems),
            _ => {
                let message = format!(
                    "{}: expected a number, found {}",
                    shown(job.path),
                    described(by)
                );
                problems.add(S110, by.at, message, "give the factor");
            }
        },
    }
}

/// A number, or the numbers of a list.
fn numbers(node: &Node) -> Option<Vec<f64>> {
    match &node.body {
        Body::List(items) if !items.is_empty() => items.iter().map(number).collect(),
        _ => Some(vec![number(node)?]),
    }
}

fn number(node: &Node) -> Option<f64> {
    match &node.body {
        Body::Scalar { text, plain: true } => text.parse().ok().filter(|n: &f64| n.is_finite()),
        _ => None,
    }
}

/// Changes one number; the result stands where the change was written.
fn one(node: &mut Node, by: f64, at: At, job: &Job, problems: &mut Problems) {
    /// Sums of decimal figures are rounded to this share of a unit.
    const PLACES: f64 = 1e9;
    let Some(old) = number(node) else {
        let message = format!(
            "{}: there is no number to change, but {}",
            shown(job.path),
            described(node)
        );
        problems.add(S110, at, message, "name a number, or use set");
        return;
    };
    let new = match job.change {
        Change::Scale(_) => old * by,
        _ => old + by,
    };
    let rounded = (new * PLACES).round() / PLACES;
    *node = Node {
        at,
        body: Body::Scalar {
            text: format!("{}", if rounded.is_finite() { rounded } else { new }),
            plain: true,
        },
    };
}
