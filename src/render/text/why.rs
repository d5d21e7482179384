//! Why a food is short, why a crop is not grown: the answer first, then how it could be, and what was
//! tried.

use super::lines::{amount, title, wrap};
use crate::explain::{Change, Easiest, MissedMust, Obstacle, Tried, WayIn, WhyNot, WhyShort};
use crate::render::words::counted;

/// Amounts below this are none.
const NONE: f64 = 1e-6;
/// Money below this is shown as none.
const CENT: f64 = 0.005;
/// Changes told of each plan tried.
const CHANGES: usize = 6;
/// Plantings named in the way of one way.
const NAMED: usize = 4;

/// Why a food is short.
pub fn why_short(w: &WhyShort) -> String {
    let (food, unit, week) = (&w.food, &w.unit, w.week);
    let need = if w.eaten + NONE < w.floor {
        format!("of a floor of {} {unit}", amount(w.floor))
    } else {
        format!("of a wish of {} {unit}", amount(w.wish))
    };
    let eaten = amount(w.eaten);
    let mut out = if w.missing <= NONE {
        wrap(
            "",
            &format!("{food} in {week}: {eaten} {need} eaten; nothing is missing."),
        )
    } else {
        let missing = amount(w.missing);
        wrap(
            "",
            &format!("{food} in {week}: {eaten} {need} eaten, {missing} {unit} missing."),
        )
    };
    out += &title("Why");
    out += &wrap("  ", &short_answer(w));
    out += &ways(
        &format!("What could be eaten in {week} if sown from the start on"),
        &w.ways,
        unit,
    );
    if !w.before_start.is_empty() {
        out += &ways(
            "What would have had to be sown before the start",
            &w.before_start,
            unit,
        );
    }
    let measured = |units: f64| format!("{} {unit}", amount(units));
    out += &tried(w.as_is.as_ref(), &w.without, &measured, &w.currency);
    out
}

/// Why a crop is not grown.
pub fn why_not(w: &WhyNot) -> String {
    let mut place = String::new();
    if let Some(bed) = &w.bed {
        place += &format!(" in {bed}");
    }
    if let Some(week) = w.week {
        place += &format!(", planted in {week}");
    }
    let mut out = wrap(
        "",
        &format!(
            "{}{place}: the plan begins {}, {} asked for.",
            w.crop,
            counted(w.planned as usize, "strip"),
            w.strips
        ),
    );
    out += &title("Why");
    let answer = if w.planned >= w.strips {
        "It is grown there.".to_string()
    } else if w.ways.is_empty() && !w.without.iter().any(Tried::had) {
        format!(
            "No planting of {}{place} can succeed: by its sowing weeks, the settings it grows in and \
             the climate there is no candidate. `bedweek calendar` tells what comes of each sowing.",
            w.crop
        )
    } else {
        answer(w.as_is.as_ref(), &w.without, &w.currency)
    };
    out += &wrap("  ", &answer);
    out += &ways("How it could be grown", &w.ways, "");
    let strips = |count: f64| counted(count.round() as usize, "strip");
    out += &tried(w.as_is.as_ref(), &w.without, &strips, &w.currency);
    out
}

fn short_answer(w: &WhyShort) -> String {
    if w.missing <= NONE {
        return "Its need is met.".to_string();
    }
    // What stands already may give it too, if it is left to.
    let mut tried = w.as_is.iter().chain(&w.without);
    if w.ways.is_empty() && !tried.any(Tried::had) {
        let last = w.before_start.iter().map(|way| way.sown.1).max();
        return match last {
            Some(last) => format!(
                "Time: no planting begun from the start on is ready then. It would have had to be \
                 sown by {last}, before the plan begins; now it can only be bought or done without."
            ),
            None => {
                "No crop that the scenario uses can be eaten then, whenever it is sown. Another \
                     crop, a cover or a food that keeps would have to serve. `bedweek check` names \
                     crops that cannot be grown here at all, and what they want for."
                    .to_string()
            }
        };
    }
    answer(w.as_is.as_ref(), &w.without, &w.currency)
}

/// What the plans tried say.
fn answer(as_is: Option<&Tried>, without: &[Tried], currency: &str) -> String {
    let Some(as_is) = as_is else {
        return "Nothing was solved again; what stands in the way of each planting is told below."
            .to_string();
    };
    if as_is.had() {
        let interval = match (as_is.cost_at_least, as_is.cost_at_most) {
            (Some(least), Some(most)) => {
                format!(" (proven: between {least:.2} and {:.2})", most.max(least))
            }
            _ => String::new(),
        };
        return if as_is.cost.abs() < CENT {
            format!(
                "It costs nothing: there is a plan that has it and is worth as much{interval}. Of plans \
                 worth the same the search takes one."
            )
        } else if as_is.cost > 0.0 {
            format!(
                "It does not pay. There is a plan that has it, and it is worth {:.2} {currency} \
                 less{interval}: what gives way is told below.",
                as_is.cost
            )
        } else {
            format!(
                "There is a plan that has it and is worth {:.2} {currency} more{interval}. The search ended within \
                 its gap before it came upon it; plan again with a smaller --gap.",
                -as_is.cost
            )
        };
    }
    let gone: Vec<&str> = names(without, Tried::had);
    let less: Vec<&str> = names(without, |t| {
        t.missing > NONE && t.missing < as_is.missing - NONE
    });
    let mut text = String::new();
    if !gone.is_empty() {
        text += &format!(
            "In the way: {}. Without {}, solving again gives all that is missing; as things are, not \
             at any price.",
            gone.join(", "),
            match gone[..] {
                ["covers" | "musts"] => "them",
                [_] => "it",
                _ => "any one of them",
            }
        );
    }
    let off_musts = without.iter().find(|t| t.without == Some(Obstacle::Musts));
    if let Some(off) = off_musts.filter(|t| t.had() && !t.missed_musts.is_empty()) {
        text += &format!(" Having it breaks a must: {}.", missed(&off.missed_musts));
    }
    if !less.is_empty() {
        text += &format!(" Less is missing without: {}.", less.join(", "));
    }
    if text.is_empty() {
        text = "No single obstacle: with it at any price, and with each obstacle taken away by \
                itself, as much is missing. Several stand together, or too little is ready then."
            .to_string();
    }
    text.trim_start().to_string()
}

