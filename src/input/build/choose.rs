//! Which crops, ways, families and recipes take part, and their indices in the scenario.

use super::names::Names;
use crate::domain::*;
use crate::input::Named;
use crate::input::code::P411;
use crate::input::diagnostic::Problems;
use crate::input::fields::Fields;
use crate::input::source::At;
use std::collections::{BTreeMap, BTreeSet};

/// What takes part; indices within it are those of the scenario.
pub struct Chosen {
    pub crops: Vec<Crop>,
    pub recipes: Vec<Recipe>,
    pub standing: Vec<Standing>,
    pub in_store: Vec<InStore>,
    pub on_shelf: Vec<OnShelf>,
    pub planned: Vec<Planned>,
    pub directives: Vec<Directive>,
    pub families: Vec<Family>,
}

/// Everything there is; crops, ways, foods and families by their indices in the models.
pub struct All {
    pub crops: Vec<Crop>,
    pub families: Vec<Family>,
    pub recipes: Vec<Recipe>,
    pub standing: Vec<Standing>,
    pub in_store: Vec<InStore>,
    pub on_shelf: Vec<OnShelf>,
    pub planned: Vec<Planned>,
    pub directives: Vec<Directive>,
}

/// The crops to plan with, by index, given the names of crops and foods; complains about a listed crop that
/// serves no need. `needed`: foods by index; `None`: not known, so that every crop may serve one.
pub fn used_crops(
    scenario: &Fields,
    (names, foods): (&Names, &Names),
    crops: &[Option<Crop>],
    needed: Option<&BTreeSet<usize>>,
    problems: &mut Problems,
) -> BTreeSet<usize> {
    if !scenario.has("crops_used") {
        let serves = |crop: &Crop| serves(crop, needed);
        return (0..crops.len())
            .filter(|&c| crops[c].as_ref().is_some_and(serves))
            .collect();
    }
    let mut used = BTreeSet::new();
    for (name, at) in scenario.texts("crops_used") {
        let Some(crop) = names.find(name, "crops_used", *at, problems) else {
            continue;
        };
        used.insert(crop);
        if let Some(value) = &crops[crop]
            && !serves(value, needed)
        {
            complain_of_no_need(value, foods, ("crops_used", *at), "crop", problems);
        }
    }
    used
}

/// Complains about an `always` whose crop serves no need: it would be planted and cleared again without a harvest.
pub fn asked_crops(
    (records, directives): (&[Fields], &[Option<Directive>]),
    foods: &Names,
    crops: &[Option<Crop>],
    needed: Option<&BTreeSet<usize>>,
    problems: &mut Problems,
) {
    for (record, directive) in records.iter().zip(directives) {
        let asked = (directive.as_ref()).filter(|d| d.kind != DirectiveKind::Never);
        if let Some(crop) = asked.and_then(|d| crops[d.crop].as_ref())
            && !serves(crop, needed)
        {
            let path = format!("{}.always", record.path);
            let key = (path.as_str(), record.at("always"));
            complain_of_no_need(crop, foods, key, "directive", problems);
        }
    }
}

/// What is known besides what takes part, by index.
pub struct Known {
    pub crops: BTreeSet<usize>,
    pub foods: BTreeSet<usize>,
}

/// The crops that are named, and the foods that come of their ways.
pub fn known(named: &[Named], names: &Names, crops: &[Option<Crop>]) -> Known {
    let mut known = Known {
        crops: BTreeSet::new(),
        foods: BTreeSet::new(),
    };
    for Named { crop, way } in named {
        let Some(index) = names.index(crop) else {
            continue;
        };
        known.crops.insert(index);
        let ways = crops[index].iter().flat_map(|crop| &crop.ways);
        let its = ways.filter(|it| Some(&it.name) == way.as_ref());
        known.foods.extend(its.map(|way| way.food));
    }
    known
}

/// Whether a food that is needed comes from the crop, or none is to come from it.
fn serves(crop: &Crop, needed: Option<&BTreeSet<usize>>) -> bool {
    let wanted = |needed: &BTreeSet<usize>| crop.ways.iter().any(|way| needed.contains(&way.food));
    crop.ways.is_empty() || needed.is_none_or(wanted)
}

