//! Scenarios side by side: a column each, the base first.

use super::lines::{amount, cut, title, wrap};
use crate::explain::{Comparison, Difference, Figures, FoodFigures, Verdict};
use crate::plan::Ending;

/// Columns of the names of rows and of a side; so many sides stand beside one another.
const NAME_WIDTH: usize = 30;
const SIDE_WIDTH: usize = 14;
const SIDES: usize = 5;
/// Shares differ visibly from this on.
const VISIBLE: f64 = 0.005;

/// The whole comparison.
pub fn comparison(c: &Comparison) -> String {
    let mut out = String::new();
    let mut what = format!("{} weeks compared with {}", c.weeks, c.sides[0].label);
    if c.tail > 0 {
        what += &format!(
            "; worth, money and work count the {} weeks after them too",
            c.tail
        );
    }
    out += &wrap("", &format!("{what}."));
    out += &differences(c);
    let mut rest: &[Figures] = &c.sides[1..];
    while !rest.is_empty() {
        let (block, after) = rest.split_at(rest.len().min(SIDES - 1));
        rest = after;
        let sides: Vec<&Figures> = std::iter::once(&c.sides[0]).chain(block).collect();
        out += &block_of(c, &sides);
    }
    out
}

/// What is known of each difference, in sentences.
fn differences(c: &Comparison) -> String {
    let mut out = title("Which is better");
    for d in &c.differences {
        out += &wrap("  ", &sentence(d, &c.sides[0].label, &c.currency));
    }
    if !c.same_measure {
        out += &wrap(
            "  ",
            "The sides differ in needs, prices or weeks: their worths are reckoned from different \
             things, so look at the needs met first.",
        );
    }
    out
}

fn sentence(d: &Difference, base: &str, currency: &str) -> String {
    let interval = format!(
        "between {} and {} {currency}",
        signed(d.at_least),
        signed(d.at_most)
    );
    let found = format!("the plans found differ by {} {currency}", signed(d.found));
    match d.verdict {
        Verdict::Better => format!(
            "{} is better than {base}: its best plan is worth more, {interval} ({found}).",
            d.variant
        ),
        Verdict::Worse => format!(
            "{} is worse than {base}: its best plan is worth less, {interval} ({found}).",
            d.variant
        ),
        Verdict::Same => format!("{} and {base} are worth the same.", d.variant),
        Verdict::Undecided => format!(
            "{} against {base} is undecided: {found}, which is less than the gaps leave open \
             ({interval}). With --decide the search goes on.",
            d.variant
        ),
    }
}

fn signed(money: f64) -> String {
    if money.abs() < VISIBLE {
        "0.00".to_string()
    } else {
        format!("{money:+.2}")
    }
}

fn block_of(c: &Comparison, sides: &[&Figures]) -> String {
    let mut out = title(&format!("Side by side, {}", c.currency));
    out += &heads(sides);
    let money = |value: f64| format!("{value:.2}");
    let mut line = |name: &str, cell: &dyn Fn(&Figures) -> String| {
        out += &row(name, sides, cell);
    };
    line("worth", &|s| money(s.worth));
    line("no plan is worth more than", &|s| money(s.bound));
    line("gap, per cent", &|s| format!("{:.2}", 100.0 * s.gap));
    line("search", &|s| ended(s.ending).to_string());
    let mut rules: Vec<&str> = Vec::new();
    for side in sides {
        for rule in side.ledger.keys() {
            if !rules.contains(rule) {
                rules.push(rule);
            }
        }
    }
    for rule in rules {
        line(&format!("  {rule}"), &|s| {
            s.ledger.get(rule).map_or("-".into(), |m| money(*m))
        });
    }
    line("hours of work", &|s| format!("{:.1}", s.work_hours));
    line("  in the busiest week", &|s| format!("{:.1}", s.most_hours));
    line("weeks with a floor missed", &|s| s.weeks_short.to_string());

    out += &title("Needs met, all foods by price, per cent");
    out += &heads(sides);
    for (i, part) in c.parts.iter().enumerate() {
        out += &row(&format!("{part}: floors"), sides, &|s| {
            share(s.parts[i].floors)
        });
        out += &row(&format!("{part}: wishes"), sides, &|s| {
            share(s.parts[i].wishes)
        });
        out += &row(&format!("{part}: food a week"), sides, &|s| {
            s.food_money_a_week[i].map_or("-".into(), |m| format!("{m:.2}"))
        });
    }
    out += &row("year: floors", sides, &|s| share(s.year.floors));
    out += &row("year: wishes", sides, &|s| share(s.year.wishes));
    out += &foods(c, sides);
    out += &covers(sides);
    out
}

