//! Charts as SVG, on one common axis of weeks: the year by bed, the level of all food, each food,
//! covers and shelf. Inside the page they share its style; as files they carry it.
//!
//! Every area has a texture beside its tone, so that a grey print says the same.

mod axis;
mod beds;
mod covers;
mod foods;
mod level;
mod lost;
mod shelf;
mod sides;
mod spans;

pub use axis::Axis;
pub use beds::{LEFT as BED_LEFT, Look, bed, bed_notes};
pub use covers::{Lanes, cover_sheets, covers, lanes};
pub use foods::{LEFT as FOOD_LEFT, food_sheets, foods};
pub use level::level;
pub use lost::lost;
pub use shelf::shelf;
pub use sides::{Side, ground, levels, met};
pub use spans::{Span, spans};

use crate::domain::Scenario;
use crate::plan::YearPlan;
use svg::Document;
use svg::node::element::{
    Definitions, Group, Line, Pattern, Polygon, Rectangle, Style, Text, Title,
};

/// Units across a chart.
pub const WIDTH: f64 = 1000.0;
/// The charts' part of the page's style.
pub const STYLE: &str = include_str!("chart.css");

/// A chart in the making: what it shows, its height, its parts.
pub struct Chart {
    pub name: String,
    pub height: f64,
    pub body: Group,
}

impl Chart {
    /// For use inside the page, which brings style and textures.
    pub fn inline(self) -> String {
        self.document().to_string()
    }

    /// A file of its own.
    pub fn file(self) -> String {
        let own = self.body.clone();
        let chart = Chart {
            body: Group::new().add(textures()).add(own),
            ..self
        };
        let document = chart.document().add(Style::new(STYLE));
        format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{document}\n")
    }

    fn document(self) -> Document {
        Document::new()
            .set("viewBox", format!("0 0 {WIDTH} {}", round(self.height)))
            .set("class", "chart")
            .set("role", "group")
            .set("aria-label", self.name)
            .add(self.body)
    }
}

/// The charts of a plan as files: name and text.
pub fn files(scenario: &Scenario, plan: &YearPlan) -> Vec<(&'static str, String)> {
    let weeks = super::level::level(scenario, plan);
    let kinds = lanes(scenario, plan);
    vec![
        ("level.svg", level(plan, &weeks).file()),
        ("beds.svg", stacked(scenario, plan).file()),
        ("foods.svg", foods(plan).file()),
        ("covers.svg", covers(plan, &kinds).file()),
        ("shelf.svg", shelf(scenario, plan).file()),
    ]
}

/// All beds on one sheet, each below its name.
fn stacked(scenario: &Scenario, plan: &YearPlan) -> Chart {
    /// Height of a bed's name.
    const NAME: f64 = 26.0;
    let mut body = Group::new();
    let mut y = 0.0;
    for one in &scenario.beds {
        // A file of its own has no list that a bar could lead to.
        let chart = bed(scenario, plan, one, &Look::of(plan, false));
        let name = format!("{}: {}", one.name, bed_notes(one));
        body = body.add(text("f", 2.0, y + NAME - 8.0, &name));
        let moved = Group::new().set("transform", format!("translate(0 {})", round(y + NAME)));
        body = body.add(moved.add(chart.body));
        y += NAME + chart.height;
    }
    Chart {
        name: format!("The year of {}, bed by bed", plan.scenario.name),
        height: y,
        body,
    }
}

/// The textures that charts are filled with, each known by its name.
pub fn textures() -> Definitions {
    let lines = |id: &str, class: &str, gap: f64, angle: f64| {
        Pattern::new()
            .set("id", id)
            .set("width", gap)
            .set("height", gap)
            .set("patternUnits", "userSpaceOnUse")
            .set("patternTransform", format!("rotate({angle})"))
            .add(rect(&format!("{class} ground"), 0.0, 0.0, gap, gap))
            .add(
                Line::new()
                    .set("class", class)
                    .set("x1", 0)
                    .set("y1", 0)
                    .set("x2", 0)
                    .set("y2", gap),
            )
    };
    Definitions::new()
        .add(lines("harvest", "x-harvest", 6.0, 45.0))
        .add(lines("stored", "x-stored", 4.0, -45.0))
        .add(lines("manure", "x-manure", 5.0, 90.0))
        .add(lines("short", "x-short", 3.0, 45.0))
        .add(lines("idle", "x-idle", 9.0, 0.0))
        .add(lines("cover-1", "x-cover", 5.0, 0.0))
        .add(lines("cover-2", "x-cover", 5.0, 45.0))
        .add(lines("cover-3", "x-cover", 5.0, 90.0))
}

/// The texture class of a kind of cover, by its place in the scenario; kinds beyond four share.
pub fn cover_class(cover: usize) -> String {
    const TEXTURES: usize = 4;
    format!("c{}", cover % TEXTURES)
}

/// To a hundredth: enough for a print, short in the file.
pub fn round(value: f64) -> f64 {
    const PLACES: f64 = 100.0;
    (value * PLACES).round() / PLACES + 0.0
}

/// A rectangle.
pub fn rect(class: &str, x: f64, y: f64, width: f64, height: f64) -> Rectangle {
    let mut rect = Rectangle::new()
        .set("class", class)
        .set("width", round(width))
        .set("height", round(height));
    // Zero is what a place is when it is left out.
    for (name, value) in [("x", round(x)), ("y", round(y))] {
        if value != 0.0 {
            rect = rect.set(name, value);
        }
    }
    rect
}

/// A straight line.
pub fn line(class: &str, from: (f64, f64), to: (f64, f64)) -> Line {
    Line::new()
        .set("class", class)
        .set("x1", round(from.0))
        .set("y1", round(from.1))
        .set("x2", round(to.0))
        .set("y2", round(to.1))
}

/// A word; `class` says how it is set and at which end it is anchored.
pub fn text(class: &str, x: f64, y: f64, words: &str) -> Text {
    Text::new(words)
        .set("class", class)
        .set("x", round(x))
        .set("y", round(y))
}

/// What a pointer is told.
pub fn title(words: &str) -> Title {
    Title::new(words)
}

/// A small triangle pointing up to (x, y).
pub fn pointer(class: &str, x: f64, y: f64) -> Polygon {
    const HALF: f64 = 3.5;
    const TALL: f64 = 6.0;
    let points = format!(
        "{},{} {},{} {},{}",
        round(x),
        round(y),
        round(x - HALF),
        round(y + TALL),
        round(x + HALF),
        round(y + TALL)
    );
    Polygon::new().set("class", class).set("points", points)
}
