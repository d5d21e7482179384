//! The programme of a season while the rules fill it, and where each variable of
//! docs/method/programme.md went.

use super::model::{ColumnId, Goal, Programme, Rule, Sense, Terms};
use super::standing::OwnFamilies;
use crate::candidates::{
    CandidateId, FamilyUse, GroupId, Lot, ProductId, Rotation, Season, StripGroup,
};
use crate::domain::{BedId, CoverId, FamilyId, FoodId};
use std::collections::BTreeMap;

/// How beds are counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// Every bed for itself (in a standing year every group of its rings): integer strips, whole covers, cover moves.
    Bed,
    /// Beds of one kind added together, covers by the strip, no moves: a relaxation.
    Pooled,
}

/// Index of a place in [`Layout::places`]: the bed, but in a standing year and when pooled.
pub type PlaceId = usize;
/// What a cover lies on: a bed, or a place when pooled.
pub type GroundId = usize;

/// Ground that the programme counts as one: a bed, in a standing year the rings of a group, or all beds of a kind.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    pub name: String,
    pub beds: Vec<BedId>,
    pub groups: Vec<GroupId>,
    /// Strips, those of rings one by one.
    pub strips: u32,
    /// Where its covers are in [`Layout::covers`].
    pub lies: GroundId,
    /// Strips that one unit of a cover column covers: the place's strips, or one when pooled.
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

impl LotClass {
    /// The class of a lot.
    pub fn of(lot: &Lot) -> LotClass {
        LotClass {
            product: lot.product,
            from: lot.from,
            fresh_until: lot.fresh_until,
            until: lot.until,
        }
    }
}

/// Where the variables are.
#[derive(Clone, Debug, Default)]
pub struct Layout {
    pub places: Vec<Place>,
    /// Strips of a place given to a candidate.
    pub strips: BTreeMap<(PlaceId, CandidateId), ColumnId>,
    /// Covers that lie there in a week (strips under the cover when pooled).
    pub covers: BTreeMap<(GroundId, CoverId, usize), ColumnId>,
    /// Covers placed and removed.
    pub on: BTreeMap<(BedId, CoverId, usize), ColumnId>,
    pub off: BTreeMap<(BedId, CoverId, usize), ColumnId>,
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

impl Layout {
    /// Whether a place is the first of those that have their covers together.
    pub fn first_under(&self, place: PlaceId) -> bool {
        let lies = self.places[place].lies;
        self.places[..place].iter().all(|other| other.lies != lies)
    }

    /// The place of a strip in the form by beds.
    pub fn place_of(&self, season: &Season, bed: BedId, strip: usize) -> PlaceId {
        if season.cycle.is_none() {
            return bed;
        }
        let there = |place: &Place| {
            let group = &season.groups[place.groups[0]];
            group.bed == bed && group.strips.contains(&(strip as u32))
        };
        (self.places.iter().position(there)).expect("every ring is told on a strip of its group")
    }
}

/// A season's programme in the making.
pub struct Sketch<'a> {
    pub season: &'a Season,
    /// Families of what stands at the start.
    pub own: OwnFamilies,
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
            own: OwnFamilies::of(season),
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
                if kept(candidate) && season.first_turn(candidate) == candidate {
                    sketch.add_strips(place, candidate);
                }
            }
        }
        sketch
    }

    /// Adds the column of a candidate's strips in a place, unless there are none.
    fn add_strips(&mut self, place: PlaceId, candidate: CandidateId) {
        let groups = &self.layout.places[place].groups;
        let upper: u32 = groups
            .iter()
            .map(|&group| most_strips(self.season, &self.own, candidate, group))
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
    let counted = |groups: &[GroupId]| -> u32 {
        let strips = groups.iter().map(|&g| season.strips_of(g) as u32);
        strips.sum()
    };
    let of_bed = |bed: BedId, name: String, groups: Vec<GroupId>| Place {
        name,
        beds: vec![bed],
        strips: counted(&groups),
        lies: bed,
        cover_strips: f64::from(counted(&groups)),
        cover_share: 1.0,
        groups,
    };
    let groups_of = |bed: BedId| -> Vec<GroupId> {
        let groups = season.groups.iter().enumerate();
        let there = groups.filter(|(_, group)| group.bed == bed);
        there.map(|(g, _)| g).collect()
    };
    match (form, &season.cycle) {
        (Form::Bed, None) => (0..season.beds.len())
            .map(|bed| of_bed(bed, season.beds[bed].name.clone(), groups_of(bed)))
            .collect(),
        (Form::Bed, Some(_)) => (season.groups.iter().enumerate())
            .map(|(g, group)| {
                let first = group.strips[0] + 1;
                let name = format!("{}.strip{first}", season.beds[group.bed].name);
                of_bed(group.bed, name, vec![g])
            })
            .collect(),
        (Form::Pooled, _) => (0..season.kinds.len())
            .filter_map(|kind| {
                let beds: Vec<BedId> = (0..season.beds.len())
                    .filter(|&b| season.beds[b].kind == kind)
                    .collect();
                let largest = beds.iter().map(|&b| season.beds[b].strips).max()?;
                let groups: Vec<GroupId> = beds.iter().flat_map(|&b| groups_of(b)).collect();
                Some((beds, groups, largest, kind))
            })
            .enumerate()
            .map(|(place, (beds, groups, largest, kind))| Place {
                name: format!("all_{}", season.kinds[kind].name),
                beds,
                strips: counted(&groups),
                lies: place,
                cover_strips: 1.0,
                cover_share: 1.0 / f64::from(largest),
                groups,
            })
            .collect(),
    }
}

/// Most strips of a group that a candidate can have: those of its standing planting, or those that history and what
/// stands leave free for its families when it begins.
fn most_strips(season: &Season, own: &OwnFamilies, candidate: CandidateId, group: GroupId) -> u32 {
    let StripGroup {
        bed,
        standing,
        ref release,
        weeks: years,
        ..
    } = season.groups[group];
    let c = &season.candidates[candidate];
    let kept = |used: &FamilyUse| {
        let Rotation::Forbid { weeks } = season.beds[bed].rotation[used.family] else {
            return true;
        };
        if season.cycle.is_some() {
            // On a ring it must not meet itself again too soon.
            return used.until - used.from + weeks <= years;
        }
        let release = match own.holds(standing, used.family) {
            true => weeks,
            false => release[used.family],
        };
        release <= used.from
    };
    let free = season.allowed(candidate, bed)
        && match c.standing {
            Some(_) => standing == c.standing,
            None => c.end <= years && c.families.iter().all(kept),
        };
    if free {
        season.strips_of(group) as u32
    } else {
        0
    }
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