fn names(tries: &[Tried], is: impl Fn(&Tried) -> bool) -> Vec<&'static str> {
    tries
        .iter()
        .filter(|t| is(t))
        .filter_map(|t| t.without)
        .map(word)
        .collect()
}

fn word(obstacle: Obstacle) -> &'static str {
    match obstacle {
        Obstacle::Ground => "ground",
        Obstacle::Covers => "covers",
        Obstacle::Rotation => "rotation",
        Obstacle::Shelf => "shelf",
        Obstacle::Work => "work",
        Obstacle::Share => "the limit on one crop's share",
        Obstacle::Never => "what is ruled out by never",
        Obstacle::Musts => "musts",
    }
}

fn ways(head: &str, ways: &[WayIn], unit: &str) -> String {
    let mut out = title(head);
    if ways.is_empty() {
        out += "  none\n";
    }
    for way in ways {
        let mut text = way.crop.clone();
        for part in [&way.way, &way.raising].into_iter().flatten() {
            text += &format!(", {part}");
        }
        text += &format!(", {}", way.place);
        if let Some(cover) = &way.cover {
            text += &format!(" under {cover}");
        }
        text += &format!(": sown {}", span(way.sown));
        if way.planted != way.sown {
            text += &format!(", planted {}", span(way.planted));
        }
        if way.units_per_m2 > 0.0 {
            text += &format!(
                "; up to {} {unit} a m2 in that week",
                amount(way.units_per_m2)
            );
        }
        if let Some(m2) = way.m2_needed {
            text += &format!(", so {} m2", amount(m2));
        }
        out += &wrap("  ", &text);
        if let Some(easiest) = &way.easiest {
            out += &wrap("      ", &in_the_way(easiest));
        }
    }
    out
}

fn span<T: PartialEq + std::fmt::Display>((from, to): (T, T)) -> String {
    if from == to {
        from.to_string()
    } else {
        format!("{from} to {to}")
    }
}

fn in_the_way(easiest: &Easiest) -> String {
    let place = format!(
        "least in the way in {} ({}), planted {}, cleared {}",
        easiest.bed,
        counted(easiest.strips, "strip"),
        easiest.planted,
        easiest.cleared
    );
    if easiest.in_the_way.is_empty() {
        return format!("{place}: nothing; there is room for it");
    }
    let parts: Vec<String> = (easiest.in_the_way.iter())
        .map(|way| {
            let mut by: Vec<String> = way.by.iter().take(NAMED).cloned().collect();
            if way.by.len() > NAMED {
                by.push(format!("and {} more", way.by.len() - NAMED));
            }
            format!("{}: {}", word(way.obstacle), by.join(", "))
        })
        .collect();
    format!("{place}: {}", parts.join("; "))
}

fn tried(
    as_is: Option<&Tried>,
    without: &[Tried],
    measured: &dyn Fn(f64) -> String,
    currency: &str,
) -> String {
    let Some(as_is) = as_is else {
        return String::new();
    };
    let mut out = title("Solved again with it asked for at nearly any price");
    for tried in std::iter::once(as_is).chain(without) {
        let what = match tried.without {
            None => "as things are".to_string(),
            Some(obstacle) => format!("without {}", word(obstacle)),
        };
        let missing = if tried.missing <= NONE {
            "nothing is missing".to_string()
        } else {
            format!("{} missing", measured(tried.missing))
        };
        let mut text = format!("{what}: {missing}");
        if tried.without.is_none() && tried.had() {
            text += &match tried.cost {
                cost if cost.abs() < CENT => ", worth as much".to_string(),
                cost if cost < 0.0 => format!(", worth {:.2} {currency} more", -cost),
                cost => format!(", worth {cost:.2} {currency} less"),
            };
        }
        if !tried.missed_musts.is_empty() {
            text += &format!(", but musts are missed: {}", missed(&tried.missed_musts));
        }
        if !tried.finished {
            text += " (the search ended above its gap)";
        }
        let changes: Vec<String> = tried.changes.iter().take(CHANGES).map(change).collect();
        if !changes.is_empty() {
            text += &format!("; m2 begun: {}", changes.join(", "));
            if tried.changes.len() > CHANGES {
                text += &format!(" and {} more", tried.changes.len() - CHANGES);
            }
        }
        out += &wrap("  ", &text);
    }
    out
}

/// The musts missed, in words.
fn missed(musts: &[MissedMust]) -> String {
    let mut list: Vec<String> = (musts.iter().take(NAMED))
        .map(|m| {
            format!(
                "{} in {} ({} of {} {})",
                m.food,
                m.week,
                amount(m.eaten),
                amount(m.floor),
                m.unit
            )
        })
        .collect();
    if musts.len() > NAMED {
        list.push(format!("and {} more", musts.len() - NAMED));
    }
    list.join(", ")
}

fn change(change: &Change) -> String {
    format!(
        "{} {} to {}",
        change.crop,
        amount(change.before_m2),
        amount(change.after_m2)
    )
}
