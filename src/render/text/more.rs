//! What one more of each thing is worth, and when ground is scarce.

use super::lines::{cut, title, wrap};
use crate::explain::{GroundWeek, Pays, Step, ThingWorth, WorthOfMore};
use crate::render::words::{month_name, month_of};

/// Column widths: the thing, what one is, which one.
const NAME: usize = 20;
const ONE: usize = 12;
/// Width of a month's weeks, of which there are five at most.
const WEEKS_WIDTH: usize = 32;

/// The whole answer.
pub fn worth_of_more(w: &WorthOfMore) -> String {
    let mut out = wrap(
        "",
        &format!(
            "{}: worth {:.2} {}, no plan is worth more than {:.2}. Below, money is {} over the {} \
             weeks that count in the worth, but for the columns \"a year\".",
            w.scenario, w.worth, w.currency, w.bound, w.currency, w.weeks
        ),
    );
    let solved = w
        .things
        .iter()
        .flat_map(|t| &t.steps)
        .any(|s| s.solved.is_some());
    out += &title("What one more is worth");
    out += &format!(
        "  {:<NAME$}{:<ONE$}{:>4}{:>10}{:>9}{:>9}{:>10}{:>9}{:>8}  pays\n",
        "", "one is", "", "in bound", "found", "at least", "at most", "a year", "cost"
    );
    for thing in &w.things {
        for (i, step) in thing.steps.iter().enumerate() {
            out += &line(w, thing, i, step);
        }
    }
    out += "\n";
    out += &wrap(
        "  in bound: ",
        "what the proven bound rises by, an estimate; it falls from one to the next.",
    );
    if solved {
        out += &wrap(
            "  found: ",
            "what the plan found is worth more; searches end within a gap, so this is rough.",
        );
    }
    out += &wrap(
        "  at least, at most: ",
        "all that is proven of what one more brings to the best plan; it goes before the others.",
    );
    out += &wrap(
        "  pays: ",
        "whether it brings its cost; perhaps where the gaps leave it open.",
    );
    out += &ground(w);
    out
}

fn line(w: &WorthOfMore, thing: &ThingWorth, i: usize, step: &Step) -> String {
    let (name, one) = if i == 0 {
        (cut(&thing.thing, NAME - 1), cut(&thing.one, ONE - 1))
    } else {
        Default::default()
    };
    let [more, in_bound, found, at_least, at_most, a_year, cost, pays] = figures(w, thing, i, step);
    let text = format!(
        "  {name:<NAME$}{one:<ONE$}{more:>4}{in_bound:>10}{found:>9}{at_least:>9}{at_most:>10}{a_year:>9}\
         {cost:>8}  {pays}"
    );
    text.trim_end().to_string() + "\n"
}

/// Which one more, in the bound, found, at least, at most, in the bound a year, yearly cost, whether
/// it pays.
pub fn figures(w: &WorthOfMore, thing: &ThingWorth, i: usize, step: &Step) -> [String; 8] {
    let money = |m: f64| format!("{m:.2}");
    let shown = |m: Option<f64>| m.map_or("-".to_string(), money);
    [
        format!("+{}", step.more),
        money(step.in_bound),
        shown(step.solved.as_ref().map(|d| d.found)),
        money(step.at_least),
        money(step.at_most),
        money(w.a_year(step.in_bound)),
        shown(thing.yearly_cost),
        match thing.pays[i] {
            None => "-",
            Some(Pays::Yes) => "yes",
            Some(Pays::No) => "no",
            Some(Pays::PerhapsYes) => "perhaps",
            Some(Pays::PerhapsNo) => "hardly",
        }
        .to_string(),
    ]
}

/// What a bed-week is worth, week by week, a month to a line.
fn ground(w: &WorthOfMore) -> String {
    if w.ground.is_empty() {
        return String::new();
    }
    let mut out = title(&format!("What a bed-week is worth, {}", w.currency));
    out += &wrap(
        "  ",
        "What the best years at the bound's prices lose when a bed stays empty for that week: high \
         where ground is scarce. Week by week, a month to a line.",
    );
    let settings: [(&str, Value); 2] =
        [("in the open", |g| g.open), ("in the tunnel", |g| g.tunnel)];
    let there: Vec<&(&str, Value)> = (settings.iter())
        .filter(|(_, value)| w.ground.iter().any(|g| value(g).is_some()))
        .collect();
    let heads: String = there
        .iter()
        .map(|(name, _)| format!("{name:<WEEKS_WIDTH$}"))
        .collect();
    out += &format!("  {:<9}{}\n", "", heads.trim_end());
    for month in w
        .ground
        .chunk_by(|a, b| month_of(a.week) == month_of(b.week))
    {
        let (year, number) = month_of(month[0].week);
        let mut line = format!("  {} {year}", month_name(number));
        for (_, value) in &there {
            let weeks: String = (month.iter())
                .map(|g| format!("{:>6.2}", value(g).unwrap_or(0.0)))
                .collect();
            line += &format!("{weeks:<WEEKS_WIDTH$}");
        }
        out += line.trim_end();
        out.push('\n');
    }
    out
}

type Value = fn(&GroundWeek) -> Option<f64>;
