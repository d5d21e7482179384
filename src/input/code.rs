//! The stable codes of input errors: what each one means, in one table from which
//! `docs/reference/errors.md` is written.

/// An input error code. The letter says the kind: `S` shape, `N` names, `V` values,
/// `P` plausibility, `E` events.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Code(pub &'static str);

macro_rules! codes {
    ($($id:ident, $title:literal, $advice:literal;)*) => {
        $(#[doc = $title] pub const $id: Code = Code(stringify!($id));)*

        /// Every code with its meaning and what to do about it.
        pub const CODES: &[(Code, &str, &str)] = &[$(($id, $title, $advice)),*];
    };
}

codes! {
    S101, "the file cannot be read",
        "Check the path and that it is a plain file you may read.";
    S102, "the file is too large",
        "Check that it is the right file; the limit stands in scenario.md, and 400 beds need a part of it.";
    S103, "the file is not UTF-8 text",
        "Save it again as UTF-8.";
    S104, "the file is not YAML",
        "Look at indentation, brackets and quotes just before the place shown.";
    S105, "values are nested too deeply",
        "Check brackets and indentation; the limit stands in scenario.md.";
    S106, "the file holds too many values",
        "Check that it is the right file; the limit stands in scenario.md.";
    S107, "anchors, aliases, tags or a second document are used",
        "Write each value out where it belongs, in one document.";
    S108, "the file holds no scenario",
        "Start from one of the files under scenarios/.";
    S109, "a key is not a plain name",
        "Write keys as single words or short texts of up to 80 characters.";
    S110, "a value is of the wrong type",
        "Write what is expected; units are named in the message and not written.";
    S111, "a key is not known",
        "Use one of the keys of that record; the nearest is named.";
    S112, "a key stands twice in one record",
        "Keep one of the two.";
    S113, "a required key is missing",
        "Add it to the record named.";
    S114, "a list has the wrong length",
        "Give as many values as asked for.";
    N201, "a name is not known",
        "Use a name that is defined in the scenario or the shipped models; the nearest is named.";
    N202, "a name is listed twice",
        "Keep one of the two.";
    V301, "a number is out of its range",
        "Give a number within the range shown.";
    V302, "a word is not one of those allowed",
        "Use one of the words shown.";
    V303, "a week does not exist or is not written as an ISO week",
        "Write 2026-W42 for one week, W42 for a week of every year.";
    V304, "keys do not go together",
        "Add or remove the key named: some keys belong to one kind of record only.";
    V305, "values are in the wrong order",
        "Put the smaller value first, or correct one of them.";
    P401, "strips lie outside the bed",
        "Strips are counted from 1 to the bed's number of strips.";
    P402, "two standing plantings share a strip",
        "Give each strip to one planting.";
    P403, "a standing planting is not in the ground at the start",
        "It must be sown no later than planted, and planted before the start.";
    P404, "a crop does not grow in that kind of bed",
        "Choose another bed, or add the setting to the crop under models.";
    P405, "history is not in the past",
        "A crop that is still there belongs under standing.";
    P406, "a way of harvest has another unit than its food",
        "Yields are given in the unit of the food.";
    P407, "a cover fits no bed",
        "Check its settings and sizes against the beds, or remove it.";
    P408, "a bed lies under a cover that does not fit it",
        "Check the cover's settings and sizes against the bed.";
    P409, "more covers lie on beds than are to hand",
        "Raise the count or take a cover off a bed.";
    P410, "two seasons overlap",
        "Each week may belong to one season at most.";
    P411, "a crop serves no food that is needed",
        "Add a need for one of its foods, or take the crop out of crops_used (the directive that asks for it out).";
    P412, "a directive cannot be followed",
        "Its weeks must lie in the plan, its strips in the bed; it must not contradict another, nor ask for what stands for years.";
    P413, "nothing can be planned",
        "A scenario needs at least one bed and one food.";
    P414, "a model crop has no use",
        "Give it a way of harvest or, as a green manure, a credit.";
    P415, "food in store cannot be eaten",
        "It must have been harvested before the start, and still keep then.";
    P416, "plants on the shelf cannot be there",
        "They are raised in modules and sown before the start; one entry for each sowing.";
    P417, "a planting decided on cannot be made",
        "It is planted at the start or later, sown before the start only if it is on the shelf, and nothing that stands for years.";
    P418, "none of the sowing weeks is one of the crop",
        "Choose weeks within those of its model, or widen those under models.";
    P419, "a must without a floor",
        "A must asks for its floor; give one above 0.";
    E501, "the file holds no events",
        "It is a record with a list under events, one under harvests, or both.";
    E502, "keys do not fit what happened",
        "Add or remove the key named: each kind of event has its own.";
    E503, "an event lies outside the time it can speak of",
        "Events belong into the weeks from the start of the plan to the day of replanning.";
    E504, "a planting was not in the ground, or not to be harvested, at that time",
        "Correct the date or the planting; its weeks are shown.";
    E505, "more is lost, or more covers are broken, than there are",
        "Losses of one planting are shares of a full stand and add up to 1 at most.";
    E506, "a sowing does not fit the crop, the bed or what stands there",
        "Correct crop, bed, strips or week, or record first what became of what stood there.";
    E507, "a date does not exist or is not written as one",
        "Write 2026-10-12 for a day; 2026-W42 counts as the Monday of that week.";
    E508, "a planting that is late stands where another one was planted",
        "Record what became of the other one: not sown, or sown elsewhere.";
}
