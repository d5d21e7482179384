//! The whole program: exit codes, streams, files.
//!
//! Source of truth: `src/cli/exit.rs` for the codes; files compared byte by byte.

#[path = "support/room.rs"]
mod room;

use room::{Room, assert_code, stderr, stdout};
use std::path::Path;
use std::process::Stdio;
use std::time::{Duration, Instant};

/// Two beds and four foods: solved at once.
const TINY: &str = "\
name: Two beds
currency: EUR
start: 2027-W10
weeks: 26
tail: 4
climate: oxford
beds:
  A: { setting: open, length_m: 1.2, width_m: 1.2, strips: 2 }
  B: { setting: open, length_m: 1.2, width_m: 1.2, strips: 2 }
covers:
  fleece: { count: 1 }
shelf: { lit_m2: 0.2, unlit_m2: 0.2, day_c: 18, night_c: 13, lamp_mj: 6, transmission: 0.5 }
needs:
  carrots: { floor: 0, wish: 0.5 }
  radishes: { floor: 0, wish: 1 }
  green beans: { floor: 0.1, wish: 0.4 }
work: { hour_money: 3 }
crops_used: [main carrots, radish, dwarf French beans]
solving: { gap: 0.02 }
";

/// What `--out` leaves.
const FORMS: [&str; 13] = [
    "plan.yaml",
    "report.txt",
    "plan.html",
    "jobs.ics",
    "plantings.csv",
    "jobs.csv",
    "supply.csv",
    "buying.csv",
    "level.svg",
    "beds.svg",
    "foods.svg",
    "covers.svg",
    "shelf.svg",
];

/// A directory with the tiny holding.
fn room() -> Room {
    let room = Room::empty();
    room.write("tiny.yaml", TINY);
    room
}

fn shipped(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("scenarios/{name}.yaml"));
    path.display().to_string()
}

#[test]
fn usage() {
    let room = room();
    let help = room.run(&["--help"]);
    assert_code(&help, 0);
    for verb in ["plan", "check", "verify", "export"] {
        assert!(stdout(&help).contains(verb), "{verb}");
    }
    assert!(stderr(&help).is_empty());
    for wrong in [
        &[][..],
        &["dig"],
        &["plan"],
        &["plan", "tiny.yaml", "--gap", "2"],
        &["plan", "tiny.yaml", "--gap", "NaN"],
        &["plan", "tiny.yaml", "--time-limit", "0"],
        &["plan", "tiny.yaml", "--work-limit", "-1"],
        &["plan", "tiny.yaml", "--colour"],
        &["export", "tiny.yaml"],
        &["export", "tiny.yaml", "--format", "csv"],
    ] {
        let output = room.run(wrong);
        assert_code(&output, 2);
        assert!(stdout(&output).is_empty(), "{wrong:?}");
        assert!(!stderr(&output).is_empty(), "{wrong:?}");
    }
}

#[test]
fn check_reports_on_the_right_stream() {
    let room = room();
    let good = room.run(&["check", "tiny.yaml"]);
    assert_code(&good, 0);
    assert!(
        stdout(&good).contains("no errors; 2 beds with 4 strips"),
        "{}",
        stdout(&good)
    );
    assert!(stderr(&good).is_empty());

    room.write(
        "bad.yaml",
        &TINY.replace("strips: 2 }\n  B", "strips: -2 }\n  B"),
    );
    for verb in [
        &["check", "bad.yaml"][..],
        &["plan", "bad.yaml"],
        &["export", "bad.yaml", "--format", "lp"],
    ] {
        let bad = room.run(verb);
        assert_code(&bad, 2);
        assert!(stdout(&bad).is_empty(), "{verb:?}");
        assert!(stderr(&bad).contains("bad.yaml:8:"), "{}", stderr(&bad));
        assert!(stderr(&bad).contains("-2"), "{}", stderr(&bad));
    }
    let absent = room.run(&["check", "absent.yaml"]);
    assert_code(&absent, 2);
    assert!(stderr(&absent).contains("absent.yaml"));
}

