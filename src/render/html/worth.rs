//! The page of what one more of each thing is worth.

use super::{Frame, inline};
use crate::explain::{Pays, WorthOfMore};
use crate::render::svg::{self, Span};
use crate::render::text::more_figures;
use crate::render::words::{isolated, money};
use askama::Template;

/// Weeks in a year.
const YEAR_WEEKS: f64 = 52.0;

struct MoreRow {
    thing: String,
    one: String,
    figures: [String; 8],
}

#[derive(Template)]
#[template(path = "worth.html", config = "src/render/html/askama.toml")]
struct WorthPage {
    frame: Frame,
    name: String,
    currency: String,
    weeks: usize,
    worth: String,
    bound: String,
    spans: String,
    solved: bool,
    rows: Vec<MoreRow>,
    has_ground: bool,
    ground: String,
}

/// The page.
pub fn worth(w: &WorthOfMore) -> String {
    let mut spans = Vec::new();
    let mut rows = Vec::new();
    for thing in &w.things {
        // The yearly cost over the weeks that the worth is reckoned over.
        let cost = thing.yearly_cost.map(|c| c * w.weeks as f64 / YEAR_WEEKS);
        for (i, step) in thing.steps.iter().enumerate() {
            let decided = match thing.pays[i] {
                None => step.at_least > 0.0 || step.at_most <= 0.0,
                Some(pays) => matches!(pays, Pays::Yes | Pays::No),
            };
            spans.push(Span {
                name: format!("{} +{}", thing.thing, step.more),
                at_least: step.at_least,
                at_most: step.at_most,
                found: step.solved.as_ref().map(|d| d.found),
                cost,
                decided,
                words: format!("{} to {}", money(step.at_least), money(step.at_most)),
            });
            rows.push(MoreRow {
                thing: isolated(&thing.thing),
                one: thing.one.clone(),
                figures: more_figures(w, thing, i, step),
            });
        }
    }
    let page = WorthPage {
        frame: Frame::new(format!("What one more is worth: {}", w.scenario)),
        name: w.scenario.clone(),
        currency: w.currency.clone(),
        weeks: w.weeks,
        worth: money(w.worth),
        bound: money(w.bound),
        spans: inline(svg::spans("What one more is worth", &spans)),
        solved: spans.iter().any(|s| s.found.is_some()),
        rows,
        has_ground: !w.ground.is_empty(),
        ground: match w.ground.is_empty() {
            true => String::new(),
            false => inline(svg::ground(&w.ground, &w.currency)),
        },
    };
    page.render().expect("the template only writes text")
}
