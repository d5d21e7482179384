//! A tree checked against the tables: every key known, every value of its type and range.
//!
//! All faults of a record are reported; what is right stays readable, so that later checks
//! still find theirs. A caller that needs a value asks for it and gets `None` where it was bad.

use super::code::*;
use super::diagnostic::{Problems, shown};
use super::fields::{Fields, Value, join};
use super::scalar::{self, Slot};
use super::schema::{Attribute, Kind, Presence, Record};
use super::source::At;
use super::tables::DISCOURAGE;
use super::tree::{Body, Entry, Node};
use crate::domain::RotationRule;
use crate::units::WeekOfYear;
use std::collections::{BTreeMap, BTreeSet};

/// Reads a record standing under the key at `key_at`.
pub fn record(
    node: &Node,
    name: &str,
    key_at: At,
    path: &str,
    table: &'static Record,
    problems: &mut Problems,
) -> Fields {
    let mut fields = Fields {
        path: path.to_string(),
        name: name.to_string(),
        at: key_at,
        given: BTreeMap::new(),
        values: BTreeMap::new(),
    };
    if !matches!(node.body, Body::Map(_) | Body::Nothing) {
        problems.add(
            S110,
            node.at,
            format!(
                "{}: expected a record, found {}",
                shown_path(path, table),
                scalar::described(node)
            ),
            format!("give its keys: {}", keys(table).join(", ")),
        );
        return fields;
    }
    let mut open: Option<Vec<&'static str>> = None;
    for (n, entry) in node.entries().iter().enumerate() {
        let Some(attribute) = table.attribute(&entry.key) else {
            let legal: &[&str] = open.get_or_insert_with(|| still_open(node, table));
            let help = match split_number(&node.entries()[..=n]) {
                Some((before, whole)) => {
                    // The part before the comma is not what was meant.
                    fields.values.remove(before);
                    format!("use a decimal point: {before}: {whole}")
                }
                None => problems.advice(&entry.key, legal),
            };
            // A misspelt key counts as given, so that it is not reported as missing too.
            if let Some(meant) = problems.nearest(&entry.key, legal) {
                fields.given.entry(meant).or_insert(entry.at);
            }
            problems.add(
                S111,
                entry.at,
                format!(
                    "{} has no key \"{}\"",
                    shown_path(path, table),
                    shown(&entry.key)
                ),
                help,
            );
            continue;
        };
        if entry.value.body == Body::Nothing {
            continue;
        }
        fields.given.insert(attribute.key, entry.value.at);
        let path = join(path, attribute.key);
        if let Some(value) = value(&entry.value, entry.at, &path, attribute, problems) {
            fields.values.insert(attribute.key, value);
        }
    }
    for attribute in table.attributes {
        if fields.has(attribute.key) {
            continue;
        }
        match attribute.presence {
            Presence::Optional => {}
            Presence::Required => {
                let (what, key) = (shown_path(path, table), attribute.key);
                problems.add(
                    S113,
                    key_at,
                    format!("{what} lacks the key \"{key}\""),
                    format!(
                        "add {key}: {}; {}",
                        attribute.kind.expected(),
                        attribute.sentence
                    ),
                );
            }
            Presence::Default(text) => {
                let node = Node {
                    at: key_at,
                    body: Body::Scalar {
                        text: text.to_string(),
                        plain: true,
                    },
                };
                let path = join(path, attribute.key);
                let value = value(&node, key_at, &path, attribute, problems)
                    .expect("defaults in the tables are legal");
                fields.values.insert(attribute.key, value);
            }
        }
    }
    fields
}

/// The key and the whole number where the last of these keys is what a decimal comma left of it: between braces
/// `wish: 2,5` is `wish: 2`, then a key `5`.
fn split_number(entries: &[Entry]) -> Option<(&str, String)> {
    let [.., Entry { key, value, .. }, rest] = entries else {
        return None;
    };
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    match &value.body {
        Body::Scalar { text, plain: true }
            if rest.value.body == Body::Nothing && digits(text) && digits(&rest.key) =>
        {
            Some((key, format!("{text}.{}", rest.key)))
        }
        _ => None,
    }
}

fn keys(table: &Record) -> Vec<&'static str> {
    table.attributes.iter().map(|a| a.key).collect()
}