#[test]
fn plan_shows_writes_and_verifies() {
    let room = room();
    let plan = room.run(&["plan", "tiny.yaml", "--out", "out"]);
    assert_code(&plan, 0);
    assert_eq!(stdout(&plan), room.read("out/report.txt"));
    assert!(stdout(&plan).contains("Missed floors"));
    let told = stderr(&plan);
    for words in [
        "plan",
        "bound",
        "gap",
        "violations: none",
        "candidate plantings",
        "plan.yaml",
    ] {
        assert!(told.contains(words), "{words}: {told}");
    }
    let yaml = room.read("out/plan.yaml");
    for key in ["status:", "worth:", "bound:", "gap:", "seconds:"] {
        assert!(yaml.contains(&format!("\n  {key} ")), "{key}");
    }
    let verified = room.run(&["verify", "out/plan.yaml"]);
    assert_code(&verified, 0);
    assert!(stdout(&verified).contains("the plan holds"));
    assert!(stderr(&verified).is_empty());
    let named = room.run(&["verify", "out/plan.yaml", "--scenario", "tiny.yaml"]);
    assert_code(&named, 0);
    // Only the forms of the plan: nothing temporary is left behind.
    assert_eq!(
        std::fs::read_dir(room.path("out")).expect("there").count(),
        FORMS.len()
    );
    for form in FORMS {
        assert!(!room.read(&format!("out/{form}")).is_empty(), "{form}");
    }
}

#[test]
fn yaml_goes_to_stdout_and_quiet_is_quiet() {
    let room = room();
    let plan = room.run(&[
        "plan",
        "tiny.yaml",
        "--out",
        "out",
        "--format",
        "yaml",
        "--quiet",
    ]);
    assert_code(&plan, 0);
    assert_eq!(stdout(&plan), room.read("out/plan.yaml"));
    assert!(stderr(&plan).is_empty(), "{}", stderr(&plan));
}

#[test]
fn a_plan_file_is_shown_in_every_form_without_solving() {
    let room = room();
    let plan = ["plan", "tiny.yaml", "--out", "out", "--quiet", "--timeless"];
    assert_code(&room.run(&plan), 0);
    let show = |arguments: &[&str]| {
        let output = room.run(&[&["show", "out/plan.yaml"], arguments].concat());
        assert_code(&output, 0);
        assert!(stderr(&output).is_empty(), "{}", stderr(&output));
        stdout(&output)
    };
    assert_eq!(show(&[]), room.read("out/report.txt"));
    assert_eq!(show(&["--format", "yaml"]), room.read("out/plan.yaml"));
    assert_eq!(show(&["--format", "html"]), room.read("out/plan.html"));
    for table in ["plantings", "jobs", "supply", "buying"] {
        let text = show(&["--format", "csv", "--table", table]);
        assert_eq!(text, room.read(&format!("out/{table}.csv")));
    }
    let events = |text: &str| text.matches("BEGIN:VEVENT").count();
    let all = events(&room.read("out/jobs.ics"));
    assert_eq!(events(&show(&["--format", "ics"])), all);
    let soon = events(&show(&["--format", "ics", "--weeks", "4"]));
    assert!(0 < soon && soon < all, "{soon} of {all}");
    let bed = show(&["--bed", "B", "--from", "2027-W12", "--weeks", "2"]);
    assert!(
        bed.contains("B: in the open") && !bed.contains("A: in the open"),
        "{bed}"
    );
    assert!(bed.contains("2 weeks from 2027-W12"), "{bed}");
    // Not a terminal: no colour.
    assert!(!bed.contains('\u{1b}'));
    for (wrong, words) in [
        (["--bed", "C"], "no such bed"),
        (["--from", "2026-W01"], "the planned weeks are"),
        (["--weeks", "0"], "0"),
    ] {
        let output = room.run(&[&["show", "out/plan.yaml"], &wrong[..]].concat());
        assert_code(&output, 2);
        assert!(stderr(&output).contains(words), "{}", stderr(&output));
    }
}

#[test]
fn completions_and_manual_know_every_verb() {
    let room = room();
    for shell in ["bash", "zsh", "fish"] {
        let output = room.run(&["completions", shell]);
        assert_code(&output, 0);
        for verb in ["plan", "show", "verify"] {
            assert!(stdout(&output).contains(verb), "{shell} {verb}");
        }
    }
    let manual = room.run(&["manual"]);
    assert_code(&manual, 0);
    for words in [".TH bedweek", "VERB PLAN", "VERB SHOW", "work\\-limit"] {
        assert!(stdout(&manual).contains(words), "{words}");
    }
}

