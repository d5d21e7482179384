//! A certificate as a YAML file: foods, crops, covers and weeks by name, so that it can be read beside the
//! scenario and by other programs (docs/reference/certificate.md).

use super::list::{BreakPrice, CoverPrice, LidPrice, Lying, PriceList, RoundingPrice, Span};
use crate::candidates::{BARE, CoverState, Season};
use crate::domain::Scenario;
use crate::units::Week;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Form of the file; another number means other fields, or other rows for the same ones.
pub const FORMAT: u32 = 3;
/// Largest number of YAML nodes that is read: the prices of a thousand foods over two years are fewer
/// (estimate).
const MAX_NODES: usize = 1_000_000;

/// A bound and the prices that it rests on. Weeks are those of the plan and its tail, in order.
#[derive(Clone, Debug, Deserialize, PartialEq, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Certificate {
    pub format: u32,
    pub made_by: String,
    /// Name and fingerprint of the scenario.
    pub scenario: String,
    pub fingerprint: String,
    /// No plan is worth more, money.
    pub bound: f64,
    /// Money per unit of a food, by food and week.
    pub food: BTreeMap<String, Vec<f64>>,
    /// Money per unit of a crop's share of a food.
    pub shares: Vec<Share>,
    /// Money per minute of work; left out without a limit of work.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub work: Vec<f64>,
    /// Money per cover.
    pub covers: BTreeMap<String, Vec<f64>>,
    /// Money per m² of shelf.
    pub shelf_unlit: Vec<f64>,
    pub shelf_lit: Vec<f64>,
    /// Money per plant, in the order of the scenario's plants on the shelf.
    pub plants: Vec<f64>,
    /// Money per unit of what is counted on, in the order of the season.
    pub counted_on: Vec<f64>,
    pub rounding: Vec<Row>,
    /// Not in a standing year.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub under_covers: Vec<UnderCovers>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lids: Vec<Lid>,
    /// In a standing year.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub breaks: Vec<Rest>,
}

/// A price by week of a crop's share of a food.
#[derive(Clone, Debug, Deserialize, PartialEq, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Share {
    pub food: String,
    pub crop: String,
    pub weeks: Vec<f64>,
}

/// A rounding row and its price.
#[derive(Clone, Debug, Deserialize, PartialEq, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Row {
    pub food: String,
    pub of: Of,
    pub first: Week,
    pub last: Week,
    /// In the food's unit.
    pub divisor: f64,
    /// Money per unit of the food.
    pub price: f64,
}

/// A cover row and its price.
#[derive(Clone, Debug, Deserialize, PartialEq, Serialize)]
#[serde(deny_unknown_fields)]
pub struct UnderCovers {
    pub food: String,
    pub of: Of,
    pub first: Week,
    pub last: Week,
    pub lies: Vec<Lies>,
    /// Money per unit of the food.
    pub price: f64,
}

/// What lies on a bed in a week.
#[derive(Clone, Debug, Deserialize, PartialEq, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Lies {
    pub bed: String,
    pub week: Week,
    /// Left out: bare ground.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cover: Option<String>,
}

/// A lid and its price.
#[derive(Clone, Debug, Deserialize, PartialEq, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Lid {
    pub bed: String,
    /// One of the strips of the group, counted from 1.
    pub strip: u32,
    pub week: Week,
    /// Left out: bare ground.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cover: Option<String>,
    /// Money per strip.
    pub price: f64,
}

/// A row of breaks of a family on all beds like one, and its price.
#[derive(Clone, Debug, Deserialize, PartialEq, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Rest {
    pub bed: String,
    pub family: String,
    /// Left out: the plantings of all years of a ring count.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub week: Option<Week>,
    /// So many years of a ring count as one, left out: 1.
    #[serde(default = "each", skip_serializing_if = "is_each")]
    pub by: usize,
    /// Money per strip.
    pub price: f64,
}

/// Every year counts.
fn each() -> usize {
    1
}

fn is_each(by: &usize) -> bool {
    *by == each()
}

/// What a rounding row speaks of.
#[derive(Clone, Copy, Debug, Deserialize, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Of {
    Eaten,
    Short,
}

fn weeks_on(weeks: usize) -> i32 {
    i32::try_from(weeks).expect("weeks are few")
}

