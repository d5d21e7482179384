//! One input error, and the list of all of them, with a full and a one-line form.

use super::code::Code;
use super::nearest;
use super::source::{At, Excerpt, Source, visible};
use std::fmt::{self, Write};

/// Errors kept per load; a file with more is hostile or hopeless, and the rest is counted only.
pub const MAX_DIAGNOSTICS: usize = 500;
/// Characters of a value repeated in a message.
const VALUE_CHARS: usize = 40;

/// One error in the input. `message` stands alone: it names the place, the value and what is
/// allowed; `help` says what to do.
#[derive(Clone, Debug, PartialEq)]
pub struct Diagnostic {
    pub code: Code,
    pub file: String,
    /// Line and column, counted from 1; 0 when the file as a whole is meant.
    pub line: usize,
    pub column: usize,
    pub message: String,
    pub help: String,
    excerpt: Option<Excerpt>,
}

impl Diagnostic {
    /// `file:line:column: code: message`.
    pub fn one_line(&self) -> String {
        format!("{}: {}: {}", self.place(), self.code.0, self.message)
    }

    fn place(&self) -> String {
        if self.line == 0 {
            self.file.clone()
        } else {
            format!("{}:{}:{}", self.file, self.line, self.column)
        }
    }

    /// Several lines: message, place, excerpt with a caret, help.
    pub fn full(&self) -> String {
        let mut out = format!(
            "error {}: {}\n  at {}\n",
            self.code.0,
            self.message,
            self.place()
        );
        if let Some(excerpt) = &self.excerpt {
            let number = self.line.to_string();
            let margin = " ".repeat(number.len());
            let _ = writeln!(out, "  {number} | {}", excerpt.text);
            let _ = writeln!(
                out,
                "  {margin} | {}{}",
                " ".repeat(excerpt.before),
                "^".repeat(excerpt.marked)
            );
        }
        let _ = writeln!(out, "  help: {}", self.help);
        out
    }
}

/// All errors of one load, sorted by place; never empty.
#[derive(Clone, Debug, PartialEq)]
pub struct Diagnostics {
    pub list: Vec<Diagnostic>,
    /// How many more there were beyond [`MAX_DIAGNOSTICS`].
    pub hidden: usize,
}

impl Diagnostics {
    /// One line for each error.
    pub fn one_line(&self) -> String {
        self.render(|d| d.one_line() + "\n")
    }

    /// Every error with its excerpt and help, an empty line between them.
    pub fn full(&self) -> String {
        self.render(|d| d.full() + "\n")
    }

    fn render(&self, form: impl Fn(&Diagnostic) -> String) -> String {
        let mut out: String = self.list.iter().map(form).collect();
        let shown = self.list.len();
        let total = shown + self.hidden;
        let noun = if total == 1 { "error" } else { "errors" };
        let _ = write!(out, "{total} {noun}");
        if self.hidden > 0 {
            let _ = write!(out, ", the first {shown} shown");
        }
        out.push('\n');
        out
    }
}

impl fmt::Display for Diagnostics {
    /// The full form.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.full())
    }
}

impl std::error::Error for Diagnostics {}

/// Gathers errors while the input is read.
#[derive(Debug, Default)]
pub struct Problems {
    pub sources: Vec<Source>,
    found: Vec<(At, Diagnostic)>,
    hidden: usize,
}

impl Problems {
    /// Adds an error at a place.
    pub fn add(&mut self, code: Code, at: At, message: impl Into<String>, help: impl Into<String>) {
        if self.found.len() >= MAX_DIAGNOSTICS {
            self.hidden += 1;
            return;
        }
        let source = &self.sources[at.file];
        let diagnostic = Diagnostic {
            code,
            file: source.name.clone(),
            line: at.line,
            column: at.column,
            message: message.into(),
            help: help.into(),
            excerpt: source.excerpt(at),
        };
        self.found.push((at, diagnostic));
    }

    pub fn is_empty(&self) -> bool {
        self.found.is_empty()
    }

    /// The legal word most like `word`; not looked for once errors are only counted.
    pub fn nearest<'a>(&self, word: &str, legal: &[&'a str]) -> Option<&'a str> {
        if self.are_many() {
            return None;
        }
        nearest::nearest(word, legal.iter().copied())
    }

    /// Advice for a word that is none of the legal ones, under the same condition.
    pub fn advice(&self, word: &str, legal: &[&str]) -> String {
        if self.are_many() {
            return String::new();
        }
        nearest::advice(word, legal)
    }

    /// Whether there are as many as are shown: what is said of more is for nobody.
    pub fn are_many(&self) -> bool {
        self.found.len() >= MAX_DIAGNOSTICS
    }

    /// The errors, sorted by place.
    pub fn finish(mut self) -> Diagnostics {
        self.found
            .sort_by(|(a, x), (b, y)| (a, x.code, &x.message).cmp(&(b, y.code, &y.message)));
        self.found
            .dedup_by(|(a, x), (b, y)| a == b && x.code == y.code && x.message == y.message);
        Diagnostics {
            list: self.found.into_iter().map(|(_, d)| d).collect(),
            hidden: self.hidden,
        }
    }
}

/// A value as repeated in a message: one line, cut when long.
pub fn shown(value: &str) -> String {
    let mut text: String = value.chars().take(VALUE_CHARS).map(visible).collect();
    if value.chars().nth(VALUE_CHARS).is_some() {
        text.push_str("...");
    }
    text
}
