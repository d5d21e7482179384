//! The tables of a scenario.

use super::start::{CHANGES, IN_STORE, ON_SHELF, PLANNED};
use super::*;
use crate::input::schema::{Record, preset, required};

pub static SCENARIO: Record = Record {
    title: "Scenario",
    stands: "",
    attributes: &[
        required("name", Kind::Name("scenario"), "what plans call it"),
        preset(
            "currency",
            Kind::Name("currency"),
            "EUR",
            "currency of every figure of money",
        ),
        required("start", Kind::Week, "first planned week"),
        preset(
            "weeks",
            Kind::Whole(range(1.0, 104.0, "weeks")),
            "52",
            "weeks planned and shown",
        ),
        preset(
            "tail",
            Kind::Whole(range(0.0, 52.0, "weeks")),
            "26",
            "further weeks whose needs count too",
        ),
        required(
            "climate",
            Kind::Record(&CLIMATE),
            "name of a climate, or a climate of your own",
        ),
        required("beds", Kind::Map(&BED, 400), "beds by name"),
        optional(
            "covers",
            Kind::Map(&COVER, 15),
            "covers to hand, by name of the model",
        ),
        optional(
            "shelf",
            Kind::Record(&SHELF),
            "the raising shelf; none when left out",
        ),
        optional(
            "standing",
            Kind::Map(&STANDING, 2_000),
            "what is in the beds at the start",
        ),
        optional(
            "in_store",
            Kind::Map(&IN_STORE, 2_000),
            "food harvested before the start and still there",
        ),
        optional(
            "on_shelf",
            Kind::Map(&ON_SHELF, 500),
            "plants on the raising shelf at the start",
        ),
        optional(
            "planned",
            Kind::Map(&PLANNED, 5_000),
            "plantings decided on that are not in their beds yet",
        ),
        optional(
            "changes",
            Kind::Record(&CHANGES),
            "what departing from the plantings decided on costs",
        ),
        preset(
            "households",
            Kind::Number(range(0.1, 1_000.0, "households")),
            "1",
            "how many households the needs are multiplied by",
        ),
        required(
            "needs",
            Kind::Map(&FOOD, 400),
            "needs by food, for one household",
        ),
        optional(
            "level",
            Kind::Record(&LEVEL),
            "weekly band for the worth of what is eaten",
        ),
        required("work", Kind::Record(&WORK), "what work costs"),
        optional(
            "rotation",
            Kind::Map(&FAMILY, 32),
            "rotation by family, over the models",
        ),
        optional(
            "directives",
            Kind::Records(&DIRECTIVE, 1_000),
            "your own word about a crop",
        ),
        optional(
            "sow",
            Kind::Map(&SOW, 400),
            "sowing weeks of this holding by crop, within those of the models",
        ),
        optional(
            "crops_used",
            Kind::Names("crop"),
            "the only crops to plan with; every crop that serves a need when left out",
        ),
        optional(
            "experience",
            Kind::Records(&EXPERIENCE, 1_000),
            "what earlier years' harvest records taught, as replan writes it",
        ),
        optional("solving", Kind::Record(&SOLVING), "options of the search"),
        optional(
            "models",
            Kind::Record(&MODELS),
            "overrides of the shipped models, and additions",
        ),
    ],
};

static BED: Record = Record {
    title: "Bed",
    stands: "beds.NAME",
    attributes: &[
        required("setting", Kind::Choice(SETTINGS), "what kind of bed it is"),
        required(
            "length_m",
            Kind::Number(range(0.1, 100.0, "m")),
            "length of the bed",
        ),
        required(
            "width_m",
            Kind::Number(range(0.1, 20.0, "m")),
            "width of the bed",
        ),
        optional(
            "strips",
            Kind::Whole(range(1.0, 60.0, "strips")),
            "equal strips across its width; one for each half square metre when left out",
        ),
        preset(
            "exposure",
            Kind::Number(range(0.01, 1.0, "")),
            "1",
            "share of the open sky's light that reaches it",
        ),
        optional(
            "covered_by",
            Kind::Name("cover"),
            "cover that lies on it at the start",
        ),
        optional(
            "history",
            Kind::Records(&PAST, 200),
            "what grew there before and is cleared",
        ),
        optional(
            "indoors",
            Kind::Spans,
            "weeks of the year inside the polytunnel; containers and baskets only",
        ),
    ],
};

/// Strip numbers within a bed.
pub(super) const STRIPS: Range = range(1.0, 60.0, "");

static PAST: Record = Record {
    title: "History",
    stands: "beds.NAME.history",
    attributes: &[
        required(
            "family",
            Kind::Name("family"),
            "botanical family of what grew",
        ),
        required("cleared", Kind::Week, "week in which it was cleared"),
        optional(
            "strips",
            Kind::WholePair(STRIPS),
            "first and last strip; the whole bed when left out",
        ),
    ],
};

