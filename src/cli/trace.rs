//! The trace of a search as CSV: every better plan and bound with the second in which it was found.

use super::files::unusable;
use crate::solve::Progress;
use std::fs::File;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// A file that grows while a search goes on.
pub struct Trace {
    path: PathBuf,
    file: File,
    last: Option<Progress>,
    /// What went wrong with the file; the search goes on nevertheless.
    fault: Option<io::Error>,
}

impl Trace {
    /// Begins the file anew, so that one that cannot be written is found before the search.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn begin(path: &Path) -> Result<Trace, String> {
        let begin = || {
            let mut file = File::create(path)?;
            file.write_all(b"seconds,phase,plan,bound\n")?;
            Ok(file)
        };
        let file = begin().map_err(|error| fault(path, &error))?;
        Ok(Trace {
            path: path.to_path_buf(),
            file,
            last: None,
            fault: None,
        })
    }

    /// Adds a line if plan or bound changed.
    pub fn add(&mut self, seconds: f64, progress: &Progress) {
        let known = |p: &Progress| (p.worth, p.bound);
        if self.fault.is_some() || self.last.as_ref().map(known) == Some(known(progress)) {
            return;
        }
        self.last = Some(*progress);
        self.fault = self
            .file
            .write_all(line(seconds, progress).as_bytes())
            .err();
    }

    /// What went wrong meanwhile.
    pub fn end(&self) -> Result<(), String> {
        match &self.fault {
            None => Ok(()),
            Some(error) => Err(fault(&self.path, error)),
        }
    }
}

fn fault(path: &Path, error: &io::Error) -> String {
    unusable(path, &format!("cannot be written: {error}"))
}

/// Milliseconds are as fine as the clock is worth; money in full.
fn line(seconds: f64, progress: &Progress) -> String {
    let money = |value: Option<f64>| value.map_or(String::new(), |v| v.to_string());
    format!(
        "{seconds:.3},{},{},{}\n",
        progress.phase,
        money(progress.worth),
        money(progress.bound)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn progress(phase: &'static str, worth: Option<f64>, bound: Option<f64>) -> Progress {
        Progress {
            phase,
            worth,
            bound,
        }
    }

    #[test]
    fn only_changes_are_written_and_what_is_not_known_is_empty() {
        let dir = tempfile::tempdir().expect("a directory");
        let path = dir.path().join("trace.csv");
        let mut trace = Trace::begin(&path).expect("writable");
        trace.add(0.1234, &progress("first draft", Some(-1.5), None));
        trace.add(0.2, &progress("prices", Some(-1.5), None));
        trace.add(2.0, &progress("prices", Some(-1.5), Some(10.25)));
        trace.end().expect("no fault");
        assert_eq!(
            std::fs::read_to_string(&path).expect("written"),
            "seconds,phase,plan,bound\n0.123,first draft,-1.5,\n2.000,prices,-1.5,10.25\n"
        );
    }

    #[test]
    fn a_file_that_cannot_be_written_is_told_at_once() {
        let dir = tempfile::tempdir().expect("a directory");
        let refused = Trace::begin(&dir.path().join("no such directory/trace.csv")).err();
        assert!(refused.is_some_and(|message| message.contains("cannot be written")));
    }
}
