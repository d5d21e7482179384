//! The page of a comparison.

use super::{Frame, inline};
use crate::domain::Scenario;
use crate::explain::{Comparison, Figures, Verdict};
use crate::plan::YearPlan;
use crate::render::level::level;
use crate::render::sides::{Section, sections, sentences, signed};
use crate::render::svg::{self, Side, Span};
use crate::render::text::compared;
use crate::render::words::isolated;
use askama::Template;

/// A page of its own for the year of a side.
struct SidePage {
    label: String,
    file: String,
}

#[derive(Template)]
#[template(path = "compare.html", config = "src/render/html/askama.toml")]
struct ComparePage {
    frame: Frame,
    base: String,
    count: String,
    compared: String,
    currency: String,
    sentences: Vec<String>,
    has_differences: bool,
    differences: String,
    pages: Vec<SidePage>,
    met: String,
    levels: String,
    labels: Vec<String>,
    sections: Vec<Section>,
}

/// The page; `sides` are scenario and plan of each side, and `pages` the files beside it that show
/// their years, where there are any.
pub fn compare(c: &Comparison, sides: &[(&Scenario, &YearPlan)], pages: &[String]) -> String {
    let figures: Vec<&Figures> = c.sides.iter().collect();
    let mut sections = sections(c, &figures, true);
    for row in sections.iter_mut().flat_map(|section| &mut section.rows) {
        row.name = isolated(&row.name);
    }
    let spans: Vec<Span> = (c.differences.iter())
        .map(|d| Span {
            name: d.variant.clone(),
            at_least: d.at_least,
            at_most: d.at_most,
            found: Some(d.found),
            cost: None,
            decided: d.verdict != Verdict::Undecided,
            words: format!("{} to {}", signed(d.at_least), signed(d.at_most)),
        })
        .collect();
    let weeks: Vec<Side> = (c.sides.iter().zip(sides))
        .map(|(figures, (scenario, plan))| Side {
            label: &figures.label,
            plan,
            weeks: level(scenario, plan),
        })
        .collect();
    let base = &c.sides[0].label;
    let page = ComparePage {
        frame: Frame::new(format!("Side by side: {base}")),
        base: base.clone(),
        count: format!("{} plans", c.sides.len()),
        compared: compared(c, &isolated(base)),
        currency: c.currency.clone(),
        sentences: sentences(c, isolated),
        has_differences: !spans.is_empty(),
        differences: inline(svg::spans("What the best plans differ by", &spans)),
        pages: (c.sides.iter().zip(pages))
            .map(|(side, file)| SidePage {
                label: side.label.clone(),
                file: file.clone(),
            })
            .collect(),
        met: inline(svg::met(c)),
        levels: inline(svg::levels(&weeks, &c.currency)),
        labels: c.sides.iter().map(|s| isolated(&s.label)).collect(),
        sections,
    };
    page.render().expect("the template only writes text")
}
