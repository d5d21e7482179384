//! What events have taken away so far: no more can be lost, or broken, than there was.

use super::event::Facts;
use super::names::complain;
use crate::domain::*;
use crate::input::code::*;
use crate::input::diagnostic::Problems;
use crate::input::fields::Fields;
use crate::units::Week;

/// What has been taken away so far, by planting.
pub struct Tally {
    lost: Vec<f64>,
    /// Weeks by which each planting is late.
    pub late: Vec<i32>,
}

impl Tally {
    pub fn new(facts: &Facts) -> Tally {
        Tally {
            lost: vec![0.0; facts.roster.plantings.len()],
            late: vec![0; facts.roster.plantings.len()],
        }
    }

    /// Takes a share of each of the plantings away.
    pub fn lose(
        &mut self,
        facts: &Facts,
        f: &Fields,
        plantings: &[usize],
        share: f64,
        problems: &mut Problems,
    ) {
        for &planting in plantings {
            self.lost[planting] += share;
            // Shares are decimal fractions: their sums may be off in the last place.
            if self.lost[planting] > 1.0 + 1e-9 {
                let message = format!(
                    "with this, {:.0} % of {} is lost",
                    100.0 * self.lost[planting],
                    facts.called(planting)
                );
                let help = "shares are of the full stand and add up to 1 at most";
                let key = if f.has("share") { "share" } else { "what" };
                complain(f, key, E505, message, help, problems);
            }
        }
    }
}

/// Covers broken on a bed, where they must lie, or on none.
pub fn broken(
    facts: &Facts,
    f: &Fields,
    cover: CoverId,
    (bed, week): (Option<BedId>, Option<Week>),
    problems: &mut Problems,
) -> Option<Happening> {
    if let (Some(bed), Some(week)) = (bed, week) {
        let lies = (facts.roster.covers.iter())
            .any(|c| c.bed == bed && c.cover == cover && c.from <= week && week < c.until);
        if !lies {
            let message = format!(
                "no {} lies on {} in {week}",
                facts.scenario.covers[cover].name, facts.scenario.beds[bed].name
            );
            let help = "correct the bed, or leave it out when it lay on none";
            complain(f, "bed", E504, message, help, problems);
        }
    }
    Some(Happening::CoverBroken {
        cover,
        count: f.whole("count")?,
        bed,
    })
}

/// Complains where more covers break than there are by then, those bought before with them; events in order of time.
pub fn covers(facts: &Facts, events: &[(&Fields, Event)], problems: &mut Problems) {
    let kinds = &facts.scenario.covers;
    let mut had: Vec<u32> = kinds.iter().map(|kind| kind.count).collect();
    let mut gone = vec![0u32; kinds.len()];
    for (f, event) in events {
        match event.happening {
            Happening::CoverBought { cover, count } => {
                had[cover] = had[cover].saturating_add(count);
            }
            Happening::CoverBroken { cover, count, .. } => {
                gone[cover] = gone[cover].saturating_add(count);
                if gone[cover] > had[cover] {
                    let (gone, name, had) = (gone[cover], &kinds[cover].name, had[cover]);
                    let message = format!("{gone} of {name} broken, {had} to hand");
                    let key = if f.has("count") { "count" } else { "cover" };
                    complain(f, key, E505, message, "lower the count", problems);
                }
            }
            _ => {}
        }
    }
}
