//! A sowing or planting done in another way than planned: crop, raising, bed, strips and weeks,
//! filled up from the planting whose place it takes.

use super::event::Facts;
use super::holding::fits_setting;
use super::names::complain;
use crate::domain::*;
use crate::input::code::*;
use crate::input::diagnostic::Problems;
use crate::input::fields::Fields;
use crate::units::Week;

/// What was sown (`what` is `sown`) or planted out (`planted`) in `week`.
pub fn sown(
    facts: &Facts,
    f: &Fields,
    what: &str,
    planting: Option<usize>,
    week: Week,
    problems: &mut Problems,
) -> Option<Happening> {
    let scenario = facts.scenario;
    if !f.has("planting") {
        let missing: Vec<&str> = ["crop", "bed", "strips"]
            .into_iter()
            .filter(|k| !f.has(k))
            .collect();
        if !missing.is_empty() {
            let list = missing.join(", ");
            let message = format!("\"{what}\" without a planting needs also {list}");
            let help = format!("add {list}, or the planting whose place it takes");
            complain(f, "what", E502, message, &help, problems);
            return None;
        }
    }
    let crop = facts.crops.find_in(f, "crop", problems);
    let bed = facts.beds.find_in(f, "bed", problems);
    if [
        (f.has("planting"), planting),
        (f.has("crop"), crop),
        (f.has("bed"), bed),
    ]
    .iter()
    .any(|(given, found)| *given && found.is_none())
    {
        return None;
    }
    let meant = planting.map(|p| &facts.roster.plantings[p]);
    let crop = crop.or(meant.map(|m| m.crop))?;
    let bed = bed.or(meant.map(|m| m.bed))?;
    let kind = &scenario.crops[crop];
    let ground = &scenario.beds[bed];
    let key = |key: &'static str| if f.has(key) { key } else { "planting" };
    fits_setting(f, key("bed"), kind, ground, problems);
    let raising = raising(f, what, kind, meant.filter(|m| m.crop == crop), problems)?;
    let strips = strips(f, ground, meant, problems)?;
    let method = kind.raisings[raising].method;
    let (sown, planted) = match (what, method) {
        ("sown", Method::Modules) => (week, None),
        ("sown", _) => (week, Some(week)),
        _ => {
            let sown = f.week("sown").or(meant.map(|m| m.sown));
            let Some(sown) = sown else {
                let message = "\"planted\" without a planting needs also sown".to_string();
                complain(f, "what", E502, message, "add sown", problems);
                return None;
            };
            if sown > week || (sown == week) != (method != Method::Modules) {
                let message = format!("{} sown in {sown} is not planted in {week}", kind.name);
                let help = "plants raised in modules are planted after they are sown, others are \
                            sown in place (what: sown)";
                complain(f, key("sown"), E506, message, help, problems);
                return None;
            }
            (sown, Some(week))
        }
    };
    Some(Happening::Sown {
        instead_of: planting,
        crop,
        raising,
        bed,
        strips,
        sown,
        planted,
    })
}

/// The raising: the one given, the planned one, or the only one that it can be.
fn raising(
    f: &Fields,
    what: &str,
    crop: &Crop,
    meant: Option<&RosterEntry>,
    problems: &mut Problems,
) -> Option<usize> {
    let of = |word: &str| crop.raisings.iter().position(|r| r.method.word() == word);
    if let Some(word) = f.word("raising") {
        let found = of(word);
        if found.is_none() {
            let words: Vec<&str> = crop.raisings.iter().map(|r| r.method.word()).collect();
            let message = format!(
                "{} is not raised so, only by {}",
                crop.name,
                words.join(", ")
            );
            complain(f, "raising", E506, message, "choose one of these", problems);
        }
        return found;
    }
    if let Some(raising) = meant.and_then(|m| m.raising) {
        return Some(raising);
    }
    if what == "planted" {
        let found = of("modules");
        if found.is_none() {
            let message = format!("{} is not raised in modules, so not planted out", crop.name);
            let key = if f.has("crop") { "crop" } else { "planting" };
            complain(f, key, E506, message, "use what: sown", problems);
        }
        return found;
    }
    let mut methods: Vec<Method> = crop.raisings.iter().map(|r| r.method).collect();
    methods.dedup();
    if methods.len() > 1 {
        let words: Vec<&str> = methods.iter().map(|m| m.word()).collect();
        let message = format!("{} can be raised by {}", crop.name, words.join(" or "));
        let key = if f.has("crop") { "crop" } else { "planting" };
        complain(f, key, E506, message, "add raising", problems);
        return None;
    }
    (!methods.is_empty()).then_some(0)
}

/// Strips from 0: those given, else those of the planting if it is in that bed.
fn strips(
    f: &Fields,
    bed: &Bed,
    meant: Option<&RosterEntry>,
    problems: &mut Problems,
) -> Option<Vec<u32>> {
    if let Some((first, last)) = f.pair("strips") {
        if last > bed.strips {
            let message = format!(
                "[{first}, {last}] reaches beyond the {} strips of {}",
                bed.strips, bed.name
            );
            let help = format!("strips are numbered 1 to {}", bed.strips);
            complain(f, "strips", P401, message, &help, problems);
            return None;
        }
        return Some((first - 1..last).collect());
    }
    let strips = &meant?.strips;
    if strips.iter().any(|&s| s >= bed.strips) || f.has("bed") {
        let message = format!("another bed, {}, needs strips of its own", bed.name);
        complain(f, "bed", E506, message, "add strips", problems);
        return None;
    }
    Some(strips.clone())
}
