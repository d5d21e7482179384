//! The tables of a crop.

use super::*;
use crate::input::schema::{Record, preset, required};

/// Growth units: days of growth at the optimum in ample light.
const GROWTH: Range = range(0.0, 2_000.0, "growth units");

pub static CROP: Record = Record {
    title: "Crop",
    stands: "models.crops.NAME",
    attributes: &[
        required("family", Kind::Name("family"), "botanical family"),
        required(
            "settings",
            Kind::Choices(SETTINGS),
            "kinds of bed it grows in",
        ),
        required(
            "thermal",
            Kind::Record(&THERMAL),
            "how warmth and light drive its growth",
        ),
        required(
            "raisings",
            Kind::Records(&RAISING, 12),
            "ways of beginning a planting",
        ),
        optional(
            "ways",
            Kind::Records(&WAY, 12),
            "ways of harvest; none for a green manure",
        ),
        required(
            "killed_below_c",
            Kind::Number(WARMTH),
            "lowest air temperature it survives",
        ),
        optional(
            "hardiness_source",
            Kind::Text,
            "where that figure comes from",
        ),
        optional("bolting", Kind::Record(&BOLTING), "when it runs to seed"),
        optional(
            "vernalisation",
            Kind::Record(&VERNALISATION),
            "the cold it needs before it forms what is harvested",
        ),
        optional(
            "perennial",
            Kind::Record(&PERENNIAL),
            "for a plant that stands for years",
        ),
        required(
            "max_ground_weeks",
            Kind::Whole(range(1.0, 2_000.0, "weeks")),
            "longest time in the ground",
        ),
        preset(
            "credit_money_per_m2_week",
            Kind::Number(range(0.0, 100.0, "money/m²/week")),
            "0",
            "credit for ground covered by a green manure",
        ),
        required(
            "clear_minutes_per_m2",
            Kind::Number(MINUTES),
            "work of clearing one m²",
        ),
        CAUTIONS,
        SOURCE,
    ],
};

static THERMAL: Record = Record {
    title: "Thermal",
    stands: "models.crops.NAME.thermal",
    attributes: &[
        required(
            "base_c",
            Kind::Number(WARMTH),
            "temperature at or below which it does not grow",
        ),
        required(
            "optimum_c",
            Kind::Number(WARMTH),
            "temperature of fastest growth",
        ),
        required(
            "ceiling_c",
            Kind::Number(WARMTH),
            "temperature at or above which it does not grow",
        ),
        required(
            "half_light_mj",
            Kind::Number(range(0.1, 30.0, "MJ/m²/day")),
            "light at which growth is half of that in ample light",
        ),
        required(
            "emergence_base_c",
            Kind::Number(WARMTH),
            "base temperature of emergence",
        ),
        required(
            "emergence_cd",
            Kind::Number(range(0.0, 2_000.0, "°C d")),
            "thermal time from sowing to emergence above that base",
        ),
        SOURCE,
    ],
};

static RAISING: Record = Record {
    title: "Raising",
    stands: "models.crops.NAME.raisings",
    attributes: &[
        required("method", Kind::Choice(METHODS), "how a planting is begun"),
        required(
            "sow",
            Kind::Span,
            "first and last week of the year for sowing or setting",
        ),
        optional(
            "ready_units",
            Kind::Number(GROWTH),
            "growth units on the shelf until fit to plant; modules only",
        ),
        optional(
            "max_shelf_weeks",
            Kind::Whole(range(1.0, 52.0, "weeks")),
            "longest stay on the shelf; modules only",
        ),
        optional(
            "prick_out_weeks",
            Kind::Whole(range(1.0, 12.0, "weeks")),
            "weeks after sowing at which seedlings in a tray are pricked out into modules; left out \
             where seed goes into the modules themselves; modules only",
        ),
        optional(
            "shelf",
            Kind::Choice(&["either", "lit"]),
            "shelf it needs; modules only",
        ),
        optional(
            "plants_per_shelf_m2",
            Kind::Number(range(1.0, 10_000.0, "plants/m²")),
            "plants per m² of shelf; modules only",
        ),
        required(
            "plants_per_m2",
            Kind::Number(range(0.01, 10_000.0, "plants/m²")),
            "plants per m² of bed",
        ),
        required(
            "seeds_per_plant",
            Kind::Number(range(0.0, 1_000.0, "")),
            "seeds, sets, tubers used for one plant, spares included",
        ),
        required(
            "seed_money",
            Kind::Number(MONEY),
            "price of one seed, set, tuber",
        ),
        required(
            "sow_minutes_per_m2",
            Kind::Number(MINUTES),
            "work of sowing for one m² of bed",
        ),
        required(
            "plant_minutes_per_m2",
            Kind::Number(MINUTES),
            "work of planting out one m² of bed",
        ),
        SOURCE,
    ],
};

