//! Pages that open from disk: one file each, with style and script inside and nothing fetched.
//!
//! The templates escape every name; charts come from `svg`, which escapes too. A policy in the
//! page allows just its own style and script, known by their fingerprints.

mod compare;
mod plan;
mod replan;
mod tables;
mod worth;

pub use compare::compare;
pub use plan::plan;
pub use replan::replan;
pub use worth::worth;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};

use super::svg::{self, Chart};

/// What every page has: title, policy, style, script, textures.
struct Frame {
    title: String,
    policy: String,
    style: String,
    script: &'static str,
    textures: String,
}

impl Frame {
    fn new(title: String) -> Frame {
        let style = format!("{}{}", svg::STYLE, include_str!("page.css"));
        let script = include_str!("page.js");
        let policy = format!(
            "default-src 'none'; style-src '{}'; script-src '{}'; img-src data:; \
             base-uri 'none'; form-action 'none'",
            fingerprint(&style),
            fingerprint(script)
        );
        Frame {
            title,
            policy,
            style,
            script,
            textures: svg::textures().to_string(),
        }
    }

    fn swatch(&self, class: &str) -> String {
        swatch(class)
    }
}

/// As a Content-Security-Policy names a source (W3C CSP Level 3, hash-source).
fn fingerprint(text: &str) -> String {
    format!("sha256-{}", STANDARD.encode(Sha256::digest(text)))
}

/// A sample of a chart's texture for the key; `class` is one of the charts' own.
fn swatch(class: &str) -> String {
    use svg::{line, pointer, rect};
    let (width, height) = (34.0, 15.0);
    let group = ::svg::node::element::SVG::new()
        .set("class", "chart")
        .set("viewBox", format!("0 0 {width} {height}"))
        .set("aria-hidden", "true");
    let frame = || rect("frame", 0.5, 0.5, width - 1.0, height - 1.0);
    let strip = |class: &str, y: f64| rect(class, 0.0, y, width, 4.0);
    match class {
        "lift" => group.add(strip("lift", height - 4.0)).add(frame()),
        "under" => group.add(strip("under", 0.0)).add(frame()),
        "stood" => group.add(rect("stood", 0.0, 0.0, 5.0, height)).add(frame()),
        "low" => group.add(line("low", (0.0, 8.0), (width, 8.0))),
        "found" => group.add(line("found", (width / 2.0, 0.0), (width / 2.0, height))),
        "stands" | "mended" => group.add(rect(class, 8.0, 0.0, width - 16.0, height)),
        "new" | "gone" => group
            .add(rect("grow", 0.5, 0.5, width - 1.0, height - 1.0))
            .add(rect(class, 2.5, 2.5, width - 5.0, height - 5.0)),
        "point" => group.add(pointer("point", width / 2.0, 4.0)),
        "grow" | "harvest" | "manure" => {
            group.add(rect(class, 0.0, 0.0, width, height)).add(frame())
        }
        _ => group.add(rect(class, 0.5, 0.5, width - 1.0, height - 1.0)),
    }
    .to_string()
}

fn inline(chart: Chart) -> String {
    chart.inline()
}
