//! Bounds that stand by themselves: recomputed, rounded outward, from a season and prices alone.
//!
//! Source of truth: two roads to one figure (the search's own sum in `solve`, the one of `certify`, which
//! share no code); optima of small seasons; the damage is done by the test.

#[path = "support/season.rs"]
mod season;
#[path = "support/still.rs"]
mod still;

use assert_cmd::Command;
use bedweek::candidates::Season;
use bedweek::certify::{self, PriceList};
use bedweek::cli::listed;
use bedweek::solve::{Answer, Options, bound_at, solve_priced};
use bedweek::strips::Prices;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use season::{SeasonOptions, random_season};
use std::path::Path;
use still::Still;
use tempfile::TempDir;

fn solved(season: &Season, work: u64) -> (Answer, Prices) {
    let options = Options {
        gap: 0.0,
        seconds: None,
        work: Some(work),
    };
    let (answer, prices) = solve_priced(season, &options, &Still, None);
    (answer, prices.expect("the search gives prices"))
}

/// Seasons of some beds, with and without what a holding may have.
fn seasons() -> impl Iterator<Item = (u64, Season)> {
    (0..12).map(|seed| {
        let options = SeasonOptions {
            work_limit: seed % 4 == 3,
            bed_kinds: 1 + seed as usize % 3,
            foods: 6,
            ..SeasonOptions::small()
        };
        let beds = 3 + seed as usize % 5;
        (seed, random_season(seed, beds, 3, 9, 40, options))
    })
}

/// Both sums agree but for rounding, and the outward one is the greater.
fn agree(season: &Season, prices: &Prices, seed: u64) {
    let own = bound_at(season, prices);
    let certified = certify::bound(season, &listed(season, prices)).expect("prices in order");
    let apart = (certified - own) / own.abs().max(1.0);
    assert!(
        (-1e-13..1e-9).contains(&apart),
        "season {seed}: the search says {own}, the certificate {certified}"
    );
}

#[test]
fn the_search_and_the_certificate_reckon_the_same_bound() {
    let (mut under_covers, mut lids) = (0, 0);
    for (seed, season) in seasons() {
        let (_, mut prices) = solved(&season, 200);
        under_covers += prices.cover_rows.len();
        lids += prices.lids.len();
        agree(&season, &prices, seed);
        // Prices far from good ones, as long as they are in their ranges.
        let dice = &mut ChaCha8Rng::seed_from_u64(seed);
        for _ in 0..5 {
            let other: Vec<f64> = (prices.flat().iter())
                .map(|p| p * dice.random_range(0.0..2.0) + dice.random_range(-0.1..0.1))
                .collect();
            prices.set_flat(&other);
            prices.clamp(&season);
            agree(&season, &prices, seed);
        }
    }
    assert!(under_covers > 20 && lids > 40, "{under_covers} {lids}");
}

#[test]
fn no_certificate_is_below_a_plan() {
    for (seed, season) in seasons() {
        let (answer, prices) = solved(&season, 300);
        let certified = certify::bound(&season, &listed(&season, &prices)).expect("in order");
        assert!(
            certified >= answer.worth,
            "season {seed}: a plan of {}, certified {certified}",
            answer.worth
        );
    }
}

#[test]
fn prices_out_of_their_ranges_are_refused() {
    let (_, season) = seasons().next().expect("a season");
    let (_, prices) = solved(&season, 200);
    let good = listed(&season, &prices);
    let refused = |damage: &dyn Fn(&mut PriceList), words: &str| {
        let mut list = good.clone();
        damage(&mut list);
        let fault = certify::bound(&season, &list).expect_err(words);
        assert!(fault.contains(words), "{fault}");
    };
    refused(&|list| list.food[0][3] = -1.0, "below nothing");
    refused(&|list| list.cover[0][3] = f64::NAN, "no number");
    refused(&|list| list.shelf[1].truncate(5), "weeks");
    refused(&|list| list.food.truncate(1), "long");
    refused(&|list| list.work[0] = 1.0, "no limit");
    refused(&|list| list.variety.push(list.variety[0].clone()), "twice");
    if !season.always.is_empty() {
        refused(&|list| list.always[0] = 1e9, "missing");
    }
}

fn bedweek(dir: &Path, arguments: &[&str]) -> (i32, String) {
    let mut command = Command::cargo_bin("bedweek").expect("the program");
    let output = command.current_dir(dir).args(arguments).output();
    let output = output.expect("it runs");
    let text = [output.stdout, output.stderr].concat();
    let code = output.status.code().expect("an exit code");
    (code, String::from_utf8(text).expect("text"))
}

#[test]
fn a_damaged_certificate_is_caught() {
    let dir = TempDir::new().expect("a directory");
    let dir = dir.path();
    let shipped = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios/small-plot.yaml");
    std::fs::copy(shipped, dir.join("plot.yaml")).expect("copied");
    let made = [
        "plan",
        "plot.yaml",
        "--work-limit",
        "500",
        "--out",
        "out",
        "-q",
        "--certificate",
        "c.yaml",
    ];
    bedweek(dir, &made);
    let verified = |certificate: &str| {
        bedweek(
            dir,
            &["verify", "out/plan.yaml", "--certificate", certificate],
        )
    };
    let (code, said) = verified("c.yaml");
    assert!(
        code == 0 && said.contains("the certificate holds"),
        "{said}"
    );

    let text = std::fs::read_to_string(dir.join("c.yaml")).expect("written");
    let damaged = |from: &str, to: &str, expected: i32, words: &str| {
        assert!(text.contains(from), "{from:?} is not in the certificate");
        std::fs::write(dir.join("d.yaml"), text.replacen(from, to, 1)).expect("written");
        let (code, said) = verified("d.yaml");
        assert!(
            code == expected && said.contains(words),
            "{from:?}: {code} {said}"
        );
    };
    // A bound that its prices do not carry.
    let bound = text
        .lines()
        .find(|l| l.starts_with("bound: "))
        .expect("a bound");
    damaged(
        bound,
        "bound: 100.0",
        5,
        "claims that no plan is worth more than 100",
    );
    // A price that no longer holds the bound down: the dearest of all, at a hundredth.
    let number = |line: &&str| {
        line.trim()
            .strip_prefix("- ")
            .and_then(|n| n.parse::<f64>().ok())
    };
    let dearest = (text.lines())
        .filter(|line| line.starts_with("  - "))
        .max_by(|a, b| number(a).partial_cmp(&number(b)).expect("numbers"));
    let dearest = dearest.expect("prices");
    let cheap = format!("  - {}\n", number(&dearest).expect("a number") / 100.0);
    damaged(
        &format!("{dearest}\n"),
        &cheap,
        5,
        "its prices show no less",
    );
    damaged(&format!("{dearest}\n"), "  - -1\n", 5, "below nothing");
    damaged(&format!("{dearest}\n"), "", 5, "does not hold the");
    damaged(
        "  carrots:",
        "  moon carrots:",
        5,
        "no food \"moon carrots\"",
    );
    damaged("fingerprint: ", "fingerprint: 0", 5, "another scenario");
    damaged("format: 3", "format: 7", 2, "form 7");
    damaged("bound:", "bund:", 2, "not a certificate");
    let (code, said) = verified("none.yaml");
    assert!(code == 2 && said.contains("none.yaml"), "{said}");
}
