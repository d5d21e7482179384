//! `bedweek calendar` as it is called: its three forms, its streams and exit codes. What it says is
//! checked by `almanac.rs`, how well that agrees with the books by `agreement.rs`.

use assert_cmd::Command;
use serde::Deserialize;
use std::process::Output;

/// Columns of every text for a terminal.
const COLUMNS: usize = 100;
/// Weeks of 2027.
const WEEKS: usize = 52;

fn calendar(arguments: &[&str]) -> Output {
    let scenario = concat!(env!("CARGO_MANIFEST_DIR"), "/scenarios/small-plot.yaml");
    Command::cargo_bin("bedweek")
        .unwrap()
        .args(["calendar", scenario])
        .args(arguments)
        .output()
        .unwrap()
}

fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).unwrap()
}

#[test]
fn the_text_fits_and_has_a_year_of_weeks() {
    let output = calendar(&[]);
    assert!(output.status.success() && output.stderr.is_empty());
    let text = text(&output.stdout);
    assert!(text.lines().all(|line| line.chars().count() <= COLUMNS));
    let strips: Vec<&str> = (text.lines())
        .map(str::trim)
        .filter(|line| line.len() > 40 && !line.contains(' '))
        .collect();
    assert!(
        strips.len() >= 12,
        "a strip for every crop: {}",
        strips.len()
    );
    assert!(
        strips.iter().all(|strip| strip.len() == WEEKS),
        "{strips:?}"
    );
    for crop in ["garlic", "winter leeks", "runner beans"] {
        assert!(text.contains(&format!("\n{crop}\n")), "{crop}");
    }
    // The usual caution, once.
    assert_eq!(text.matches("Garlic in oil").count(), 1);
}

#[derive(Deserialize)]
struct File {
    format: u32,
    rows: Vec<Line>,
}

#[derive(Deserialize)]
struct Line {
    crop: String,
    setting: String,
    sow: Vec<[String; 2]>,
    sowings: Vec<Sowing>,
}

#[derive(Deserialize)]
struct Sowing {
    sown: String,
    usual: bool,
    succeeds: bool,
    ready: Option<String>,
    why_not: Option<String>,
}

#[test]
fn the_yaml_tells_of_every_week_what_comes_or_why_not() {
    let output = calendar(&["--crop", "runner beans", "--format", "yaml"]);
    assert!(output.status.success() && output.stderr.is_empty());
    let file: File = serde_yaml::from_str(text(&output.stdout)).unwrap();
    assert_eq!(file.format, 2);
    assert!(!file.rows.is_empty());
    for row in &file.rows {
        assert_eq!(
            (row.crop.as_str(), row.setting.as_str()),
            ("runner beans", "open")
        );
        assert_eq!(row.sowings.len(), WEEKS);
        for sowing in &row.sowings {
            assert_eq!(sowing.succeeds, sowing.ready.is_some());
            assert_eq!(sowing.succeeds, sowing.why_not.is_none());
            let number = sowing.sown.split_once('-').unwrap().1;
            let told = row
                .sow
                .iter()
                .any(|[from, to]| from.as_str() <= number && number <= to.as_str());
            assert_eq!(told, sowing.usual && sowing.succeeds, "{}", sowing.sown);
        }
    }
    // The small plot sows runner beans in W22 only, and they are killed by frost at 0 °C: not in
    // December.
    let bare = &file.rows[0];
    assert_eq!(bare.sow, [["W22".to_string(), "W22".to_string()]]);
    let december = bare
        .sowings
        .iter()
        .find(|s| s.sown.ends_with("W50"))
        .unwrap();
    assert!(!december.succeeds, "{:?}", december.ready);
}

#[test]
fn unknown_crops_are_an_error_each_with_the_nearest_name() {
    let names = ["winter leks", "garlik", "aubergines"];
    let output = calendar(&names.map(|name| ["--crop", name]).concat());
    assert_eq!(output.status.code(), Some(2));
    assert!(output.stdout.is_empty());
    let text = text(&output.stderr);
    assert!(
        text.contains("\"winter leeks\"") && text.contains("\"garlic\""),
        "{text}"
    );
    assert!(
        text.contains("aubergines takes no part in this scenario"),
        "{text}"
    );
}

#[test]
fn equal_runs_give_equal_bytes() {
    for form in ["text", "yaml", "svg"] {
        let once = calendar(&["--format", form]);
        assert!(once.status.success());
        assert_eq!(once.stdout, calendar(&["--format", form]).stdout);
    }
}

#[test]
fn the_picture_is_a_drawing_with_a_lane_for_each_crop() {
    let output = calendar(&["--format", "svg"]);
    let text = text(&output.stdout);
    assert!(text.starts_with("<?xml") && text.trim_end().ends_with("</svg>"));
    assert!(text.contains("winter leeks") && text.contains("viewBox"));
    // Every mark says in words what it means.
    assert!(text.matches("<title>").count() > 12 * WEEKS);
}
