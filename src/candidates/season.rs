//! The optimiser's view of a scenario: numbers only, weeks counted from the start of the plan.
//!
//! Week indices run over `0..Season::weeks` (the plan and its tail). All amounts of a
//! [`Candidate`] are per strip of its [`BedKind`].

use crate::domain::{BedId, CoverId, CropId, FamilyId, FoodId, StandingId};
use crate::units::Week;

pub type CandidateId = usize;
pub type KindId = usize;
pub type GroupId = usize;
pub type ProductId = usize;

/// What lies on a bed in a week: [`BARE`] or 1 + cover index.
pub type CoverState = u8;
/// No cover.
pub const BARE: CoverState = 0;

/// Everything the optimiser knows.
#[derive(Clone, Debug)]
pub struct Season {
    /// Weeks of the horizon, tail included.
    pub weeks: usize,
    /// The calendar week of index 0.
    pub start: Week,
    pub kinds: Vec<BedKind>,
    /// Same order as the scenario's beds.
    pub beds: Vec<BedGround>,
    /// Strips of one bed that are alike at the start; every strip is in exactly one group.
    pub groups: Vec<StripGroup>,
    /// Same order as the scenario's covers.
    pub covers: Vec<CoverStock>,
    pub family_names: Vec<String>,
    pub products: Vec<Product>,
    /// What is in store at the start, whatever is planted; amounts are whole ones, not per strip, and
    /// the products are those with [`Product::in_store`].
    pub in_store: Vec<Lot>,
    /// Same order as the scenario's foods.
    pub foods: Vec<FoodNeed>,
    pub level: Option<LevelBand>,
    /// Shelf space, m²: lit and unlit.
    pub shelf_lit_m2: f64,
    pub shelf_unlit_m2: f64,
    /// Money per minute of work.
    pub minute_money: f64,
    /// Minutes to hand in a week; `None`: no limit.
    pub minutes_per_week: Option<f64>,
    /// Plants on the shelf at the start, in the order of the scenario's.
    pub on_shelf: Vec<Plants>,
    /// What is counted on: the grower's "always", and the plantings decided on.
    pub always: Vec<Always>,
    /// Plantings decided on that can still be made, each as the candidate nearest to it.
    pub planned: Vec<PlannedUse>,
    /// What a new planting costs besides where plantings are decided on, money per m² (already in
    /// every [`Candidate::cost`]), and
    pub add_money_per_m2: f64,
    /// what is given back for those decided on, whether they are kept or not, money.
    pub given_back: f64,
    /// Plantings ruled out by the grower: (bed, crop).
    pub never: Vec<(BedId, CropId)>,
    /// A standing year, which comes again for ever; `None`: a year with a beginning.
    pub cycle: Option<Cycle>,
    pub candidates: Vec<Candidate>,
}

/// How the strips of a standing year take turns. A *ring* of strips goes through as many years as it has
/// strips, each strip one year ahead of the one before it, so that all its years are there every year:
/// a strip-year of the ring is as long as all of them together, and the table sees one year of it.
///
/// Weeks of candidates on the ground (`start`, `end`, families) are those of a ring; weeks of lots, work and
/// shelf are those of the year.
#[derive(Clone, Debug)]
pub struct Cycle {
    /// Years of the longest rings.
    pub years: usize,
    /// Strips of each ring of each group, the one that begins with its first year first.
    pub rings: Vec<Vec<Vec<u32>>>,
    /// What candidates are made of: plantings begun in the year that is shown, with all weeks counted from
    /// its start, those of the next year included. Shelf and work are folded into the year.
    pub plain: Vec<Candidate>,
    /// For each candidate.
    pub origin: Vec<Origin>,
    /// For each candidate: the same in each year of its ring that it can be begun in, the first one first.
    pub copies: Vec<Vec<CandidateId>>,
}