/// The keys that may be meant by one that is none of them: those that are not given besides, if there are any.
fn still_open(node: &Node, table: &Record) -> Vec<&'static str> {
    let given: BTreeSet<&str> = node.entries().iter().map(|e| e.key.as_str()).collect();
    let mut open = keys(table);
    open.retain(|key| !given.contains(key));
    match open.is_empty() {
        true => keys(table),
        false => open,
    }
}

/// The path of a record as the subject of a sentence.
fn shown_path(path: &str, table: &Record) -> String {
    if path.is_empty() {
        format!("the {}", table.title.to_lowercase())
    } else {
        path.to_string()
    }
}

fn value(
    node: &Node,
    key_at: At,
    path: &str,
    attribute: &'static Attribute,
    problems: &mut Problems,
) -> Option<Value> {
    let slot = Slot { path, attribute };
    Some(match attribute.kind {
        Kind::Name(what) => Value::Text(scalar::name(node, what, slot, problems)?),
        Kind::Text => Value::Text(scalar::text(node, slot, problems)?),
        Kind::Flag => Value::Flag(scalar::flag(node, slot, problems)?),
        Kind::Number(range) => Value::Number(scalar::number(node, range, slot, problems)?),
        Kind::Whole(range) => Value::Whole(scalar::whole(node, range, slot, problems)?),
        Kind::Choice(words) => Value::Word(scalar::choice(node, words, slot, problems)?),
        Kind::Week => Value::Week(scalar::week(node, slot, problems)?),
        Kind::Date => Value::Date(scalar::date(node, slot, problems)?),
        Kind::Rule => Value::Rule(rule(node, slot, problems)?),
        Kind::Span => Value::Spans(vec![span(node, slot, problems)?]),
        Kind::Spans => Value::Spans(each(node, slot, problems, span)?),
        Kind::Texts => Value::Texts(each(node, slot, problems, |item, slot, problems| {
            Some((scalar::text(item, slot, problems)?, item.at))
        })?),
        Kind::Names(what) => {
            let names = each(node, slot, problems, |item, slot, problems| {
                Some((scalar::name(item, what, slot, problems)?, item.at))
            })?;
            unrepeated(&names, path, problems);
            Value::Texts(names)
        }
        Kind::Choices(words) => {
            let chosen = each(node, slot, problems, |item, slot, problems| {
                scalar::choice(item, words, slot, problems)
            })?;
            if chosen.is_empty() {
                let message = format!("{path}: an empty list, expected at least one word");
                problems.add(
                    S114,
                    node.at,
                    message,
                    format!("choose from {}", words.join(", ")),
                );
                return None;
            }
            Value::Words(chosen)
        }
        Kind::Numbers(range, count) => {
            let items = items_of(node, count, slot, problems)?;
            Value::Numbers(all(items
                .iter()
                .map(|i| scalar::number(i, range, slot, problems)))?)
        }
        Kind::WholePair(range) => {
            let items = items_of(node, 2, slot, problems)?;
            let pair = all(items
                .iter()
                .map(|i| scalar::whole(i, range, slot, problems)))?;
            if pair[0] > pair[1] {
                problems.add(
                    V305,
                    node.at,
                    format!("{path}: {} comes after {}", pair[0], pair[1]),
                    "put the smaller number first",
                );
                return None;
            }
            Value::Wholes(pair[0], pair[1])
        }
        Kind::Wholes(range) => {
            let mut wholes = each(node, slot, problems, |item, slot, problems| {
                scalar::whole(item, range, slot, problems)
            })?;
            wholes.sort_unstable();
            if wholes.is_empty() || wholes.windows(2).any(|pair| pair[0] == pair[1]) {
                let what = if wholes.is_empty() {
                    "an empty list"
                } else {
                    "a number is listed twice"
                };
                problems.add(
                    S114,
                    node.at,
                    format!("{path}: {what}"),
                    "give at least one number, each once",
                );
                return None;
            }
            Value::WholeList(wholes)
        }
        Kind::Rules => {
            if !matches!(node.body, Body::Map(_)) {
                slot.wrong_type(node, &attribute.kind.expected(), problems);
                return None;
            }
            let rules = node.entries().iter().map(|entry| {
                let path = join(path, &entry.key);
                let slot = Slot {
                    path: &path,
                    attribute,
                };
                Some((
                    entry.key.clone(),
                    entry.at,
                    rule(&entry.value, slot, problems)?,
                ))
            });
            Value::Rules(all(rules)?)
        }
        Kind::Record(table) => Value::Records(vec![record(
            node,
            attribute.key,
            key_at,
            path,
            table,
            problems,
        )]),
        Kind::Records(table, most) => {
            let Body::List(items) = &node.body else {
                slot.wrong_type(node, "a list of records", problems);
                return None;
            };
            let items = at_most(items, most, node.at, path, problems);
            let numbered = items.iter().enumerate();
            Value::Records(
                numbered
                    .map(|(i, item)| {
                        let name = (i + 1).to_string();
                        record(item, &name, item.at, &join(path, &name), table, problems)
                    })
                    .collect(),
            )
        }
        Kind::Map(table, most) => {
            if !matches!(node.body, Body::Map(_)) {
                slot.wrong_type(node, "named records", problems);
                return None;
            }
            let entries = at_most(node.entries(), most, node.at, path, problems);
            let mut records: Vec<Fields> = entries
                .iter()
                .map(|e| record(&e.value, &e.key, e.at, &join(path, &e.key), table, problems))
                .collect();
            records.sort_by(|a, b| a.name.cmp(&b.name));
            Value::Records(records)
        }
    })
}

