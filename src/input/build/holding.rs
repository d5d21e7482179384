//! Beds, what stands in them, the shelf: checked records to domain values.

use super::names::{Names, complain};
use super::{setting, setting_word};
use crate::domain::*;
use crate::input::code::*;
use crate::input::diagnostic::Problems;
use crate::input::fields::Fields;
use crate::units::Week;

/// Area of a strip where the number of strips is left out, m² (see docs/method).
const STRIP_M2: f64 = 0.5;
/// Most strips in a bed; the same as in the table.
const MAX_STRIPS: f64 = 60.0;

pub fn bed(
    f: &Fields,
    start: Option<Week>,
    families: &Names,
    covers: &Names,
    problems: &mut Problems,
) -> Option<Bed> {
    let setting = f.word("setting").map(setting);
    if f.has("indoors") && matches!(setting, Some(Setting::Open | Setting::Tunnel)) {
        let message = "only containers and baskets are moved indoors".to_string();
        complain(f, "indoors", V304, message, "remove it", problems);
    }
    let covered_by = covers.find_in(f, "covered_by", problems);
    let size = f.number("length_m").zip(f.number("width_m"));
    let strips = if f.has("strips") {
        f.whole("strips")
    } else {
        size.map(|(l, w)| (l * w / STRIP_M2).round().clamp(1.0, MAX_STRIPS) as u32)
    };
    let history: Vec<_> = f
        .records("history")
        .iter()
        .map(|past| past_crop(past, start, strips, families, problems))
        .collect();
    let (length_m, width_m) = size?;
    let mut history = history.into_iter().collect::<Option<Vec<PastCrop>>>()?;
    history.sort_by_key(|past| (past.cleared, past.family, past.strips));
    let indoors = f.spans("indoors").iter();
    let mut indoors: Vec<Period> = indoors.map(|&(from, to)| Period { from, to }).collect();
    indoors.sort();
    Some(Bed {
        name: f.name.clone(),
        setting: setting?,
        length_m,
        width_m,
        strips: strips?,
        exposure: f.number("exposure")?,
        indoors,
        covered_by,
        history,
    })
}

fn past_crop(
    f: &Fields,
    start: Option<Week>,
    bed_strips: Option<u32>,
    families: &Names,
    problems: &mut Problems,
) -> Option<PastCrop> {
    let family = families.find_in(f, "family", problems);
    let cleared = f.week("cleared");
    if let (Some(cleared), Some(start)) = (cleared, start)
        && cleared >= start
    {
        let message = format!("{cleared} is not before the start, {start}");
        complain(
            f,
            "cleared",
            P405,
            message,
            "a crop still there belongs under standing",
            problems,
        );
    }
    let strips = if f.has("strips") {
        strips(f, bed_strips, problems)
    } else {
        bed_strips.map(|count| Strips { first: 0, count })
    };
    Some(PastCrop {
        family: family?,
        cleared: cleared?,
        strips: strips?,
    })
}

/// Strips `[first, last]` as written, checked against the bed.
fn strips(f: &Fields, bed_strips: Option<u32>, problems: &mut Problems) -> Option<Strips> {
    let (first, last) = f.pair("strips")?;
    let count = bed_strips?;
    if last > count {
        let message = format!("[{first}, {last}] reaches beyond the bed's {count} strips");
        complain(
            f,
            "strips",
            P401,
            message,
            &format!("strips are numbered 1 to {count}"),
            problems,
        );
        return None;
    }
    Some(Strips {
        first: first - 1,
        count: last - first + 1,
    })
}

/// What a standing planting is checked against.
pub struct Ground<'a> {
    pub start: Option<Week>,
    pub bed_names: &'a Names,
    pub beds: &'a [Option<Bed>],
    /// Index of every crop of the models, and the crops themselves.
    pub crop_names: &'a Names,
    pub crops: &'a [Option<Crop>],
    pub crop_records: &'a [Fields],
}

/// A standing planting; crop and way are indices among all that the models know.
pub fn standing(f: &Fields, ground: &Ground, problems: &mut Problems) -> Option<Standing> {
    let bed = ground.bed_names.find_in(f, "bed", problems);
    let crop = ground.crop_names.find_in(f, "crop", problems);
    let bed_value = bed.and_then(|b| ground.beds[b].as_ref());
    let strips = strips(f, bed_value.map(|b| b.strips), problems);
    let mut way = None;
    if let Some(crop) = crop {
        let records = ground.crop_records[crop].records("ways");
        let names = Names::new("way", records.iter().filter_map(|w| w.text("name")));
        way = names.find_in(f, "way", problems);
    }
    if let (Some(bed), Some(crop)) = (bed_value, crop.and_then(|c| ground.crops[c].as_ref())) {
        fits_setting(f, "bed", crop, bed, problems);
    }
    let sown = f.week("sown");
    let planted = if f.has("planted") {
        f.week("planted")
    } else {
        sown
    };
    if let (Some(sown), Some(planted)) = (sown, planted)
        && planted < sown
    {
        let message = format!("{planted} is before it was sown, {sown}");
        complain(
            f,
            "planted",
            P403,
            message,
            "correct one of the two weeks",
            problems,
        );
    }
    if let (Some(planted), Some(start)) = (planted, ground.start)
        && planted > start
    {
        let key = if f.has("planted") { "planted" } else { "sown" };
        let message = format!("{planted} is after the start, {start}");
        complain(
            f,
            key,
            P403,
            message,
            "list only what is in the ground by the start",
            problems,
        );
    }
    Some(Standing {
        name: f.name.clone(),
        bed: bed?,
        strips: strips.map(|s| (s.first..s.first + s.count).collect())?,
        crop: crop?,
        way,
        sown: sown?,
        planted: planted?,
        share: f.number("share")?,
        taken: f.number("taken")?,
        ready_by: ground
            .start
            .filter(|_| f.number("taken") > Some(0.0))
            .map(|start| start.plus(-1)),
        keep: f.flag("keep")?,
    })
}