/// Where a candidate of a standing year comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Origin {
    /// Index into [`Cycle::plain`].
    pub plain: usize,
    /// The year of its ring in which it is begun.
    pub year: usize,
    /// What can be eaten in both years is eaten in the next one.
    pub later: bool,
}

/// Beds of one kind admit the same candidates at the same yields.
#[derive(Clone, Debug, PartialEq)]
pub struct BedKind {
    pub name: String,
    pub strip_m2: f64,
}

/// A bed as ground to be filled.
#[derive(Clone, Debug)]
pub struct BedGround {
    pub name: String,
    pub kind: KindId,
    pub strips: u32,
    /// State in the week before the plan starts.
    pub state_before: CoverState,
    /// Covers that fit it.
    pub covers: Vec<CoverId>,
    /// The rule of each family here.
    pub rotation: Vec<Rotation>,
}

/// A family's rotation rule in a bed, as the optimiser needs it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Rotation {
    /// Never within `weeks` of the last.
    Forbid {
        weeks: usize,
    },
    /// Each strip and week of overlap of one family's extended windows costs so much.
    Discourage {
        weeks: usize,
        money_per_strip_week: f64,
    },
    Off,
}

/// Strips of a bed that start alike.
#[derive(Clone, Debug)]
pub struct StripGroup {
    pub bed: BedId,
    /// Strip numbers within the bed, counted from 0, ascending.
    pub strips: Vec<u32>,
    /// What stands there; the strip's year then begins with one of its alternatives
    /// (candidates with the same `standing`), otherwise with any candidate or idle.
    pub standing: Option<StandingId>,
    /// For each family: the first week index at which history lets it be planted (0: free).
    /// What stands now is not in here; its candidates' own [`FamilyUse`] says it.
    pub release: Vec<usize>,
    /// Weeks of its strip-years: those of the season, or of a ring of a standing year.
    pub weeks: usize,
}

/// A kind of cover.
#[derive(Clone, Debug)]
pub struct CoverStock {
    pub name: String,
    pub count: u32,
    /// Minutes of work of placing one (in the week it goes on) and of removing it (in the week
    /// it is first off). A bed's cover state before the plan is [`BedGround::state_before`];
    /// what is still on at the end is not removed.
    pub place_minutes: f64,
    pub remove_minutes: f64,
}

/// What one crop yields in one way of harvest, or such a harvest that is in store at the start.
#[derive(Clone, Debug, PartialEq)]
pub struct Product {
    pub name: String,
    pub crop: CropId,
    pub way: usize,
    pub food: FoodId,
    /// Share lost per week kept beyond [`Lot::fresh_until`].
    pub weekly_loss: f64,
    /// Work per unit eaten, minutes, done in the week it is eaten; none for what is in store.
    pub minutes_per_unit: f64,
    /// Harvested before the start: no candidate gives it.
    pub in_store: bool,
}

/// A food's needs, in its unit.
#[derive(Clone, Debug)]
pub struct FoodNeed {
    pub name: String,
    pub price: f64,
    /// By week, for each unit short of the floor, money; infinite where the floor must be met.
    pub short_cost: Vec<f64>,
    pub floor: Vec<f64>,
    pub wish: Vec<f64>,
    /// Most of a week's wish that one crop may supply, 0 to 1.
    pub single_crop_share: f64,
}

/// The weekly band for the worth of all that is eaten (at price), money.
#[derive(Clone, Debug)]
pub struct LevelBand {
    pub low: Vec<f64>,
    pub high: Vec<f64>,
    /// Cost of each unit of money below `low`.
    pub below_cost: f64,
}

/// Something counted on: `units` of it begun in `bed` (any bed when `None`); each unit missing
/// costs `missing_money`.
#[derive(Clone, Debug)]
pub struct Always {
    pub of: Counted,
    pub bed: Option<BedId>,
    pub units: f64,
    pub missing_money: f64,
}

