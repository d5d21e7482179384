//! A plan's life: the plan that it carries on, and what happened in between.

use serde::{Deserialize, Serialize};

/// Where a plan that carries on another one comes from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Life {
    pub parent: FileRef,
    /// The events since, where there was such a file.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub events_file: Option<FileRef>,
    /// The day on which it was made.
    pub day: String,
    /// The events it was made with, in sentences.
    pub events: Vec<String>,
    /// Harvest records it was made with.
    pub records: usize,
    /// Scenario files that were put in the place of the parent's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub edited_scenario: Option<String>,
    /// Plantings of the old plan that were dropped, moved, and added.
    pub changes: Changed,
}

/// A file, and the SHA-256 of its bytes (FIPS 180-4), in hexadecimal.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FileRef {
    pub file: String,
    pub sha256: String,
}

/// How many plantings of another plan are changed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Changed {
    pub dropped: usize,
    pub moved: usize,
    pub added: usize,
}

impl Changed {
    pub fn all(self) -> usize {
        self.dropped + self.moved + self.added
    }
}