#[test]
fn equal_input_gives_equal_bytes_whatever_its_order() {
    let (one, two, three) = (room(), room(), room());
    // Beds, needs and crops in another order mean the same.
    let lines: Vec<&str> = TINY.lines().collect();
    let at = |start: &str| {
        lines
            .iter()
            .position(|l| l.trim_start().starts_with(start))
            .expect("there")
    };
    let mut shuffled = lines.clone();
    shuffled.swap(at("A:"), at("B:"));
    shuffled.swap(at("carrots:"), at("green beans:"));
    let shuffled = shuffled.join("\n").replace(
        "[main carrots, radish, dwarf French beans]",
        "[dwarf French beans, main carrots, radish]",
    );
    assert_ne!(shuffled.trim_end(), TINY.trim_end());
    three.write("tiny.yaml", &shuffled);
    for room in [&one, &two, &three] {
        let plan = room.run(&["plan", "tiny.yaml", "--out", "out", "--timeless", "--quiet"]);
        assert_code(&plan, 0);
    }
    let first = one.read("out/plan.yaml");
    assert!(!first.contains("\n  seconds:"));
    assert_eq!(first, two.read("out/plan.yaml"));
    assert_eq!(first, three.read("out/plan.yaml"));
    assert_eq!(one.read("out/report.txt"), three.read("out/report.txt"));
}

#[test]
fn a_damaged_plan_does_not_verify() {
    let room = room();
    assert_code(
        &room.run(&["plan", "tiny.yaml", "--out", "out", "--quiet"]),
        0,
    );
    let good = room.read("out/plan.yaml");
    let worth = good
        .lines()
        .find(|l| l.starts_with("  worth: "))
        .expect("worth");
    room.write("bad.yaml", &good.replace(worth, "  worth: 12345.0"));
    let bad = room.run(&["verify", "bad.yaml"]);
    assert_code(&bad, 5);
    assert!(stdout(&bad).contains("12345"), "{}", stdout(&bad));
    assert!(stderr(&bad).contains("does not hold"));

    room.write("other.yaml", &TINY.replace("wish: 0.5", "wish: 0.6"));
    let other = room.run(&["verify", "out/plan.yaml", "--scenario", "other.yaml"]);
    assert_code(&other, 5);
    assert!(stdout(&other).contains("fingerprint"), "{}", stdout(&other));

    room.write("cut.yaml", &good[..good.len() / 2]);
    let cut = room.run(&["verify", "cut.yaml"]);
    assert_code(&cut, 2);
    assert!(stderr(&cut).contains("cut.yaml"), "{}", stderr(&cut));

    std::fs::rename(room.path("tiny.yaml"), room.path("moved.yaml")).expect("moved");
    let lost = room.run(&["verify", "out/plan.yaml"]);
    assert_code(&lost, 2);
    assert!(stderr(&lost).contains("--scenario"), "{}", stderr(&lost));
}

#[test]
fn a_directory_that_cannot_be_written_is_found_before_solving() {
    let room = room();
    let began = Instant::now();
    let output = room.run(&[
        "plan",
        &shipped("four-households"),
        "--out",
        "tiny.yaml/out",
    ]);
    assert_code(&output, 2);
    assert!(
        stderr(&output).contains("--out tiny.yaml/out"),
        "{}",
        stderr(&output)
    );
    assert!(stdout(&output).is_empty());
    assert!(
        began.elapsed() < Duration::from_secs(5),
        "it did not plan first"
    );
}

/// One that lies in no directory, one that is a directory, and one whose place is a file: all at once,
/// before any search.
#[test]
fn files_that_cannot_be_written_are_found_before_solving() {
    let room = room();
    let plan = |more: &[&str]| {
        let mut all = vec!["plan", "tiny.yaml", "--time-limit", "600"];
        all.extend(more);
        room.run(&all)
    };
    std::fs::create_dir(room.path("there")).expect("made");
    let refused = plan(&[
        "--certificate",
        "nowhere/c.yaml",
        "--solution",
        "there",
        "--out",
        "tiny.yaml",
    ]);
    assert_code(&refused, 2);
    let said = stderr(&refused);
    for wanted in [
        "error: --out tiny.yaml: cannot be written to",
        "error: --certificate nowhere/c.yaml: cannot be written",
        "error: --solution there: cannot be written: it is a directory",
    ] {
        assert!(said.contains(wanted), "{said}");
    }
    assert!(!said.contains("first draft"), "{said}");
    let refused = plan(&["--trace", "nowhere/t.csv"]);
    assert_code(&refused, 2);
    assert!(!stderr(&refused).contains("first draft"));
    // Nothing is left behind by trying.
    let left: Vec<_> = std::fs::read_dir(room.dir()).expect("readable").collect();
    assert_eq!(left.len(), 2, "{left:?}");
}

