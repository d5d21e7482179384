//! The sowing weeks to which a holding keeps itself, within those of the models.

use super::names::{Names, complain};
use crate::domain::Crop;
use crate::input::code::P418;
use crate::input::diagnostic::Problems;
use crate::input::fields::Fields;
use crate::units::{WeekOfYear, WeeksOfYear};

/// Narrows the raisings of the crops that the records name. A raising without any week left is
/// not used any more; a crop without any is an error.
pub fn narrow(
    records: &[Fields],
    names: &Names,
    crops: &mut [Option<Crop>],
    problems: &mut Problems,
) {
    for f in records {
        let Some(index) = names.find(&f.name, "sow", f.at, problems) else {
            continue;
        };
        let (Some(crop), true) = (&mut crops[index], f.reads("weeks")) else {
            continue;
        };
        let weeks = WeeksOfYear::of_spans(f.spans("weeks"));
        for raising in &mut crop.raisings {
            raising.sow_only = weeks;
        }
        let may_sow = |week| crop.raisings.iter().any(|raising| raising.may_sow(week));
        if !(1..=53).filter_map(WeekOfYear::new).any(may_sow) {
            let spans = crop
                .raisings
                .iter()
                .map(|r| format!("{} to {}", r.sow_from, r.sow_to));
            let message = format!(
                "none of them is a sowing week of {}, {}",
                crop.name,
                spans.collect::<Vec<_>>().join(", ")
            );
            let help = "choose weeks among these, or widen sow of its raisings under models; a \
                        crop that is not to be grown has a directive never";
            complain(f, "weeks", P418, message, help, problems);
        }
    }
}
