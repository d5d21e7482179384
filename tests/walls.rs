//! The walls between the rooms of `src`, and the form of its files.
//!
//! Source of truth: the order of rooms below, which DEVELOPERS.md explains.

use petgraph::algo::toposort;
use petgraph::graphmap::DiGraphMap;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// Rooms from the user inwards: each may use those of later lines, and none of its own line.
const ORDER: [&[&str]; 13] = [
    &["cli"],
    &["render", "input", "verify", "certify"],
    &["explain", "almanac"],
    &["repair"],
    &["plan"],
    &["solve"],
    &["strips", "programme"],
    &["rules"],
    &["candidates"],
    &["growth"],
    &["climate"],
    &["domain"],
    &["units"],
];
/// Rooms that may use less than their place allows.
const NARROW: [(&str, &[&str]); 6] = [
    // Shares no code with what makes plans.
    ("verify", &["plan", "growth", "climate", "domain", "units"]),
    // Nor with the search: the season is all it takes.
    ("certify", &["candidates", "domain", "units"]),
    // A plan (an almanac, an answer) is all that a written form needs.
    (
        "render",
        &["almanac", "explain", "repair", "plan", "domain", "units"],
    ),
    // What grows, whatever is planned.
    ("almanac", &["growth", "climate", "domain", "units"]),
    // What has happened and what grows; not what may be chosen.
    ("repair", &["plan", "growth", "climate", "domain", "units"]),
    // Files to the domain, and no further.
    ("input", &["domain", "units"]),
];
/// Most lines of a file.
const MOST_LINES: usize = 500;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// All Rust files below a directory, in order.
fn files(dir: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(dir).expect("a directory") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            found.extend(files(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
    found.sort();
    found
}

fn text(path: &Path) -> String {
    std::fs::read_to_string(path).expect("readable")
}

/// The file without comments and without its own tests.
fn code(path: &Path) -> String {
    let all = text(path);
    let shipped = all.split("#[cfg(test)]").next().unwrap_or("");
    let line = |l: &str| l.split("//").next().unwrap_or("").to_string();
    shipped.lines().map(line).collect::<Vec<_>>().join("\n")
}

/// The room a file of `src` belongs to; none for `lib.rs` and `main.rs`.
fn room(path: &Path) -> Option<String> {
    let inside = path.strip_prefix(root().join("src")).expect("below src");
    let first = inside.components().next().expect("a name");
    let name = first.as_os_str().to_string_lossy().into_owned();
    (!name.ends_with(".rs")).then_some(name)
}

/// Names that follow `crate::` in the code, groups in braces taken apart.
fn used(code: &str) -> BTreeSet<String> {
    let word = |text: &str| -> String {
        text.chars()
            .take_while(|c| c.is_alphanumeric() || *c == '_')
            .collect()
    };
    let mut names = BTreeSet::new();
    for after in code.split("crate::").skip(1) {
        if let Some(group) = after.strip_prefix('{') {
            let mut depth = 1;
            let mut part = String::new();
            for c in group.chars() {
                match c {
                    '{' => depth += 1,
                    '}' => depth -= 1,
                    _ => {}
                }
                if depth == 0 || (depth == 1 && c == ',') {
                    names.insert(word(part.trim()));
                    part.clear();
                } else {
                    part.push(c);
                }
                if depth == 0 {
                    break;
                }
            }
        } else {
            names.insert(word(after));
        }
    }
    names.remove("");
    names
}

/// Which room uses which, with a file that does.
fn uses() -> BTreeMap<(String, String), PathBuf> {
    let mut uses = BTreeMap::new();
    for path in files(&root().join("src")) {
        let Some(from) = room(&path) else { continue };
        for to in used(&code(&path)) {
            if to != from {
                uses.entry((from.clone(), to))
                    .or_insert_with(|| path.clone());
            }
        }
    }
    uses
}

fn rank(room: &str) -> usize {
    (ORDER.iter().position(|line| line.contains(&room)))
        .unwrap_or_else(|| panic!("src/{room} has no place in the order of rooms"))
}

#[test]
fn names_are_read_from_use_lines() {
    let names = used("use crate::{render, verify::{self, X}};\nlet a = crate::plan::build();");
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    assert_eq!(names, ["plan", "render", "verify"]);
}

#[test]
fn rooms_only_use_what_lies_further_in() {
    let mut wrong = Vec::new();
    for ((from, to), path) in uses() {
        let narrow = NARROW.iter().find(|(room, _)| *room == from);
        let allowed = rank(&from) < rank(&to)
            && narrow.is_none_or(|(_, allowed)| allowed.contains(&to.as_str()));
        if !allowed {
            wrong.push(format!("{from} uses {to} in {}", path.display()));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn no_room_uses_itself_by_a_detour() {
    let uses = uses();
    let mut graph: DiGraphMap<&str, ()> = DiGraphMap::new();
    for (from, to) in uses.keys() {
        graph.add_edge(from, to, ());
    }
    assert!(graph.edge_count() > 10, "the use lines were found");
    toposort(&graph, None).expect("no circle of rooms");
}

#[test]
fn only_solve_knows_the_solvers() {
    for path in files(&root().join("src")) {
        let own = room(&path).as_deref() == Some("solve");
        // What the tests set ours against is no part of the program.
        for solver in ["amd", "microlp", "good_lp"] {
            if own && solver == "amd" {
                continue;
            }
            let found = code(&path).contains(&format!("{solver}::"));
            assert!(!found, "{} knows {solver}", path.display());
        }
    }
}

#[test]
fn clock_terminal_and_files_stay_outside() {
    let outside = [
        "std::fs",
        "std::env",
        "std::process",
        "std::io::std",
        "io::stdout",
        "io::stderr",
        "Instant",
        "SystemTime",
        "println!",
        "eprintln!",
        "print!(",
        "dbg!(",
    ];
    for path in files(&root().join("src")) {
        if matches!(room(&path).as_deref(), None | Some("cli" | "input")) {
            continue;
        }
        for word in outside {
            let found = code(&path).contains(word);
            assert!(!found, "{} uses {word}", path.display());
        }
    }
}

#[test]
fn nothing_hangs_on_the_order_of_a_hash() {
    for path in files(&root().join("src")) {
        for word in ["HashMap", "HashSet", "RandomState"] {
            let found = code(&path).contains(word);
            assert!(!found, "{} uses {word}", path.display());
        }
    }
}

#[test]
fn files_are_short_and_say_what_they_are_for() {
    for path in files(&root().join("src")) {
        let text = text(&path);
        let lines = text.lines().count();
        assert!(lines <= MOST_LINES, "{} has {lines} lines", path.display());
        assert!(
            text.starts_with("//! "),
            "{} does not say what it is for",
            path.display()
        );
    }
}

#[test]
fn every_room_is_explained_to_contributors() {
    let developers = text(&root().join("DEVELOPERS.md"));
    let rooms: BTreeSet<String> = files(&root().join("src"))
        .iter()
        .filter_map(|p| room(p))
        .collect();
    for room in rooms {
        rank(&room);
        assert!(
            developers.contains(&format!("`{room}`")) || developers.contains(&format!("`{room}/`")),
            "DEVELOPERS.md does not mention `{room}`"
        );
    }
}
