//! The programme of a season while the rules fill it, and where each variable of
//! docs/method/programme.md went.

use super::model::{ColumnId, Goal, Programme, Rule, Sense, Terms};
use crate::candidates::{CandidateId, ProductId, Rotation, Season};
use crate::domain::{BedId, CoverId, FamilyId, FoodId};
use std::collections::BTreeMap;

/// How beds are counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// Every bed for itself: integer strips, whole covers, cover moves.
    Bed,
    /// Beds of one kind added together, covers by the strip, no moves: a relaxation.
    Pooled,
}

/// Index of a place in [`Layout::places`].
pub type PlaceId = usize;

/// Ground that the programme counts as one: a bed, or all beds of a kind.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    pub name: String,
    pub beds: Vec<BedId>,
    pub strips: u32,
    /// Strips that one unit of a cover column covers: the bed's strips, or one when pooled.
    pub cover_strips: f64,
    /// Covers to hand that one unit of a cover column takes at least.
    pub cover_share: f64,
}

/// Lots with the same product and weeks, gathered over the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct LotClass {
    pub product: ProductId,
    pub from: usize,
    pub fresh_until: usize,
    pub until: usize,
}

/// Where the variables are.
#[derive(Clone, Debug, Default)]
pub struct Layout {
    pub places: Vec<Place>,
    /// Strips of a place given to a candidate.
    pub strips: BTreeMap<(PlaceId, CandidateId), ColumnId>,
    /// Covers on a place in a week (strips under the cover when pooled).
    pub covers: BTreeMap<(PlaceId, CoverId, usize), ColumnId>,
    /// Covers placed and removed.
    pub on: BTreeMap<(PlaceId, CoverId, usize), ColumnId>,
    pub off: BTreeMap<(PlaceId, CoverId, usize), ColumnId>,
    /// Units eaten from a class of lots in a week.
    pub draws: BTreeMap<(LotClass, usize), ColumnId>,
    /// Units of a food eaten in a week.
    pub supply: BTreeMap<(FoodId, usize), ColumnId>,
    /// Units below the floor.
    pub short: BTreeMap<(FoodId, usize), ColumnId>,
    /// Money below the band.
    pub low: BTreeMap<usize, ColumnId>,
    /// Strips beyond a discouraged break.
    pub clash: BTreeMap<(PlaceId, FamilyId, usize), ColumnId>,
    /// Strips of an "always" not begun, by its index.
    pub missing: BTreeMap<usize, ColumnId>,
}

/// A season's programme in the making.
pub struct Sketch<'a> {
    pub season: &'a Season,
    pub form: Form,
    pub programme: Programme,
    pub layout: Layout,
    /// For each week: columns with their minutes of work.
    pub work: Vec<Terms>,
}

