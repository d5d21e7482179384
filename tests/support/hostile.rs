//! A holding in which everything is named by somebody hostile.

use crate::greedy;
use crate::plans::{Made, made, made_of};
use bedweek::candidates::Season;
use bedweek::domain::Scenario;
use bedweek::solve::Answer;

/// Markup, quotes, right-to-left text, emoji, a formula: each a name somebody could choose.
pub const HOSTILE: [&str; 5] = [
    "<script>alert(1)</script>",
    "\"'><img src=x onerror=alert(1)>",
    "\u{202e}\u{5d2}\u{5d6}\u{5e8} {{ 7 * 7 }}",
    "🥕</svg></style>&amp;",
    "=HYPERLINK(1);BEGIN:VEVENT, \\n",
];

/// The small plot, everything in it named by somebody hostile.
pub fn hostile(answer: impl Fn(&Season) -> Answer) -> Made {
    let mut scenario: Scenario = made("small-plot", greedy::empty).scenario;
    let name = |i: usize| format!("{} {i}", HOSTILE[i % HOSTILE.len()]);
    scenario.name = HOSTILE.concat();
    scenario.currency = HOSTILE[0].to_string();
    for (i, bed) in scenario.beds.iter_mut().enumerate() {
        bed.name = name(i);
    }
    for (i, crop) in scenario.crops.iter_mut().enumerate() {
        crop.name = name(i);
        crop.cautions = vec![name(i + 1)];
    }
    for (i, food) in scenario.foods.iter_mut().enumerate() {
        food.name = name(i + 2);
    }
    for cover in &mut scenario.covers {
        cover.name = HOSTILE[1].to_string();
    }
    made_of(scenario, answer)
}
