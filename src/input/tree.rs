//! YAML text to a tree of positioned values, within fixed limits of depth and size.
//!
//! Scalars stay text: what they mean is decided by the record they stand in (`read.rs`).

use super::code::*;
use super::diagnostic::{Problems, shown};
use super::source::At;
use serde_yaml::granit_parser::{ErrorKind, Event, Parser, ScalarStyle, Span, options};
use std::collections::BTreeSet;

/// Deepest nesting; the format itself needs eight levels.
pub const MAX_DEPTH: usize = 32;
/// Most values in one file; a holding of 400 beds has about 20,000.
pub const MAX_NODES: usize = 60_000;
/// Longest key or name, characters.
pub const MAX_NAME_CHARS: usize = 80;

/// A value with its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    pub at: At,
    pub body: Body,
}

#[derive(Clone, Debug, PartialEq)]
pub enum Body {
    /// Nothing, `null` or `~`.
    Nothing,
    Scalar {
        text: String,
        /// Written without quotes.
        plain: bool,
    },
    List(Vec<Node>),
    Map(Vec<Entry>),
}

/// A key and its value.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    pub key: String,
    pub at: At,
    pub value: Node,
}

impl Node {
    /// The entries of a map, none for anything else.
    pub fn entries(&self) -> &[Entry] {
        match &self.body {
            Body::Map(entries) => entries,
            _ => &[],
        }
    }

    /// The value under `key`, when this is a map that has it.
    pub fn get(&self, key: &str) -> Option<&Node> {
        self.entries()
            .iter()
            .find(|e| e.key == key)
            .map(|e| &e.value)
    }
}

/// A collection whose end has not been read yet.
enum Open {
    List(At, Vec<Node>),
    Map {
        at: At,
        entries: Vec<Entry>,
        seen: BTreeSet<String>,
        /// The key whose value comes next; the flag says it is a repeated one.
        key: Option<(String, At, bool)>,
    },
}

