//! What is to hand and decided on at the start: checked records to domain values. Crops and ways
//! are indices among all that the models know.

use super::holding::{Ground, fits_setting, planted_anew};
use super::names::{Names, complain};
use crate::domain::*;
use crate::input::code::*;
use crate::input::diagnostic::Problems;
use crate::input::fields::Fields;

/// The crop under `crop` and the way under `way`, when both are known.
fn crop_and_way(
    f: &Fields,
    ground: &Ground,
    problems: &mut Problems,
) -> (Option<usize>, Option<usize>) {
    let crop = ground.crop_names.find_in(f, "crop", problems);
    let way = crop.and_then(|crop| {
        let records = ground.crop_records[crop].records("ways");
        let names = Names::new("way", records.iter().filter_map(|w| w.text("name")));
        names.find_in(f, "way", problems)
    });
    (crop, way)
}

/// Food in store.
pub fn in_store(f: &Fields, ground: &Ground, problems: &mut Problems) -> Option<InStore> {
    let (crop, way) = crop_and_way(f, ground, problems);
    let harvested = f.week("harvested");
    let known = crop.zip(way).and_then(|(crop, way)| {
        let crop = ground.crops[crop].as_ref()?;
        crop.ways.get(way)
    });
    if let (Some(harvested), Some(start)) = (harvested, ground.start) {
        let keeps = known.map(|way| i32::try_from(way.keeps_weeks).unwrap_or(i32::MAX));
        if harvested >= start {
            let message = format!("{harvested} is not before the start, {start}");
            let help = "what is still in the ground belongs under standing";
            complain(f, "harvested", P415, message, help, problems);
        } else if let Some(keeps) = keeps.filter(|keeps| start.since(harvested) > *keeps) {
            let message =
                format!("taken in {harvested} it keeps {keeps} weeks, the plan starts in {start}");
            let help = "leave it out, or override keeps_weeks under models.crops";
            complain(f, "harvested", P415, message, help, problems);
        }
    }
    Some(InStore {
        name: f.name.clone(),
        crop: crop?,
        way: way?,
        amount: f.number("amount")?,
        harvested: harvested?,
    })
}

/// The raising named under `raising`: a method, numbered where the crop has several by it.
fn raising(f: &Fields, crop: usize, ground: &Ground, problems: &mut Problems) -> Option<usize> {
    let records = ground.crop_records[crop].records("raisings");
    let words: Vec<&str> = records.iter().filter_map(|r| r.word("method")).collect();
    let names = (0..words.len()).map(|i| {
        let before = words[..i].iter().filter(|w| **w == words[i]).count();
        match before {
            0 => words[i].to_string(),
            n => format!("{} {}", words[i], n + 1),
        }
    });
    Names::new("raising", names).find_in(f, "raising", problems)
}

/// The method of a raising of a crop that could be read.
fn method(ground: &Ground, crop: usize, raising: usize) -> Option<Method> {
    let crop = ground.crops[crop].as_ref()?;
    crop.raisings.get(raising).map(|raising| raising.method)
}

/// Plants on the shelf.
pub fn on_shelf(f: &Fields, ground: &Ground, problems: &mut Problems) -> Option<OnShelf> {
    let crop = ground.crop_names.find_in(f, "crop", problems);
    let raising = crop.and_then(|crop| raising(f, crop, ground, problems));
    if let Some((crop, raising)) = crop.zip(raising)
        && method(ground, crop, raising).is_some_and(|method| method != Method::Modules)
    {
        let message = "only what is raised in modules stands on the shelf".to_string();
        complain(
            f,
            "raising",
            P416,
            message,
            "name a raising in modules",
            problems,
        );
    }
    let sown = f.week("sown");
    if let (Some(sown), Some(start)) = (sown, ground.start)
        && sown >= start
    {
        let message = format!("{sown} is not before the start, {start}");
        let help = "leave it out: the plan sows from the start on";
        complain(f, "sown", P416, message, help, problems);
    }
    Some(OnShelf {
        name: f.name.clone(),
        crop: crop?,
        raising: raising?,
        lit: f.flag("lit")?,
        sown: sown?,
        plants: f.number("plants")?,
    })
}

/// Complains about a second entry of one sowing.
pub fn one_entry_each(records: &[Fields], entries: &[Option<OnShelf>], problems: &mut Problems) {
    let key = |e: &OnShelf| (e.crop, e.raising, e.lit, e.sown);
    for (i, later) in entries.iter().enumerate() {
        let Some(later) = later else { continue };
        if let Some(first) = entries[..i].iter().flatten().find(|e| key(e) == key(later)) {
            let message = format!("\"{}\" is the same sowing", first.name);
            let help = "put both into one entry with the plants of both";
            complain(&records[i], "sown", P416, message, help, problems);
        }
    }
}