static SHELF: Record = Record {
    title: "Shelf",
    stands: "shelf",
    attributes: &[
        required(
            "lit_m2",
            Kind::Number(range(0.0, 1_000.0, "m²")),
            "space under lamps",
        ),
        required(
            "unlit_m2",
            Kind::Number(range(0.0, 1_000.0, "m²")),
            "space with daylight only",
        ),
        required(
            "day_c",
            Kind::Number(range(-10.0, 40.0, "°C")),
            "warmth by day",
        ),
        required(
            "night_c",
            Kind::Number(range(-10.0, 40.0, "°C")),
            "warmth by night",
        ),
        preset(
            "lamp_mj",
            Kind::Number(range(0.0, 40.0, "MJ/m²/day")),
            "0",
            "light under the lamps, as solar radiation",
        ),
        required(
            "transmission",
            Kind::Number(SHARE),
            "share of daylight that reaches the unlit part",
        ),
    ],
};

static STANDING: Record = Record {
    title: "Standing planting",
    stands: "standing.NAME",
    attributes: &[
        required("bed", Kind::Name("bed"), "bed it stands in"),
        required("strips", Kind::WholePair(STRIPS), "first and last strip"),
        required("crop", Kind::Name("crop"), "crop"),
        optional(
            "way",
            Kind::Name("way"),
            "way of its harvest; the plan chooses when left out",
        ),
        required("sown", Kind::Week, "week in which it was sown or set"),
        optional(
            "planted",
            Kind::Week,
            "week in which it came into this bed; as sown when left out",
        ),
        preset(
            "share",
            Kind::Number(SHARE),
            "1",
            "share of a full stand still there",
        ),
        preset(
            "taken",
            Kind::Number(SHARE),
            "0",
            "share of its whole yield taken already; where some is, it is ready to harvest at the start, whatever the model says",
        ),
        preset(
            "keep",
            Kind::Flag,
            "false",
            "whether it must stay until its natural end",
        ),
    ],
};

/// Money per week.
const BAND: Range = range(0.0, 1_000_000.0, "money");

static LEVEL: Record = Record {
    title: "Level",
    stands: "level",
    attributes: &[
        required(
            "low_money",
            Kind::Number(BAND),
            "least weekly worth, all households together",
        ),
        required(
            "high_money",
            Kind::Number(BAND),
            "most weekly worth, all households together",
        ),
        required(
            "below_cost",
            Kind::Number(range(0.0, 1_000.0, "")),
            "cost of each unit of money below the band",
        ),
        optional(
            "seasons",
            Kind::Records(&LEVEL_SEASON, 53),
            "spans of the year with another band",
        ),
    ],
};

static LEVEL_SEASON: Record = Record {
    title: "Season of the level",
    stands: "level.seasons",
    attributes: &[
        required("weeks", Kind::Span, "first and last week of the year"),
        optional(
            "low_money",
            Kind::Number(BAND),
            "low in these weeks, as above when left out",
        ),
        optional(
            "high_money",
            Kind::Number(BAND),
            "high in these weeks, as above when left out",
        ),
    ],
};

static WORK: Record = Record {
    title: "Work",
    stands: "work",
    attributes: &[
        required(
            "hour_money",
            Kind::Number(range(0.0, 10_000.0, "money")),
            "cost of one hour",
        ),
        optional(
            "hours_per_week",
            Kind::Number(range(0.0, 10_000.0, "h")),
            "hours to hand in a week; no limit when left out",
        ),
    ],
};

static DIRECTIVE: Record = Record {
    title: "Directive",
    stands: "directives",
    attributes: &[
        optional(
            "never",
            Kind::Name("crop"),
            "crop that is not planted; either this or always",
        ),
        optional(
            "always",
            Kind::Name("crop"),
            "crop that is planted; either this or never",
        ),
        optional(
            "bed",
            Kind::Name("bed"),
            "bed it is about; every bed when left out",
        ),
        optional(
            "strips",
            Kind::Whole(range(1.0, 24_000.0, "strips")),
            "always: least number of strips",
        ),
        optional("from", Kind::Week, "always: first week of planting"),
        optional("to", Kind::Week, "always: last week of planting"),
        optional(
            "missing_money",
            Kind::Number(MONEY),
            "always: cost of each strip missing",
        ),
    ],
};

static SOW: Record = Record {
    title: "Sowing weeks of a crop",
    stands: "sow.NAME",
    attributes: &[required(
        "weeks",
        Kind::Spans,
        "it is sown or set in these weeks of the year only, however it is raised",
    )],
};

static SOLVING: Record = Record {
    title: "Solving",
    stands: "solving",
    attributes: &[preset(
        "gap",
        Kind::Number(range(0.0, 1.0, "")),
        "0.01",
        "relative gap between plan and bound at which the search stops",
    )],
};
