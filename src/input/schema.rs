//! What a record may hold: one attribute per key with type, unit, range, default and sentence.
//! The reader checks against these tables and the reference pages are written from them.

/// A closed range of numbers with their unit.
#[derive(Clone, Copy, Debug)]
pub struct Range {
    pub low: f64,
    pub high: f64,
    /// Empty for a plain count or share.
    pub unit: &'static str,
}

/// The type of a value.
#[derive(Clone, Copy, Debug)]
pub enum Kind {
    /// A text of up to [`super::tree::MAX_NAME_CHARS`] characters; the word says what it names.
    Name(&'static str),
    /// Names of that sort, none twice.
    Names(&'static str),
    Text,
    Texts,
    Flag,
    Number(Range),
    /// So many numbers.
    Numbers(Range, usize),
    Whole(Range),
    /// Two whole numbers, the smaller first.
    WholePair(Range),
    /// Whole numbers, none twice.
    Wholes(Range),
    Choice(&'static [&'static str]),
    Choices(&'static [&'static str]),
    /// `2026-W42`.
    Week,
    /// `2026-10-12`.
    Date,
    /// `[W40, W14]`: two weeks of the year.
    Span,
    Spans,
    /// `forbid`, `off` or `{ discourage_money_per_m2_week: 0.05 }`.
    Rule,
    /// Bed names, each with a rule.
    Rules,
    Record(&'static Record),
    /// A list of records, at most so many.
    Records(&'static Record, usize),
    /// Named records, at most so many.
    Map(&'static Record, usize),
}

/// Whether a key may be left out.
#[derive(Clone, Copy, Debug)]
pub enum Presence {
    Required,
    Optional,
    /// Left out, it reads as this text.
    Default(&'static str),
}

/// A key of a record.
#[derive(Clone, Copy, Debug)]
pub struct Attribute {
    pub key: &'static str,
    pub kind: Kind,
    pub presence: Presence,
    /// What it is, one sentence in lower case without a full stop.
    pub sentence: &'static str,
}

/// A kind of record.
#[derive(Clone, Copy, Debug)]
pub struct Record {
    pub title: &'static str,
    /// Where it stands, as a path of keys.
    pub stands: &'static str,
    pub attributes: &'static [Attribute],
}

impl Record {
    pub fn attribute(&self, key: &str) -> Option<&'static Attribute> {
        self.attributes.iter().find(|a| a.key == key)
    }

    /// A record in short: `{ bed: ..., crop: ... }` with the keys that it must have, or `{ key: ... }`.
    fn form(&self) -> String {
        let required = |a: &&Attribute| matches!(a.presence, Presence::Required);
        let keys: Vec<&str> = self
            .attributes
            .iter()
            .filter(required)
            .map(|a| a.key)
            .collect();
        match keys.is_empty() {
            true => "{ key: ... }".into(),
            false => format!("{{ {}: ... }}", keys.join(": ..., ")),
        }
    }
}

/// A range, for the tables.
pub const fn range(low: f64, high: f64, unit: &'static str) -> Range {
    Range { low, high, unit }
}

/// A key that must be given.
pub const fn required(key: &'static str, kind: Kind, sentence: &'static str) -> Attribute {
    Attribute {
        key,
        kind,
        presence: Presence::Required,
        sentence,
    }
}

/// A key that may be left out.
pub const fn optional(key: &'static str, kind: Kind, sentence: &'static str) -> Attribute {
    Attribute {
        key,
        kind,
        presence: Presence::Optional,
        sentence,
    }
}

/// A key with a value of its own when left out.
pub const fn preset(
    key: &'static str,
    kind: Kind,
    default: &'static str,
    sentence: &'static str,
) -> Attribute {
    Attribute {
        key,
        kind,
        presence: Presence::Default(default),
        sentence,
    }
}

impl Range {
    /// As shown in messages and tables: `0.2 to 100 m`.
    pub fn shown(&self) -> String {
        let unit = if self.unit.is_empty() {
            String::new()
        } else {
            format!(" {}", self.unit)
        };
        format!("{} to {}{unit}", self.low, self.high)
    }

    pub fn holds(&self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }
}

impl Kind {
    /// What is expected, with article, as in `expected a number`.
    pub fn expected(&self) -> String {
        match self {
            Kind::Name(what) => format!("the name of a {what}"),
            Kind::Names(what) => format!("a list of {what} names"),
            Kind::Text => "a text".into(),
            Kind::Texts => "a list of texts".into(),
            Kind::Flag => "true or false".into(),
            Kind::Number(_) => "a number".into(),
            Kind::Numbers(_, count) => format!("a list of {count} numbers"),
            Kind::Whole(_) => "a whole number".into(),
            Kind::WholePair(_) => "a list of two whole numbers".into(),
            Kind::Wholes(_) => "a list of whole numbers".into(),
            Kind::Choice(words) => format!("one of {}", words.join(", ")),
            Kind::Choices(words) => format!("a list of {}", words.join(", ")),
            Kind::Week => "an ISO week such as 2026-W42".into(),
            Kind::Date => "a date such as 2026-10-12".into(),
            Kind::Span => "a list of two weeks of the year such as [W40, W14]".into(),
            Kind::Spans => "a list of spans such as [[W40, W14]]".into(),
            Kind::Rule => "forbid, off or { discourage_money_per_m2_week: 0.05 }".into(),
            Kind::Rules => "bed names, each with a rule".into(),
            Kind::Record(_) => "a record".into(),
            Kind::Records(..) => "a list of records".into(),
            Kind::Map(..) => "named records".into(),
        }
    }

    /// How records are written, with the keys that each must have; nothing for other kinds.
    pub fn form(&self) -> Option<String> {
        match self {
            Kind::Map(record, _) => Some(format!("each as NAME: {}", record.form())),
            Kind::Records(record, _) => Some(format!("each as {}", record.form())),
            Kind::Record(record) => Some(format!("as {}", record.form())),
            _ => None,
        }
    }

    /// The range of the numbers in it.
    pub fn range(&self) -> Option<Range> {
        match self {
            Kind::Number(r)
            | Kind::Numbers(r, _)
            | Kind::Whole(r)
            | Kind::WholePair(r)
            | Kind::Wholes(r) => Some(*r),
            _ => None,
        }
    }
}
