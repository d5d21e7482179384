//! The files under `tests/faulty`: each gives the errors, with their places, that its own comments expect, and
//! every code of an input error is shown by one.

use bedweek::input::{CODES, load_text};
use std::fs;
use std::path::Path;

/// Codes shown by the hostile inputs of `tests/input.rs`, which are made when the tests run.
const HOSTILE_CODES: [&str; 4] = ["S101", "S102", "S103", "S106"];

/// The errors that a faulty file expects: the comments `# expect LINE:COLUMN CODE message`.
fn expected(text: &str) -> Vec<String> {
    let lines = text.lines().filter_map(|l| l.strip_prefix("# expect "));
    lines.map(str::to_string).collect()
}

/// The errors that a file gives, in the same form.
fn reported(name: &str, text: &str) -> Vec<String> {
    match load_text(name, text) {
        Ok(_) => vec!["nothing".to_string()],
        Err(errors) => errors
            .list
            .iter()
            .map(|d| format!("{}:{} {} {}", d.line, d.column, d.code.0, d.message))
            .collect(),
    }
}

/// Name and text of every faulty file.
fn faulty() -> Vec<(String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/faulty");
    let mut files: Vec<_> = fs::read_dir(folder)
        .expect("faulty files are there")
        .map(|entry| {
            let path = entry.expect("readable").path();
            let name = path.file_stem().expect("a name").to_string_lossy();
            let text = fs::read_to_string(&path).expect("text");
            (name.into_owned(), text)
        })
        .collect();
    files.sort();
    files
}

#[test]
fn every_faulty_file_gives_exactly_the_errors_it_expects() {
    let mut wrong = String::new();
    for (name, text) in faulty() {
        let (expected, reported) = (expected(&text), reported(&name, &text));
        if expected != reported {
            wrong += &format!("{name}\n  expected {expected:#?}\n  reported {reported:#?}\n");
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn every_code_has_a_faulty_file_or_a_hostile_one() {
    let mut seen: Vec<String> = HOSTILE_CODES.iter().map(|c| c.to_string()).collect();
    for (_, text) in faulty() {
        let codes = expected(&text).into_iter();
        seen.extend(codes.filter_map(|e| e.split(' ').nth(1).map(str::to_string)));
    }
    // Those of events are shown in tests/events.rs.
    for (code, ..) in CODES.iter().filter(|(code, ..)| !code.0.starts_with('E')) {
        assert!(seen.iter().any(|s| s == code.0), "no file shows {}", code.0);
    }
}

#[test]
fn ten_mistakes_in_one_file_are_ten_errors() {
    let (_, text) = faulty()
        .into_iter()
        .find(|(name, _)| name == "ten-mistakes")
        .expect("the file is there");
    assert_eq!(reported("ten", &text).len(), 10);
}
