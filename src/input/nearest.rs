//! The nearest legal spelling of an unknown key or name.

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

/// `did you mean "x"?`, or else the list of what is legal.
pub fn advice(word: &str, legal: &[&str]) -> String {
    /// Names listed in full up to this many.
    const LISTED: usize = 24;
    match nearest(word, legal.iter().copied()) {
        Some(name) => format!("did you mean \"{name}\"?"),
        None if legal.is_empty() => "none is defined".into(),
        None if legal.len() <= LISTED => format!("allowed are: {}", legal.join(", ")),
        None => format!(
            "there are {} to choose from, for example {}",
            legal.len(),
            legal[..LISTED].join(", ")
        ),
    }
}
