//! Single values: numbers, weeks, words, with advice for the usual slips.

use super::code::*;
use super::diagnostic::{Problems, shown};
use super::nearest::nearest;
use super::schema::{Attribute, Kind, Range};
use super::source::At;
use super::tree::{Body, MAX_NAME_CHARS, Node};
use crate::units::{Week, WeekOfYear};
use chrono::NaiveDate;

/// Longest free text, characters.
const MAX_TEXT_CHARS: usize = 2_000;

/// Where a value stands and what it should be, for messages.
#[derive(Clone, Copy)]
pub struct Slot<'a> {
    /// Path of keys, as in `beds.B01.length_m`.
    pub path: &'a str,
    pub attribute: &'static Attribute,
}

impl Slot<'_> {
    /// Complains that a value is of the wrong type.
    pub fn wrong_type(&self, node: &Node, expected: &str, problems: &mut Problems) {
        let help = match &node.body {
            Body::Scalar { text, plain } => slip(text, *plain, self.attribute),
            _ => None,
        };
        let sentence = self.attribute.sentence;
        problems.add(
            S110,
            node.at,
            format!(
                "{}: expected {expected}, found {}",
                self.path,
                described(node)
            ),
            help.unwrap_or_else(|| match self.attribute.kind.form() {
                Some(form) => format!("give {expected}, {form}: {sentence}"),
                None => format!("give {expected}: {sentence}"),
            }),
        );
    }

    fn out_of_range(&self, at: At, text: &str, range: Range, problems: &mut Problems) {
        problems.add(
            V301,
            at,
            format!(
                "{}: {} is out of range, allowed are {}",
                self.path,
                shown(text),
                range.shown()
            ),
            format!(
                "give a number in that range; {}: {}",
                self.attribute.key, self.attribute.sentence
            ),
        );
    }
}

/// A value as named in a message.
pub fn described(node: &Node) -> String {
    match &node.body {
        Body::Nothing => "nothing".into(),
        Body::Scalar { text, plain: true } => match decimal(text) {
            Some(_) => format!("the number {}", shown(text)),
            None => format!("the text \"{}\"", shown(text)),
        },
        Body::Scalar { text, plain: false } => format!("the quoted text \"{}\"", shown(text)),
        Body::List(items) => format!("a list of {}", items.len()),
        Body::Map(_) => "a record".into(),
    }
}

/// Advice for the usual slips of the pen.
fn slip(text: &str, plain: bool, attribute: &Attribute) -> Option<String> {
    let wants_number = attribute.kind.range().is_some();
    if wants_number && !plain && decimal(text).is_some() {
        return Some("take the quotes away: it is a number".into());
    }
    if wants_number && text.contains(',') && decimal(&text.replace(',', ".")).is_some() {
        return Some(format!("use a decimal point: {}", text.replace(',', ".")));
    }
    if wants_number {
        if text.parse::<f64>().is_ok_and(|v| !v.is_finite()) || text.starts_with('.') {
            return Some("give a finite number".into());
        }
        let end = text
            .find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-' || c == '+'))
            .unwrap_or(text.len());
        let (number, suffix) = text.split_at(end);
        if decimal(number).is_some() && !suffix.trim().is_empty() {
            let unit = attribute.kind.range().map_or("", |range| range.unit);
            return Some(match unit {
                "" => format!("write only the number, {number}"),
                unit => format!("write only the number, {number}: it is in {unit}"),
            });
        }
    }
    if matches!(attribute.kind, Kind::Flag) {
        return match text.to_lowercase().as_str() {
            "yes" | "on" | "y" | "1" => Some("write true".into()),
            "no" | "off" | "n" | "0" => Some("write false".into()),
            "true" | "false" => Some("write it in lower case, without quotes".into()),
            _ => None,
        };
    }
    None
}

/// A plain decimal number; no infinities, no hexadecimal.
fn decimal(text: &str) -> Option<f64> {
    let plain = text
        .bytes()
        .all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'-' | b'+' | b'e' | b'E'));
    // Words such as `e` pass the byte test but do not parse; an overflow parses to infinity.
    plain
        .then(|| text.parse::<f64>().ok())
        .flatten()
        .filter(|v| v.is_finite())
}

fn plain_text(node: &Node) -> Option<&str> {
    match &node.body {
        Body::Scalar { text, plain: true } => Some(text),
        _ => None,
    }
}

/// A number within the range.
pub fn number(node: &Node, range: Range, slot: Slot, problems: &mut Problems) -> Option<f64> {
    let text = plain_text(node).unwrap_or_default();
    let Some(value) = decimal(text) else {
        slot.wrong_type(node, "a number", problems);
        return None;
    };
    if !range.holds(value) {
        slot.out_of_range(node.at, text, range, problems);
        return None;
    }
    Some(value)
}

/// A whole number within the range.
pub fn whole(node: &Node, range: Range, slot: Slot, problems: &mut Problems) -> Option<u32> {
    let text = plain_text(node).unwrap_or_default();
    match decimal(text) {
        Some(value) if value.fract() == 0.0 && range.holds(value) => Some(value as u32),
        Some(value) if value.fract() == 0.0 => {
            slot.out_of_range(node.at, text, range, problems);
            None
        }
        _ => {
            slot.wrong_type(node, "a whole number", problems);
            None
        }
    }
}

/// `true` or `false`.
pub fn flag(node: &Node, slot: Slot, problems: &mut Problems) -> Option<bool> {
    match plain_text(node) {
        Some("true") => Some(true),
        Some("false") => Some(false),
        _ => {
            slot.wrong_type(node, "true or false", problems);
            None
        }
    }
}

