//! Scenarios side by side as rows of figures; the text and the page show the same ones.

use super::words::{amount, money};
use crate::explain::{Comparison, Difference, Figures, FoodFigures, Verdict};
use crate::plan::Ending;

/// Shares differ visibly from this on, and so does money.
const VISIBLE: f64 = 0.005;

/// A table: its rows have a cell for each side.
pub struct Section {
    pub title: String,
    pub rows: Vec<Row>,
    pub note: Option<&'static str>,
}

/// A row of a table.
pub struct Row {
    pub name: String,
    /// Part of the row above it.
    pub inner: bool,
    pub cells: Vec<String>,
}

impl Row {
    fn new(name: &str, sides: &[&Figures], cell: &dyn Fn(&Figures) -> String) -> Row {
        Row {
            name: name.to_string(),
            inner: false,
            cells: sides.iter().map(|side| cell(side)).collect(),
        }
    }

    fn inner(self) -> Row {
        Row {
            inner: true,
            ..self
        }
    }
}

/// What is known of each difference, in sentences; `name` writes a label.
pub fn sentences(c: &Comparison, name: fn(&str) -> String) -> Vec<String> {
    let mut list: Vec<String> = (c.differences.iter())
        .map(|d| {
            sentence(
                d,
                &name(&d.variant),
                &name(&c.sides[0].label),
                &name(&c.currency),
                c.to_be_decided,
            )
        })
        .collect();
    if !c.same_measure {
        list.push(
            "The sides differ in needs, prices or weeks: their worths are reckoned from different \
             things, so look at the needs met first."
                .into(),
        );
    }
    list
}

fn sentence(
    d: &Difference,
    variant: &str,
    base: &str,
    currency: &str,
    to_be_decided: bool,
) -> String {
    let interval = format!(
        "between {} and {} {currency}",
        signed(d.at_least),
        signed(d.at_most)
    );
    let found = format!("the plans found differ by {} {currency}", signed(d.found));
    let by = match signed(d.at_least) == signed(d.at_most) {
        true => format!("by {} {currency}", money(d.at_most.abs())),
        false => format!("{interval} ({found})"),
    };
    match d.verdict {
        Verdict::Better => {
            format!("{variant} is better than {base}: its best plan is worth more, {by}.")
        }
        Verdict::Worse => {
            format!("{variant} is worse than {base}: its best plan is worth less, {by}.")
        }
        Verdict::Same => format!("{variant} and {base} are worth the same."),
        Verdict::Undecided => {
            // What is possible on one side is possible on the other.
            let order = if d.at_least >= 0.0 {
                format!(" {variant} cannot be worse: every plan of {base} is possible there.")
            } else if d.at_most <= 0.0 {
                format!(" {variant} cannot be better: every plan of it is possible in {base}.")
            } else {
                String::new()
            };
            let next = match to_be_decided {
                true => {
                    "The limits were reached before it was decided: give a longer --time-limit."
                }
                false => "With --decide the search goes on.",
            };
            format!(
                "{variant} against {base} is undecided: {found}, which is less than the gaps leave \
                 open ({interval}).{order} The bounds differ by {}, which is the better estimate \
                 where both searches went equally far. {next}",
                signed(d.in_bound)
            )
        }
    }
}

/// Money with its sign.
pub fn signed(money: f64) -> String {
    if money.abs() < VISIBLE {
        "0.00".to_string()
    } else {
        format!("{money:+.2}")
    }
}

/// All tables; of the foods, those that differ between the sides, or all.
pub fn sections(c: &Comparison, sides: &[&Figures], all_foods: bool) -> Vec<Section> {
    let mut sections = vec![
        worths(c, sides),
        needs(c, sides),
        foods(c, sides, all_foods),
    ];
    sections.extend(covers(sides));
    sections
}

fn worths(c: &Comparison, sides: &[&Figures]) -> Section {
    let money = |value: f64| format!("{value:.2}");
    let row = |name: &str, cell: &dyn Fn(&Figures) -> String| Row::new(name, sides, cell);
    let mut rows = vec![
        row("worth", &|s| money(s.worth)),
        row("no plan is worth more than", &|s| money(s.bound)),
        row("gap, per cent", &|s| format!("{:.2}", 100.0 * s.gap)),
        row("search", &|s| ended(s.ending).to_string()),
    ];
    let mut rules: Vec<&str> = Vec::new();
    for rule in sides.iter().flat_map(|side| side.ledger.keys()) {
        if !rules.contains(rule) {
            rules.push(rule);
        }
    }
    for rule in rules {
        let cell = |s: &Figures| s.ledger.get(rule).map_or("-".into(), |m| money(*m));
        rows.push(row(rule, &cell).inner());
    }
    rows.push(row("hours of work", &|s| format!("{:.1}", s.work_hours)));
    let busiest = |s: &Figures| format!("{:.1}", s.most_hours);
    rows.push(row("in the busiest week", &busiest).inner());
    rows.push(row("weeks with a floor missed", &|s| {
        s.weeks_short.to_string()
    }));
    Section {
        title: format!("Side by side, {}", c.currency),
        rows,
        note: None,
    }
}

