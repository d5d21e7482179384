//! The page of a year plan: what the template shows, in words.

use super::tables::{
    self, BedView, BuyLine, CautionLine, CoverLine, FoodView, LedgerView, WeekView,
};
use super::{Frame, inline};
use crate::domain::Scenario;
use crate::plan::YearPlan;
use crate::render::level::{LevelWeek, level, spans};
use crate::render::select::Selection;
use crate::render::svg;
use crate::render::text::ending;
use crate::render::turns::turns;
use crate::render::words::{isolated, money};
use crate::units::Week;
use askama::Template;

/// One figure at the head of the page.
struct Sum {
    name: &'static str,
    figure: String,
    unit: String,
}

/// A sentence about the level; `bad` ones are marked.
struct LevelLine {
    words: String,
    bad: bool,
}

#[derive(Template)]
#[template(path = "plan.html", config = "src/render/html/askama.toml")]
struct PlanPage {
    frame: Frame,
    name: String,
    currency: String,
    span: String,
    dates: String,
    sums: Vec<Sum>,
    ending: String,
    level_lines: Vec<LevelLine>,
    banded: bool,
    level: String,
    /// How strips take turns in a standing year.
    turns: Vec<String>,
    beds: Vec<BedView>,
    foods: Vec<String>,
    supply: Vec<FoodView>,
    covers_line: String,
    covers: Vec<String>,
    shelf: String,
    jobs_line: String,
    jobs: Vec<WeekView>,
    buying: Vec<BuyLine>,
    buying_money: String,
    cover_lines: Vec<CoverLine>,
    ledger: Vec<LedgerView>,
    worth: String,
    cautions: Vec<CautionLine>,
    made_by: String,
    file: String,
    fingerprint: String,
}

/// The page.
pub fn plan(scenario: &Scenario, plan: &YearPlan, selection: &Selection) -> String {
    let about = &plan.scenario;
    let weeks = level(scenario, plan);
    let kinds = svg::lanes(scenario, plan);
    let last = about
        .start
        .plus(i32::try_from(about.weeks).expect("short") - 1);
    let page = PlanPage {
        frame: Frame::new(about.name.clone()),
        name: about.name.clone(),
        currency: about.currency.clone(),
        span: match plan.standing_year {
            Some(_) => format!("the standing year, {} – {last}", about.start),
            None => format!("{} – {last}", about.start),
        },
        dates: format!(
            "{} – {}",
            about.start.monday().format("%-d %B %Y"),
            last.sunday().format("%-d %B %Y")
        ),
        sums: sums(plan, &weeks),
        ending: ending(plan),
        level_lines: level_lines(plan, &weeks),
        banded: scenario.level.is_some(),
        level: inline(svg::level(plan, &weeks)),
        beds: tables::beds(scenario, plan, selection),
        foods: svg::food_sheets(plan).into_iter().map(inline).collect(),
        supply: tables::foods(plan),
        covers_line: covers_line(plan, &kinds),
        covers: (svg::cover_sheets(plan, &kinds).into_iter())
            .map(inline)
            .collect(),
        shelf: inline(svg::shelf(scenario, plan)),
        jobs_line: jobs_line(selection),
        jobs: tables::jobs(scenario, plan, selection),
        buying: tables::buying(plan),
        buying_money: money(plan.buying.iter().map(|p| p.money).sum()),
        cover_lines: tables::covers(plan, &kinds),
        ledger: tables::ledger(plan),
        worth: money(plan.result.worth),
        cautions: tables::cautions(scenario, plan),
        turns: turns(plan, "–"),
        made_by: plan.made_by.clone(),
        file: about.file.clone(),
        fingerprint: about.fingerprint.clone(),
    };
    page.render().expect("the template only writes text")
}

fn sums(plan: &YearPlan, weeks: &[LevelWeek]) -> Vec<Sum> {
    let currency = &plan.scenario.currency;
    let planned = &weeks[..plan.scenario.weeks];
    let count = planned.len() as f64;
    let mean = planned.iter().map(LevelWeek::eaten).sum::<f64>() / count;
    let least = planned
        .iter()
        .map(LevelWeek::eaten)
        .fold(f64::INFINITY, f64::min);
    let met = planned.iter().filter(|w| w.short.is_empty()).count();
    let minutes: f64 = (plan.work.iter().take(planned.len()))
        .map(|w| w.ground + w.harvest + w.covers)
        .sum();
    let mut sums = vec![
        Sum {
            name: "Worth",
            figure: money(plan.result.worth),
            unit: currency.clone(),
        },
        Sum {
            name: "Eaten a week, mean",
            figure: money(mean),
            unit: currency.clone(),
        },
        Sum {
            name: "Eaten in the poorest week",
            figure: money(least),
            unit: currency.clone(),
        },
        Sum {
            name: "Weeks with every floor met",
            figure: met.to_string(),
            unit: format!("of {}", planned.len()),
        },
        Sum {
            name: "Work a week, mean",
            figure: format!("{:.1}", minutes / count / 60.0),
            unit: "hours".to_string(),
        },
    ];
    if plan.result.bound.is_finite() {
        sums.insert(
            1,
            Sum {
                name: "Gap: no plan is better by more",
                figure: money(plan.result.gap_money),
                unit: format!("{currency}, {:.2} %", plan.result.gap * 100.0),
            },
        );
    }
    sums
}

