//! The page's tables and lists, each line in words.

use crate::domain::{Bed, Scenario};
use crate::plan::{LedgerLine, Planting, YearPlan};
use crate::render::cautions::cautions as usual;
use crate::render::jobs::{self, Job, Kind, Place, unit};
use crate::render::select::Selection;
use crate::render::svg::{self, Lanes};
use crate::render::words::{amount, isolated, money, strip_noun, strips};
use crate::units::Week;
use sha2::{Digest, Sha256};

/// Places of a ledger's rule that are named; the others are added up.
const PLACES: usize = 8;
/// Minutes in an hour.
const HOUR_MINUTES: f64 = 60.0;

/// A bed with its chart and its plantings.
pub struct BedView {
    pub name: String,
    pub notes: String,
    pub chart: String,
    pub plantings: Vec<PlantingView>,
}

/// A planting as a line of a table.
pub struct PlantingView {
    pub id: String,
    pub crop: String,
    pub strips: String,
    pub begun: String,
    pub planted: String,
    pub harvest: String,
    pub cleared: String,
    pub gives: String,
    pub plants: String,
    pub notes: String,
}

/// The beds that are shown.
pub fn beds(scenario: &Scenario, plan: &YearPlan, selection: &Selection) -> Vec<BedView> {
    (scenario.beds.iter())
        .filter(|bed| selection.has_bed(&bed.name))
        .map(|bed| BedView {
            name: bed.name.clone(),
            notes: svg::bed_notes(bed),
            chart: svg::bed(scenario, plan, bed, &svg::Look::of(plan, true)).inline(),
            plantings: plantings(scenario, plan, bed),
        })
        .collect()
}

fn plantings(scenario: &Scenario, plan: &YearPlan, bed: &Bed) -> Vec<PlantingView> {
    (plan.plantings.iter())
        .filter(|planting| planting.bed == bed.name)
        .map(|planting| {
            let total: f64 = planting.harvest.values().sum();
            let unit = unit(scenario, planting);
            PlantingView {
                id: planting.id.clone(),
                crop: isolated(&planting.crop),
                strips: strips(&planting.strips, "–"),
                begun: begun(planting),
                planted: planting.planted.to_string(),
                harvest: (planting.seasons().iter())
                    .map(|(first, last)| format!("{first} – {last}"))
                    .collect::<Vec<_>>()
                    .join(", "),
                cleared: planting.cleared.to_string(),
                gives: match total > 0.0 {
                    true => format!("{} {unit}", amount(total)),
                    false => String::new(),
                },
                plants: planting
                    .plants
                    .map_or(String::new(), |p| format!("{:.0}", p.ceil())),
                notes: notes(plan, planting),
            }
        })
        .collect()
}

fn begun(planting: &Planting) -> String {
    match &planting.raising {
        None => "stands already".to_string(),
        Some(raising) if planting.shelf.is_some() => format!("{raising}, sown {}", planting.sown),
        Some(raising) => raising.clone(),
    }
}

fn notes(plan: &YearPlan, planting: &Planting) -> String {
    let mut notes: Vec<String> = (planting.under.iter())
        .map(|u| format!("{} {} – {}", isolated(&u.cover), u.from, u.until))
        .collect();
    let partner = (plan.plantings.iter()).find(|p| Some(&p.id) == planting.partner.as_ref());
    if let Some(partner) = partner {
        notes.push(format!(
            "shares the ground with {}",
            isolated(&partner.crop)
        ));
    }
    notes.join("; ")
}

/// A food with its weeks.
pub struct FoodView {
    pub name: String,
    pub unit: String,
    pub summary: String,
    pub weeks: Vec<FoodWeek>,
}

/// A week of a food, amounts in words.
pub struct FoodWeek {
    pub week: Week,
    pub floor: String,
    pub wish: String,
    pub fresh: String,
    pub stored: String,
    pub eaten: String,
    pub short: String,
    pub is_short: bool,
    pub left: String,
}

/// Every food, week by week.
pub fn foods(plan: &YearPlan) -> Vec<FoodView> {
    let blank = |units: f64| match amount(units).as_str() {
        "0" => String::new(),
        words => words.to_string(),
    };
    (plan.supply.iter())
        .map(|food| {
            let planned = &food.weeks[..plan.scenario.weeks.min(food.weeks.len())];
            let eaten: f64 = planned.iter().map(|w| w.eaten).sum();
            let stored: f64 = planned.iter().map(|w| w.stored).sum();
            let short: f64 = planned.iter().map(|w| w.short).sum();
            FoodView {
                name: food.food.clone(),
                unit: food.unit.clone(),
                summary: format!(
                    "{} eaten, {} of it from store, {} short",
                    amount(eaten),
                    amount(stored),
                    amount(short)
                ),
                weeks: (food.weeks.iter())
                    .map(|w| FoodWeek {
                        week: w.week,
                        floor: blank(w.floor),
                        wish: blank(w.wish),
                        fresh: blank(w.fresh),
                        stored: blank(w.stored),
                        eaten: blank(w.eaten),
                        short: blank(w.short),
                        is_short: amount(w.short) != "0",
                        left: blank(w.left),
                    })
                    .collect(),
            }
        })
        .collect()
}

/// A week with its jobs.
pub struct WeekView {
    pub week: Week,
    pub date: String,
    pub minutes: String,
    pub jobs: Vec<JobView>,
}

/// A job as a line to tick.
pub struct JobView {
    pub id: String,
    pub word: &'static str,
    pub what: String,
    pub quantity: String,
    pub places: Vec<String>,
    pub detail: String,
}

