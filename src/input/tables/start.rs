//! The tables of what is to hand and decided on at the start.

use super::scenario::STRIPS;
use super::*;
use crate::input::schema::{Record, preset, required};

pub static IN_STORE: Record = Record {
    title: "Food in store",
    stands: "in_store.NAME",
    attributes: &[
        required("crop", Kind::Name("crop"), "crop it comes from"),
        required("way", Kind::Name("way"), "way of its harvest"),
        required(
            "amount",
            Kind::Number(range(0.0, 100_000.0, "units of the food")),
            "what is there on the Monday of the start",
        ),
        required("harvested", Kind::Week, "week in which it was harvested"),
    ],
};

pub static ON_SHELF: Record = Record {
    title: "Plants on the shelf",
    stands: "on_shelf.NAME",
    attributes: &[
        required("crop", Kind::Name("crop"), "crop"),
        preset(
            "raising",
            Kind::Name("raising"),
            "modules",
            "its raising: modules, or modules 2 and so on where it has several",
        ),
        preset("lit", Kind::Flag, "false", "whether it is under lamps"),
        required("sown", Kind::Week, "week in which it was sown"),
        required(
            "plants",
            Kind::Number(range(0.01, 1_000_000.0, "plants")),
            "how many plants there are",
        ),
    ],
};

pub static PLANNED: Record = Record {
    title: "Planting decided on",
    stands: "planned.NAME",
    attributes: &[
        required("bed", Kind::Name("bed"), "bed it is for"),
        required(
            "strips",
            Kind::Wholes(STRIPS),
            "its strips, each by its number",
        ),
        required("crop", Kind::Name("crop"), "crop"),
        RAISING,
        LIT,
        required("sown", Kind::Week, "week in which it is sown or set"),
        PLANTED,
        WAY,
        CLEARED,
        optional(
            "partner",
            Kind::Record(&PARTNER),
            "the second crop of a recipe, on the same strips",
        ),
        preset(
            "bought",
            Kind::Flag,
            "false",
            "whether its seed is bought already",
        ),
        optional(
            "under",
            Kind::Records(&UNDER, 50),
            "covers it is to be under",
        ),
    ],
};

const RAISING: Attribute = required(
    "raising",
    Kind::Name("raising"),
    "how it is begun: a method, numbered (modules 2) where the crop has several by it",
);
const LIT: Attribute = preset(
    "lit",
    Kind::Flag,
    "false",
    "whether it is raised under lamps; modules only",
);
const PLANTED: Attribute = optional(
    "planted",
    Kind::Week,
    "week in which it goes into the bed; as sown when left out",
);
const WAY: Attribute = optional(
    "way",
    Kind::Name("way"),
    "way of its harvest; may change freely",
);
const CLEARED: Attribute = optional(
    "cleared",
    Kind::Week,
    "first week in which its ground is free; may change freely",
);

static PARTNER: Record = Record {
    title: "Second crop of a planting decided on",
    stands: "planned.NAME.partner",
    attributes: &[
        required("crop", Kind::Name("crop"), "crop"),
        RAISING,
        LIT,
        required("sown", Kind::Week, "week in which it is sown or set"),
        PLANTED,
        WAY,
        CLEARED,
    ],
};

static UNDER: Record = Record {
    title: "Cover of a planting decided on",
    stands: "planned.NAME.under",
    attributes: &[
        required("cover", Kind::Name("cover"), "cover"),
        required("from", Kind::Week, "first week under it"),
        required("until", Kind::Week, "last week under it"),
    ],
};

/// Money per m² of bed.
const PER_M2: Range = range(0.0, 10_000.0, "money");

pub static CHANGES: Record = Record {
    title: "Changes",
    stands: "changes",
    attributes: &[
        preset(
            "drop_money_per_m2",
            Kind::Number(PER_M2),
            "1",
            "leaving out a planting whose seed is not bought",
        ),
        preset(
            "drop_bought_money_per_m2",
            Kind::Number(PER_M2),
            "1.5",
            "leaving out one whose seed is bought",
        ),
        preset(
            "drop_begun_money_per_m2",
            Kind::Number(PER_M2),
            "2.5",
            "leaving out one whose plants are on the shelf",
        ),
        preset(
            "move_money_per_m2",
            Kind::Number(PER_M2),
            "0.5",
            "planting the same sowing in another bed or week",
        ),
        preset(
            "add_money_per_m2",
            Kind::Number(PER_M2),
            "1",
            "a planting that was not decided on",
        ),
    ],
};
