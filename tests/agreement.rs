//! How well the growth model agrees with published calendars and tables. The sources stand in
//! `tests/data/calendars.yaml` and the other tables named there; `docs/agreement.md` is written here and
//! held current.

#[path = "support/agreement/mod.rs"]
mod agreement;
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
