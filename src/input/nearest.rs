//! The nearest legal spelling of an unknown key or name.

use std::collections::BTreeSet;

/// Least likeness (Jaro-Winkler, 0 to 1) at which a spelling is offered; an estimate by trial.
const LIKE_ENOUGH: f64 = 0.75;

/// The candidate most like `word`; the first in order when two are equally near.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let word = word.to_lowercase();
    let mut best: Option<(f64, &str)> = None;
    for candidate in candidates {
        let likeness = strsim::jaro_winkler(&word, &candidate.to_lowercase());
        if likeness >= LIKE_ENOUGH && best.is_none_or(|(l, _)| likeness > l) {
            best = Some((likeness, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

/// The candidates that have all words of `word` among theirs, be it one or many that they speak of.
pub fn of_the_same_words<'a>(word: &str, candidates: &[&'a str]) -> Vec<&'a str> {
    let words = |name: &str| -> Vec<String> {
        let lower = name.to_lowercase();
        let parts = lower.split(|c: char| !c.is_alphanumeric());
        parts.filter(|w| !w.is_empty()).map(singular).collect()
    };
    let asked = words(word);
    let mut found: Vec<&str> = Vec::new();
    for &candidate in candidates {
        let its = words(candidate);
        if !asked.is_empty() && asked.iter().all(|w| its.contains(w)) {
            found.push(candidate);
        }
    }
    found
}

/// What a word of many is of one, by the usual endings; other words as they are.
fn singular(word: &str) -> String {
    if let Some(berry) = word.strip_suffix("ies") {
        return format!("{berry}y");
    }
    let hissing = ["oes", "shes", "ches", "xes", "sses"];
    let ending = match word {
        _ if hissing.iter().any(|ending| word.ends_with(ending)) => "es",
        _ if word.ends_with("ss") => "",
        _ => "s",
    };
    word.strip_suffix(ending).unwrap_or(word).to_string()
}

/// `did you mean "x" or "y"?`
pub fn did_you_mean(names: &[&str]) -> String {
    format!("did you mean \"{}\"?", names.join("\" or \""))
}

/// Advice where the name of a member is given in place of what it belongs to, of pairs of the two: a crop where its food
/// is asked for.
pub fn of_members(word: &str, members: &[(&str, &str)]) -> Option<String> {
    let names: Vec<&str> = members.iter().map(|(member, _)| *member).collect();
    let meant = of_the_same_words(word, &names);
    let its = members.iter().filter(|(member, _)| meant.contains(member));
    let of: BTreeSet<&str> = its.map(|(_, of)| *of).collect();
    let of: Vec<&str> = of.into_iter().collect();
    (!of.is_empty()).then(|| did_you_mean(&of))
}

/// `did you mean "x"?`, or else the list of what is legal.
pub fn advice(word: &str, legal: &[&str]) -> String {
    /// Names listed in full up to this many.
    const LISTED: usize = 24;
    let alike = of_the_same_words(word, legal);
    if (1..=LISTED).contains(&alike.len()) {
        return did_you_mean(&alike);
    }
    match nearest(word, legal.iter().copied()) {
        Some(name) => did_you_mean(&[name]),
        None if legal.is_empty() => "none is defined".into(),
        None if legal.len() <= LISTED => format!("allowed are: {}", legal.join(", ")),
        None => format!(
            "there are {} to choose from, for example {}",
            legal.len(),
            legal[..LISTED].join(", ")
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::{advice, of_members, singular};

    #[test]
    fn names_with_the_same_words_come_before_names_spelt_alike() {
        let crops = [
            "field beans",
            "climbing French beans",
            "dwarf French beans",
            "leeks",
        ];
        let of = |word: &str| advice(word, &crops);
        assert_eq!(
            of("french beans"),
            "did you mean \"climbing French beans\" or \"dwarf French beans\"?"
        );
        assert_eq!(of("beans (dwarf)"), "did you mean \"dwarf French beans\"?");
        assert_eq!(of("leaks"), "did you mean \"leeks\"?");
        assert_eq!(of("French bean"), of("french beans"));
        assert_eq!(of("leek"), "did you mean \"leeks\"?");
        let many = ["potatoes", "blackberries", "radishes", "cress"];
        for (one, all) in ["potato", "blackberry", "radish", "cress"].iter().zip(many) {
            assert_eq!(singular(all), *one);
            assert_eq!(singular(one), *one);
        }
        let foods = [("celeriac", "roots"), ("dwarf French beans", "green beans")];
        assert_eq!(
            of_members("French bean", &foods).as_deref(),
            Some("did you mean \"green beans\"?")
        );
        assert_eq!(of_members("rocket", &foods), None);
        assert!(of("()").starts_with("allowed are: "));
        assert_eq!(advice("x", &[]), "none is defined");
    }
}
