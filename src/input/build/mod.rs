//! Checked records to the domain: names to indices, cross checks, the crops that take part.
//!
//! Every record is built and checked even when others are bad; only at the end is the whole
//! put together, and only when nothing was found wrong.

mod back;
mod choose;
mod crop;
pub mod event;
mod experience;
mod holding;
mod model;
mod names;
mod narrow;
mod needs;
mod occupied;
mod rules;
mod sowing;
mod start;
mod tally;

use super::Named;
use super::code::*;
use super::diagnostic::Problems;
use super::fields::Fields;
use crate::domain::*;
use crate::units::Week;
use holding::Ground;
use names::Names;
use std::collections::{BTreeMap, BTreeSet};

/// The records of one load; lists sorted by name.
pub struct Records {
    pub scenario: Fields,
    pub crops: Vec<Fields>,
    pub families: Vec<Fields>,
    /// Every food of the models; those needed carry their needs.
    pub foods: Vec<Fields>,
    /// The covers to hand only.
    pub covers: Vec<Fields>,
    pub recipes: Vec<Fields>,
    pub climates: Vec<Fields>,
    pub tunnel: Option<Fields>,
    /// Names of the foods needed.
    pub needed: BTreeSet<String>,
    /// Whether every need names a food.
    pub all_known: bool,
}

/// The scenario, which knows what is `named` as well; `None` when something is wrong, which is then among the problems.
pub fn scenario(r: &Records, named: &[Named], problems: &mut Problems) -> Option<Scenario> {
    let s = &r.scenario;
    let start = s.week("start");
    let horizon = s.whole("weeks").zip(s.whole("tail"));
    let horizon = horizon.map(|(weeks, tail)| (weeks + tail) as usize);

    let family_names = Names::of("family", &r.families).with_members("family", &r.crops);
    let food_names = Names::of("food", &r.foods);
    let crop_names = Names::of("crop", &r.crops);
    let cover_names = Names::of("cover to hand", &r.covers);
    let bed_records = s.records("beds");
    let bed_names = Names::of("bed", bed_records);

    for climate in &r.climates {
        model::climate(climate, problems);
    }
    let climate = s
        .record("climate")
        .and_then(|c| model::climate(c, problems));
    let families = each(&r.families, |f| model::family(f, &bed_names, problems));
    let units: Vec<_> = r.foods.iter().map(|f| f.word("unit")).collect();
    let mut crops = each(&r.crops, |c| {
        crop::crop(c, &family_names, &food_names, &units, problems)
    });
    narrow::narrow(s.records("sow"), &crop_names, &mut crops, problems);
    let recipes: Vec<Recipe> = r
        .recipes
        .iter()
        .flat_map(|f| model::recipes(f, &crop_names, &r.crops, problems))
        .collect();
    let covers = each(&r.covers, |c| model::cover(c, problems));
    let beds = each(bed_records, |b| {
        holding::bed(b, start, &family_names, &cover_names, problems)
    });
    holding::covers_on_beds(&covers, &r.covers, &beds, bed_records, problems);

    let ground = Ground {
        start,
        bed_names: &bed_names,
        beds: &beds,
        crop_names: &crop_names,
        crops: &crops,
        crop_records: &r.crops,
    };
    let standing_records = s.records("standing");
    let standing = each(standing_records, |f| {
        holding::standing(f, &ground, problems)
    });
    holding::no_overlap(standing_records, &standing, problems);
    let in_store = each(s.records("in_store"), |f| {
        start::in_store(f, &ground, problems)
    });
    let on_shelf = each(s.records("on_shelf"), |f| {
        start::on_shelf(f, &ground, problems)
    });
    start::one_entry_each(s.records("on_shelf"), &on_shelf, problems);
    let planned = each(s.records("planned"), |f| {
        start::planned(f, &ground, &cover_names, &on_shelf, problems)
    });
    let directive_records = s.records("directives");
    let directives = each(directive_records, |f| {
        rules::directive(f, &ground, horizon.unwrap_or(0), problems)
    });
    rules::no_contradiction(directive_records, &directives, problems);

    let weeks: Vec<Week> = start
        .zip(horizon)
        .map(|(start, horizon)| (0..horizon as i32).map(|w| start.plus(w)).collect())
        .unwrap_or_default();
    let households = s.number("households").unwrap_or(1.0);
    let needed: BTreeSet<usize> = (0..r.foods.len())
        .filter(|&i| r.needed.contains(&r.foods[i].name))
        .collect();
    let known = choose::known(named, &crop_names, &crops);
    let mut all_foods = needed.clone();
    all_foods.extend(known.foods);
    let foods = each(all_foods.iter().map(|&i| &r.foods[i]), |f| {
        match r.needed.contains(&f.name) {
            true => needs::food(f, &weeks, households, problems),
            false => needs::unneeded(f, weeks.len()),
        }
    });
    let level = s.record("level").map(|l| needs::level(l, &weeks, problems));
    // A need that names no food may have meant that of any crop.
    let whole_needs = r.all_known.then_some(&needed);
    let used = choose::used_crops(s, (&crop_names, &food_names), &crops, whole_needs, problems);
    let asked = (directive_records, &directives[..]);
    choose::asked_crops(asked, &food_names, &crops, whole_needs, problems);
    for (key, empty) in [
        ("beds", bed_records.is_empty()),
        ("needs", needed.is_empty()),
    ] {
        if empty && s.reads(key) && problems.is_empty() {
            problems.add(
                P413,
                s.at(key),
                format!("{key}: there is none, so nothing can be planned"),
                "give at least one",
            );
        }
    }
    experience::check(s.records("experience"), &crop_names, &r.crops, problems);
    if !problems.is_empty() {
        return None;
    }

    let mut beds = whole(beds)?;
    let mut directives = whole(directives)?;
    directives.sort_by_key(directive_order);
    let food_ids: BTreeMap<usize, FoodId> = all_foods
        .iter()
        .enumerate()
        .map(|(new, &old)| (old, new))
        .collect();
    let all = choose::All {
        crops: whole(crops)?,
        families: whole(families)?,
        recipes,
        standing: whole(standing)?,
        in_store: whole(in_store)?,
        on_shelf: whole(on_shelf)?,
        planned: whole(planned)?,
        directives,
    };
    let records = s.records("experience");
    let chosen = choose::choose(all, &mut beds, (used, known.crops), &food_ids);
    let mut scenario = Scenario {
        name: s.text("name")?,
        currency: s.text("currency")?,
        start: start?,
        weeks: s.whole("weeks")? as usize,
        tail: s.whole("tail")? as usize,
        repeats: false,
        climate: climate?,
        tunnel: model::surroundings(r.tunnel.as_ref()?)?,
        beds,
        covers: whole(covers)?,
        families: chosen.families,
        crops: chosen.crops,
        recipes: chosen.recipes,
        shelf: holding::shelf(s.record("shelf"))?,
        standing: chosen.standing,
        in_store: chosen.in_store,
        on_shelf: chosen.on_shelf,
        planned: chosen.planned,
        changes: start::changes(s.record("changes"))?,
        carried: Carried::default(),
        experience: Vec::new(),
        foods: whole(foods)?,
        level: match level {
            Some(level) => Some(level?),
            None => None,
        },
        work: rules::work(s.record("work")?)?,
        directives: chosen.directives,
        solving: Solving {
            gap: match s.record("solving") {
                Some(solving) => solving.number("gap")?,
                None => DEFAULT_GAP,
            },
        },
    };
    experience::apply(records, &mut scenario);
    Some(scenario)
}

