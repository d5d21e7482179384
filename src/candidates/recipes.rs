//! Two crops that share a strip for a while: interplanting and relay planting.

use super::draft::{Ending, Part, Start, assemble};
use super::ends::{self, Choice};
use super::planned;
use super::season::Candidate;
use super::site::{Pattern, Site};
use super::sowings::{may_sow, on_shelf, shelf_stays, timeline, worth_covering};
use crate::domain::{Method, Recipe, RecipePart};
use crate::growth::Grower;
use std::collections::BTreeMap;

/// The first crop's sowings are weighed every so many weeks.
const SOWING_GRID_WEEKS: usize = 2;
/// The second crop goes in as early as it may, or so many weeks later (or as late as it may if
/// that is sooner).
const LATER_WEEKS: usize = 3;

/// A way to begin one of the crops, with its ends under a pattern.
struct Beginnings {
    start: Start,
    endings: Vec<Ending>,
    /// Whether the pattern's cover is worth its trouble for this crop.
    gains: bool,
}

/// The combined candidates of a recipe at the site, per m².
pub(super) fn of_recipe(site: &Site, grower: &Grower, recipe: &Recipe) -> Vec<Candidate> {
    if !site.admits(recipe.first.crop) || !site.admits(recipe.second.crop) {
        return Vec::new();
    }
    let firsts = starts(site, grower, &recipe.first);
    let mut seconds = starts(site, grower, &recipe.second);
    seconds.extend(from_shelf(site, grower, &recipe.second));
    let first_to_hand = from_shelf(site, grower, &recipe.first);
    let mut found = decided(site, grower, recipe);
    for pattern in &site.patterns {
        let seconds = with_ends(
            site,
            grower,
            &recipe.second,
            &seconds,
            pattern,
            Choice::Natural,
        );
        let firsts: Vec<Start> = firsts
            .iter()
            .enumerate()
            .filter(|(place, _)| place % SOWING_GRID_WEEKS == 0)
            .map(|(_, start)| *start)
            .chain(first_to_hand.iter().copied())
            .collect();
        for first in with_ends(site, grower, &recipe.first, &firsts, pattern, Choice::Few) {
            for ending in &first.endings {
                found.extend(pairs(site, recipe, &first, ending, &seconds, pattern));
            }
        }
    }
    found
}

/// One start for each planting week, sown as late as can be.
fn starts(site: &Site, grower: &Grower, part: &RecipePart) -> Vec<Start> {
    let raising = &site.scenario.crops[part.crop].raisings[part.raising];
    let mut starts: BTreeMap<usize, Start> = BTreeMap::new();
    let may_sow = |week: &usize| may_sow(site, part.crop, part.raising, *week);
    for sown in (0..site.weeks()).filter(may_sow) {
        let stay = if raising.method == Method::Modules {
            let stays = shelf_stays(site, grower, part.crop, part.raising, sown);
            stays.first().copied()
        } else {
            Some((false, sown, sown))
        };
        let Some((lit, first, last)) = stay else {
            continue;
        };
        for planted in first..=last.min(site.weeks() - 1) {
            let start = Start {
                crop: part.crop,
                raising: part.raising,
                lit,
                sown: i32::try_from(sown).expect("horizons are short"),
                planted,
            };
            starts.insert(planted, start);
        }
    }
    starts.into_values().collect()
}

/// The starts from plants on the shelf.
fn from_shelf(site: &Site, grower: &Grower, part: &RecipePart) -> Vec<Start> {
    let stays = on_shelf(site, grower, part.crop);
    let of_part = stays.iter().filter(|sowing| sowing.raising == part.raising);
    of_part.flat_map(|sowing| sowing.starts()).collect()
}

fn with_ends(
    site: &Site,
    grower: &Grower,
    part: &RecipePart,
    starts: &[Start],
    pattern: &Pattern,
    choice: Choice,
) -> Vec<Beginnings> {
    starts
        .iter()
        .filter_map(|start| {
            let there = timeline(site, grower, start, Some(part.way), pattern)?;
            let endings = ends::of_harvest(site, part.crop, part.way, &there, 1.0, choice);
            let gains = pattern.cover.is_some() && {
                let bare = timeline(site, grower, start, Some(part.way), &Pattern::BARE);
                worth_covering(bare.as_ref(), &there)
            };
            Some(Beginnings {
                start: *start,
                endings,
                gains,
            })
        })
        .collect()
}

/// The very pairs that are decided on, under every pattern.
fn decided(site: &Site, grower: &Grower, recipe: &Recipe) -> Vec<Candidate> {
    let mut found = Vec::new();
    for decided in planned::decided(site, recipe.first.crop, 2) {
        let [first, second] = decided.starts[..] else {
            continue;
        };
        let begins = |start: &Start, part: &RecipePart| {
            (start.crop, start.raising) == (part.crop, part.raising)
        };
        if !begins(&first, &recipe.first) || !begins(&second, &recipe.second) {
            continue;
        }
        for pattern in &site.patterns {
            let asked = pattern.cover.is_none() || decided.patterns.contains(pattern);
            let with =
                |part, start, choice| with_ends(site, grower, part, &[start], pattern, choice);
            let mut seconds = with(&recipe.second, second, Choice::Natural);
            seconds.iter_mut().for_each(|second| second.gains |= asked);
            for first in with(&recipe.first, first, Choice::Few) {
                for ending in &first.endings {
                    found.extend(pairs(site, recipe, &first, ending, &seconds, pattern));
                }
            }
        }
    }
    found
}

/// The second crop into the ground of the first.
fn pairs(
    site: &Site,
    recipe: &Recipe,
    first: &Beginnings,
    first_ending: &Ending,
    seconds: &[Beginnings],
    pattern: &Pattern,
) -> Vec<Candidate> {
    let overlap = usize::try_from(recipe.min_overlap_weeks).unwrap_or(usize::MAX)
        ..=usize::try_from(recipe.max_overlap_weeks).unwrap_or(usize::MAX);
    let gains = first.gains;
    let first = &first.start;
    let fits = |second: &Start, ending: &Ending| {
        second.planted >= first.planted
            && second.planted < first_ending.end
            && overlap.contains(&(first_ending.end.min(ending.end) - second.planted))
    };
    let possible: Vec<(&Start, &Ending)> = seconds
        .iter()
        .filter(|second| pattern.cover.is_none() || gains || second.gains)
        .flat_map(|second| second.endings.iter().map(|end| (&second.start, end)))
        .filter(|(start, ending)| fits(start, ending))
        .collect();
    let Some(earliest) = possible.iter().map(|(start, _)| start.planted).min() else {
        return Vec::new();
    };
    let later = possible
        .iter()
        .map(|(start, _)| start.planted)
        .filter(|&planted| planted <= earliest + LATER_WEEKS)
        .max()
        .unwrap_or(earliest);
    possible
        .into_iter()
        .filter(|(start, _)| start.planted == earliest || start.planted == later)
        .filter(|(_, ending)| {
            let end = first_ending.end.max(ending.end);
            pattern.cover.is_none() || pattern.touches(first.planted, end)
        })
        .map(|(second, second_ending)| {
            let part = |recipe: &RecipePart, start: &Start, ending| Part {
                start: *start,
                way: Some(recipe.way),
                ending,
                yield_share: recipe.yield_share,
                plant_share: recipe.plant_share,
            };
            let parts = [
                part(&recipe.first, first, first_ending),
                part(&recipe.second, second, second_ending),
            ];
            assemble(site, &parts, pattern, Some(&recipe.name))
        })
        .collect()
}