/// The heads of the columns, as many lines as the longest label needs.
fn heads(sides: &[&Figures]) -> String {
    let broken: Vec<Vec<String>> = sides.iter().map(|s| in_lines(&s.label)).collect();
    let most = broken.iter().map(Vec::len).max().unwrap_or(0);
    let mut out = String::new();
    for i in 0..most {
        out += &" ".repeat(NAME_WIDTH);
        for lines in &broken {
            // The last line of each stands at the bottom.
            let line = (i + lines.len())
                .checked_sub(most)
                .and_then(|n| lines.get(n));
            out += &format!("{:>SIDE_WIDTH$}", line.map_or("", |l| l));
        }
        out = out.trim_end().to_string() + "\n";
    }
    out
}

/// A label in lines of a column's width, at most three.
fn in_lines(label: &str) -> Vec<String> {
    const MOST: usize = 3;
    const WIDE: usize = SIDE_WIDTH - 2;
    let mut lines: Vec<String> = vec![String::new()];
    for word in label.split_whitespace() {
        let last = lines.last_mut().expect("never empty");
        if last.is_empty() {
            *last = cut(word, WIDE);
        } else if last.chars().count() + 1 + word.chars().count() <= WIDE {
            *last += &format!(" {word}");
        } else {
            lines.push(cut(word, WIDE));
        }
    }
    lines.truncate(MOST);
    lines
}

fn row(name: &str, sides: &[&Figures], cell: &dyn Fn(&Figures) -> String) -> String {
    let mut out = format!(
        "  {:<width$}",
        cut(name, NAME_WIDTH - 3),
        width = NAME_WIDTH - 2
    );
    for side in sides {
        out += &format!("{:>SIDE_WIDTH$}", cell(side));
    }
    out + "\n"
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
fn share(met: Option<f64>) -> String {
    met.map_or("-".into(), |m| format!("{:.0}", (100.0 * m + 1e-6).floor()))
}

/// Foods of which some part of the year differs between the sides.
fn foods(c: &Comparison, sides: &[&Figures]) -> String {
    let mut out = title("Wishes met by food where the sides differ, per cent");
    let mut names: Vec<&FoodFigures> = Vec::new();
    for food in sides.iter().flat_map(|s| &s.foods) {
        if !names.iter().any(|known| known.food == food.food) {
            names.push(food);
        }
    }
    let mut rows = String::new();
    for known in names {
        let of = |s: &Figures| -> Option<FoodFigures> {
            s.foods.iter().find(|f| f.food == known.food).cloned()
        };
        let mut lines = String::new();
        for (i, part) in c.parts.iter().enumerate() {
            let wish = |s: &Figures| of(s).and_then(|f| f.parts[i].wishes);
            if differ(&sides.iter().map(|s| wish(s)).collect::<Vec<_>>()) {
                lines += &row(&format!("  {part}"), sides, &|s| share(wish(s)));
            }
        }
        if !lines.is_empty() {
            let unit = &known.unit;
            rows += &row(&format!("{}, {unit} eaten", known.food), sides, &|s| {
                of(s).map_or("-".into(), |f| amount(f.eaten))
            });
            rows += &lines;
        }
    }
    if rows.is_empty() {
        out += "  none\n";
    } else {
        out += &heads(sides);
        out += &rows;
    }
    out
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
fn covers(sides: &[&Figures]) -> String {
    let mut names: Vec<&str> = Vec::new();
    for cover in sides.iter().flat_map(|s| &s.covers) {
        if !names.contains(&cover.cover.as_str()) {
            names.push(&cover.cover);
        }
    }
    if names.is_empty() {
        return String::new();
    }
    let mut out = title("Covers: most in use, of those to hand; weeks on beds");
    out += &heads(sides);
    for name in names {
        out += &row(name, sides, &|s| {
            s.covers
                .iter()
                .find(|c| c.cover == name)
                .map_or("-".into(), |c| {
                    format!("{}/{} {:>5}", c.most_used, c.to_hand, c.bed_weeks)
                })
        });
    }
    let cost = |s: &Figures| -> Option<f64> {
        let costs: Vec<f64> = s.covers.iter().filter_map(|c| c.yearly_cost).collect();
        (!costs.is_empty()).then(|| costs.iter().sum())
    };
    if sides.iter().any(|s| cost(s).is_some()) {
        out += &row("their cost a year", sides, &|s| {
            cost(s).map_or("-".into(), |m| format!("{m:.2}"))
        });
        out += &wrap("  ", "The cost of covers is not in the worth.");
    }
    out
}