impl Certificate {
    /// Prices with names, and the bound that they carry.
    ///
    /// # Errors
    /// What keeps the list from being prices of this season.
    pub fn of(
        scenario: &Scenario,
        fingerprint: &str,
        season: &Season,
        prices: &PriceList,
    ) -> Result<Certificate, String> {
        let bound = super::bound(season, prices)?;
        let food = |f: usize| season.foods[f].name.clone();
        let week = |week: usize| season.start.plus(weeks_on(week));
        let bed = |bed: usize| season.beds[bed].name.clone();
        let of = |span: &Span| if span.floor { Of::Short } else { Of::Eaten };
        let cover = |state: CoverState| {
            (state != BARE).then(|| season.covers[usize::from(state) - 1].name.clone())
        };
        let by_name = |names: Vec<String>, rows: &[Vec<f64>]| {
            names.into_iter().zip(rows.iter().cloned()).collect()
        };
        let priced = prices
            .variety
            .iter()
            .filter(|(_, _, row)| row.iter().any(|&p| p > 0.0));
        Ok(Certificate {
            format: FORMAT,
            made_by: format!("{} {}", env!("CARGO_PKG_NAME"), env!("CARGO_PKG_VERSION")),
            scenario: scenario.name.clone(),
            fingerprint: fingerprint.to_string(),
            bound,
            food: by_name(
                season.foods.iter().map(|f| f.name.clone()).collect(),
                &prices.food,
            ),
            shares: priced
                .map(|(f, crop, weeks)| Share {
                    food: food(*f),
                    crop: scenario.crops[*crop].name.clone(),
                    weeks: weeks.clone(),
                })
                .collect(),
            work: match season.minutes_per_week {
                Some(_) => prices.work.clone(),
                None => Vec::new(),
            },
            covers: by_name(
                season.covers.iter().map(|c| c.name.clone()).collect(),
                &prices.cover,
            ),
            shelf_unlit: prices.shelf[0].clone(),
            shelf_lit: prices.shelf[1].clone(),
            plants: prices.plants.clone(),
            counted_on: prices.always.clone(),
            rounding: (prices.rounding.iter())
                .filter(|row| row.price > 0.0)
                .map(|row| Row {
                    food: food(row.span.food),
                    of: of(&row.span),
                    first: week(row.span.first),
                    last: week(row.span.last),
                    divisor: row.divisor,
                    price: row.price,
                })
                .collect(),
            under_covers: (prices.under_covers.iter())
                .filter(|row| row.price > 0.0)
                .map(|row| UnderCovers {
                    food: food(row.span.food),
                    of: of(&row.span),
                    first: week(row.span.first),
                    last: week(row.span.last),
                    lies: (row.lyings.iter())
                        .map(|lying| Lies {
                            bed: bed(lying.bed),
                            week: week(lying.week),
                            cover: cover(lying.state),
                        })
                        .collect(),
                    price: row.price,
                })
                .collect(),
            lids: (prices.lids.iter())
                .filter(|lid| lid.price > 0.0)
                .map(|lid| Lid {
                    bed: bed(season.groups[lid.group].bed),
                    strip: season.groups[lid.group].strips[0] + 1,
                    week: week(lid.week),
                    cover: cover(lid.state),
                    price: lid.price,
                })
                .collect(),
            breaks: (prices.breaks.iter())
                .filter(|row| row.price > 0.0)
                .map(|row| Rest {
                    bed: bed(row.bed),
                    family: season.family_names[row.family].clone(),
                    week: row.week.map(week),
                    by: row.by,
                    price: row.price,
                })
                .collect(),
        })
    }

    /// The file's text.
    pub fn text(&self) -> String {
        let options = serde_yaml::ser_options! { prefer_block_scalars: false };
        serde_yaml::to_string_with_options(self, options).expect("a certificate is plain data")
    }

    /// Reads a file's text.
    ///
    /// # Errors
    /// Says where it is not a certificate.
    pub fn read(text: &str) -> Result<Certificate, String> {
        let options = serde_yaml::options! {
            budget: serde_yaml::budget! {
                max_nodes: MAX_NODES,
                max_events: MAX_NODES,
                max_anchors: 0,
                max_aliases: 0,
            },
        };
        let found: Certificate = serde_yaml::from_str_with_options(text, options)
            .map_err(|error| format!("not a certificate: {error}"))?;
        if found.format != FORMAT {
            return Err(format!(
                "the certificate has form {}, this version reads form {FORMAT}",
                found.format
            ));
        }
        Ok(found)
    }

