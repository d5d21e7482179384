//! How well the growth model agrees with published calendars and tables. The sources stand in
//! `tests/data/calendars.yaml` and the other tables named there; `docs/agreement.md` is written here and
//! held current.

#[path = "support/agreement/mod.rs"]
mod agreement;
#[path = "support/whole_garden.rs"]
mod garden;
#[path = "support/table.rs"]
mod table;

use agreement::page::Agreement;
use std::path::Path;
use std::sync::LazyLock;

static AGREEMENT: LazyLock<Agreement> = LazyLock::new(Agreement::reckoned);

#[test]
fn the_page_is_current() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/agreement.md");
    let page = &AGREEMENT.page;
    if std::env::var_os("BEDWEEK_WRITE_DOCS").is_some() {
        std::fs::write(&path, page).unwrap();
    }
    let written = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(
        written == *page,
        "docs/agreement.md is out of date: BEDWEEK_WRITE_DOCS=1 cargo test --test agreement"
    );
}

// ---- the goals are held; of what has none, what has been reached ---------------------------------

/// Share of the published windows that the goal asks to be overlapped by half or more.
const WINDOWS_GOAL: f64 = 0.8;
/// Largest median error in days to harvest against the middle of the published span.
const HARVEST_GOAL: f64 = 0.15;
/// Share of what is said to be had in a month, or of the counts of months within two, that holds.
const AVAILABLE_REACHED: f64 = 0.85;

#[test]
fn published_sowing_windows_are_overlapped() {
    let windows = AGREEMENT.windows();
    assert!(windows.of > 140, "{windows}");
    assert!(windows.share() >= WINDOWS_GOAL, "{windows}");
}

#[test]
fn days_to_harvest_are_near_the_published() {
    let error = AGREEMENT.harvest_error();
    assert!(AGREEMENT.harvest.errors.len() > 40);
    assert!(error < HARVEST_GOAL, "median error {error:.3}");
}

#[test]
fn days_to_emergence_are_near_the_published() {
    let cells = AGREEMENT.emergence.strict;
    assert!(cells.of > 100, "{cells}");
    // Each within a quarter of the published days.
    assert_eq!(cells.kept, cells.of);
}

#[test]
fn what_is_to_be_had_is_to_be_had() {
    let claims = AGREEMENT.available;
    assert!(
        claims.of > 40 && claims.share() >= AVAILABLE_REACHED,
        "{claims}"
    );
}