/// Complains when the crop does not grow in that kind of bed.
pub fn fits_setting(f: &Fields, key: &str, crop: &Crop, bed: &Bed, problems: &mut Problems) {
    if !crop.settings.contains(&bed.setting) {
        let (name, setting) = (&bed.name, setting_word(bed.setting));
        let message = format!(
            "{} does not grow in {name}, which is of the setting {setting}",
            crop.name
        );
        let known: Vec<_> = crop.settings.iter().map(|&s| setting_word(s)).collect();
        let help = format!(
            "it grows in {}; choose such a bed or override its settings under models.crops",
            known.join(", ")
        );
        complain(f, key, P404, message, &help, problems);
    }
}

/// Complains where a plan is to plant what stands for years: plans keep what there is of it and plant none anew.
pub fn planted_anew(f: &Fields, key: &str, crop: &Crop, code: Code, problems: &mut Problems) {
    if crop.perennial.is_some() {
        let message = format!(
            "\"{}\" stands for years, and a plan plants none of it anew",
            crop.name
        );
        let help = "leave it out; plant it yourself, record that as an event (what: planted), and it stands from then on";
        complain(f, key, code, message, help, problems);
    }
}

/// Complains where two standing plantings share a strip.
pub fn no_overlap(records: &[Fields], standing: &[Option<Standing>], problems: &mut Problems) {
    for (i, later) in standing.iter().enumerate() {
        let Some(later) = later else { continue };
        let clash = standing[..i].iter().flatten().find(|earlier| {
            let shared = earlier.strips.iter().any(|s| later.strips.contains(s));
            earlier.bed == later.bed && shared
        });
        if let Some(earlier) = clash {
            let ends = (earlier.strips.first()).zip(earlier.strips.last());
            let (first, last) = ends.map_or((0, 0), |(first, last)| (first + 1, last + 1));
            let message = format!(
                "\"{}\" stands on strips {first} to {last} of the same bed",
                earlier.name
            );
            complain(
                &records[i],
                "strips",
                P402,
                message,
                "give each strip to one planting",
                problems,
            );
        }
    }
}

/// The shelf; without one there is no space.
pub fn shelf(f: Option<&Fields>) -> Option<Shelf> {
    let Some(f) = f else {
        return Some(Shelf {
            lit_m2: 0.0,
            unlit_m2: 0.0,
            day_c: 0.0,
            night_c: 0.0,
            lamp_mj: 0.0,
            transmission: 0.0,
        });
    };
    Some(Shelf {
        lit_m2: f.number("lit_m2")?,
        unlit_m2: f.number("unlit_m2")?,
        day_c: f.number("day_c")?,
        night_c: f.number("night_c")?,
        lamp_mj: f.number("lamp_mj")?,
        transmission: f.number("transmission")?,
    })
}

/// Checks covers against beds: each must fit somewhere, and what lies on beds must fit and suffice.
pub fn covers_on_beds(
    covers: &[Option<Cover>],
    cover_records: &[Fields],
    beds: &[Option<Bed>],
    bed_records: &[Fields],
    problems: &mut Problems,
) {
    let fits = |cover: &Cover, bed: &Bed| {
        cover.settings.contains(&bed.setting)
            && bed.length_m <= cover.max_length_m
            && bed.width_m <= cover.max_width_m
    };
    // A bed that could not be read might be the one that fits.
    let all_read = beds.iter().all(Option::is_some);
    for (index, cover) in covers.iter().enumerate() {
        let Some(cover) = cover else { continue };
        if all_read && cover.count > 0 && !beds.iter().flatten().any(|b| fits(cover, b)) {
            problems.add(
                P407,
                cover_records[index].at,
                format!("{} fits none of the beds", cover_records[index].path),
                format!(
                    "it fits beds up to {} m by {} m; check its settings and the beds, or remove it",
                    cover.max_length_m, cover.max_width_m
                ),
            );
        }
        let mut used = 0;
        for (bed, record) in beds.iter().zip(bed_records) {
            let Some(bed) = bed else { continue };
            if bed.covered_by != Some(index) {
                continue;
            }
            used += 1;
            if !fits(cover, bed) {
                let fitting: Vec<_> = cover.settings.iter().map(|&s| setting_word(s)).collect();
                let message = format!(
                    "{} fits {} beds up to {} m by {} m, this is {}, {} m by {} m",
                    cover.name,
                    fitting.join(" and "),
                    cover.max_length_m,
                    cover.max_width_m,
                    setting_word(bed.setting),
                    bed.length_m,
                    bed.width_m
                );
                complain(
                    record,
                    "covered_by",
                    P408,
                    message,
                    "check the cover's settings and sizes",
                    problems,
                );
            }
            if used > cover.count {
                let message = format!(
                    "{} of {} to hand lie on beds already",
                    cover.count, cover.name
                );
                complain(
                    record,
                    "covered_by",
                    P409,
                    message,
                    "raise the count or take one off",
                    problems,
                );
            }
        }
    }
}