fn needs(c: &Comparison, sides: &[&Figures]) -> Section {
    let row = |name: &str, cell: &dyn Fn(&Figures) -> String| Row::new(name, sides, cell);
    let mut rows = Vec::new();
    for (i, part) in c.parts.iter().enumerate() {
        rows.push(row(&format!("{part}: floors"), &|s| {
            share(s.parts[i].floors)
        }));
        rows.push(row(&format!("{part}: wishes"), &|s| {
            share(s.parts[i].wishes)
        }));
        rows.push(row(&format!("{part}: food a week"), &|s| {
            s.food_money_a_week[i].map_or("-".into(), |m| format!("{m:.2}"))
        }));
    }
    rows.push(row("year: floors", &|s| share(s.year.floors)));
    rows.push(row("year: wishes", &|s| share(s.year.wishes)));
    Section {
        title: "Needs met, all foods by price, per cent".into(),
        rows,
        note: None,
    }
}

fn ended(ending: Ending) -> &'static str {
    match ending {
        Ending::Optimal => "proven best",
        Ending::WithinGap => "within gap",
        Ending::WorkLimit => "ran out",
        Ending::TimeLimit => "time limit",
        Ending::Interrupted => "stopped",
    }
}

/// Per cent met, rounded down so that 100 means all; a dash where nothing is needed.
pub fn share(met: Option<f64>) -> String {
    met.map_or("-".into(), |m| format!("{:.0}", (100.0 * m + 1e-6).floor()))
}

/// Foods, with the parts of the year that differ between the sides, or all.
fn foods(c: &Comparison, sides: &[&Figures], all: bool) -> Section {
    let mut names: Vec<&FoodFigures> = Vec::new();
    for food in sides.iter().flat_map(|s| &s.foods) {
        if !names.iter().any(|known| known.food == food.food) {
            names.push(food);
        }
    }
    let mut rows = Vec::new();
    for known in names {
        let of = |s: &Figures| -> Option<FoodFigures> {
            s.foods.iter().find(|f| f.food == known.food).cloned()
        };
        let mut inner = Vec::new();
        for (i, part) in c.parts.iter().enumerate() {
            let wish = |s: &Figures| of(s).and_then(|f| f.parts[i].wishes);
            let shares: Vec<Option<f64>> = sides.iter().map(|s| wish(s)).collect();
            let shown = if all {
                shares.iter().any(Option::is_some)
            } else {
                differ(&shares)
            };
            if shown {
                inner.push(Row::new(part, sides, &|s| share(wish(s))).inner());
            }
        }
        if !inner.is_empty() {
            let name = format!("{}, {} eaten", known.food, known.unit);
            let eaten = |s: &Figures| of(s).map_or("-".into(), |f| amount(f.eaten));
            rows.push(Row::new(&name, sides, &eaten));
            rows.extend(inner);
        }
    }
    Section {
        title: match all {
            true => "Wishes met by food, per cent",
            false => "Wishes met by food where the sides differ, per cent",
        }
        .into(),
        rows,
        note: None,
    }
}

fn differ(shares: &[Option<f64>]) -> bool {
    let first = shares[0];
    shares.iter().any(|share| match (first, share) {
        (Some(a), Some(b)) => (a - b).abs() >= VISIBLE,
        (None, None) => false,
        _ => true,
    })
}

/// Covers to hand, used at most in one week, and the weeks they lie on beds.
fn covers(sides: &[&Figures]) -> Option<Section> {
    let mut names: Vec<&str> = Vec::new();
    for cover in sides.iter().flat_map(|s| &s.covers) {
        if !names.contains(&cover.cover.as_str()) {
            names.push(&cover.cover);
        }
    }
    if names.is_empty() {
        return None;
    }
    let mut rows: Vec<Row> = (names.into_iter())
        .map(|name| {
            Row::new(name, sides, &|s| {
                (s.covers.iter().find(|c| c.cover == name)).map_or("-".into(), |c| {
                    format!("{}/{} {:>5}", c.most_used, c.to_hand, c.bed_weeks)
                })
            })
        })
        .collect();
    let cost = |s: &Figures| -> Option<f64> {
        let costs: Vec<f64> = s.covers.iter().filter_map(|c| c.yearly_cost).collect();
        (!costs.is_empty()).then(|| costs.iter().sum())
    };
    let priced = sides.iter().any(|s| cost(s).is_some());
    if priced {
        rows.push(Row::new("their cost a year", sides, &|s| {
            cost(s).map_or("-".into(), |m| format!("{m:.2}"))
        }));
    }
    Some(Section {
        title: "Covers: most in use, of those to hand; weeks on beds".into(),
        rows,
        note: priced.then_some("The cost of covers is not in the worth."),
    })
}
