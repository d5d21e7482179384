//! Wrapping and wording shared by the sections of the report.

use crate::render::words;
pub use crate::render::words::amount;
use crate::units::Week;

/// Columns of the report.
pub const COLUMNS: usize = 100;

/// A section's title, underlined, after an empty line.
pub fn title(text: &str) -> String {
    format!("\n{text}\n{}\n", "-".repeat(text.chars().count()))
}

/// `text` broken at blanks so that no line is longer than [`COLUMNS`]; `first` opens the first
/// line, the others are indented to its width.
pub fn wrap(first: &str, text: &str) -> String {
    let indent = " ".repeat(first.chars().count());
    let mut out = String::new();
    let mut line = first.to_string();
    let mut empty = true;
    for word in text.split_whitespace() {
        let wide = line.chars().count() + word.chars().count() + usize::from(!empty);
        if wide > COLUMNS && !empty {
            out += line.trim_end();
            out.push('\n');
            line = indent.clone();
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line += word;
        empty = false;
    }
    out += line.trim_end();
    out.push('\n');
    out
}

/// Strip numbers, neighbours taken together: `1-3, 7`.
pub fn strips(numbers: &[u32]) -> String {
    words::strips(numbers, "-")
}

/// The week of the year alone: `W42`.
pub fn short_week(week: Week) -> String {
    week.of_year().to_string()
}

/// Shortens a word to so many characters.
pub fn cut(text: &str, width: usize) -> String {
    text.chars().take(width).collect()
}
