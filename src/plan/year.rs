//! The year plan as it is written to a file: types only, in the grower's words.
//!
//! `build` makes one from an answer of the search; `render::yaml` writes and reads it; `verify`
//! checks it. `docs/reference/plan.md` explains every field, and a test keeps both in step.

use super::life::Life;
use super::start::{Change, Stored};
use crate::units::Week;
use serde::ser::SerializeSeq;
use serde::{Deserialize, Serialize, Serializer};
use serde_yaml::{FlowMap, FlowSeq};
use std::collections::BTreeMap;

/// Version of the plan file's form.
pub const FORMAT: u32 = 1;

/// Amounts by week.
pub type ByWeek = BTreeMap<Week, f64>;

/// A whole plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct YearPlan {
    /// Version of the file's form, [`FORMAT`].
    pub format: u32,
    /// Version of the program that made it.
    pub made_by: String,
    pub scenario: ScenarioRef,
    /// A year that comes again for ever, and how strips take turns in it; left out for a year with a
    /// beginning.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub standing_year: Option<StandingYear>,
    /// The plan that this one carries on, and what happened in between.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub life: Option<Life>,
    pub options: Asked,
    pub result: Outcome,
    /// Floors that are missed, the largest cost first.
    #[serde(serialize_with = "rows")]
    pub shortfalls: Vec<Shortfall>,
    /// Where the worth comes from; the money adds up to `result.worth`.
    #[serde(serialize_with = "rows")]
    pub ledger: Vec<LedgerLine>,
    pub plantings: Vec<Planting>,
    /// What lies on the beds, and when.
    #[serde(serialize_with = "rows")]
    pub covers: Vec<CoverSpell>,
    pub supply: Vec<FoodSupply>,
    /// What became of the plantings decided on; left out where there are none.
    #[serde(
        default,
        skip_serializing_if = "Vec::is_empty",
        serialize_with = "rows"
    )]
    pub changes: Vec<Change>,
    /// Food in store at the start; left out where there is none.
    #[serde(
        default,
        skip_serializing_if = "Vec::is_empty",
        serialize_with = "rows"
    )]
    pub in_store: Vec<Stored>,
    /// What is kept for eating later, by product.
    pub stores: Vec<Store>,
    #[serde(serialize_with = "rows")]
    pub shelf: Vec<ShelfWeek>,
    #[serde(serialize_with = "rows")]
    pub work: Vec<WorkWeek>,
    #[serde(serialize_with = "rows")]
    pub buying: Vec<Purchase>,
    /// Every class of lots that something is eaten from.
    pub draws: Vec<Draws>,
}

/// How the strips of a standing year take turns. The plan shows one year of it; weeks beyond are those of the
/// next one, which is the same but for the strips.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StandingYear {
    /// Every strip of every bed is in one of them.
    #[serde(serialize_with = "rows")]
    pub sections: Vec<Sections>,
}

/// Sections of a bed, of as many strips each: every year a section takes over what the next one did, strip by
/// strip, and the last one what the first did. What is the only one does the same every year.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sections {
    pub bed: String,
    /// Strips counted from 1.
    pub sections: Vec<Vec<u32>>,
}

/// The scenario a plan was made for.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ScenarioRef {
    pub name: String,
    /// The file as it was named when the plan was made.
    pub file: String,
    /// Fingerprint of everything read from it and from the models.
    pub fingerprint: String,
    pub currency: String,
    pub start: Week,
    /// Weeks planned, and further weeks whose needs count.
    pub weeks: usize,
    pub tail: usize,
}

/// What the search was asked.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Asked {
    /// Relative gap to reach.
    pub gap: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time_limit_seconds: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub work_limit: Option<u64>,
}

/// How good the plan is.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Outcome {
    pub status: Ending,
    /// Worth of the plan, money.
    pub worth: f64,
    /// No plan is worth more, money.
    pub bound: f64,
    /// (bound - worth) / |bound|, a fraction.
    pub gap: f64,
    /// bound - worth, money.
    pub gap_money: f64,
    /// Candidate plantings the search chose from.
    pub candidates: usize,
    /// Units of work the search took.
    pub work: u64,
    /// Seconds the search took: the only field that differs between two runs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seconds: Option<f64>,
}

