//! A fresh directory to run the program in, and what it said.
#![allow(dead_code)]

use assert_cmd::Command;
use std::path::{Path, PathBuf};
use std::process::Output;
use tempfile::TempDir;

pub struct Room(TempDir);

impl Room {
    /// An empty directory.
    pub fn empty() -> Room {
        Room(TempDir::new().expect("a temporary directory"))
    }

    pub fn dir(&self) -> &Path {
        self.0.path()
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.dir().join(name)
    }

    pub fn write(&self, name: &str, text: &str) {
        std::fs::write(self.path(name), text).expect("written");
    }

    pub fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).expect("readable")
    }

    pub fn run(&self, arguments: &[&str]) -> Output {
        let mut command = Command::cargo_bin("bedweek").expect("the program");
        let output = command.current_dir(self.dir()).args(arguments).output();
        output.expect("it runs")
    }
}

pub fn stdout(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("text")
}

pub fn stderr(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("text")
}

#[track_caller]
pub fn assert_code(output: &Output, wanted: i32) {
    assert_eq!(
        output.status.code(),
        Some(wanted),
        "{}{}",
        stdout(output),
        stderr(output)
    );
}