    /// The prices, by the season's numbers.
    ///
    /// # Errors
    /// Names the food, crop, cover, bed, family or week that the scenario does not have.
    pub fn prices(&self, scenario: &Scenario, season: &Season) -> Result<PriceList, String> {
        let food = |name: &str| {
            let place = season.foods.iter().position(|f| f.name == name);
            place.ok_or_else(|| format!("the scenario has no food {name:?}"))
        };
        let week = |week: Week| {
            let place = week.since(season.start);
            let place = usize::try_from(place).ok().filter(|&w| w < season.weeks);
            place.ok_or_else(|| format!("{week} is not a week of the scenario"))
        };
        let span = |name: &str, of: Of, first: Week, last: Week| -> Result<Span, String> {
            Ok(Span {
                food: food(name)?,
                floor: of == Of::Short,
                first: week(first)?,
                last: week(last)?,
            })
        };
        let bed = |name: &str| {
            let place = season.beds.iter().position(|b| b.name == name);
            place.ok_or_else(|| format!("the scenario has no bed {name:?}"))
        };
        let cover = |name: &str| {
            let place = season.covers.iter().position(|c| c.name == name);
            place.ok_or_else(|| format!("the scenario has no cover {name:?}"))
        };
        let state = |name: &Option<String>| -> Result<CoverState, String> {
            let Some(name) = name else {
                return Ok(BARE);
            };
            Ok(CoverState::try_from(cover(name)? + 1).expect("covers are few"))
        };
        let none = || vec![0.0; season.weeks];
        let mut list = PriceList {
            food: vec![none(); season.foods.len()],
            cover: vec![none(); season.covers.len()],
            shelf: [self.shelf_unlit.clone(), self.shelf_lit.clone()],
            plants: self.plants.clone(),
            always: self.counted_on.clone(),
            work: match self.work.is_empty() {
                true => none(),
                false => self.work.clone(),
            },
            ..PriceList::default()
        };
        for (name, weeks) in &self.food {
            list.food[food(name)?].clone_from(weeks);
        }
        for (name, weeks) in &self.covers {
            list.cover[cover(name)?].clone_from(weeks);
        }
        for share in &self.shares {
            let crop = scenario.crops.iter().position(|c| c.name == share.crop);
            let crop = crop.ok_or_else(|| format!("the scenario has no crop {:?}", share.crop))?;
            list.variety
                .push((food(&share.food)?, crop, share.weeks.clone()));
        }
        for row in &self.rounding {
            list.rounding.push(RoundingPrice {
                span: span(&row.food, row.of, row.first, row.last)?,
                divisor: row.divisor,
                price: row.price,
            });
        }
        for row in &self.under_covers {
            let lies = row.lies.iter().map(|lies| {
                Ok(Lying {
                    bed: bed(&lies.bed)?,
                    week: week(lies.week)?,
                    state: state(&lies.cover)?,
                })
            });
            list.under_covers.push(CoverPrice {
                span: span(&row.food, row.of, row.first, row.last)?,
                lyings: lies.collect::<Result<_, String>>()?,
                price: row.price,
            });
        }
        for lid in &self.lids {
            let at = bed(&lid.bed)?;
            let holds = |strip: &u32| strip + 1 == lid.strip;
            let mut groups = season.groups.iter();
            let group = groups.position(|g| g.bed == at && g.strips.iter().any(holds));
            list.lids.push(LidPrice {
                group: group
                    .ok_or_else(|| format!("bed {:?} has no strip {}", lid.bed, lid.strip))?,
                week: week(lid.week)?,
                state: state(&lid.cover)?,
                price: lid.price,
            });
        }
        for row in &self.breaks {
            let family = season.family_names.iter().position(|f| *f == row.family);
            list.breaks.push(BreakPrice {
                bed: bed(&row.bed)?,
                family: family
                    .ok_or_else(|| format!("the scenario has no family {:?}", row.family))?,
                week: row.week.map(week).transpose()?,
                by: row.by,
                price: row.price,
            });
        }
        Ok(list)
    }
}