/// How the search ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Ending {
    #[serde(rename = "optimal")]
    Optimal,
    #[serde(rename = "within the gap asked for")]
    WithinGap,
    /// At the work limit, or with nothing left to try.
    #[serde(rename = "ended above the gap asked for")]
    WorkLimit,
    #[serde(rename = "stopped at the time limit")]
    TimeLimit,
    #[serde(rename = "stopped by the user")]
    Interrupted,
}

/// A floor missed in a week, in the food's unit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Shortfall {
    pub food: String,
    pub week: Week,
    pub floor: f64,
    pub eaten: f64,
    pub short: f64,
    pub unit: String,
}

/// What a line of the ledger is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Rule {
    /// Food eaten at its buy-in price; place: the food.
    #[serde(rename = "food eaten")]
    Eaten,
    /// Floors missed; place: the food.
    #[serde(rename = "floors missed")]
    Short,
    /// Weeks below the band; amount: money below it.
    #[serde(rename = "band missed")]
    Band,
    /// Seed, sets, tubers and the like; place: the crop or recipe.
    #[serde(rename = "seed and sets")]
    Seed,
    /// Credit for ground kept covered; place: the crop; amount: m² weeks.
    #[serde(rename = "green manure")]
    Credit,
    /// Sowing, planting, clearing; place: the crop or recipe; amount: minutes.
    #[serde(rename = "ground work")]
    GroundWork,
    /// Harvest; place: the food; amount: minutes.
    #[serde(rename = "harvest work")]
    HarvestWork,
    /// Placing and removing covers; place: the cover; amount: minutes.
    #[serde(rename = "cover work")]
    CoverWork,
    /// Discouraged breaks cut short; place: bed and family; amount: strip weeks.
    #[serde(rename = "breaks cut short")]
    Break,
    /// Strips of an "always" not begun; place: the crop (and bed).
    #[serde(rename = "always missed")]
    Always,
    /// Departures from the plantings decided on; place: what was done; amount: m².
    #[serde(rename = "changes")]
    Changes,
}

impl Rule {
    /// As written in the plan file.
    pub fn name(self) -> &'static str {
        match self {
            Rule::Eaten => "food eaten",
            Rule::Short => "floors missed",
            Rule::Band => "band missed",
            Rule::Seed => "seed and sets",
            Rule::Credit => "green manure",
            Rule::GroundWork => "ground work",
            Rule::HarvestWork => "harvest work",
            Rule::CoverWork => "cover work",
            Rule::Break => "breaks cut short",
            Rule::Always => "always missed",
            Rule::Changes => "changes",
        }
    }
}

/// One line of the ledger.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LedgerLine {
    pub rule: Rule,
    pub place: String,
    pub amount: f64,
    pub unit: String,
    pub money: f64,
}

/// A crop on some strips of a bed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Planting {
    pub id: String,
    pub crop: String,
    pub bed: String,
    /// Counted from 1 across the bed.
    #[serde(serialize_with = "list")]
    pub strips: Vec<u32>,
    pub area_m2: f64,
    /// The name of the standing planting it continues.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub standing: Option<String>,
    /// The recipe it belongs to, and the planting it shares its strips with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub recipe: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub partner: Option<String>,
    /// How it is begun; left out for what stands already.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub raising: Option<String>,
    /// The name of the plants on the shelf at the start that it is made of.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on_shelf: Option<String>,
    /// Raised in modules: where on the shelf, and how much of it.
    #[serde(
        default,
        skip_serializing_if = "Option::is_none",
        serialize_with = "record"
    )]
    pub shelf: Option<ShelfStay>,
    /// How it is harvested; left out for a green manure, or what is cleared at once.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub way: Option<String>,
    pub sown: Week,
    /// The week it goes into the bed; the same as `sown` when sown in place.
    pub planted: Week,
    /// The first week in which the ground is free again.
    pub cleared: Week,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub first_harvest: Option<Week>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub last_harvest: Option<Week>,
    /// What lies on it while it stands, and when; left out when nothing does.
    #[serde(
        default,
        skip_serializing_if = "Vec::is_empty",
        serialize_with = "rows"
    )]
    pub under: Vec<Under>,
    /// Share of the usual yield of a full stand, and of the plants it needs.
    pub yield_share: f64,
    pub plant_share: f64,
    /// Plants in the ground, and seeds (sets, tubers, ...) used for them, spares included.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plants: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seeds: Option<f64>,
    /// What it gives, and when that can be eaten.
    #[serde(
        default,
        skip_serializing_if = "Vec::is_empty",
        serialize_with = "rows"
    )]
    pub lots: Vec<PlantingLot>,
    /// Harvest by week: as it ripens, or, where it stands until needed, as it is lifted to be
    /// eaten.
    #[serde(
        default,
        skip_serializing_if = "BTreeMap::is_empty",
        serialize_with = "record_map"
    )]
    pub harvest: ByWeek,
}

