//! Scenarios side by side: a column each, the base first.

use super::lines::{cut, title, wrap};
use crate::explain::{Comparison, Figures};
use crate::render::sides::{Row, Section, sections, sentences};

/// Columns of the names of rows and of a side; so many sides stand beside one another.
const NAME_WIDTH: usize = 30;
const SIDE_WIDTH: usize = 14;
const SIDES: usize = 5;

/// The whole comparison.
pub fn comparison(c: &Comparison) -> String {
    let mut out = wrap("", &what(c, &c.sides[0].label));
    out += &title("Which is better");
    for sentence in sentences(c, str::to_string) {
        out += &wrap("  ", &sentence);
    }
    let mut rest: &[Figures] = &c.sides[1..];
    while !rest.is_empty() {
        let (block, after) = rest.split_at(rest.len().min(SIDES - 1));
        rest = after;
        let sides: Vec<&Figures> = std::iter::once(&c.sides[0]).chain(block).collect();
        for part in sections(c, &sides, false) {
            out += &section(&part, &sides);
        }
    }
    out
}

/// What is compared, in a sentence.
pub fn what(c: &Comparison, base: &str) -> String {
    let mut what = format!("{} weeks compared with {base}", c.weeks);
    if c.tail > 0 {
        what += &format!(
            "; worth, money and work count the {} weeks after them too",
            c.tail
        );
    }
    what + "."
}

fn section(section: &Section, sides: &[&Figures]) -> String {
    let mut out = title(&section.title);
    if section.rows.is_empty() {
        return out + "  none\n";
    }
    out += &heads(sides);
    for line in &section.rows {
        out += &row(line);
    }
    if let Some(note) = section.note {
        out += &wrap("  ", note);
    }
    out
}

/// The heads of the columns, as many lines as the longest label needs.
fn heads(sides: &[&Figures]) -> String {
    let broken: Vec<Vec<String>> = sides.iter().map(|s| in_lines(&s.label)).collect();
    let most = broken.iter().map(Vec::len).max().unwrap_or(0);
    let mut out = String::new();
    for i in 0..most {
        out += &" ".repeat(NAME_WIDTH);
        for lines in &broken {
            // The last line of each stands at the bottom.
            let line = (i + lines.len())
                .checked_sub(most)
                .and_then(|n| lines.get(n));
            out += &format!("{:>SIDE_WIDTH$}", line.map_or("", |l| l));
        }
        out = out.trim_end().to_string() + "\n";
    }
    out
}

/// A label in lines of a column's width, at most three.
fn in_lines(label: &str) -> Vec<String> {
    const MOST: usize = 3;
    const WIDE: usize = SIDE_WIDTH - 2;
    let mut lines: Vec<String> = vec![String::new()];
    for word in label.split_whitespace() {
        let last = lines.last_mut().expect("never empty");
        if last.is_empty() {
            *last = cut(word, WIDE);
        } else if last.chars().count() + 1 + word.chars().count() <= WIDE {
            *last += &format!(" {word}");
        } else {
            lines.push(cut(word, WIDE));
        }
    }
    lines.truncate(MOST);
    lines
}

fn row(row: &Row) -> String {
    let indent = if row.inner { "  " } else { "" };
    let mut out = format!(
        "  {:<width$}",
        cut(&format!("{indent}{}", row.name), NAME_WIDTH - 3),
        width = NAME_WIDTH - 2
    );
    for cell in &row.cells {
        out += &format!("{cell:>SIDE_WIDTH$}");
    }
    out + "\n"
}
