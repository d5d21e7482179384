//! The tables of a file of events: what happened that the plan did not foresee, and what was
//! harvested.

use super::*;
use crate::input::schema::{Record, preset, required};

/// Kinds of events, as written, with the keys that each needs and those it may have besides.
/// `date` and `what` belong to all.
pub const HAPPENINGS: &[(&str, &[&str], &[&str])] = &[
    ("lost", &[], WHICH_LOST),
    ("not up", &[], WHICH_LOST),
    ("bolted", &[], WHICH_LOST),
    ("frosted", &[], WHICH_LOST),
    ("late", &["weeks"], WHICH),
    ("early", &["weeks"], WHICH),
    ("yield", &["of_forecast"], WHICH),
    ("not sown", &[], WHICH),
    (
        "sown",
        &[],
        &["planting", "crop", "raising", "bed", "strips"],
    ),
    (
        "planted",
        &[],
        &["planting", "crop", "bed", "strips", "sown"],
    ),
    ("cover broken", &["cover"], &["count", "bed"]),
    ("cover bought", &["cover"], &["count"]),
    ("bed out", &["bed", "to"], &["from"]),
    ("bed back", &["bed"], &[]),
    ("need", &["times"], &["food", "from", "to"]),
    ("shelf failure", &[], &["part", "from", "to", "share"]),
    ("shelf back", &[], &["part"]),
];

/// Keys that say which plantings are meant.
const WHICH: &[&str] = &["planting", "crop", "bed"];
const WHICH_LOST: &[&str] = &["planting", "crop", "bed", "share", "cause"];

/// The same kinds as words to choose from; a test holds both lists together.
const WORDS: &[&str] = &[
    "lost",
    "not up",
    "bolted",
    "frosted",
    "late",
    "early",
    "yield",
    "not sown",
    "sown",
    "planted",
    "cover broken",
    "cover bought",
    "bed out",
    "bed back",
    "need",
    "shelf failure",
    "shelf back",
];

/// Parts of the shelf, as written.
const PARTS: &[&str] = &["lit", "unlit", "both"];

pub static EVENTS: Record = Record {
    title: "Events file",
    stands: "",
    attributes: &[
        optional(
            "events",
            Kind::Records(&EVENT, 1_000),
            "what happened that the plan did not foresee",
        ),
        optional(
            "harvests",
            Kind::Records(&HARVEST, 10_000),
            "what was taken, planting by planting",
        ),
    ],
};

static EVENT: Record = Record {
    title: "Event",
    stands: "events",
    attributes: &[
        required("date", Kind::Date, "day on which it happened or was seen"),
        required("what", Kind::Choice(WORDS), "what happened"),
        optional(
            "planting",
            Kind::Name("planting"),
            "number of a planting in the plan, such as P012, or name of one that stood at the start",
        ),
        optional(
            "share",
            Kind::Number(range(0.0, 1.0, "")),
            "share of the plants that is gone; all of them when left out (shelf failure: none)",
        ),
        optional("cause", Kind::Text, "what did it, for the report"),
        optional(
            "weeks",
            Kind::Whole(range(1.0, 26.0, "weeks")),
            "late, early: how many weeks' growth it is behind or ahead",
        ),
        optional(
            "of_forecast",
            Kind::Number(range(0.0, 5.0, "")),
            "yield: what is still to come, in parts of what was forecast",
        ),
        optional(
            "crop",
            Kind::Name("crop"),
            "instead of planting: all plantings of that crop there at the time (in that bed); sown, \
             planted: the crop; that of the planting when left out",
        ),
        optional(
            "raising",
            Kind::Choice(METHODS),
            "sown: how it is raised; as planned, or the only way, when left out",
        ),
        optional(
            "sown",
            Kind::Week,
            "planted: week of its sowing; that of the planting when left out",
        ),
        optional(
            "bed",
            Kind::Name("bed"),
            "bed it is about; sown, planted: that of the planting when left out",
        ),
        optional(
            "strips",
            Kind::WholePair(range(1.0, 60.0, "")),
            "sown, planted: first and last strip; those of the planting when left out",
        ),
        optional("cover", Kind::Name("cover"), "kind of cover"),
        preset(
            "count",
            Kind::Whole(range(1.0, 1_000.0, "")),
            "1",
            "covers broken or bought",
        ),
        optional(
            "food",
            Kind::Name("food"),
            "need: food; all foods and the level when left out",
        ),
        optional(
            "times",
            Kind::Number(range(0.0, 20.0, "")),
            "need: so many times the scenario's need; 0.75 when one household of four leaves",
        ),
        optional(
            "part",
            Kind::Choice(PARTS),
            "shelf failure, shelf back: part of the shelf; both when left out",
        ),
        optional(
            "from",
            Kind::Week,
            "first week of it; the week of the date when left out",
        ),
        optional(
            "to",
            Kind::Week,
            "last week of it; need: to the end when left out; shelf failure: mended at once",
        ),
    ],
};

static HARVEST: Record = Record {
    title: "Harvest record",
    stands: "harvests",
    attributes: &[
        required("date", Kind::Date, "day of the harvest"),
        optional(
            "planting",
            Kind::Name("planting"),
            "number or name of the planting, as in events",
        ),
        optional(
            "crop",
            Kind::Name("crop"),
            "instead of planting: all plantings of that crop in the ground (in that bed)",
        ),
        optional(
            "bed",
            Kind::Name("bed"),
            "with crop: only those in that bed",
        ),
        required(
            "amount",
            Kind::Number(range(0.0, 10_000.0, "")),
            "what was taken, in the unit of the food",
        ),
    ],
};

/// Most plantings or entries that a record may count.
const COUNTED: Range = range(0.0, 100_000.0, "");

pub static EXPERIENCE: Record = Record {
    title: "Experience",
    stands: "experience",
    attributes: &[
        required("crop", Kind::Name("crop"), "crop"),
        required("way", Kind::Name("way"), "way of its harvest"),
        preset(
            "yield_ratio",
            Kind::Number(range(0.0, 10.0, "")),
            "1",
            "harvest on record in parts of the model's usual yield",
        ),
        preset(
            "plantings",
            Kind::Whole(COUNTED),
            "0",
            "plantings whose harvest is on record; the more, the nearer to the record is what is used",
        ),
        preset(
            "records",
            Kind::Whole(COUNTED),
            "0",
            "entries of the record",
        ),
        preset(
            "ready_ratio",
            Kind::Number(range(0.1, 10.0, "")),
            "1",
            "growth units to the first harvest on record, in parts of the model's",
        ),
        preset(
            "first_harvests",
            Kind::Whole(COUNTED),
            "0",
            "plantings whose first harvest is on record",
        ),
    ],
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_can_be_chosen_and_has_known_keys() {
        let kinds: Vec<&str> = HAPPENINGS.iter().map(|(word, ..)| *word).collect();
        assert_eq!(kinds, WORDS);
        for (_, needs, may) in HAPPENINGS {
            for key in needs.iter().chain(*may) {
                assert!(EVENT.attribute(key).is_some(), "{key}");
            }
        }
    }
}
