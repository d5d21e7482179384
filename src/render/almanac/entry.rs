//! The almanac sorted for reading: crop, method and way, then the places that differ.

use crate::almanac::{Almanac, Row, Spot};
use crate::domain::{Crop, CropId, Method, Scenario, Setting};
use crate::render::cautions::{Caution, of_crops};
use std::collections::BTreeSet;

/// One crop raised by one method and harvested in one way, at every place.
pub struct Entry<'a> {
    pub crop: &'a Crop,
    pub method: Method,
    pub way: Option<usize>,
    /// The places that differ from each other, each with the names of those that are like it.
    pub places: Vec<(&'a Row, Vec<String>)>,
}

/// The entries in the order of the almanac.
pub fn entries<'a>(scenario: &'a Scenario, almanac: &'a Almanac) -> Vec<Entry<'a>> {
    let kind = |row: &Row| (row.crop, row.method, row.way);
    almanac
        .rows
        .chunk_by(|a, b| kind(a) == kind(b))
        .map(|rows| {
            let mut places: Vec<(&Row, Vec<String>)> = Vec::new();
            for row in rows {
                let name = place_name(scenario, almanac, row.spot);
                match places.iter_mut().find(|(like, _)| alike(like, row)) {
                    Some((_, names)) => names.push(name),
                    None => places.push((row, vec![name])),
                }
            }
            Entry {
                crop: &scenario.crops[rows[0].crop],
                method: rows[0].method,
                way: rows[0].way,
                places,
            }
        })
        .collect()
}

/// The usual cautions for the crops of the almanac.
pub fn cautions<'a>(scenario: &'a Scenario, almanac: &Almanac) -> Vec<Caution<'a>> {
    let shown: BTreeSet<CropId> = almanac.rows.iter().map(|row| row.crop).collect();
    of_crops(shown.into_iter().map(|crop| &scenario.crops[crop]))
}

/// Whether the same sowings succeed, with the same weeks of harvest.
fn alike(one: &Row, other: &Row) -> bool {
    one.sowings.iter().zip(&other.sowings).all(|(a, b)| {
        a.verdict() == b.verdict()
            && match (&a.outcome, &b.outcome) {
                (Ok(a), Ok(b)) => {
                    (a.planted, a.planted_by, a.ready, a.last)
                        == (b.planted, b.planted_by, b.ready, b.last)
                }
                _ => true,
            }
    })
}

impl Entry<'_> {
    /// `from modules, stems`.
    pub fn title_without_crop(&self) -> String {
        let mut title = method_name(self.method).to_string();
        if let Some(way) = self.way {
            title += ", ";
            title += &self.crop.ways[way].name;
        }
        title
    }
}

/// How a crop is begun, in words.
pub fn method_name(method: Method) -> &'static str {
    match method {
        Method::Direct => "sown in place",
        Method::Modules => "from modules",
        Method::Sets => "from sets",
        Method::Tubers => "from tubers",
        Method::Cloves => "from cloves",
        Method::Crowns => "from crowns",
    }
}

/// A place in words: `open`, `tunnel under fleece W43-W11`, `container inside W06-W20`.
pub fn place_name(scenario: &Scenario, almanac: &Almanac, spot: usize) -> String {
    let spot = &almanac.spots[spot];
    let bed = &scenario.beds[spot.bed()];
    let mut name = setting_name(bed.setting).to_string();
    for (i, period) in bed.indoors.iter().enumerate() {
        name += if i == 0 { " inside " } else { ", " };
        name += &format!("{}-{}", period.from, period.to);
    }
    if ambiguous(scenario, almanac, spot) {
        name += &format!(" like {}", bed.name);
    }
    if let Some((cover, spell)) = spot.cover {
        let cover = &scenario.covers[cover].name;
        name += &format!(" under {cover} from {} to {}", spell.on, spell.off);
    }
    name
}

/// Whether another bare place has the same setting and indoor weeks.
fn ambiguous(scenario: &Scenario, almanac: &Almanac, spot: &Spot) -> bool {
    let bed = &scenario.beds[spot.bed()];
    almanac.spots.iter().any(|other| {
        let there = &scenario.beds[other.bed()];
        other.beds != spot.beds && there.setting == bed.setting && there.indoors == bed.indoors
    })
}

pub fn setting_name(setting: Setting) -> &'static str {
    match setting {
        Setting::Open => "open",
        Setting::Tunnel => "tunnel",
        Setting::Container => "container",
        Setting::Basket => "basket",
    }
}
