//! Variants of scenarios. Sources of truth: the page that documents them, a scenario written out by
//! hand with the same changes, and the messages worded here.

use bedweek::domain::{RotationRule, Scenario};
use bedweek::input::{self, load, load_changed};
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// A folder with the small plot in it.
struct Folder(TempDir);

impl Folder {
    fn new() -> Folder {
        let folder = Folder(TempDir::new().expect("a folder"));
        let small = fs::read_to_string("scenarios/small-plot.yaml").expect("it is shipped");
        folder.write("small-plot.yaml", &small);
        folder
    }

    fn write(&self, name: &str, text: &str) -> PathBuf {
        let path = self.0.path().join(name);
        fs::write(&path, text).expect("written");
        path
    }

    fn variant(&self, changes: &str) -> PathBuf {
        let head = "name: changed\nbase: small-plot.yaml\n";
        self.write("variant.yaml", &format!("{head}{changes}"))
    }

    fn base(&self) -> PathBuf {
        self.0.path().join("small-plot.yaml")
    }
}

fn read(path: &Path) -> Scenario {
    load(path)
        .unwrap_or_else(|errors| panic!("{errors}"))
        .scenario
}

fn bed<'s>(scenario: &'s Scenario, name: &str) -> Option<&'s bedweek::domain::Bed> {
    scenario.beds.iter().find(|bed| bed.name == name)
}

fn food<'s>(scenario: &'s Scenario, name: &str) -> Option<&'s bedweek::domain::Food> {
    scenario.foods.iter().find(|food| food.name == name)
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

#[test]
fn the_page_by_example_is_true_line_by_line() {
    let page = fs::read_to_string("docs/reference/variant.md").expect("the page is there");
    let example = page.split("```yaml\n").nth(1).expect("an example");
    let example = example.split("```").next().expect("it ends");
    let folder = Folder::new();
    let new = read(&folder.write("example.yaml", example));
    let old = read(&folder.base());

    assert_eq!(new.name, "A smaller plot with more tunnels");
    assert!(bed(&old, "S2").is_some() && bed(&new, "S2").is_none());
    assert!(food(&old, "squash").is_some() && food(&new, "squash").is_none());
    assert!(!new.crops.iter().any(|crop| crop.name == "squash"));
    assert_eq!((old.covers[0].count, new.covers[0].count), (1, 3));
    assert_eq!(bed(&new, "N4").map(|bed| bed.strips), Some(3));
    assert!(new.beds.iter().all(|bed| near(bed.exposure, 0.9)));
    assert!(old.families.iter().any(|f| f.rule != RotationRule::Off));
    assert!(new.families.iter().all(|f| f.rule == RotationRule::Off));
    assert!(near(new.work.hour_money, 4.0) && !near(old.work.hour_money, 4.0));
    assert!(old.level.is_some() && new.level.is_none());
    for (need, factor) in [("carrots", 1.1), ("leeks", 2.2), ("green beans", 1.1)] {
        let (old, new) = (food(&old, need).unwrap(), food(&new, need).unwrap());
        for week in 0..52 {
            assert!(near(new.floor[week], factor * old.floor[week]), "{need}");
            assert!(near(new.wish[week], factor * old.wish[week]), "{need}");
        }
    }
    assert!(near(new.shelf.unlit_m2, 1.5 * old.shelf.unlit_m2));
    for (month, lower) in [(0, 2.0), (2, 1.0), (6, 0.0), (11, 2.0)] {
        let (old, new) = (&old.climate, &new.climate);
        assert!(near(new.tmin_c[month], old.tmin_c[month] - lower));
        assert!(near(new.tmax_c[month], old.tmax_c[month] - 0.5));
    }
}

#[test]
fn a_variant_means_what_the_changed_scenario_means() {
    let folder = Folder::new();
    let text = fs::read_to_string(folder.base()).expect("it is there");
    let by_hand = text
        .replace("name: Small plot", "name: changed")
        .replace("low tunnel: { count: 1,", "low tunnel: { count: 4,")
        .replace(
            "carrots: { floor: 0, wish: 0.3 }",
            "carrots: { floor: 0.1, wish: 0.3 }",
        )
        .replace("climate: ross-on-wye", "climate: oxford");
    let by_hand = folder.write("by-hand.yaml", &by_hand);
    let variant = folder.variant(
        "set: { covers.low tunnel.count: 4, needs: { carrots: { floor: 0.1 } }, climate: oxford }\n",
    );
    let (a, b) = (load(&by_hand).expect("good"), load(&variant).expect("good"));
    assert_eq!(a.digest, b.digest);
    let sets: Vec<String> = [
        "name=changed",
        "covers.low tunnel.count=4",
        "needs.carrots.floor=0.1",
    ]
    .into_iter()
    .chain(["climate=oxford"])
    .map(String::from)
    .collect();
    let c = load_changed(&folder.base(), &sets).expect("good");
    assert_eq!(a.digest, c.digest);
}