/// What an [`Always`] counts.
#[derive(Clone, Debug, PartialEq)]
pub enum Counted {
    /// "Always this crop there": strips that begin a candidate with the crop in weeks
    /// `from..=to`.
    Crop {
        crop: CropId,
        from: usize,
        to: usize,
    },
    /// A planting decided on: m² of candidates with these members.
    Planned(Vec<Beginning>),
}

/// How a member of a planting decided on begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Beginning {
    pub crop: CropId,
    pub raising: usize,
    pub lit: bool,
    pub sown: Week,
    /// `None`: in any week.
    pub planted: Option<Week>,
}

/// A planting decided on, as a candidate on strips of a bed (counted from 0).
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedUse {
    pub bed: BedId,
    pub strips: Vec<u32>,
    pub candidate: CandidateId,
}

/// Plants on the shelf at the start.
#[derive(Clone, Debug, PartialEq)]
pub struct Plants {
    pub name: String,
    pub plants: f64,
}

/// Plants that a candidate takes from the shelf as it is at the start, per strip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlantUse {
    /// Index into [`Season::on_shelf`].
    pub of: usize,
    pub plants: f64,
}

/// A planting that could be made on one strip of a bed of its kind.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// Unique, without spaces, readable: crop, raising, sowing week, cover, end.
    pub name: String,
    pub kind: KindId,
    /// Continues this standing planting (and is possible only there, starting at week 0);
    /// exactly one alternative of each is cleared at once, with `start == end == 0`.
    pub standing: Option<StandingId>,
    /// The strip is occupied in weeks `start..end`; `end <=` [`StripGroup::weeks`].
    pub start: usize,
    pub end: usize,
    /// What must lie on the bed in each of those weeks; length `end - start`.
    pub states: Vec<CoverState>,
    /// Families it brings, each with its weeks; at most one entry per family.
    pub families: Vec<FamilyUse>,
    pub lots: Vec<Lot>,
    pub shelf: Vec<ShelfUse>,
    /// What it takes of the plants on the shelf at the start.
    pub plants: Vec<PlantUse>,
    /// Minutes of work per strip by week (sowing, planting, clearing), ascending weeks.
    /// Harvest work is with the product, cover work with the cover.
    pub work: Vec<(usize, f64)>,
    /// Seed, sets and the like per strip, less credits, money.
    pub cost: f64,
    /// What is planted: one entry, or two for a recipe.
    pub members: Vec<Member>,
}

/// A family in the strip in weeks `from..until`. `until` is not cut at the horizon.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FamilyUse {
    pub family: FamilyId,
    pub from: usize,
    pub until: usize,
}

/// An amount that becomes available and can be eaten in weeks `from..=until` (`until < weeks`).
///
/// One unit eaten in week `w` uses `1 / (1 - weekly_loss)^(w - fresh_until)` units when
/// `w > fresh_until`, else one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lot {
    pub product: ProductId,
    pub from: usize,
    pub fresh_until: usize,
    pub until: usize,
    /// Units of the food per strip.
    pub amount: f64,
}

/// Shelf space taken in one week, m² per strip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShelfUse {
    pub week: usize,
    pub lit: bool,
    pub m2: f64,
}

/// What is planted, in the grower's terms.
#[derive(Clone, Debug, PartialEq)]
pub struct Member {
    pub crop: CropId,
    /// Index into the crop's raisings; `None` for what stands already.
    pub raising: Option<usize>,
    pub lit: bool,
    /// Index into the crop's ways; `None` for a green manure or a standing planting cleared.
    pub way: Option<usize>,
    pub sown: Week,
    pub planted: Week,
    /// First week after its last in the ground.
    pub cleared: Week,
    /// Yield and plant shares in a recipe or a thinned stand, 0 to 1.
    pub yield_share: f64,
    pub plant_share: f64,
}

impl Season {
    /// Weeks of the longest strip-years: more than the season's in a standing year.
    pub fn ground_weeks(&self) -> usize {
        match &self.cycle {
            Some(cycle) => cycle.years * self.weeks,
            None => self.weeks,
        }
    }

