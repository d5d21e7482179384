//! The reference pages of the input, written from the tables that the reader checks against.

use super::MAX_BYTES;
use super::code::CODES;
use super::diagnostic::MAX_DIAGNOSTICS;
use super::schema::{Attribute, Kind, Presence, Record};
use super::tables::{MODELS, SCENARIO};
use super::tree::{MAX_DEPTH, MAX_NODES};
use std::fmt::Write;

/// `docs/reference/scenario.md`.
pub fn scenario_page() -> String {
    let mut out = page_head("Scenario file");
    out.push_str(
        "A scenario is one YAML file: the holding, what grows there now, what the table needs.\n\
         An example with every key stands in [format-by-example.md](format-by-example.md).\n\n\
         Names are case-sensitive and may hold spaces. The unit of a number stands at the end of\n\
         its key and is not repeated in the value. Weeks are ISO 8601 weeks: `2026-W42`, or `W42`\n\
         for a week of every year; a span `[W40, W14]` may run over the turn of the year. The\n\
         order of keys and of named records does not matter. A key with nothing behind it counts\n\
         as left out. The records under `covers`, `needs` and `rotation` are laid over the model\n\
         of the same name and may change any of its keys; their tables, and that of a climate,\n\
         are in [models.md](models.md).\n\n\
         Limits of the file: ",
    );
    let _ = writeln!(
        out,
        "{MAX_BYTES} bytes, {MAX_NODES} values, {MAX_DEPTH} levels of nesting; no anchors,\n\
         aliases, tags, nor a second document. Errors have the codes of [errors.md](errors.md).\n"
    );
    let mut tables = Vec::new();
    below(&SCENARIO, &mut tables);
    let shared = {
        let mut shared = Vec::new();
        below(&MODELS, &mut shared);
        shared
    };
    for record in tables {
        if !shared.iter().any(|s| std::ptr::eq(*s, record)) {
            table(record, &mut out);
        }
    }
    out
}

/// `docs/reference/models.md`.
pub fn models_page() -> String {
    let mut out = page_head("Models");
    out.push_str(
        "The program ships models of crops, families, foods, covers, climates and recipes (the\n\
         files under `models/`). Under `models` a scenario may change any of them, key by key, and\n\
         add its own: of a record that is shipped give the keys that change, of a new one all that\n\
         are required. A list replaces the shipped list as a whole. To take an optional part away,\n\
         write `null` behind its key.\n\n\
         Weeks of the year in them (sowing, a perennial's harvest, when a cover lies) are those of\n\
         the northern half of the earth. Where the climate's latitude is below 0 they count half a\n\
         year, 26 weeks, later; those that a scenario writes count as they stand.\n\n\
         The key `source` says where the figures of a record come from.\n\n",
    );
    let mut tables = Vec::new();
    below(&MODELS, &mut tables);
    for record in tables {
        table(record, &mut out);
    }
    out
}

/// `docs/reference/errors.md`.
pub fn errors_page() -> String {
    let mut out = page_head("Input errors");
    let _ = writeln!(
        out,
        "All errors of a file are reported at once, sorted by place, at most {MAX_DIAGNOSTICS} of them. Each\n\
         names the file, line and column, the value, what is allowed, and what to do. The letter\n\
         of a code says its kind: S shape, N names, V values, P plausibility, E events. The files\n\
         under `tests/faulty/` and `tests/faulty_events/` show them with the messages they give; those of S101, S102, S103 and S106\n\
         are made while the tests run.\n"
    );
    out.push_str("| code | meaning | what to do |\n| --- | --- | --- |\n");
    for (code, title, advice) in CODES {
        let _ = writeln!(out, "| {} | {title} | {advice} |", code.0);
    }
    out
}

fn page_head(title: &str) -> String {
    format!(
        "# {title}\n\n<!-- Written from the tables in src/input; to renew it: \
         BEDWEEK_WRITE_DOCS=1 cargo test --test input -->\n\n"
    )
}

/// The record and all records below it, in the order of their keys.
fn below(record: &'static Record, tables: &mut Vec<&'static Record>) {
    if tables.iter().any(|t| std::ptr::eq(*t, record)) {
        return;
    }
    tables.push(record);
    for attribute in record.attributes {
        match attribute.kind {
            Kind::Record(inner) | Kind::Records(inner, _) | Kind::Map(inner, _) => {
                below(inner, tables);
            }
            _ => {}
        }
    }
}

fn table(record: &Record, out: &mut String) {
    let _ = writeln!(out, "## {}\n", record.title);
    if !record.stands.is_empty() {
        let places: Vec<String> = record
            .stands
            .split(", ")
            .map(|p| format!("`{p}`"))
            .collect();
        let _ = writeln!(out, "Stands under {}.\n", places.join(" and under "));
    }
    out.push_str(
        "| key | value | allowed | left out | meaning |\n| --- | --- | --- | --- | --- |\n",
    );
    for attribute in record.attributes {
        let Attribute {
            key,
            kind,
            presence,
            sentence,
        } = attribute;
        let left_out = match presence {
            Presence::Required => "required".to_string(),
            Presence::Optional => "-".to_string(),
            Presence::Default(text) => format!("`{text}`"),
        };
        let _ = writeln!(
            out,
            "| `{key}` | {} | {} | {left_out} | {sentence} |",
            type_of(kind),
            allowed(kind)
        );
    }
    out.push('\n');
}

fn type_of(kind: &Kind) -> String {
    match kind {
        Kind::Choice(_) => "word".into(),
        Kind::Choices(_) => "list of words".into(),
        Kind::Rule => "word or record".into(),
        Kind::Week => "ISO week".into(),
        Kind::Span => "span of weeks of the year".into(),
        Kind::Spans => "list of spans of weeks of the year".into(),
        Kind::Record(r) => linked("record", r),
        Kind::Records(r, _) => linked("list of records", r),
        Kind::Map(r, _) => linked("named records", r),
        _ => {
            let words = kind.expected();
            let bare = words.strip_prefix("a ").or(words.strip_prefix("the "));
            bare.unwrap_or(&words).to_string()
        }
    }
}

/// The type of a record with a link to its table.
fn linked(text: &str, record: &Record) -> String {
    let shared = {
        let mut shared = Vec::new();
        below(&MODELS, &mut shared);
        shared.iter().any(|s| std::ptr::eq(*s, record))
    };
    let page = if shared { "models.md" } else { "scenario.md" };
    let anchor = record.title.to_lowercase().replace(' ', "-");
    format!("{text}: [{}]({page}#{anchor})", record.title)
}

fn allowed(kind: &Kind) -> String {
    match kind {
        Kind::Choice(words) | Kind::Choices(words) => words.join(", "),
        Kind::Rule | Kind::Rules => {
            "`forbid`, `off`, `{ discourage_money_per_m2_week: 0.05 }`".into()
        }
        Kind::Records(_, most) | Kind::Map(_, most) => format!("at most {most}"),
        _ => kind.range().map_or("-".into(), |r| r.shown()),
    }
}