static WAY: Record = Record {
    title: "Way of harvest",
    stands: "models.crops.NAME.ways",
    attributes: &[
        required(
            "name",
            Kind::Name("way"),
            "name of the way, unique within the crop",
        ),
        required(
            "kind",
            Kind::Choice(&["picking", "standing", "clearing"]),
            "picked week by week, lifted as needed, or cleared at once",
        ),
        optional(
            "weeks",
            Kind::Whole(range(0.0, 104.0, "weeks")),
            "longest time it stands once ready; standing only",
        ),
        optional(
            "span_units",
            Kind::Number(range(0.1, 2_000.0, "growth units")),
            "growth units over which the whole yield is taken; picking only",
        ),
        required("food", Kind::Name("food"), "food it serves"),
        required(
            "ready_units",
            Kind::Number(GROWTH),
            "growth units from emergence (modules: from sowing) to the first harvest",
        ),
        required(
            "yield_per_m2",
            Kind::Numbers(range(0.0, 1_000.0, "units/m²"), 3),
            "low, usual and high yield over the whole harvest, in the unit of the food",
        ),
        required(
            "unit",
            Kind::Choice(UNITS),
            "unit of the yield, that of the food",
        ),
        required(
            "kg_per_unit",
            Kind::Number(range(0.001, 100.0, "kg")),
            "weight of one unit",
        ),
        required(
            "keeps_weeks",
            Kind::Whole(range(0.0, 104.0, "weeks")),
            "how long it keeps after harvest; 0: eaten in its week",
        ),
        required(
            "weekly_loss",
            Kind::Number(range(0.0, 0.9, "")),
            "share lost for each week kept",
        ),
        required(
            "harvest_minutes_per_unit",
            Kind::Number(MINUTES),
            "work of harvest for one unit",
        ),
        SOURCE,
    ],
};

static BOLTING: Record = Record {
    title: "Bolting",
    stands: "models.crops.NAME.bolting",
    attributes: &[
        required(
            "juvenile_units",
            Kind::Number(GROWTH),
            "growth units from which it feels cold and long days",
        ),
        required(
            "cold_weeks",
            Kind::Number(range(0.0, 52.0, "weeks")),
            "weeks of cold after which it will bolt; 0: needs no cold",
        ),
        required(
            "cold_c",
            Kind::Number(WARMTH),
            "weekly mean that counts as cold",
        ),
        required(
            "day_length_h",
            Kind::Number(range(0.0, 24.0, "h")),
            "day length beyond which it bolts",
        ),
        preset(
            "long_day_units",
            Kind::Number(GROWTH),
            "0",
            "growth units made in days that long before it bolts",
        ),
        SOURCE,
    ],
};

static VERNALISATION: Record = Record {
    title: "Vernalisation",
    stands: "models.crops.NAME.vernalisation",
    attributes: &[
        required(
            "juvenile_units",
            Kind::Number(GROWTH),
            "growth units from which it feels cold",
        ),
        required(
            "cold_weeks",
            Kind::Number(range(0.0, 52.0, "weeks")),
            "weeks of cold that it needs; ready_units count from then",
        ),
        required(
            "cold_c",
            Kind::Number(WARMTH),
            "weekly mean that counts as cold",
        ),
        SOURCE,
    ],
};

static PERENNIAL: Record = Record {
    title: "Perennial",
    stands: "models.crops.NAME.perennial",
    attributes: &[
        required(
            "harvest",
            Kind::Span,
            "first and last week of its harvest season",
        ),
        SOURCE,
    ],
};
