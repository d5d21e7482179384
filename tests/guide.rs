//! What the documents show must be true: the holding of the guide and every shipped scenario are
//! read without an error. Source of truth: the reader itself.

use bedweek::input;
use std::fs;
use std::path::Path;

/// The fenced YAML blocks of a document.
fn yaml_blocks(text: &str) -> Vec<&str> {
    text.split("```yaml\n")
        .skip(1)
        .map(|rest| rest.split("```").next().expect("split gives a first part"))
        .collect()
}

#[test]
fn the_holding_of_the_guide_is_read_and_made_of_its_steps() {
    let text = fs::read_to_string("docs/guide/first-holding.md").expect("the guide is there");
    let blocks = yaml_blocks(&text);
    let (whole, steps) = blocks.split_last().expect("the guide shows a holding");
    if let Err(problems) = input::load_text("first-holding.md", whole) {
        panic!("{problems}");
    }
    // Line breaks apart, each step stands in the whole.
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    for line in steps.iter().flat_map(|step| step.lines()) {
        assert!(
            words(whole).contains(&words(line)),
            "not in the whole: {line}"
        );
    }
}

#[test]
fn every_shipped_scenario_is_read() {
    let folder = fs::read_dir("scenarios").expect("scenarios are shipped");
    let mut files: Vec<_> = folder
        .map(|entry| entry.expect("readable").path())
        .filter(|path| !path.to_string_lossy().ends_with(".events.yaml"))
        .collect();
    files.sort();
    assert!(files.len() >= 4);
    for file in files.iter().map(|file| file.as_path() as &Path) {
        if let Err(problems) = input::load(file) {
            panic!("{problems}");
        }
    }
}
