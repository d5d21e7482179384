//! What one more of each thing is worth, and when ground is scarce.

use super::lines::{cut, title, wrap};
use crate::explain::{Pays, Step, ThingWorth, WorthOfMore};
use crate::render::words::month_name;

/// Column widths: the thing, what one is, which one.
const NAME: usize = 20;
const ONE: usize = 12;
/// Width of a bar of the ground's worth.
const BAR: usize = 24;

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
        "what the proven bound rises by; it falls from one to the next.",
    );
    if solved {
        out += &wrap(
            "  found: ",
            "what the plan found is worth more; searches end within a gap, so this is rough.",
        );
    }
    out += &wrap(
        "  at least, at most: ",
        "all that is proven of what one more brings to the best plan.",
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

/// What a bed-week is worth, month by month.
fn ground(w: &WorthOfMore) -> String {
    if w.ground.is_empty() {
        return String::new();
    }
    let mut out = title(&format!("What a bed-week is worth, {}", w.currency));
    out += &wrap(
        "  ",
        "What the best years at the bound's prices lose when a bed stays empty for a week: high \
         where ground is scarce.",
    );
    let all = w.ground.iter().flat_map(|m| [m.open, m.tunnel]).flatten();
    let most = all.fold(0.0, f64::max);
    let bar = |value: Option<f64>| {
        let length = match value {
            Some(v) if most > 0.0 => (BAR as f64 * v / most).round() as usize,
            _ => 0,
        };
        let text = value.map_or("-".to_string(), |v| format!("{v:.2}"));
        format!("{text:>7} {:<BAR$}", "#".repeat(length))
    };
    out += &format!("  {:<9}{:>7} {:<BAR$}  {:>7}\n", "", "open", "", "tunnel");
    for month in &w.ground {
        let line = format!(
            "  {} {}  {}  {}",
            month_name(month.month),
            month.year,
            bar(month.open),
            bar(month.tunnel)
        );
        out += line.trim_end();
        out.push('\n');
    }
    out
}
