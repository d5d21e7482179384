//! The tables of the other models: families, foods, covers, climates, recipes.

use super::*;
use crate::input::schema::{Record, preset, required};

/// What the files under `models/`, and `models` in a scenario, may hold.
pub static MODELS: Record = Record {
    title: "Models",
    stands: "models",
    attributes: &[
        optional("crops", Kind::Map(&CROP, 400), "crops by name"),
        optional(
            "families",
            Kind::Map(&FAMILY, 32),
            "botanical families by name",
        ),
        optional("foods", Kind::Map(&FOOD, 400), "foods by name"),
        optional("covers", Kind::Map(&COVER, 15), "covers by name"),
        optional(
            "tunnel",
            Kind::Record(&TUNNEL),
            "the air inside the polytunnel",
        ),
        optional("climates", Kind::Map(&CLIMATE, 100), "climates by name"),
        optional("recipes", Kind::Map(&RECIPE, 400), "recipes by name"),
    ],
};

pub static FAMILY: Record = Record {
    title: "Family and rotation",
    stands: "models.families.NAME, rotation.NAME",
    attributes: &[
        required(
            "break_weeks",
            Kind::Whole(range(0.0, 520.0, "weeks")),
            "weeks from clearing one member to planting the next on the same strip",
        ),
        required("rule", Kind::Rule, "how the break is held"),
        optional(
            "beds",
            Kind::Rules,
            "beds where another rule holds; in a scenario's rotation",
        ),
        SOURCE,
    ],
};

pub static DISCOURAGE: Record = Record {
    title: "Discouraged break",
    stands: "rule",
    attributes: &[required(
        "discourage_money_per_m2_week",
        Kind::Number(range(0.0, 1_000.0, "money/m²/week")),
        "cost of each m² and week by which a break is cut short",
    )],
};

pub static FOOD: Record = Record {
    title: "Food and need",
    stands: "models.foods.NAME, needs.NAME",
    attributes: &[
        required("unit", Kind::Choice(UNITS), "unit the kitchen uses"),
        required(
            "price_money",
            Kind::Number(MONEY),
            "price of buying in one unit",
        ),
        required(
            "short_money",
            Kind::Number(MONEY),
            "extra cost of each unit short of the floor",
        ),
        required(
            "single_crop_share",
            Kind::Number(range(0.01, 1.0, "")),
            "most of a week's wish that one crop may supply",
        ),
        optional(
            "floor",
            Kind::Number(NEED),
            "least per household and week; in a scenario's needs, 0 when left out",
        ),
        optional(
            "wish",
            Kind::Number(NEED),
            "most per household and week that is of use; in a scenario's needs, required there",
        ),
        optional(
            "must",
            Kind::Flag,
            "whether a plan that misses the floor is none; in a scenario's needs, no when left out",
        ),
        optional(
            "seasons",
            Kind::Records(&NEED_SEASON, 53),
            "spans of the year with another floor, wish or must; in a scenario's needs",
        ),
        SOURCE,
    ],
};

/// Units of a food per household and week.
const NEED: Range = range(0.0, 10_000.0, "units of the food");

static NEED_SEASON: Record = Record {
    title: "Season of a need",
    stands: "needs.NAME.seasons",
    attributes: &[
        required("weeks", Kind::Span, "first and last week of the year"),
        optional(
            "floor",
            Kind::Number(NEED),
            "floor in these weeks, as above when left out",
        ),
        optional(
            "wish",
            Kind::Number(NEED),
            "wish in these weeks, as above when left out",
        ),
        optional(
            "must",
            Kind::Flag,
            "whether the floor is a must in these weeks, as above when left out",
        ),
    ],
};

const LIFT: Attribute = required(
    "day_lift_c_per_mj",
    Kind::Number(range(0.0, 10.0, "°C per MJ/m²/day")),
    "rise of the daily maximum for each MJ of light let through",
);
const NIGHT: Attribute = required(
    "night_lift_c",
    Kind::Number(range(-5.0, 30.0, "°C")),
    "rise of the night minimum",
);
const LIGHT: Attribute = required(
    "transmission",
    Kind::Number(SHARE),
    "share of light let through",
);
const VENTED: Attribute = required(
    "vented_above_c",
    Kind::Number(range(0.0, 60.0, "°C")),
    "daily maximum above which it is vented",
);