#[test]
fn a_variant_may_be_the_base_of_another() {
    let folder = Folder::new();
    folder.write(
        "one.yaml",
        "name: one\nbase: small-plot.yaml\nset: { tail: 3 }\n",
    );
    let two = folder.write(
        "two.yaml",
        "name: two\nbase: one.yaml\nset: { weeks: 40 }\n",
    );
    let scenario = read(&two);
    assert_eq!((scenario.weeks, scenario.tail), (40, 3));
    let own = folder.write("own.yaml", "name: own\nbase: own.yaml\n");
    let errors = load(&own).expect_err("its own base");
    assert!(errors.one_line().contains("S105"), "{errors}");
}

/// A bed goes with what stands in it.
#[test]
fn a_removed_bed_takes_along_what_stands_in_it() {
    let folder = Folder::new();
    let old = read(&folder.base());
    let new = read(&folder.variant("remove: [beds.N3]\n"));
    assert!(old.standing.iter().any(|s| s.name == "leeks"));
    assert!(!new.standing.iter().any(|s| s.name == "leeks"));
    assert_eq!(new.standing.len() + 1, old.standing.len());
}

/// Each line is wrong in its own way; all are reported at once, each in its line of the variant.
#[test]
fn every_error_points_into_the_variant() {
    let folder = Folder::new();
    let lines = [
        ("name: wrong", ""),
        ("base: small-plot.yaml", ""),
        ("sett: {}", "did you mean \"set\""),
        ("remove:", ""),
        ("  - beds.N9", "there is no \"N9\""),
        ("  - bed.N1", "there is no \"bed\""),
        ("set:", ""),
        ("  covers.low tunnel.count: 1.5", "covers.low tunnel.count"),
        ("  covers.low tunel.count: 2", "is not among the covers"),
        ("  beds.N33.length_m: 2", "there is no \"N33\""),
        ("  tails: 3", "the scenario has no key \"tails\""),
        ("  beds.N1.exposure: 7", "out of range"),
        ("  needs..wish: 7", "is not a path"),
        ("scale:", ""),
        ("  needs.leek: 2", "there is no \"leek\""),
        ("  name: 2", "there is no number"),
        ("shift:", ""),
        ("  climate.tmin_c: [1, 2]", "a list of 2"),
    ];
    let text: String = lines.iter().map(|(line, _)| format!("{line}\n")).collect();
    let path = folder.write("wrong.yaml", &text);
    let errors = load(&path).expect_err("it is wrong");
    for (number, (line, message)) in lines.iter().enumerate() {
        if message.is_empty() {
            continue;
        }
        let here = errors.list.iter().filter(|d| d.line == number + 1);
        let texts: Vec<String> = here.map(|d| format!("{} {}", d.message, d.help)).collect();
        assert!(
            texts.iter().any(|t| t.contains(message)),
            "{line}: {texts:?}\n{errors}"
        );
    }
    assert!(
        errors.list.iter().all(|d| d.file.ends_with("wrong.yaml")),
        "{errors}"
    );
}

#[test]
fn a_missing_base_is_said_where_it_is_named() {
    let folder = Folder::new();
    let path = folder.write("v.yaml", "name: v\nbase: nowhere.yaml\n");
    let errors = load(&path).expect_err("no base");
    let first = &errors.list[0];
    assert_eq!((first.line, first.column), (2, 7), "{errors}");
    assert!(first.message.contains("nowhere.yaml"), "{errors}");
}

/// With keys of a scenario where a variant sets them: one error, not one for each key that a scenario needs.
#[test]
fn a_variant_that_names_no_base_is_told_so() {
    let folder = Folder::new();
    for text in [
        "name: v\ncovers: { fleece: { count: 4 } }\n",
        "name: v\nset: { tail: 3 }\n",
    ] {
        let errors = load(&folder.write("v.yaml", text)).expect_err("no base");
        assert_eq!(errors.list.len(), 1, "{errors}");
        let first = &errors.list[0];
        assert_eq!((first.line, first.column), (1, 1), "{errors}");
        assert!(first.message.contains("lacks the key \"base\""), "{errors}");
        assert!(first.help.contains("under set"), "{errors}");
    }
}

#[test]
fn an_error_on_the_command_line_shows_the_change() {
    let folder = Folder::new();
    for (set, message) in [
        ("covers.low tunnel.count=many", "covers.low tunnel.count"),
        ("covers.low tunnel", "no = between key and value"),
        ("beds.N1.strips=[", "is not readable as YAML"),
        ("=3", "is not a path"),
    ] {
        let errors = load_changed(&folder.base(), &[set.to_string()]).expect_err(set);
        assert_eq!(errors.list[0].file, "--set", "{errors}");
        assert!(errors.full().contains(message), "{set}: {errors}");
        assert!(errors.full().contains(set), "{set} is shown: {errors}");
    }
}

#[test]
fn the_shipped_variants_differ_from_their_base() {
    let base = load(Path::new("scenarios/four-households.yaml")).expect("good");
    for name in [
        "colder-winter",
        "lights",
        "more-at-table",
        "more-low-tunnels",
        "one-bed-less",
        "rotation-off",
        "second-tunnel",
    ] {
        let path = PathBuf::from(format!("scenarios/{name}.yaml"));
        let variant = input::load(&path).unwrap_or_else(|errors| panic!("{errors}"));
        let mut scenario = variant.scenario;
        scenario.name = base.scenario.name.clone();
        assert_ne!(scenario, base.scenario, "{name}");
    }
}
