//! Tables for other programs (RFC 4180): plantings, jobs, weekly supply, buying list.
//!
//! Lines end in CR LF, the first one names the columns (`docs/reference/tables.md`). Numbers are
//! those of the plan, unrounded.

use super::jobs::{jobs, unit};
use super::select::Selection;
use super::words::strips;
use crate::domain::Scenario;
use crate::plan::YearPlan;
use ::csv::{Terminator, Writer, WriterBuilder};

/// Characters at which a spreadsheet takes a cell for a formula.
const FORMULA: [char; 6] = ['=', '+', '-', '@', '\t', '\r'];

/// A table of a plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Table {
    Plantings,
    Jobs,
    Supply,
    Buying,
}

impl Table {
    /// All tables.
    pub const ALL: [Table; 4] = [Table::Plantings, Table::Jobs, Table::Supply, Table::Buying];

    /// Its name, as a file's is.
    pub fn name(self) -> &'static str {
        match self {
            Table::Plantings => "plantings",
            Table::Jobs => "jobs",
            Table::Supply => "supply",
            Table::Buying => "buying",
        }
    }

    /// Its columns.
    pub fn columns(self) -> &'static [&'static str] {
        match self {
            Table::Plantings => &[
                "id",
                "crop",
                "bed",
                "strips",
                "area_m2",
                "standing",
                "recipe",
                "partner",
                "raising",
                "shelf",
                "shelf_m2",
                "way",
                "sown",
                "planted",
                "first_harvest",
                "last_harvest",
                "cleared",
                "covers",
                "plants",
                "seeds",
                "harvest",
                "unit",
            ],
            Table::Jobs => &[
                "week", "monday", "job", "what", "places", "amount", "unit", "detail",
            ],
            Table::Supply => &[
                "food", "unit", "week", "monday", "floor", "wish", "fresh", "stored", "eaten",
                "short", "left",
            ],
            Table::Buying => &["crop", "what", "pieces", "money", "needed", "monday"],
        }
    }
}

/// The table as text.
pub fn table(scenario: &Scenario, plan: &YearPlan, selection: &Selection, table: Table) -> String {
    let mut writer = WriterBuilder::new()
        .terminator(Terminator::CRLF)
        .from_writer(Vec::new());
    write(&mut writer, table.columns().iter().map(ToString::to_string));
    match table {
        Table::Plantings => plantings(&mut writer, scenario, plan, selection),
        Table::Jobs => work(&mut writer, scenario, plan, selection),
        Table::Supply => supply(&mut writer, plan, selection),
        Table::Buying => buying(&mut writer, plan),
    }
    let bytes = writer.into_inner().expect("memory takes every byte");
    String::from_utf8(bytes).expect("names are text")
}

fn write(writer: &mut Writer<Vec<u8>>, cells: impl IntoIterator<Item = String>) {
    writer.write_record(cells).expect("memory takes every byte");
}

/// A name as a cell: one that a spreadsheet would take for a formula gets an apostrophe before it.
fn name(text: &str) -> String {
    match text.starts_with(FORMULA) {
        true => format!("'{text}"),
        false => text.to_string(),
    }
}

fn optional<T: ToString>(value: Option<T>) -> String {
    value.map_or(String::new(), |value| value.to_string())
}

fn plantings(
    writer: &mut Writer<Vec<u8>>,
    scenario: &Scenario,
    plan: &YearPlan,
    selection: &Selection,
) {
    for p in plan.plantings.iter().filter(|p| selection.has_bed(&p.bed)) {
        let covers: Vec<String> = (p.under.iter())
            .map(|u| format!("{} {} to {}", u.cover, u.from, u.until))
            .collect();
        let shelf = p.shelf.as_ref();
        let part = optional(shelf.map(|s| if s.lit { "lit" } else { "unlit" }));
        let m2 = optional(shelf.map(|s| s.m2));
        let total: f64 = p.harvest.values().sum();
        write(
            writer,
            [
                p.id.clone(),
                name(&p.crop),
                name(&p.bed),
                strips(&p.strips, "-"),
                p.area_m2.to_string(),
                name(p.standing.as_deref().unwrap_or_default()),
                name(p.recipe.as_deref().unwrap_or_default()),
                p.partner.clone().unwrap_or_default(),
                p.raising.clone().unwrap_or_default(),
                part,
                m2,
                name(p.way.as_deref().unwrap_or_default()),
                p.sown.to_string(),
                p.planted.to_string(),
                optional(p.first_harvest),
                optional(p.last_harvest),
                p.cleared.to_string(),
                name(&covers.join("; ")),
                optional(p.plants),
                optional(p.seeds),
                total.to_string(),
                unit(scenario, p).to_string(),
            ],
        );
    }
}

fn work(writer: &mut Writer<Vec<u8>>, scenario: &Scenario, plan: &YearPlan, selection: &Selection) {
    let weeks = selection.weeks(plan, plan.scenario.weeks);
    let shown = jobs(scenario, plan)
        .into_iter()
        .filter(|job| weeks.contains(&job.week))
        .filter(|job| selection.bed.as_ref().is_none_or(|bed| job.concerns(bed)));
    for job in shown {
        let places: Vec<String> = (job.places.iter())
            .map(|place| match place.strips.is_empty() {
                true => place.bed.clone(),
                false => format!("{} {}", place.bed, strips(&place.strips, "-")),
            })
            .collect();
        let amount = job.amount.as_ref().map(|(units, _)| *units);
        let noun = job.amount.as_ref().map(|(_, noun)| noun.clone());
        let places = name(&places.join("; "));
        write(
            writer,
            [
                job.week.to_string(),
                job.week.monday().to_string(),
                job.kind.word().to_string(),
                name(&job.what),
                places,
                optional(amount),
                optional(noun),
                name(&job.detail),
            ],
        );
    }
}

fn supply(writer: &mut Writer<Vec<u8>>, plan: &YearPlan, selection: &Selection) {
    let weeks = selection.weeks(plan, plan.scenario.weeks);
    let all = selection.weeks.is_none() && selection.from.is_none();
    for food in &plan.supply {
        for week in food.weeks.iter().filter(|w| all || weeks.contains(&w.week)) {
            let amounts = [
                week.floor,
                week.wish,
                week.fresh,
                week.stored,
                week.eaten,
                week.short,
                week.left,
            ];
            let mut cells = vec![
                name(&food.food),
                food.unit.clone(),
                week.week.to_string(),
                week.week.monday().to_string(),
            ];
            cells.extend(amounts.map(|units| units.to_string()));
            write(writer, cells);
        }
    }
}

fn buying(writer: &mut Writer<Vec<u8>>, plan: &YearPlan) {
    for line in &plan.buying {
        write(
            writer,
            [
                name(&line.crop),
                line.what.clone(),
                line.pieces.to_string(),
                line.money.to_string(),
                line.needed.to_string(),
                line.needed.monday().to_string(),
            ],
        );
    }
}
