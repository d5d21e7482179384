//! Names of candidates and products: readable, unique, fit for an LP file.

use super::season::Member;
use super::site::Pattern;
use crate::domain::{Method, Scenario};
use crate::units::Week;
use std::collections::BTreeSet;

/// Longest part of a name taken from a crop, a way, a cover, so that whole names stay short.
const LONGEST_CROP: usize = 18;
const LONGEST_WAY: usize = 7;
const LONGEST_COVER: usize = 10;
const LONGEST_NAME: usize = 79;
/// Longest part of a product's name.
const LONGEST_IN_PRODUCT: usize = 28;

/// Letters, digits and `_` only, cut to `longest`.
pub(super) fn plain(text: &str, longest: usize) -> String {
    text.chars()
        .map(|c| if c.is_ascii_alphanumeric() { c } else { '_' })
        .take(longest)
        .collect()
}

/// As [`plain`], beginning with a letter.
pub(super) fn leading(text: &str, longest: usize) -> String {
    let plain = plain(text, longest);
    if plain.starts_with(|c: char| c.is_ascii_alphabetic()) {
        plain
    } else {
        format!("n{plain}")
    }
}

/// Crop, way (where there are several), raising, weeks of sowing, planting and clearing.
pub(super) fn member(scenario: &Scenario, member: &Member) -> String {
    let crop = &scenario.crops[member.crop];
    let mut name = leading(&crop.name, LONGEST_CROP);
    if let Some(way) = member.way.filter(|_| crop.ways.len() > 1) {
        name += &format!(".{}", plain(&crop.ways[way].name, LONGEST_WAY));
    }
    if let Some(raising) = member.raising {
        let method = crop.raisings[raising].method;
        name += &format!(".{}.{}", word(method), week(member.sown));
        if method == Method::Modules {
            let light = if member.lit { "lit" } else { "unlit" };
            name += &format!(".{light}.{}", week(member.planted));
        }
    }
    name + &format!(".{}", week(member.cleared))
}

/// What lies on the bed while the planting is in it.
pub(super) fn pattern(scenario: &Scenario, pattern: &Pattern, start: usize, end: usize) -> String {
    match pattern.cover.filter(|_| pattern.touches(start, end)) {
        None => "bare".into(),
        Some(cover) => {
            let of_year = |index: usize| scenario.week(index).of_year();
            format!(
                "{}_{}_{}",
                plain(&scenario.covers[cover].name, LONGEST_COVER),
                of_year(pattern.on.max(start)),
                of_year(pattern.off.min(end))
            )
        }
    }
}

/// A crop and way of harvest.
pub(super) fn product(crop: &str, way: &str) -> String {
    format!(
        "{}.{}",
        leading(crop, LONGEST_IN_PRODUCT),
        plain(way, LONGEST_IN_PRODUCT)
    )
}

/// What is in store of a crop and way of harvest.
pub(super) fn product_in_store(crop: &str, way: &str) -> String {
    format!("{}.in_store", product(crop, way))
}

/// Makes names unique by numbering those that occur again, and keeps them short.
pub(super) fn make_unique<'a>(names: impl Iterator<Item = &'a mut String>) {
    let mut taken = BTreeSet::new();
    for name in names {
        name.truncate(LONGEST_NAME);
        let mut number = 2;
        while !taken.insert(name.clone()) {
            // A second round numbers the name as it was, not as numbered before.
            let stem = name
                .rsplit_once(".again")
                .map_or(&name[..], |(stem, _)| stem);
            let suffix = format!(".again{number}");
            let kept = stem.len().min(LONGEST_NAME - suffix.len());
            *name = format!("{}{suffix}", &stem[..kept]);
            number += 1;
        }
    }
}

/// The two members of a recipe: weeks of planting and clearing.
pub(super) fn recipe(recipe: &str, members: &[Member]) -> String {
    let weeks: String = members
        .iter()
        .map(|member| format!(".{}.{}", week(member.planted), week(member.cleared)))
        .collect();
    leading(recipe, LONGEST_CROP) + &weeks
}

/// A standing planting going on as `what`.
pub(super) fn standing(name: &str, what: &str) -> String {
    format!("now.{}.{what}", plain(name, LONGEST_CROP))
}

/// Year within the century and week: `27W05`.
fn week(week: Week) -> String {
    const CENTURY: i32 = 100;
    let (year, number) = week.iso();
    format!("{:02}W{number:02}", year % CENTURY)
}

fn word(method: Method) -> &'static str {
    match method {
        Method::Direct => "direct",
        Method::Modules => "modules",
        Method::Sets => "sets",
        Method::Tubers => "tubers",
        Method::Cloves => "cloves",
        Method::Crowns => "crowns",
    }
}
