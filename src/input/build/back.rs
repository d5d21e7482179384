//! What is back in use must have been out of use, or about to be.

use super::event::Facts;
use super::names::complain;
use crate::domain::*;
use crate::input::code::E503;
use crate::input::diagnostic::Problems;
use crate::input::fields::Fields;

/// Complains of beds and parts of the shelf that are said to be back though they are not away; events in order of
/// time.
pub fn check(facts: &Facts, events: &[(&Fields, Event)], problems: &mut Problems) {
    let mut beds = facts.roster.closed_beds.clone();
    let mut shelf = facts.roster.closed_shelf.clone();
    for (f, event) in events {
        let (key, called) = match event.happening {
            Happening::BedBack { bed } => {
                let out = beds.iter().any(|c| c.bed == bed && c.to >= event.week);
                let bed = facts.scenario.beds[bed].name.clone();
                ("bed", (!out).then_some(bed))
            }
            Happening::ShelfBack { lit, unlit } => {
                let out = (shelf.iter()).any(|c| c.is_of(lit, unlit) && c.to >= event.week);
                let key = if f.has("part") { "part" } else { "what" };
                (key, (!out).then_some("that part of the shelf".into()))
            }
            _ => ("what", None),
        };
        if let Some(called) = called {
            let message = format!("{called} is not out of use in {}", event.week);
            let help = "correct the record, or write down first how it went out of use";
            complain(f, key, E503, message, help, problems);
        }
        ClosedBed::note(&mut beds, event);
        ClosedShelf::note(&mut shelf, event);
    }
}