/// Any text, quoted or not, also one that looks like a number.
pub fn text(node: &Node, slot: Slot, problems: &mut Problems) -> Option<String> {
    match &node.body {
        Body::Scalar { text, .. } if text.chars().nth(MAX_TEXT_CHARS).is_none() => {
            Some(text.clone())
        }
        Body::Scalar { text, .. } => {
            let count = text.chars().count();
            problems.add(
                V301,
                node.at,
                format!(
                    "{}: a text of {count} characters, allowed are {MAX_TEXT_CHARS}",
                    slot.path
                ),
                "shorten it",
            );
            None
        }
        _ => {
            slot.wrong_type(node, "a text", problems);
            None
        }
    }
}

/// A text fit to be a name.
pub fn name(node: &Node, what: &str, slot: Slot, problems: &mut Problems) -> Option<String> {
    match &node.body {
        Body::Scalar { text, .. } => {
            let usable = text.chars().nth(MAX_NAME_CHARS).is_none()
                && !text.trim().is_empty()
                && !text.chars().any(char::is_control);
            if !usable {
                problems.add(
                    S109,
                    node.at,
                    format!("{}: \"{}\" cannot be a name", slot.path, shown(text)),
                    format!("use 1 to {MAX_NAME_CHARS} printable characters"),
                );
            }
            usable.then(|| text.clone())
        }
        _ => {
            slot.wrong_type(node, &format!("the name of a {what}"), problems);
            None
        }
    }
}

/// One of the words; its index.
pub fn choice(
    node: &Node,
    words: &'static [&'static str],
    slot: Slot,
    problems: &mut Problems,
) -> Option<&'static str> {
    let Body::Scalar { text, .. } = &node.body else {
        slot.wrong_type(node, &format!("one of {}", words.join(", ")), problems);
        return None;
    };
    let found = words.iter().find(|w| *w == text).copied();
    if found.is_none() {
        let help = match nearest(text, words.iter().copied()) {
            Some(word) => format!("did you mean \"{word}\"?"),
            None => format!("{}: {}", slot.attribute.key, slot.attribute.sentence),
        };
        problems.add(
            V302,
            node.at,
            format!(
                "{}: \"{}\" is not allowed, only {}",
                slot.path,
                shown(text),
                words.join(", ")
            ),
            help,
        );
    }
    found
}

/// An ISO week of a given year.
pub fn week(node: &Node, slot: Slot, problems: &mut Problems) -> Option<Week> {
    let expected = "an ISO week such as 2026-W42";
    let Body::Scalar { text, .. } = &node.body else {
        slot.wrong_type(node, expected, problems);
        return None;
    };
    match text.parse::<Week>() {
        Ok(week) => Some(week),
        Err(reason) => {
            let dated =
                text.len() == 10 && chrono::NaiveDate::parse_from_str(text, "%Y-%m-%d").is_ok();
            let help = if dated {
                let date = chrono::NaiveDate::parse_from_str(text, "%Y-%m-%d").expect("just read");
                match Week::from_iso(date_year(date), 1) {
                    Some(_) => format!("this date lies in {}", Week::of(date)),
                    None => format!("give {expected}, year 1900 to 2200"),
                }
            } else if text.parse::<WeekOfYear>().is_ok() {
                "add the year: this is one week, not one of every year".into()
            } else {
                format!("give {expected}: {}", slot.attribute.sentence)
            };
            problems.add(
                V303,
                node.at,
                format!("{}: {}", slot.path, brief(text, reason)),
                help,
            );
            None
        }
    }
}

fn date_year(date: chrono::NaiveDate) -> i32 {
    use chrono::Datelike;
    date.iso_week().year()
}

/// The reason, unless it repeats a long text.
fn brief(text: &str, reason: String) -> String {
    if text.len() > MAX_NAME_CHARS || text.chars().any(char::is_control) {
        format!("\"{}\" is not a week", shown(text))
    } else {
        reason
    }
}

/// A day, or a week, of which its Monday counts.
pub fn date(node: &Node, slot: Slot, problems: &mut Problems) -> Option<NaiveDate> {
    let expected = "a date such as 2026-10-12, or an ISO week, which counts as its Monday";
    let Body::Scalar { text, .. } = &node.body else {
        slot.wrong_type(node, expected, problems);
        return None;
    };
    let read = read_date(text);
    if read.is_none() {
        problems.add(
            E507,
            node.at,
            format!("{}: \"{}\" is not a date", slot.path, shown(text)),
            format!("give {expected}: {}", slot.attribute.sentence),
        );
    }
    read
}

/// `2026-10-12`, or the Monday of `2026-W42`; years 1900 to 2200.
pub fn read_date(text: &str) -> Option<NaiveDate> {
    if let Ok(week) = text.parse::<Week>() {
        return Some(week.monday());
    }
    let date = NaiveDate::parse_from_str(text, "%Y-%m-%d").ok()?;
    (text.len() == 10 && Week::from_iso(date_year(date), 1).is_some()).then_some(date)
}

/// A week of every year.
pub fn week_of_year(node: &Node, slot: Slot, problems: &mut Problems) -> Option<WeekOfYear> {
    let Body::Scalar { text, .. } = &node.body else {
        slot.wrong_type(node, "a week of the year such as W42", problems);
        return None;
    };
    match text.parse::<WeekOfYear>() {
        Ok(week) => Some(week),
        Err(reason) => {
            let help = if text.parse::<Week>().is_ok() {
                "leave the year out: it holds in every year"
            } else if text.parse::<u32>().is_ok() {
                "write W before the number"
            } else {
                "give a week of the year such as W42"
            };
            problems.add(
                V303,
                node.at,
                format!("{}: {}", slot.path, brief(text, reason)),
                help,
            );
            None
        }
    }
}