/// A planting decided on.
pub fn planned(
    f: &Fields,
    ground: &Ground,
    covers: &Names,
    on_shelf: &[Option<OnShelf>],
    problems: &mut Problems,
) -> Option<Planned> {
    let bed = ground.bed_names.find_in(f, "bed", problems);
    let bed_value = bed.and_then(|b| ground.beds[b].as_ref());
    let strips = f.whole_list("strips");
    if let (Some(strips), Some(bed)) = (&strips, bed_value)
        && let Some(beyond) = strips.iter().find(|strip| **strip > bed.strips)
    {
        let message = format!("strip {beyond} is beyond the bed's {} strips", bed.strips);
        let help = format!("strips are numbered 1 to {}", bed.strips);
        complain(f, "strips", P401, message, &help, problems);
    }
    let first = member(f, ground, bed_value, on_shelf, problems);
    let second = f
        .record("partner")
        .map(|partner| member(partner, ground, bed_value, on_shelf, problems));
    let under: Vec<Option<PlannedCover>> = (f.records("under").iter())
        .map(|under| {
            let cover = covers.find_in(under, "cover", problems);
            let (from, until) = (under.week("from"), under.week("until"));
            if let (Some(from), Some(until)) = (from, until)
                && from > until
            {
                let message = format!("{from} is after until, {until}");
                complain(
                    under,
                    "from",
                    V305,
                    message,
                    "put the earlier week first",
                    problems,
                );
            }
            Some(PlannedCover {
                cover: cover?,
                from: from?,
                until: until?,
            })
        })
        .collect();
    let mut members = vec![first?];
    if let Some(second) = second {
        members.push(second?);
    }
    Some(Planned {
        name: f.name.clone(),
        bed: bed?,
        strips: strips?.into_iter().map(|strip| strip - 1).collect(),
        members,
        bought: f.flag("bought")?,
        under: under.into_iter().collect::<Option<_>>()?,
    })
}

fn member(
    f: &Fields,
    ground: &Ground,
    bed: Option<&Bed>,
    on_shelf: &[Option<OnShelf>],
    problems: &mut Problems,
) -> Option<PlannedMember> {
    let (crop, way) = crop_and_way(f, ground, problems);
    if let (Some(bed), Some(crop)) = (bed, crop.and_then(|c| ground.crops[c].as_ref())) {
        fits_setting(f, "crop", crop, bed, problems);
    }
    if let Some(crop) = crop.and_then(|c| ground.crops[c].as_ref()) {
        planted_anew(f, "crop", crop, P417, problems);
    }
    let raising = crop.and_then(|crop| raising(f, crop, ground, problems));
    let (sown, lit) = (f.week("sown"), f.flag("lit"));
    let planted = if f.has("planted") {
        f.week("planted")
    } else {
        sown
    };
    let planted_key = if f.has("planted") { "planted" } else { "sown" };
    if let (Some(sown), Some(planted)) = (sown, planted) {
        let in_modules = crop
            .zip(raising)
            .and_then(|(crop, raising)| method(ground, crop, raising))
            .map(|method| method == Method::Modules);
        if planted < sown || in_modules.is_some_and(|modules| modules != (planted > sown)) {
            let message = format!("sown in {sown}, it cannot be planted in {planted}");
            let help =
                "what is raised in modules is planted later than sown, all else in the same week";
            complain(f, planted_key, P417, message, help, problems);
        }
    }
    if let (Some(planted), Some(start)) = (planted, ground.start)
        && planted < start
    {
        let message = format!("{planted} is before the start, {start}");
        let help = "what is in the ground by then belongs under standing";
        complain(f, planted_key, P417, message, help, problems);
    } else if let (Some(sown), Some(start)) = (sown, ground.start)
        && sown < start
        && let (Some(crop), Some(raising), Some(lit)) = (crop, raising, lit)
    {
        let is_there =
            |e: &OnShelf| (e.crop, e.raising, e.lit, e.sown) == (crop, raising, lit, sown);
        // A bad entry might be the one that is meant.
        if on_shelf
            .iter()
            .all(|e| e.as_ref().is_some_and(|e| !is_there(e)))
        {
            let message =
                format!("{sown} is before the start, and nothing of that sowing is on the shelf");
            let help = "list the plants under on_shelf, or leave the planting out";
            complain(f, "sown", P417, message, help, problems);
        }
    }
    if let (Some(cleared), Some(planted)) = (f.week("cleared"), planted)
        && cleared <= planted
    {
        let message = format!("{cleared} is not after it is planted, {planted}");
        complain(
            f,
            "cleared",
            V305,
            message,
            "correct one of the two weeks",
            problems,
        );
    }
    Some(PlannedMember {
        crop: crop?,
        raising: raising?,
        lit: lit?,
        sown: sown?,
        planted: planted?,
        way,
        cleared: f.week("cleared"),
    })
}

/// The price of changes.
pub fn changes(f: Option<&Fields>) -> Option<Changes> {
    let Some(f) = f else {
        return Some(Changes::USUAL);
    };
    Some(Changes {
        drop_money_per_m2: f.number("drop_money_per_m2")?,
        drop_bought_money_per_m2: f.number("drop_bought_money_per_m2")?,
        drop_begun_money_per_m2: f.number("drop_begun_money_per_m2")?,
        move_money_per_m2: f.number("move_money_per_m2")?,
        add_money_per_m2: f.number("add_money_per_m2")?,
    })
}