/// Reads one document; `None` when it cannot be read (the reason is among the problems).
pub fn parse(file: usize, problems: &mut Problems) -> Option<Node> {
    let text = problems.sources[file].text.clone();
    let options = options! {
        emit_comments: false,
        flow_nesting_limit: 2 * MAX_DEPTH,
        block_nesting_limit: 2 * MAX_DEPTH,
    };
    let mut open: Vec<Open> = Vec::new();
    let mut root: Option<Node> = None;
    let mut nodes = 0usize;
    for next in Parser::new_from_str_with_options(&text, options) {
        let (event, span) = match next {
            Ok(pair) => pair,
            Err(error) => {
                let mark = error.marker();
                let at = At {
                    file,
                    line: mark.line(),
                    column: mark.col() + 1,
                    offset: mark.byte_offset().unwrap_or(usize::MAX),
                    width: 1,
                };
                if matches!(error.kind(), ErrorKind::RecursionLimitExceeded) {
                    return too_deep(problems, at);
                }
                let message = format!("not readable as YAML: {}", shown_reason(&error.info()));
                problems.add(
                    S104,
                    at,
                    message,
                    "look at indentation, brackets and quotes at or just before this place",
                );
                return None;
            }
        };
        let at = place(file, &span.tag_span().unwrap_or(span));
        if event.is_node() {
            nodes += 1;
            if nodes > MAX_NODES {
                problems.add(
                    S106,
                    at,
                    format!("the file holds more than {MAX_NODES} values"),
                    "a scenario is far smaller; check that this is the right file",
                );
                return None;
            }
            let anchored = event.anchor_id().is_some_and(|id| id > 0);
            if event.is_alias() || anchored || event.tag().is_some() {
                problems.add(
                    S107,
                    at,
                    "anchors, aliases and tags (&, *, !) are not allowed here",
                    "write the value out; put a text that begins with &, * or ! in quotes",
                );
                return None;
            }
        }
        let finished = match event {
            Event::DocumentStart(..) if root.is_some() => {
                problems.add(
                    S107,
                    at,
                    "the file holds a second document",
                    "keep one scenario per file; remove the line ---",
                );
                return None;
            }
            Event::Scalar(text, style, ..) => {
                let plain = style == ScalarStyle::Plain;
                let nothing = plain && matches!(&*text, "" | "~" | "null");
                let body = if nothing {
                    Body::Nothing
                } else {
                    Body::Scalar {
                        text: text.into_owned(),
                        plain,
                    }
                };
                Some(Node { at, body })
            }
            Event::SequenceStart(..) | Event::MappingStart(..) => {
                if open.len() >= MAX_DEPTH {
                    return too_deep(problems, at);
                }
                if let Some(Open::Map { key: None, .. }) = open.last() {
                    problems.add(
                        S109,
                        at,
                        "a list or a record stands where a key is expected",
                        "write the key as plain text",
                    );
                    return None;
                }
                open.push(if matches!(event, Event::SequenceStart(..)) {
                    Open::List(at, Vec::new())
                } else {
                    Open::Map {
                        at,
                        entries: Vec::new(),
                        seen: BTreeSet::new(),
                        key: None,
                    }
                });
                None
            }
            Event::SequenceEnd | Event::MappingEnd => match open.pop() {
                Some(Open::List(at, items)) => Some(Node {
                    at,
                    body: Body::List(items),
                }),
                Some(Open::Map { at, entries, .. }) => Some(Node {
                    at,
                    body: Body::Map(entries),
                }),
                None => None,
            },
            _ => None,
        };
        if let Some(node) = finished {
            match open.last_mut() {
                None => root = Some(node),
                Some(Open::List(_, items)) => items.push(node),
                Some(Open::Map {
                    entries, seen, key, ..
                }) => match key.take() {
                    Some((name, at, repeated)) => {
                        if !repeated {
                            entries.push(Entry {
                                key: name,
                                at,
                                value: node,
                            });
                        }
                    }
                    None => *key = Some(read_key(node, seen, problems)),
                },
            }
        }
    }
    root
}

/// A scalar in key position; complains about repeated and unusable names.
fn read_key(
    node: Node,
    seen: &mut BTreeSet<String>,
    problems: &mut Problems,
) -> (String, At, bool) {
    let at = node.at;
    let name = match node.body {
        Body::Scalar { text, .. } => text,
        _ => String::new(),
    };
    let usable = name.chars().count() <= MAX_NAME_CHARS
        && !name.trim().is_empty()
        && !name.chars().any(char::is_control);
    if !usable {
        problems.add(
            S109,
            at,
            format!("\"{}\" cannot be a key or a name", shown(&name)),
            format!("use 1 to {MAX_NAME_CHARS} printable characters"),
        );
        return (name, at, true);
    }
    let repeated = !seen.insert(name.clone());
    if repeated {
        problems.add(
            S112,
            at,
            format!("\"{}\" stands twice in the same record", shown(&name)),
            "keep one of the two",
        );
    }
    (name, at, repeated)
}

fn too_deep(problems: &mut Problems, at: At) -> Option<Node> {
    problems.add(
        S105,
        at,
        format!("values are nested deeper than {MAX_DEPTH} levels"),
        "check the brackets and the indentation; no record is nested that deeply",
    );
    None
}

/// The parser's reason on one line.
fn shown_reason(info: &str) -> String {
    info.lines().next().unwrap_or("syntax error").to_string()
}

fn place(file: usize, span: &Span) -> At {
    let one_line = span.start.line() == span.end.line();
    let width = if one_line {
        span.end.col().saturating_sub(span.start.col())
    } else {
        1
    };
    At {
        file,
        line: span.start.line(),
        column: span.start.col() + 1,
        offset: span.start.byte_offset().unwrap_or(usize::MAX),
        width: width.max(1),
    }
}
