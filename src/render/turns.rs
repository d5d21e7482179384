//! How the strips of a standing year take turns, in words.

use super::words::strips;
use crate::plan::YearPlan;

/// What the year is, then the sections of beds that have the same; nothing for a year with a beginning.
pub fn turns(plan: &YearPlan, dash: &str) -> Vec<String> {
    let Some(year) = &plan.standing_year else {
        return Vec::new();
    };
    let mut alike: Vec<(&Vec<Vec<u32>>, Vec<&str>)> = Vec::new();
    let mut still: Vec<String> = Vec::new();
    for entry in &year.sections {
        let same = alike
            .iter_mut()
            .find(|(sections, _)| **sections == entry.sections);
        if let [only] = &entry.sections[..] {
            still.push(format!("{} {}", entry.bed, strips(only, dash)));
        } else if let Some((_, beds)) = same {
            beds.push(&entry.bed);
        } else {
            alike.push((&entry.sections, vec![&entry.bed]));
        }
    }
    let mut lines = vec![
        "The year comes again for ever: after its last week comes its first. The next year is the same but for \
         the strips: each section of a bed takes over what the section after it did, strip by strip, and the last \
         one what the first did. So rotation goes round. It is shown in the first year that has no 53rd week \
         near it."
            .to_string(),
    ];
    for (sections, beds) in alike {
        let sections: Vec<String> = sections.iter().map(|s| strips(s, dash)).collect();
        lines.push(format!(
            "{}: sections {}",
            beds.join(", "),
            sections.join("; ")
        ));
    }
    if !still.is_empty() {
        lines.push(format!(
            "The same every year, strip by strip: {}",
            still.join("; ")
        ));
    }
    lines
}