#[test]
fn a_reader_that_has_seen_enough_is_no_error() {
    use std::io::Read;
    let program = assert_cmd::cargo::cargo_bin("bedweek");
    let mut child = std::process::Command::new(program)
        .args(["export", &shipped("small-plot"), "--format", "mps"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("it runs");
    let mut few = [0; 64];
    let mut out = child.stdout.take().expect("piped");
    out.read_exact(&mut few).expect("some output");
    drop(out);
    let output = child.wait_with_output().expect("it ends");
    assert_code(&output, 0);
    assert!(stderr(&output).is_empty(), "{}", stderr(&output));
}

#[test]
fn export_writes_both_formats_and_forms() {
    let room = room();
    for form in ["bed", "pooled"] {
        let lp = room.run(&["export", "tiny.yaml", "--format", "lp", "--form", form]);
        assert_code(&lp, 0);
        assert!(stdout(&lp).to_lowercase().contains("maximi"), "{form}");
        assert!(stdout(&lp).trim_end().ends_with("End"), "{form}");
        let mps = room.run(&["export", "tiny.yaml", "--format", "mps", "--form", form]);
        assert_code(&mps, 0);
        assert!(stdout(&mps).trim_end().ends_with("ENDATA"), "{form}");
    }
}

#[test]
fn a_limit_still_gives_a_plan() {
    let room = room();
    let file = shipped("bare-ground-spring");
    let plan = room.run(&[
        "plan",
        &file,
        "--gap",
        "0",
        "--work-limit",
        "1",
        "--out",
        "out",
    ]);
    assert_code(&plan, 3);
    assert!(
        room.read("out/plan.yaml")
            .contains("ended above the gap asked for")
    );
    assert_code(&room.run(&["verify", "out/plan.yaml"]), 0);
}

#[cfg(unix)]
#[test]
fn an_interrupted_search_gives_its_best_plan_whole() {
    let room = room();
    let program = assert_cmd::cargo::cargo_bin("bedweek");
    let mut child = std::process::Command::new(program)
        .current_dir(room.dir())
        .args([
            "plan",
            &shipped("four-households"),
            "--gap",
            "0",
            "--out",
            "out",
        ])
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .expect("it runs");
    std::thread::sleep(Duration::from_secs(2));
    let signal = std::process::Command::new("kill")
        .args(["-INT", &child.id().to_string()])
        .status()
        .expect("kill is there");
    assert!(signal.success());
    let status = child.wait().expect("it ends");
    assert_eq!(status.code(), Some(3));
    assert!(room.read("out/plan.yaml").contains("stopped by the user"));
    assert_code(&room.run(&["verify", "out/plan.yaml"]), 0);
}

#[test]
fn what_cannot_be_cleared_in_time_is_said_to_be_impossible() {
    let room = room();
    let standing = "standing:\n  old carrots: { bed: A, strips: [1, 2], crop: main carrots, sown: 2026-W20 }\n";
    let text = TINY.replace("hour_money: 3", "hour_money: 3, hours_per_week: 0.001") + standing;
    room.write("busy.yaml", &text);
    let said = room.run(&["plan", "busy.yaml", "--out", "out"]);
    assert_code(&said, 1);
    assert!(
        stderr(&said).contains("there is no plan"),
        "{}",
        stderr(&said)
    );
    assert!(stdout(&said).is_empty() && !room.path("out/plan.yaml").exists());
    assert_code(&room.run(&["compare", "busy.yaml", "tiny.yaml"]), 1);
}

#[test]
fn the_reference_names_every_verb_option_and_exit_code() {
    let reference = include_str!("../docs/reference/commands.md");
    let room = room();
    for verb in ["plan", "check", "verify", "export"] {
        assert!(reference.contains(&format!("`bedweek {verb} ")), "{verb}");
        let help = stdout(&room.run(&[verb, "--help"]));
        let options = (help.split_whitespace()).filter(|word| word.starts_with("--"));
        for option in options {
            let option = option.trim_end_matches(|c: char| !c.is_alphabetic());
            assert!(reference.contains(&format!("`{option}")), "{verb} {option}");
        }
    }
    for code in 0..=5 {
        assert!(
            reference.contains(&format!("\n| {code} |")),
            "exit code {code}"
        );
    }
}