/// All of them, or `None` when one is bad; every item is looked at.
fn all<T>(items: impl Iterator<Item = Option<T>>) -> Option<Vec<T>> {
    let items: Vec<Option<T>> = items.collect();
    items.into_iter().collect()
}

fn each<T>(
    node: &Node,
    slot: Slot,
    problems: &mut Problems,
    mut read: impl FnMut(&Node, Slot, &mut Problems) -> Option<T>,
) -> Option<Vec<T>> {
    let Body::List(items) = &node.body else {
        slot.wrong_type(node, &slot.attribute.kind.expected(), problems);
        return None;
    };
    all(items.iter().map(|item| read(item, slot, problems)))
}

/// The items of a list that must have `count` of them.
fn items_of<'t>(
    node: &'t Node,
    count: usize,
    slot: Slot,
    problems: &mut Problems,
) -> Option<&'t [Node]> {
    let Body::List(items) = &node.body else {
        slot.wrong_type(node, &slot.attribute.kind.expected(), problems);
        return None;
    };
    if items.len() != count {
        problems.add(
            S114,
            node.at,
            format!("{}: a list of {}, expected {count}", slot.path, items.len()),
            format!("give {count} values: {}", slot.attribute.sentence),
        );
        return None;
    }
    Some(items)
}

fn span(node: &Node, slot: Slot, problems: &mut Problems) -> Option<(WeekOfYear, WeekOfYear)> {
    let Body::List(items) = &node.body else {
        slot.wrong_type(node, &Kind::Span.expected(), problems);
        return None;
    };
    if items.len() != 2 {
        problems.add(
            S114,
            node.at,
            format!("{}: a list of {}, expected 2", slot.path, items.len()),
            "give the first and the last week of the year, as in [W40, W14]",
        );
        return None;
    }
    let weeks = all(items
        .iter()
        .map(|i| scalar::week_of_year(i, slot, problems)))?;
    Some((weeks[0], weeks[1]))
}

fn rule(node: &Node, slot: Slot, problems: &mut Problems) -> Option<RotationRule> {
    match &node.body {
        Body::Map(_) => {
            let fields = record(node, "rule", node.at, slot.path, &DISCOURAGE, problems);
            Some(RotationRule::Discourage {
                money_per_m2_week: fields.number("discourage_money_per_m2_week")?,
            })
        }
        _ => match scalar::choice(node, &["forbid", "off"], slot, problems)? {
            "forbid" => Some(RotationRule::Forbid),
            _ => Some(RotationRule::Off),
        },
    }
}

/// The items, cut to `most` with a complaint when there are more.
pub fn at_most<'t, T>(
    items: &'t [T],
    most: usize,
    at: At,
    path: &str,
    problems: &mut Problems,
) -> &'t [T] {
    if items.len() > most {
        problems.add(
            V301,
            at,
            format!(
                "{path}: {} entries are too many, allowed are 0 to {most}",
                items.len()
            ),
            "split the scenario or leave some out",
        );
    }
    &items[..items.len().min(most)]
}

fn unrepeated(names: &[(String, At)], path: &str, problems: &mut Problems) {
    let mut seen = std::collections::BTreeSet::new();
    for (name, at) in names {
        if !seen.insert(name) {
            problems.add(
                N202,
                *at,
                format!("{path}: \"{name}\" is listed twice"),
                "keep one of the two",
            );
        }
    }
}