/// The weeks whose jobs are listed.
pub fn jobs(scenario: &Scenario, plan: &YearPlan, selection: &Selection) -> Vec<WeekView> {
    let all = jobs::jobs(scenario, plan);
    (selection.weeks(plan, plan.scenario.weeks).into_iter())
        .map(|week| {
            let minutes = (plan.work.iter().find(|w| w.week == week))
                .map_or(0.0, |w| w.ground + w.harvest + w.covers);
            WeekView {
                week,
                date: format!("from {}", week.monday().format("%-d %B %Y")),
                minutes: match selection.bed.is_none() && minutes > 0.0 {
                    true => format!("{:.1} h", minutes / HOUR_MINUTES),
                    false => String::new(),
                },
                jobs: (all.iter())
                    .filter(|job| job.week == week)
                    .filter(|job| selection.bed.as_ref().is_none_or(|bed| job.concerns(bed)))
                    .map(view)
                    .collect(),
            }
        })
        .collect()
}

fn view(job: &Job) -> JobView {
    JobView {
        id: short(&job.id()),
        word: job.kind.word(),
        what: isolated(&job.what),
        quantity: job.quantity(),
        places: job.places.iter().map(|p| place(job.kind, p)).collect(),
        detail: match job.kind.has_detail() {
            true => job.detail.clone(),
            false => String::new(),
        },
    }
}

/// A short name for a job's own: enough bytes of its fingerprint for a year of jobs.
fn short(id: &str) -> String {
    const BYTES: usize = 6;
    let digest = Sha256::digest(id);
    digest[..BYTES]
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect()
}

/// A bed, with its strips where they matter: what is ripe is found without them.
fn place(kind: Kind, place: &Place) -> String {
    if place.strips.is_empty() || kind == Kind::Harvest {
        return isolated(&place.bed);
    }
    let noun = strip_noun(place.strips.len());
    format!(
        "{} {noun} {}",
        isolated(&place.bed),
        strips(&place.strips, "–")
    )
}

/// A line of the buying list.
pub struct BuyLine {
    pub crop: String,
    pub what: String,
    pub pieces: String,
    pub spare: String,
    pub needed: Week,
    pub money: String,
}

/// What is to be bought, the first needed first.
pub fn buying(plan: &YearPlan) -> Vec<BuyLine> {
    let mut lines: Vec<_> = plan.buying.iter().collect();
    lines.sort_by_key(|line| line.needed);
    lines
        .into_iter()
        .map(|line| {
            // Two kinds of pieces of one crop are bought in two lines.
            let of_line = |p: &&Planting| {
                let word = p.raising.as_deref().unwrap_or_default();
                let seed = matches!(word.split(' ').next(), Some("direct" | "modules"));
                p.crop == line.crop && p.raising.is_some() && (seed == (line.what == "seed"))
            };
            let plants: f64 = (plan.plantings.iter().filter(of_line))
                .filter_map(|p| p.plants)
                .sum();
            BuyLine {
                crop: isolated(&line.crop),
                what: line.what.clone(),
                pieces: format!("{:.0}", line.pieces.ceil()),
                spare: format!("{:.0}", (line.pieces - plants).max(0.0).floor()),
                needed: line.needed,
                money: money(line.money),
            }
        })
        .collect()
}

/// A kind of cover: how many there are, how many lie at once at most.
pub struct CoverLine {
    pub cover: String,
    pub there: usize,
    pub used: usize,
    pub spare: usize,
}

/// The covers.
pub fn covers(plan: &YearPlan, kinds: &[Lanes]) -> Vec<CoverLine> {
    let weeks = plan.scenario.weeks + plan.scenario.tail;
    (kinds.iter())
        .map(|kind| {
            let spare = (0..weeks)
                .map(|i| plan.scenario.start.plus(i32::try_from(i).expect("short")))
                .map(|week| kind.idle(week))
                .min()
                .unwrap_or_default();
            CoverLine {
                cover: isolated(&kind.cover),
                there: kind.pieces.len(),
                used: kind.pieces.len() - spare,
                spare,
            }
        })
        .collect()
}

/// A rule of the ledger with its largest places.
pub struct LedgerView {
    pub rule: &'static str,
    pub places: Vec<String>,
    pub money: String,
}

/// The ledger, rule by rule.
pub fn ledger(plan: &YearPlan) -> Vec<LedgerView> {
    let mut views = Vec::new();
    for lines in plan.ledger.chunk_by(|a, b| a.rule == b.rule) {
        let mut sorted: Vec<&LedgerLine> = lines.iter().collect();
        sorted.sort_by(|a, b| b.money.abs().total_cmp(&a.money.abs()));
        let mut places: Vec<String> = (sorted.iter().take(PLACES))
            .map(|line| format!("{} {}", isolated(&line.place), money(line.money)))
            .collect();
        if sorted.len() > PLACES {
            let rest: f64 = sorted[PLACES..].iter().map(|line| line.money).sum();
            places.push(format!("{} more {}", sorted.len() - PLACES, money(rest)));
        }
        views.push(LedgerView {
            rule: lines[0].rule.name(),
            places,
            money: money(lines.iter().map(|line| line.money).sum()),
        });
    }
    views
}

/// A usual caution and what it is for.
pub struct CautionLine {
    pub of: String,
    pub words: String,
}

/// The usual cautions for the crops grown and the covers used, each once.
pub fn cautions(scenario: &Scenario, plan: &YearPlan) -> Vec<CautionLine> {
    (usual(scenario, plan).into_iter())
        .map(|line| CautionLine {
            of: line.of.join(", "),
            words: line.words.to_string(),
        })
        .collect()
}