/// Relative gap aimed at when the scenario says nothing; the same as in the table.
const DEFAULT_GAP: f64 = 0.01;

/// A text that sorts directives by meaning, so that their order in the file does not matter.
fn directive_order(d: &Directive) -> (CropId, Option<BedId>, String) {
    (d.crop, d.bed, format!("{:?}", d.kind))
}

fn each<'a, T>(
    records: impl IntoIterator<Item = &'a Fields>,
    build: impl FnMut(&'a Fields) -> Option<T>,
) -> Vec<Option<T>> {
    records.into_iter().map(build).collect()
}

/// All of them; `None` when one is missing.
fn whole<T>(items: Vec<Option<T>>) -> Option<Vec<T>> {
    items.into_iter().collect()
}

/// The setting as written in files.
fn setting(word: &str) -> Setting {
    match word {
        "open" => Setting::Open,
        "tunnel" => Setting::Tunnel,
        "container" => Setting::Container,
        _ => Setting::Basket,
    }
}

/// A setting as written in files.
fn setting_word(setting: Setting) -> &'static str {
    match setting {
        Setting::Open => "open",
        Setting::Tunnel => "tunnel",
        Setting::Container => "container",
        Setting::Basket => "basket",
    }
}

/// The settings a record lists, sorted.
fn settings(f: &Fields) -> Vec<Setting> {
    let words = f.words("settings").unwrap_or_default();
    let sorted: BTreeSet<Setting> = words.into_iter().map(setting).collect();
    sorted.into_iter().collect()
}