impl<'a> Sketch<'a> {
    /// Starts with the places and the columns for strips; candidates for which `kept` says
    /// no are left out.
    pub fn new(season: &'a Season, form: Form, kept: &dyn Fn(CandidateId) -> bool) -> Sketch<'a> {
        let mut sketch = Sketch {
            season,
            form,
            programme: Programme::new("worth_of_the_plan", Goal::Maximise),
            layout: Layout {
                places: places(season, form),
                ..Layout::default()
            },
            work: vec![Terms::new(); season.weeks],
        };
        sketch.programme.constant = season.given_back;
        for place in 0..sketch.layout.places.len() {
            for candidate in 0..season.candidates.len() {
                if kept(candidate) {
                    sketch.add_strips(place, candidate);
                }
            }
        }
        sketch
    }

    /// Adds the column of a candidate's strips in a place, unless there are none.
    fn add_strips(&mut self, place: PlaceId, candidate: CandidateId) {
        let beds = &self.layout.places[place].beds;
        let upper: u32 = beds
            .iter()
            .map(|&bed| most_strips(self.season, candidate, bed))
            .sum::<u32>()
            .min(raised_at_once(self.season, candidate));
        if upper == 0 {
            return;
        }
        let c = &self.season.candidates[candidate];
        let name = &self.layout.places[place].name;
        let column =
            self.programme
                .integer(&["x", &c.name, name], (0.0, f64::from(upper)), -c.cost);
        self.layout.strips.insert((place, candidate), column);
        for &(week, minutes) in &c.work {
            self.add_work(week, column, minutes);
        }
    }

    /// Counts work of a column in a week, and what it costs.
    pub fn add_work(&mut self, week: usize, column: ColumnId, minutes: f64) {
        if minutes != 0.0 {
            self.work[week].push((column, minutes));
            self.programme.columns[column].objective -= self.season.minute_money * minutes;
        }
    }

    /// Candidates of a place with their columns, ascending.
    pub fn strips_of(&self, place: PlaceId) -> Vec<(CandidateId, ColumnId)> {
        self.layout
            .strips
            .range((place, 0)..(place + 1, 0))
            .map(|(&(_, candidate), &column)| (candidate, column))
            .collect()
    }

    /// The calendar week as part of a name, for example `2026W42`.
    pub fn week(&self, week: usize) -> String {
        week_name(self.season, week)
    }

    /// Adds `terms <= rhs`, unless the columns' bounds say so already.
    pub fn at_most(&mut self, rule: &'static Rule, parts: &[&str], terms: Terms, rhs: f64) {
        if self.programme.most(&terms) > rhs {
            self.programme
                .row(Some(rule), parts, terms, Sense::AtMost, rhs);
        }
    }
}

/// The calendar week as part of a name, for example `2026W42`.
pub fn week_name(season: &Season, week: usize) -> String {
    let week = i32::try_from(week).expect("weeks are few");
    let (year, number) = season.start.plus(week).iso();
    format!("{year}W{number:02}")
}

fn places(season: &Season, form: Form) -> Vec<Place> {
    match form {
        Form::Bed => season
            .beds
            .iter()
            .enumerate()
            .map(|(b, bed)| Place {
                name: bed.name.clone(),
                beds: vec![b],
                strips: bed.strips,
                cover_strips: f64::from(bed.strips),
                cover_share: 1.0,
            })
            .collect(),
        Form::Pooled => (0..season.kinds.len())
            .filter_map(|kind| {
                let beds: Vec<BedId> = (0..season.beds.len())
                    .filter(|&b| season.beds[b].kind == kind)
                    .collect();
                let largest = beds.iter().map(|&b| season.beds[b].strips).max()?;
                Some(Place {
                    name: format!("all_{}", season.kinds[kind].name),
                    strips: beds.iter().map(|&b| season.beds[b].strips).sum(),
                    beds,
                    cover_strips: 1.0,
                    cover_share: 1.0 / f64::from(largest),
                })
            })
            .collect(),
    }
}

/// Most strips of a bed that a candidate can have: its standing planting's strips, or those
/// that history and what stands leave free for its families when it begins.
pub fn most_strips(season: &Season, candidate: CandidateId, bed: BedId) -> u32 {
    if !season.allowed(candidate, bed) {
        return 0;
    }
    let c = &season.candidates[candidate];
    let groups = season.groups.iter().filter(|g| g.bed == bed);
    let free = groups.filter(|group| match c.standing {
        Some(standing) => group.standing == Some(standing),
        None => c.families.iter().all(|used| {
            let Rotation::Forbid { weeks } = season.beds[bed].rotation[used.family] else {
                return true;
            };
            let stands = group
                .standing
                .is_some_and(|s| standing_has(season, s, used.family));
            let release = if stands {
                weeks
            } else {
                group.release[used.family]
            };
            release <= used.from
        }),
    });
    free.map(|g| g.strips.len() as u32).sum()
}

/// Most strips whose plants the shelf can hold, or has at the start.
fn raised_at_once(season: &Season, candidate: CandidateId) -> u32 {
    // Strips are few; a limit that is just met must not be rounded down for want of a last digit.
    const ROUNDING: f64 = 1e-9;
    let uses = season.candidates[candidate].shelf.iter();
    let held = uses.filter(|used| used.m2 > 0.0).map(|used| {
        let space = match used.lit {
            true => season.shelf_lit_m2,
            false => season.shelf_unlit_m2,
        };
        (space / used.m2 + ROUNDING).floor() as u32
    });
    let there = season.candidates[candidate]
        .plants
        .iter()
        .map(|used| (season.on_shelf[used.of].plants / used.plants + ROUNDING).floor() as u32);
    held.chain(there).min().unwrap_or(u32::MAX)
}

/// Whether what stands is of that family. Its own window then reaches at least as far as any
/// history of the family on its strips, which need not be counted again.
pub fn standing_has(season: &Season, standing: usize, family: FamilyId) -> bool {
    let mut alternatives = season
        .candidates
        .iter()
        .filter(|c| c.standing == Some(standing))
        .peekable();
    alternatives.peek().is_some()
        && alternatives.all(|c| c.families.iter().any(|f| f.family == family))
}
