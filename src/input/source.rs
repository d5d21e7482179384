//! The text of an input file and places in it. Reading files is left to `mod.rs`.

/// A place in an input file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct At {
    /// Which file: 0 is the scenario, the rest are shipped models.
    pub file: usize,
    /// Line and column, counted from 1; columns count characters. Line 0: the file as a whole.
    pub line: usize,
    pub column: usize,
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
            width: 1,
        }
    }
}

/// An input file in memory.
#[derive(Clone, Debug)]
pub struct Source {
    /// As the user knows it.
    pub name: String,
    pub text: String,
    line_starts: Vec<usize>,
}

impl Source {
    pub fn new(name: &str, text: &str) -> Source {
        let line_starts = std::iter::once(0)
            .chain(text.match_indices('\n').map(|(i, _)| i + 1))
            .collect();
        Source {
            name: name.to_string(),
            text: text.to_string(),
            line_starts,
        }
    }

    /// Line `number` (from 1) without its line break; `None` past the end.
    pub fn line(&self, number: usize) -> Option<&str> {
        let index = number.checked_sub(1)?;
        let start = *self.line_starts.get(index)?;
        let end = self
            .line_starts
            .get(index + 1)
            .copied()
            .unwrap_or(self.text.len());
        Some(self.text[start..end].trim_end_matches(['\n', '\r']))
    }
}
