//! A record whose keys and values have been checked, and typed access to them.

use super::source::At;
use crate::domain::RotationRule;
use crate::units::{Week, WeekOfYear};
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// A checked value.
#[derive(Clone, Debug)]
pub enum Value {
    Number(f64),
    Numbers(Vec<f64>),
    Whole(u32),
    Wholes(u32, u32),
    WholeList(Vec<u32>),
    Text(String),
    Texts(Vec<(String, At)>),
    Word(&'static str),
    Words(Vec<&'static str>),
    Flag(bool),
    Week(Week),
    Date(NaiveDate),
    Spans(Vec<(WeekOfYear, WeekOfYear)>),
    Rule(RotationRule),
    Rules(Vec<(String, At, RotationRule)>),
    Records(Vec<Fields>),
}

/// A record whose keys and values have been checked.
#[derive(Clone, Debug)]
pub struct Fields {
    /// Path of keys, as in `beds.B01`.
    pub path: String,
    /// The key it stands under, its last part.
    pub name: String,
    /// Where that key stands.
    pub at: At,
    /// Given keys with the place of their value, bad ones included.
    pub(super) given: BTreeMap<&'static str, At>,
    pub(super) values: BTreeMap<&'static str, Value>,
}

macro_rules! getter {
    ($name:ident, $variant:ident, $type:ty) => {
        /// The value under `key`, when it is there and could be read.
        pub fn $name(&self, key: &str) -> Option<$type> {
            match self.values.get(key) {
                Some(Value::$variant(value)) => Some(value.clone()),
                _ => None,
            }
        }
    };
}

impl Fields {
    getter!(number, Number, f64);
    getter!(numbers, Numbers, Vec<f64>);
    getter!(whole, Whole, u32);
    getter!(whole_list, WholeList, Vec<u32>);
    getter!(text, Text, String);
    getter!(word, Word, &'static str);
    getter!(words, Words, Vec<&'static str>);
    getter!(flag, Flag, bool);
    getter!(week, Week, Week);
    getter!(date, Date, NaiveDate);
    getter!(rule, Rule, RotationRule);

    /// Two whole numbers under the key, the smaller first.
    pub fn pair(&self, key: &str) -> Option<(u32, u32)> {
        match self.values.get(key) {
            Some(Value::Wholes(first, second)) => Some((*first, *second)),
            _ => None,
        }
    }

    /// The only span under the key.
    pub fn span(&self, key: &str) -> Option<(WeekOfYear, WeekOfYear)> {
        self.spans(key).first().copied()
    }

    /// All spans under the key.
    pub fn spans(&self, key: &str) -> &[(WeekOfYear, WeekOfYear)] {
        match self.values.get(key) {
            Some(Value::Spans(spans)) => spans,
            _ => &[],
        }
    }

    /// The texts or names under the key, each with its place.
    pub fn texts(&self, key: &str) -> &[(String, At)] {
        match self.values.get(key) {
            Some(Value::Texts(texts)) => texts,
            _ => &[],
        }
    }

    /// The rules under the key: bed, place, rule.
    pub fn rules(&self, key: &str) -> &[(String, At, RotationRule)] {
        match self.values.get(key) {
            Some(Value::Rules(rules)) => rules,
            _ => &[],
        }
    }

    /// The records under the key; a named record's name is its [`Fields::name`].
    pub fn records(&self, key: &str) -> &[Fields] {
        match self.values.get(key) {
            Some(Value::Records(records)) => records,
            _ => &[],
        }
    }

    /// The only record under the key.
    pub fn record(&self, key: &str) -> Option<&Fields> {
        self.records(key).first()
    }

    /// Whether the key was given, well or badly.
    pub fn has(&self, key: &str) -> bool {
        self.given.contains_key(key)
    }

    /// The keys that were given, well or badly, in the order of their names.
    pub fn given_keys(&self) -> impl Iterator<Item = &'static str> + '_ {
        self.given.keys().copied()
    }

    /// Given keys with a plain value, as text.
    pub fn plain(&self) -> Vec<(&'static str, String)> {
        let text = |value: &Value| match value {
            Value::Number(v) => Some(v.to_string()),
            Value::Whole(v) => Some(v.to_string()),
            Value::Wholes(a, b) => Some(format!("{a} to {b}")),
            Value::Text(v) => Some(v.clone()),
            Value::Word(v) => Some((*v).to_string()),
            Value::Week(v) => Some(v.to_string()),
            Value::Date(v) => Some(v.to_string()),
            _ => None,
        };
        (self.values.iter())
            .filter(|(key, _)| self.has(key))
            .filter_map(|(key, value)| Some((*key, text(value)?)))
            .collect()
    }

    /// Whether no key at all was given.
    pub fn is_empty(&self) -> bool {
        self.given.is_empty()
    }

    /// Whether the key was given and could be read.
    pub fn reads(&self, key: &str) -> bool {
        self.values.contains_key(key)
    }

    /// Where the key's value stands; the record itself when it was left out.
    pub fn at(&self, key: &str) -> At {
        self.given.get(key).copied().unwrap_or(self.at)
    }

    /// Path of one of its keys.
    pub fn path_of(&self, key: &str) -> String {
        join(&self.path, key)
    }
}

/// A path with one more key.
pub fn join(path: &str, key: &str) -> String {
    if path.is_empty() {
        key.to_string()
    } else {
        format!("{path}.{key}")
    }
}
