//! The programme of a season: names, size, files.

#[path = "support/season.rs"]
mod season;

use bedweek::programme::{Form, build, write_lp, write_mps};
use season::{SeasonOptions, random_season};
use std::collections::BTreeSet;

fn small(seed: u64) -> bedweek::candidates::Season {
    random_season(seed, 3, 3, 9, 52, SeasonOptions::small())
}

#[test]
fn names_are_unique_legal_and_short_and_lines_stay_short() {
    for form in [Form::Bed, Form::Pooled] {
        let programme = build(&small(3), form);
        let columns: BTreeSet<&str> = programme.columns.iter().map(|c| &*c.name).collect();
        let rows: BTreeSet<&str> = programme.rows.iter().map(|r| &*r.name).collect();
        assert_eq!(columns.len(), programme.columns.len());
        assert_eq!(rows.len(), programme.rows.len());
        for name in columns.iter().chain(&rows) {
            let legal = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '.';
            assert!(name.chars().all(legal), "{name}");
            assert!(name.starts_with(|c: char| c.is_ascii_alphabetic() && c != 'e'));
        }
        let (mut lp, mut mps) = (Vec::new(), Vec::new());
        write_lp(&programme, &mut lp).unwrap();
        write_mps(&programme, &mut mps).unwrap();
        for text in [lp, mps] {
            let text = String::from_utf8(text).unwrap();
            assert!(text.lines().all(|line| line.len() < 255));
        }
    }
}

#[test]
fn the_same_season_gives_the_same_bytes() {
    let files: Vec<Vec<u8>> = (0..2)
        .map(|_| {
            let mut out = Vec::new();
            let programme = build(&small(4), Form::Bed);
            write_lp(&programme, &mut out).unwrap();
            write_mps(&programme, &mut out).unwrap();
            out
        })
        .collect();
    assert_eq!(files[0], files[1]);
}
