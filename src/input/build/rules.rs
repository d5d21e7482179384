//! Work and the grower's directives: checked records to domain values.

use super::holding::{Ground, fits_setting, planted_anew};
use super::names::{complain, needs_keys};
use crate::domain::*;
use crate::input::code::*;
use crate::input::diagnostic::Problems;
use crate::input::fields::Fields;

pub fn work(f: &Fields) -> Option<Work> {
    Some(Work {
        hour_money: f.number("hour_money")?,
        hours_per_week: f.number("hours_per_week"),
    })
}

/// Keys that only an `always` has.
const ALWAYS_KEYS: [&str; 4] = ["strips", "from", "to", "missing_money"];

/// A directive; the crop is an index among all that the models know.
pub fn directive(
    f: &Fields,
    ground: &Ground,
    horizon: usize,
    problems: &mut Problems,
) -> Option<Directive> {
    let never = ground.crop_names.find_in(f, "never", problems);
    let always = ground.crop_names.find_in(f, "always", problems);
    let bed = ground.bed_names.find_in(f, "bed", problems);
    match (f.has("never"), f.has("always")) {
        (true, true) | (false, false) => {
            problems.add(
                V304,
                f.at,
                format!(
                    "{} needs exactly one of the keys \"never\" and \"always\"",
                    f.path
                ),
                "write two directives, or say which one is meant",
            );
            return None;
        }
        (true, false) => {
            for key in ALWAYS_KEYS.iter().filter(|key| f.has(key)) {
                let message = "belongs to an \"always\", this is a \"never\"".to_string();
                complain(f, key, V304, message, "remove it", problems);
            }
            return Some(Directive {
                crop: never?,
                bed,
                kind: DirectiveKind::Never,
            });
        }
        (false, true) => {}
    }
    needs_keys(f, "always", "always", &ALWAYS_KEYS, problems);
    let (from, to) = (f.week("from"), f.week("to"));
    if let (Some(from), Some(to)) = (from, to)
        && from > to
    {
        let message = format!("{from} is after to, {to}");
        complain(
            f,
            "from",
            V305,
            message,
            "put the earlier week first",
            problems,
        );
    }
    if let Some(start) = ground.start {
        let end = start.plus(i32::try_from(horizon).expect("horizons are short"));
        for (key, week) in [("from", from), ("to", to)] {
            if week.is_some_and(|w| w < start || w >= end) {
                let message = format!("{} is not in the plan, {start} to {}", week?, end.plus(-1));
                complain(
                    f,
                    key,
                    P412,
                    message,
                    "choose a week of the plan or its tail",
                    problems,
                );
            }
        }
    }
    let crop_value = always.and_then(|c| ground.crops[c].as_ref());
    if let Some(crop) = crop_value {
        planted_anew(f, "always", crop, P412, problems);
    }
    let bed_value = bed.and_then(|b| ground.beds[b].as_ref());
    if let (Some(crop), Some(bed)) = (crop_value, bed_value) {
        fits_setting(f, "bed", crop, bed, problems);
    }
    let strips = f.whole("strips");
    let there = match bed_value {
        Some(bed) => Some(bed.strips),
        // Without a bed every strip of the holding may serve.
        None if !f.has("bed") => ground.beds.iter().map(|b| Some(b.as_ref()?.strips)).sum(),
        None => None,
    };
    if let (Some(strips), Some(there)) = (strips, there)
        && strips > there
    {
        let message = format!("{strips} strips are asked for, there are {there}");
        complain(f, "strips", P412, message, "ask for fewer", problems);
    }
    Some(Directive {
        crop: always?,
        bed,
        kind: DirectiveKind::Always {
            strips: strips?,
            from: from?,
            to: to?,
            missing_money: f.number("missing_money")?,
        },
    })
}

/// Complains about an `always` that a `never` forbids.
pub fn no_contradiction(
    records: &[Fields],
    directives: &[Option<Directive>],
    problems: &mut Problems,
) {
    let forbids = |d: &Directive, crop, bed| {
        d.kind == DirectiveKind::Never && d.crop == crop && (d.bed.is_none() || d.bed == bed)
    };
    for (record, directive) in records.iter().zip(directives) {
        let Some(asked) = directive else { continue };
        if asked.kind == DirectiveKind::Never {
            continue;
        }
        if directives
            .iter()
            .flatten()
            .any(|d| forbids(d, asked.crop, asked.bed))
        {
            let message = "another directive says never".to_string();
            complain(
                record,
                "always",
                P412,
                message,
                "remove one of the two",
                problems,
            );
        }
    }
}