    /// Strips of a group, all those of its rings in a standing year.
    pub fn strips_of(&self, group: GroupId) -> f64 {
        let group = &self.groups[group];
        group.strips.len() as f64 * (group.weeks / self.weeks) as f64
    }

    /// The candidate as it is begun in the year that is shown: itself, but in a standing year.
    pub fn plain(&self, candidate: CandidateId) -> &Candidate {
        match &self.cycle {
            Some(cycle) => &cycle.plain[cycle.origin[candidate].plain],
            None => &self.candidates[candidate],
        }
    }

    /// The candidate that stands for this one where the years of a standing year are not told apart: itself, or
    /// the same in its ring's first year.
    pub fn first_turn(&self, candidate: CandidateId) -> CandidateId {
        match &self.cycle {
            Some(cycle) => cycle.copies[candidate][0],
            None => candidate,
        }
    }

    /// How often a candidate stands in a week of the season with that state of its bed: once at the most, but in a
    /// standing year, whose weeks come in every year of a ring.
    pub fn times(&self, candidate: CandidateId, week: usize, state: CoverState) -> u32 {
        let c = &self.candidates[candidate];
        let weeks = (week..c.end).step_by(self.weeks).filter(|w| *w >= c.start);
        weeks.filter(|w| c.states[w - c.start] == state).count() as u32
    }

    /// What lies on a bed before the first week, given its mask.
    pub fn state_before(&self, bed: BedId, mask: &[CoverState]) -> CoverState {
        match (&self.cycle, mask.last()) {
            (Some(_), Some(&last)) => last,
            _ => self.beds[bed].state_before,
        }
    }

    /// Whether the candidate may stand in that bed (kind and the grower's "never", which does
    /// not touch what stands there already).
    pub fn allowed(&self, candidate: CandidateId, bed: BedId) -> bool {
        let c = &self.candidates[candidate];
        c.kind == self.beds[bed].kind
            && (c.standing.is_some()
                || !c
                    .members
                    .iter()
                    .any(|m| self.never.contains(&(bed, m.crop))))
    }
}

impl FoodNeed {
    /// Most that one crop may supply of the food in a week, in its unit.
    pub fn most_of_one_crop(&self, week: usize) -> f64 {
        self.single_crop_share * self.wish[week]
    }
}

impl Lot {
    /// Units used per unit eaten in week `week`, given the product's weekly loss.
    pub fn used_per_unit(&self, week: usize, weekly_loss: f64) -> f64 {
        let kept = week.saturating_sub(self.fresh_until);
        (1.0 - weekly_loss).powi(-i32::try_from(kept).expect("weeks are few"))
    }
}

impl Always {
    /// Whether beginning this candidate counts (the bed is not looked at). What stands already is
    /// never begun.
    pub fn matches(&self, candidate: &Candidate) -> bool {
        candidate.standing.is_none()
            && match &self.of {
                Counted::Crop { crop, from, to } => {
                    (*from..=*to).contains(&candidate.start)
                        && candidate.members.iter().any(|m| m.crop == *crop)
                }
                Counted::Planned(members) => {
                    members.len() == candidate.members.len()
                        && (members.iter().zip(&candidate.members)).all(|(b, m)| b.matches(m))
                }
            }
    }

    /// Units that one strip of a kind counts for.
    pub fn per_strip(&self, kind: &BedKind) -> f64 {
        match self.of {
            Counted::Crop { .. } => 1.0,
            Counted::Planned(_) => kind.strip_m2,
        }
    }
}

impl Beginning {
    /// Whether the member begins so.
    pub fn matches(&self, member: &Member) -> bool {
        member.crop == self.crop
            && member.raising == Some(self.raising)
            && member.lit == self.lit
            && member.sown == self.sown
            && self.planted.is_none_or(|week| week == member.planted)
    }
}
