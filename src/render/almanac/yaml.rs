//! The calendar for programs: every sowing with its outcome, and the windows.

use super::entry::{cautions, method_name, setting_name};
use crate::almanac::{Almanac, Ending, Row, Sowing, Verdict, Window};
use crate::domain::{Scenario, WayKind};
use crate::render::cautions::DEFERENCE;
use crate::units::Week;
use serde::Serialize;

/// Form of the file; raised when a key changes its meaning or goes.
const FORMAT: u32 = 2;

#[derive(Serialize)]
struct File<'a> {
    format: u32,
    scenario: &'a str,
    climate: &'a str,
    start: Week,
    rows: Vec<Line<'a>>,
    /// The usual cautions for the crops shown, each once, and whose word goes before them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    cautions: Vec<CautionLine<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    follow: Option<&'static str>,
}

#[derive(Serialize)]
struct CautionLine<'a> {
    crops: Vec<&'a str>,
    words: &'a str,
}

#[derive(Serialize)]
struct Line<'a> {
    crop: &'a str,
    raised: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    way: Option<&'a str>,
    /// How the harvest comes: picked week by week, standing until lifted, cleared at once.
    #[serde(skip_serializing_if = "Option::is_none")]
    kind: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    unit: Option<&'static str>,
    setting: &'static str,
    beds: Vec<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    cover: Option<&'a str>,
    /// Weeks of the year: on from the first, off in the second.
    #[serde(skip_serializing_if = "Option::is_none")]
    cover_on_off: Option<[String; 2]>,
    /// Windows of weeks of the year, first and last.
    sow: Vec<[String; 2]>,
    plant: Vec<[String; 2]>,
    harvest: Vec<[String; 2]>,
    sowings: Vec<Entry>,
}

#[derive(Serialize)]
struct Entry {
    sown: Week,
    usual: bool,
    succeeds: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    lamps: Option<bool>,
    #[serde(skip_serializing_if = "Option::is_none")]
    planted: Option<Week>,
    #[serde(skip_serializing_if = "Option::is_none")]
    planted_by: Option<Week>,
    #[serde(skip_serializing_if = "Option::is_none")]
    emerged: Option<Week>,
    #[serde(skip_serializing_if = "Option::is_none")]
    ready: Option<Week>,
    #[serde(skip_serializing_if = "Option::is_none")]
    last: Option<Week>,
    #[serde(skip_serializing_if = "Option::is_none")]
    ends: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    amount_per_m2: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    why_not: Option<String>,
}

/// The whole calendar.
pub fn calendar(scenario: &Scenario, almanac: &Almanac) -> String {
    let cautions: Vec<CautionLine> = (cautions(scenario, almanac).into_iter())
        .map(|caution| CautionLine {
            crops: caution.of,
            words: caution.words,
        })
        .collect();
    let file = File {
        format: FORMAT,
        scenario: &scenario.name,
        climate: &scenario.climate.name,
        start: scenario.start,
        rows: (almanac.rows.iter())
            .map(|row| line(scenario, almanac, row))
            .collect(),
        follow: (!cautions.is_empty()).then_some(DEFERENCE),
        cautions,
    };
    let options = serde_yaml::ser_options! { prefer_block_scalars: false };
    serde_yaml::to_string_with_options(&file, options).expect("a calendar is plain data")
}

fn line<'a>(scenario: &'a Scenario, almanac: &Almanac, row: &Row) -> Line<'a> {
    let crop = &scenario.crops[row.crop];
    let way = row.way.map(|way| &crop.ways[way]);
    let spot = &almanac.spots[row.spot];
    Line {
        crop: &crop.name,
        raised: method_name(row.method),
        way: way.map(|way| way.name.as_str()),
        kind: way.map(|way| match way.kind {
            WayKind::Picking { .. } => "picking",
            WayKind::Standing { .. } => "standing",
            WayKind::Clearing => "clearing",
        }),
        unit: way.map(|way| scenario.foods[way.food].unit.symbol()),
        setting: setting_name(scenario.beds[spot.bed()].setting),
        beds: (spot.beds.iter())
            .map(|&bed| scenario.beds[bed].name.as_str())
            .collect(),
        cover: spot
            .cover
            .map(|(cover, _)| scenario.covers[cover].name.as_str()),
        cover_on_off: spot
            .cover
            .map(|(_, spell)| [spell.on.to_string(), spell.off.to_string()]),
        sow: pairs(&row.sown(Verdict::Succeeds)),
        plant: pairs(&row.planted()),
        harvest: pairs(&row.harvested()),
        sowings: row.sowings.iter().map(entry).collect(),
    }
}

fn entry(sowing: &Sowing) -> Entry {
    let success = sowing.outcome.as_ref().ok();
    Entry {
        sown: sowing.week,
        usual: sowing.usual,
        succeeds: success.is_some(),
        lamps: success.map(|s| s.lit),
        planted: success.map(|s| s.planted),
        planted_by: success.map(|s| s.planted_by),
        emerged: success.and_then(|s| s.emerged),
        ready: success.map(|s| s.ready),
        last: success.map(|s| s.last),
        ends: success.map(|s| match s.ending {
            Ending::Taken => "taken",
            Ending::Frost => "frost",
            Ending::Bolts => "bolts",
            Ending::PastUse => "past use",
            Ending::Horizon => "not followed further",
        }),
        amount_per_m2: success.map(|s| rounded(s.amount_per_m2)),
        why_not: sowing.outcome.as_ref().err().map(ToString::to_string),
    }
}

/// To a thousandth: what growth says is no more certain than that.
fn rounded(amount: f64) -> f64 {
    const PARTS: f64 = 1000.0;
    (amount * PARTS).round() / PARTS
}

fn pairs(windows: &[Window]) -> Vec<[String; 2]> {
    windows
        .iter()
        .map(|window| [window.from.to_string(), window.to.to_string()])
        .collect()
}
