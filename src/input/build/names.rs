//! Names resolved to indices, with advice where there is no such name.

use crate::input::code::{Code, N201, V304, V305};
use crate::input::diagnostic::{Problems, shown};
use crate::input::fields::Fields;
use crate::input::nearest::of_members;
use crate::input::source::At;

/// The names of one sort of thing, in the order of their indices.
#[derive(Clone, Debug)]
pub struct Names {
    /// What it is, as in `bed`.
    what: &'static str,
    names: Vec<String>,
    /// Names of other things, each with the one of these that it belongs to.
    members: Vec<(String, String)>,
}

impl Names {
    pub fn new(what: &'static str, names: impl IntoIterator<Item = String>) -> Names {
        Names {
            what,
            names: names.into_iter().collect(),
            members: Vec::new(),
        }
    }

    /// The same where the record that holds such a name under `key` may be meant: a crop where its family is asked for.
    pub fn with_members(mut self, key: &str, records: &[Fields]) -> Names {
        let member = |r: &Fields| Some((r.name.clone(), r.text(key)?));
        self.members = records.iter().filter_map(member).collect();
        self
    }

    /// The names of records, in their order.
    pub fn of(what: &'static str, records: &[Fields]) -> Names {
        Names::new(what, records.iter().map(|r| r.name.clone()))
    }

    pub fn index(&self, name: &str) -> Option<usize> {
        self.names.iter().position(|n| n == name)
    }

    pub fn list(&self) -> &[String] {
        &self.names
    }

    /// The index of a name written at `at` as the value of `path`.
    pub fn find(&self, name: &str, path: &str, at: At, problems: &mut Problems) -> Option<usize> {
        let index = self.index(name);
        if index.is_none() {
            let known: Vec<&str> = self.names.iter().map(String::as_str).collect();
            let help = match problems.are_many() {
                true => None,
                false => self.of_member(name),
            };
            let help = help.unwrap_or_else(|| problems.advice(name, &known));
            let message = format!("{path}: there is no {} \"{}\"", self.what, shown(name));
            problems.add(N201, at, message, help);
        }
        index
    }

    /// Advice where a member is named.
    fn of_member(&self, name: &str) -> Option<String> {
        let members: Vec<(&str, &str)> = (self.members.iter())
            .filter(|(_, of)| self.index(of).is_some())
            .map(|(member, of)| (member.as_str(), of.as_str()))
            .collect();
        of_members(name, &members)
    }

    /// The index of the name that a record holds under `key`; `None` when it was left out too.
    pub fn find_in(&self, fields: &Fields, key: &str, problems: &mut Problems) -> Option<usize> {
        let name = fields.text(key)?;
        self.find(&name, &fields.path_of(key), fields.at(key), problems)
    }
}

/// Complains about the value under `key`.
pub fn complain(
    fields: &Fields,
    key: &str,
    code: Code,
    message: String,
    help: &str,
    problems: &mut Problems,
) {
    let path = fields.path_of(key);
    problems.add(code, fields.at(key), format!("{path}: {message}"), help);
}

/// Complains at the value under `key` about those keys that it needs and that are missing.
pub fn needs_keys(
    fields: &Fields,
    key: &str,
    word: &str,
    needed: &[&str],
    problems: &mut Problems,
) {
    let missing = needed.iter().filter(|k| !fields.has(k)).copied();
    let missing: Vec<&str> = missing.collect();
    if !missing.is_empty() {
        let list = missing.join(", ");
        let (message, help) = (format!("{word} needs also {list}"), format!("add {list}"));
        complain(fields, key, V304, message, &help, problems);
    }
}

/// Complains unless `low <= high`, two numbers of the record named in the message.
pub fn ordered(
    fields: &Fields,
    (low_key, low): (&str, f64),
    (high_key, high): (&str, f64),
    problems: &mut Problems,
) {
    if low > high {
        let key = if fields.has(low_key) {
            low_key
        } else {
            high_key
        };
        let message = format!("{low_key} {low} is above {high_key} {high}");
        complain(
            fields,
            key,
            V305,
            message,
            &format!("lower {low_key} or raise {high_key}"),
            problems,
        );
    }
}