/// A stay on the raising shelf.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ShelfStay {
    pub lit: bool,
    pub m2: f64,
}

/// A cover over a planting in weeks `from` to `until`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Under {
    pub cover: String,
    pub from: Week,
    pub until: Week,
}

/// An amount of a planting's food that can be eaten in weeks `from` to `until`; kept beyond
/// `fresh_until` it loses weight week by week.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlantingLot {
    pub from: Week,
    pub fresh_until: Week,
    pub until: Week,
    pub amount: f64,
}

/// A cover on a bed, placed and removed on the Mondays of these weeks.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CoverSpell {
    pub bed: String,
    pub cover: String,
    pub placed: Week,
    pub removed: Week,
    /// It lay there before the plan starts: nothing to place.
    #[serde(default, skip_serializing_if = "is_false")]
    pub before: bool,
    /// It still lies there when the plan's tail ends: nothing to remove.
    #[serde(default, skip_serializing_if = "is_false")]
    pub stays: bool,
}

/// A food's weeks.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FoodSupply {
    pub food: String,
    pub unit: String,
    #[serde(serialize_with = "rows")]
    pub weeks: Vec<SupplyWeek>,
}

/// A food in a week, in its unit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SupplyWeek {
    pub week: Week,
    pub floor: f64,
    pub wish: f64,
    /// Eaten fresh and from store; both together are what is eaten.
    pub fresh: f64,
    pub stored: f64,
    pub eaten: f64,
    /// What is missing to the floor.
    pub short: f64,
    /// What could last have been eaten this week and is not needed.
    pub left: f64,
}

/// What is kept of a product for eating later.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Store {
    pub crop: String,
    pub way: String,
    pub food: String,
    pub unit: String,
    /// At the end of each week, in the food's unit.
    #[serde(serialize_with = "record_map")]
    pub weeks: ByWeek,
}

/// Shelf space taken in a week, m².
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ShelfWeek {
    pub week: Week,
    pub lit_m2: f64,
    pub unlit_m2: f64,
}

/// Work in a week, minutes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WorkWeek {
    pub week: Week,
    pub ground: f64,
    pub harvest: f64,
    pub covers: f64,
}

/// Something to buy for the plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Purchase {
    pub crop: String,
    /// seed, sets, tubers, cloves or crowns.
    pub what: String,
    /// Pieces, spares included.
    pub pieces: f64,
    pub money: f64,
    /// The first week in which some of it is sown or set.
    pub needed: Week,
}

/// A class of lots (equal crop, way, weeks; grown, or in store at the start) and what is eaten
/// from it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Draws {
    pub crop: String,
    pub way: String,
    pub food: String,
    /// It is in store at the start, and loses weight from `from` on.
    #[serde(default, skip_serializing_if = "is_false")]
    pub in_store: bool,
    pub from: Week,
    pub fresh_until: Week,
    pub until: Week,
    /// Units of the food in all plantings (or in store at the start) together.
    pub amount: f64,
    /// Units eaten; what is used up may be more, by the weekly loss in store.
    #[serde(serialize_with = "record_map")]
    pub eaten: ByWeek,
}

fn is_false(value: &bool) -> bool {
    !value
}

/// Each row on one line.
fn rows<T: Serialize, S: Serializer>(rows: &[T], serializer: S) -> Result<S::Ok, S::Error> {
    let mut sequence = serializer.serialize_seq(Some(rows.len()))?;
    for row in rows {
        sequence.serialize_element(&FlowMap(row))?;
    }
    sequence.end()
}

/// A list on one line.
fn list<S: Serializer>(list: &[u32], serializer: S) -> Result<S::Ok, S::Error> {
    FlowSeq(list).serialize(serializer)
}

/// A record on one line.
fn record<T: Serialize, S: Serializer>(
    record: &Option<T>,
    serializer: S,
) -> Result<S::Ok, S::Error> {
    record.as_ref().map(FlowMap).serialize(serializer)
}

/// Amounts by week on one line.
fn record_map<S: Serializer>(map: &ByWeek, serializer: S) -> Result<S::Ok, S::Error> {
    FlowMap(map).serialize(serializer)
}