fn complain_of_no_need(
    crop: &Crop,
    foods: &Names,
    (key, at): (&str, At),
    what: &str,
    problems: &mut Problems,
) {
    let its: BTreeSet<usize> = crop.ways.iter().map(|way| way.food).collect();
    let its: Vec<&str> = (its.iter())
        .map(|&food| foods.list()[food].as_str())
        .collect();
    problems.add(
        P411,
        at,
        format!("{key}: no food that is needed comes from \"{}\"", crop.name),
        format!("add a need for {} or take the {what} out", its.join(" or ")),
    );
}

/// Keeps what the used crops, those that are known besides, what stands and what is asked for need, and renumbers it.
pub fn choose(
    mut all: All,
    beds: &mut [Bed],
    (mut anew, known): (BTreeSet<usize>, BTreeSet<usize>),
    foods: &BTreeMap<usize, FoodId>,
) -> Chosen {
    let asked = |d: &&Directive| d.kind != DirectiveKind::Never;
    anew.extend(all.directives.iter().filter(asked).map(|d| d.crop));
    let mut used = anew.clone();
    used.extend(known);
    used.extend(all.standing.iter().map(|s| s.crop));
    used.extend(all.in_store.iter().map(|s| s.crop));
    used.extend(all.on_shelf.iter().map(|s| s.crop));
    used.extend(
        all.planned
            .iter()
            .flat_map(|p| p.members.iter().map(|m| m.crop)),
    );
    let crop_ids = renumbered(&used);

    let mut families: BTreeSet<usize> = used.iter().map(|&c| all.crops[c].family).collect();
    families.extend(beds.iter().flat_map(|b| &b.history).map(|p| p.family));
    let family_ids = renumbered(&families);
    for past in beds.iter_mut().flat_map(|b| &mut b.history) {
        past.family = family_ids[&past.family];
    }

    // Ways whose food nobody needs are left out, so the later ones move up.
    let mut way_ids: BTreeMap<(usize, usize), usize> = BTreeMap::new();
    let mut crops = Vec::new();
    for &c in &used {
        let crop = &mut all.crops[c];
        let mut ways = Vec::new();
        for (index, way) in std::mem::take(&mut crop.ways).into_iter().enumerate() {
            if let Some(&food) = foods.get(&way.food) {
                way_ids.insert((c, index), ways.len());
                ways.push(Way { food, ..way });
            }
        }
        crop.ways = ways;
        crop.anew = anew.contains(&c);
        crop.family = family_ids[&crop.family];
        crops.push(crop.clone());
    }

    let part = |p: &RecipePart| {
        Some(RecipePart {
            crop: *crop_ids.get(&p.crop)?,
            way: *way_ids.get(&(p.crop, p.way))?,
            ..p.clone()
        })
    };
    let recipes = all.recipes.iter().filter_map(|r| {
        Some(Recipe {
            first: part(&r.first)?,
            second: part(&r.second)?,
            ..r.clone()
        })
    });
    let standing = all.standing.iter().map(|s| Standing {
        crop: crop_ids[&s.crop],
        way: s.way.and_then(|w| way_ids.get(&(s.crop, w)).copied()),
        ..s.clone()
    });
    // Food that nobody needs is left in the store.
    let in_store = all.in_store.iter().filter_map(|s| {
        Some(InStore {
            crop: crop_ids[&s.crop],
            way: *way_ids.get(&(s.crop, s.way))?,
            ..s.clone()
        })
    });
    let on_shelf = all.on_shelf.iter().map(|s| OnShelf {
        crop: crop_ids[&s.crop],
        ..s.clone()
    });
    let member = |m: &PlannedMember| PlannedMember {
        crop: crop_ids[&m.crop],
        way: m.way.and_then(|w| way_ids.get(&(m.crop, w)).copied()),
        ..m.clone()
    };
    let planned = all.planned.iter().map(|p| Planned {
        members: p.members.iter().map(member).collect(),
        ..p.clone()
    });
    let directives = all.directives.iter().filter_map(|d| {
        Some(Directive {
            crop: *crop_ids.get(&d.crop)?,
            ..d.clone()
        })
    });
    Chosen {
        recipes: recipes.collect(),
        standing: standing.collect(),
        in_store: in_store.collect(),
        on_shelf: on_shelf.collect(),
        planned: planned.collect(),
        directives: directives.collect(),
        families: families.iter().map(|&f| all.families[f].clone()).collect(),
        crops,
    }
}

fn renumbered(ids: &BTreeSet<usize>) -> BTreeMap<usize, usize> {
    ids.iter()
        .enumerate()
        .map(|(new, &old)| (old, new))
        .collect()
}
