//! Wording that every written form shares: amounts, strip numbers, months, settings.

use crate::domain::Setting;
use crate::units::Week;
use chrono::Datelike;

/// An amount as a person would say it: three figures, no trailing zeros.
pub fn amount(value: f64) -> String {
    let places = match value.abs() {
        v if v >= 99.95 => 0,
        v if v >= 9.995 => 1,
        _ => 2,
    };
    let text = format!("{value:.places$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_string()
    } else {
        text
    };
    if text == "-0" { "0".to_string() } else { text }
}

/// Strip numbers, neighbours taken together, each run joined by `dash`: `1-3, 7`.
pub fn strips(numbers: &[u32], dash: &str) -> String {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for &n in numbers {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == n => *last = n,
            _ => runs.push((n, n)),
        }
    }
    let parts: Vec<String> = runs
        .into_iter()
        .map(|(a, b)| {
            if a == b {
                a.to_string()
            } else {
                format!("{a}{dash}{b}")
            }
        })
        .collect();
    parts.join(", ")
}

/// `strip` or `strips`, by their number.
pub fn strip_noun(count: usize) -> &'static str {
    if count == 1 { "strip" } else { "strips" }
}

/// A number with its noun, in the plural where it must be.
pub fn counted(count: usize, noun: &str) -> String {
    let plural = if count == 1 { "" } else { "s" };
    format!("{count} {noun}{plural}")
}

/// Year and month of a week's Monday.
pub fn month_of(week: Week) -> (i32, u32) {
    let monday = week.monday();
    (monday.year(), monday.month())
}

/// Three letters of the month's English name.
pub fn month_name(month: u32) -> &'static str {
    const NAMES: [&str; 12] = [
        "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
    ];
    NAMES[month as usize - 1]
}

/// What a bed is.
pub fn setting(setting: Setting) -> &'static str {
    match setting {
        Setting::Open => "in the open",
        Setting::Tunnel => "polytunnel border",
        Setting::Container => "container",
        Setting::Basket => "hanging basket",
    }
}

/// A name among other words: one that is not plain ASCII is kept from turning the words around it
/// (Unicode Standard Annex 9: first strong isolate).
pub fn isolated(name: &str) -> String {
    match name.is_ascii() {
        true => name.to_string(),
        false => format!("\u{2068}{name}\u{2069}"),
    }
}

/// Money with two places.
pub fn money(value: f64) -> String {
    let text = format!("{value:.2}");
    if text == "-0.00" {
        "0.00".to_string()
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_have_three_figures() {
        for (value, text) in [
            (0.0, "0"),
            (-1e-9, "0"),
            (0.125, "0.12"),
            (3.0, "3"),
            (12.34, "12.3"),
            (99.96, "100"),
            (1234.5, "1234"),
        ] {
            assert_eq!(amount(value), text, "{value}");
        }
    }

    #[test]
    fn neighbouring_strips_are_taken_together() {
        assert_eq!(strips(&[1, 2, 3, 7, 9, 10], "-"), "1-3, 7, 9-10");
        assert_eq!(strips(&[], "-"), "");
    }
}