/// `2027-W14 to 2027-W16, 2027-W20`.
fn spelled(spans: &[(Week, Week)]) -> String {
    let parts: Vec<String> = (spans.iter())
        .map(|(first, last)| {
            if first == last {
                first.to_string()
            } else {
                format!("{first} to {last}")
            }
        })
        .collect();
    parts.join(", ")
}

fn level_lines(plan: &YearPlan, weeks: &[LevelWeek]) -> Vec<LevelLine> {
    let planned = &weeks[..plan.scenario.weeks];
    let currency = &plan.scenario.currency;
    let mut lines = Vec::new();
    let hungry = spans(planned, LevelWeek::hungry);
    let poorest = planned
        .iter()
        .min_by(|a, b| a.eaten().total_cmp(&b.eaten()));
    if let Some(poorest) = poorest.filter(|_| planned.iter().any(|w| w.band.is_some())) {
        let words = if hungry.is_empty() {
            "No hungry gap: every planned week reaches the band.".to_string()
        } else {
            let missing: f64 = (planned.iter())
                .filter_map(|w| w.band.map(|(low, _)| (low - w.eaten()).max(0.0)))
                .sum();
            format!(
                "Hungry gap, below the band: {}; {} {currency} are missing in all, the poorest \
                 week is {} with {} {currency}.",
                spelled(&hungry),
                money(missing),
                poorest.week,
                money(poorest.eaten())
            )
        };
        let bad = !hungry.is_empty();
        lines.push(LevelLine { words, bad });
    }
    let short = spans(planned, |w| !w.short.is_empty());
    if !short.is_empty() {
        let mut foods: Vec<&str> = (planned.iter())
            .flat_map(|w| w.short.iter().map(String::as_str))
            .collect();
        foods.sort_unstable();
        foods.dedup();
        lines.push(LevelLine {
            words: format!(
                "Floors are missed in {}: {}.",
                spelled(&short),
                foods
                    .iter()
                    .map(|f| isolated(f))
                    .collect::<Vec<_>>()
                    .join(", ")
            ),
            bad: true,
        });
    }
    let gluts = spans(planned, LevelWeek::glut);
    let left: f64 = planned.iter().map(|w| w.left).sum();
    lines.push(LevelLine {
        words: if gluts.is_empty() {
            "No glut: never more than a tenth of a week's food is left over.".to_string()
        } else {
            format!(
                "Glut, more than a tenth left over though the band is reached: {}. In the whole \
                 year {} {currency} are left over, to give away or to leave on the plants.",
                spelled(&gluts),
                money(left)
            )
        },
        bad: false,
    });
    for line in &mut lines {
        // A week's number is not torn from its year at the end of a line.
        line.words = line.words.replace("-W", "\u{2011}W");
    }
    lines
}

fn covers_line(plan: &YearPlan, kinds: &[svg::Lanes]) -> String {
    if plan.covers.is_empty() {
        return "No cover is used.".to_string();
    }
    let parts: Vec<String> = (kinds.iter())
        .filter(|kind| !kind.pieces.is_empty())
        .map(|kind| {
            let start = plan.scenario.start;
            let idle = (0..plan.scenario.weeks)
                .map(|i| kind.idle(start.plus(i32::try_from(i).expect("short"))))
                .min()
                .unwrap_or_default();
            format!(
                "{}: {} to hand, never fewer than {idle} idle",
                kind.cover,
                kind.pieces.len()
            )
        })
        .collect();
    format!("{}.", parts.join("; "))
}

fn jobs_line(selection: &Selection) -> String {
    let mut line =
        "Weeks begin on Monday. Amounts are for the whole week; crumbs of a harvest that are \
                    not worth a walk are left out."
            .to_string();
    if let Some(bed) = &selection.bed {
        line += &format!(" Only bed {bed}.");
    }
    line
}