pub static TUNNEL: Record = Record {
    title: "Polytunnel",
    stands: "models.tunnel",
    attributes: &[LIFT, NIGHT, LIGHT, VENTED, SOURCE],
};

pub static COVER: Record = Record {
    title: "Cover",
    stands: "models.covers.NAME, covers.NAME",
    attributes: &[
        optional(
            "count",
            Kind::Whole(range(0.0, 1_000.0, "")),
            "how many are to hand; in a scenario's covers, required there",
        ),
        LIFT,
        NIGHT,
        LIGHT,
        VENTED,
        required("settings", Kind::Choices(SETTINGS), "kinds of bed it fits"),
        required(
            "max_length_m",
            Kind::Number(range(0.1, 200.0, "m")),
            "longest bed it fits",
        ),
        required(
            "max_width_m",
            Kind::Number(range(0.1, 50.0, "m")),
            "widest bed it fits",
        ),
        required(
            "spells",
            Kind::Spans,
            "stretches of the year it may lie: on from Monday of the first week, off on Monday of the second",
        ),
        required(
            "place_minutes",
            Kind::Number(MINUTES),
            "work of putting one on",
        ),
        required(
            "remove_minutes",
            Kind::Number(MINUTES),
            "work of taking one off",
        ),
        optional(
            "yearly_cost_money",
            Kind::Number(MONEY),
            "yearly cost of one more",
        ),
        CAUTIONS,
        SOURCE,
    ],
};

/// A month's mean of daily extremes.
const MONTHLY: Range = range(-60.0, 60.0, "°C");

pub static CLIMATE: Record = Record {
    title: "Climate",
    stands: "models.climates.NAME, climate",
    attributes: &[
        required(
            "station",
            Kind::Text,
            "name of the weather station and years of the normals",
        ),
        required(
            "latitude_deg",
            Kind::Number(range(-66.0, 66.0, "degrees")),
            "latitude, north positive; below 0 the shipped models' weeks of the year count half a year later",
        ),
        required(
            "elevation_m",
            Kind::Number(range(-450.0, 5_000.0, "m")),
            "height above the sea",
        ),
        preset(
            "coastal",
            Kind::Flag,
            "false",
            "on a coast, where the daily range of warmth is small for the light",
        ),
        required(
            "tmax_c",
            Kind::Numbers(MONTHLY, 12),
            "mean daily maximum, January first",
        ),
        required(
            "tmin_c",
            Kind::Numbers(MONTHLY, 12),
            "mean daily minimum, January first",
        ),
        required(
            "tmin_spread_c",
            Kind::Numbers(range(0.0, 20.0, "°C"), 12),
            "standard deviation of single nights' minima, January first",
        ),
        SOURCE,
    ],
};

pub static RECIPE: Record = Record {
    title: "Recipe",
    stands: "models.recipes.NAME",
    attributes: &[
        required(
            "first",
            Kind::Record(&PART),
            "crop planted first or in the same week",
        ),
        required("second", Kind::Record(&PART), "crop planted into it"),
        required(
            "overlap_weeks",
            Kind::WholePair(range(1.0, 104.0, "weeks")),
            "least and most weeks both stand together",
        ),
        SOURCE,
    ],
};

static PART: Record = Record {
    title: "Part of a recipe",
    stands: "models.recipes.NAME.first, models.recipes.NAME.second",
    attributes: &[
        required("crop", Kind::Name("crop"), "crop"),
        required("raising", Kind::Choice(METHODS), "method of its raising"),
        required("way", Kind::Name("way"), "way of its harvest"),
        required(
            "yield_share",
            Kind::Number(SHARE),
            "share of its yield alone",
        ),
        required(
            "plant_share",
            Kind::Number(SHARE),
            "share of the plants it needs alone",
        ),
    ],
};
