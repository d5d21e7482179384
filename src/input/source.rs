//! The text of an input file and places in it. Reading files is left to `mod.rs`.

/// A place in an input file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct At {
    /// Which file: 0 is the scenario, the rest are shipped models.
    pub file: usize,
    /// Line and column, counted from 1; columns count characters. Line 0: the file as a whole.
    pub line: usize,
    pub column: usize,
    /// The same place as a byte offset.
    pub offset: usize,
    /// How many characters it covers on its line, at least 1.
    pub width: usize,
}

impl At {
    /// The file as a whole.
    pub fn file(file: usize) -> At {
        At {
            file,
            line: 0,
            column: 0,
            offset: 0,
            width: 1,
        }
    }

    /// The beginning of a file.
    pub fn start(file: usize) -> At {
        At {
            line: 1,
            column: 1,
            ..At::file(file)
        }
    }
}

/// An input file in memory.
#[derive(Clone, Debug)]
pub struct Source {
    /// As the user knows it.
    pub name: String,
    pub text: String,
}

/// The source line around a place, with the place marked.
#[derive(Clone, Debug, PartialEq)]
pub struct Excerpt {
    pub text: String,
    /// Characters before the mark, and its length.
    pub before: usize,
    pub marked: usize,
}

/// Most characters of a line shown, and of those before a place; a terminal of 100 columns
/// holds them with their margin.
const SHOWN: usize = 90;
const SHOWN_BEFORE: usize = 50;

impl Source {
    pub fn new(name: &str, text: &str) -> Source {
        Source {
            name: name.to_string(),
            text: text.to_string(),
        }
    }

    /// The excerpt at a place; looks at a bounded number of characters, however long the line.
    pub fn excerpt(&self, at: At) -> Option<Excerpt> {
        if at.line == 0 {
            return None;
        }
        let is_text = |c: &char| !matches!(c, '\n' | '\r');
        let before = self.text.get(..at.offset)?.chars().rev();
        let mut text: Vec<char> = before.take_while(is_text).take(SHOWN_BEFORE).collect();
        text.reverse();
        let before = text.len();
        let after = self.text.get(at.offset..)?.chars();
        text.extend(after.take_while(is_text).take(SHOWN - before));
        Some(Excerpt {
            marked: at.width.clamp(1, (text.len() - before).max(1)),
            before,
            text: text.into_iter().map(visible).collect(),
        })
    }
}

/// A character as it may be shown: control characters would garble a terminal.
pub fn visible(c: char) -> char {
    match c {
        '\t' => ' ',
        c if c.is_control() => '\u{fffd}',
        c => c,
    }
}
