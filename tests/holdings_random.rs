//! Random holdings, from the file to the plan: what the reader accepts can be planned, and the plan holds.
//!
//! Source of truth: `verify`, which shares no code with the search. Crops and climates are the shipped ones; what
//! stands where, what is asked for and what rules there are is drawn at random.

#[path = "support/plans.rs"]
mod plans;
#[path = "support/still.rs"]
mod still;

use bedweek::candidates::season;
use bedweek::domain::Scenario;
use bedweek::input;
use bedweek::plan::{About, build};
use bedweek::solve::{self, Options};
use bedweek::units::Week;
use bedweek::verify::verify;
use rand::seq::IndexedRandom;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::collections::BTreeMap;
use still::Still;

/// Holdings tried.
const HOLDINGS: u64 = 40;

const CLIMATES: [&str; 6] = [
    "oxford", "armagh", "camborne", "bend", "astoria", "brussels",
];

/// A scenario in the making.
struct Holding<'d> {
    dice: &'d mut ChaCha8Rng,
    start: Week,
    head: String,
    /// Lines of the sections.
    sections: BTreeMap<&'static str, Vec<String>>,
}

impl Holding<'_> {
    fn text(&self) -> String {
        let sections = self.sections.iter().map(|(name, lines)| {
            let lines: String = lines.iter().map(|line| format!("  {line}\n")).collect();
            format!("{name}:\n{lines}")
        });
        self.head.clone() + &sections.collect::<String>()
    }

    /// Adds a line, unless the reader refuses it.
    fn add(&mut self, section: &'static str, line: String) {
        let before = self.sections.clone();
        self.sections.entry(section).or_default().push(line);
        if input::load_text("holding.yaml", &self.text()).is_err() {
            self.sections = before;
        }
    }

    fn pick<T: Copy>(&mut self, list: &[T]) -> T {
        *list.choose(self.dice).expect("not empty")
    }

    /// A week up to so many weeks before the start.
    fn before(&mut self, weeks: i32) -> Week {
        self.start.plus(-self.dice.random_range(1..=weeks))
    }

    fn week_of_year(&mut self) -> String {
        format!("W{:02}", self.dice.random_range(1..=52))
    }
}

impl<'d> Holding<'d> {
    /// A holding of one to four beds; `shown` has the shipped crops, foods, families and covers that may occur.
    fn drawn(dice: &'d mut ChaCha8Rng, shown: &Scenario) -> Holding<'d> {
        let later = dice.random_range(0..52);
        let mut h = Holding {
            dice,
            start: Week::from_iso(2026, 1).expect("a week").plus(later),
            head: String::new(),
            sections: BTreeMap::new(),
        };
        h.head();
        let beds = h.beds();
        h.needs(shown);
        for cover in &shown.covers {
            if h.dice.random_bool(0.6) {
                let count = h.dice.random_range(1..=2);
                h.add("covers", format!("{}: {{ count: {count} }}", cover.name));
            }
        }
        for (bed, strips) in beds {
            h.stands(shown, &bed, strips);
        }
        for _ in 0..3 {
            h.is_there(shown);
            h.rules(shown);
        }
        h
    }

    fn head(&mut self) {
        let start = self.start;
        let (weeks, tail) = (self.pick(&[6, 30, 52, 52, 104]), self.pick(&[0, 0, 26, 52]));
        let (climate, homes) = (self.pick(&CLIMATES), self.pick(&[0.5, 1.0, 3.0]));
        let work = self.pick(&["", "", ", hours_per_week: 0.5", ", hours_per_week: 3"]);
        let level = self.pick(&[
            "",
            "level: { low_money: 3, high_money: 12, below_cost: 0.5 }\n",
        ]);
        self.head = format!(
            "name: random\nstart: {start}\nweeks: {weeks}\ntail: {tail}\nclimate: {climate}\nhouseholds: {homes}\n{level}\
             work: {{ hour_money: 4{work} }}\nsolving: {{ gap: 0 }}\n\
             shelf: {{ lit_m2: 0.2, unlit_m2: 0.3, day_c: 19, night_c: 13, lamp_mj: 6, transmission: 0.5 }}\n"
        );
    }

    /// Names and numbers of strips.
    fn beds(&mut self) -> Vec<(String, u32)> {
        let mut beds = Vec::new();
        let mut lines = Vec::new();
        for bed in 1..=self.dice.random_range(1..=4) {
            let strips = self.dice.random_range(1..=4);
            let setting = self.pick(&["open", "open", "tunnel"]);
            let exposure = self.pick(&[1.0, 1.0, 0.6]);
            lines.push(format!(
                "bed {bed}: {{ setting: {setting}, length_m: 1.2, width_m: 1.2, strips: {strips}, exposure: {exposure} }}"
            ));
            beds.push((format!("bed {bed}"), strips));
        }
        self.sections.insert("beds", lines);
        beds
    }

    fn needs(&mut self, shown: &Scenario) {
        // One that is wanted all year, since there must be some.
        let food = shown.foods.choose(self.dice).expect("there are some");
        let line = format!("{}: {{ floor: 0, wish: 0.5 }}", food.name);
        self.sections.insert("needs", vec![line]);
        for _ in 0..6 {
            let food = shown.foods.choose(self.dice).expect("there are some");
            let floor = self.pick(&[0.0, 0.0, 0.3]);
            let wish = floor + self.pick(&[0.0, 0.4, 1.0]);
            let (from, to) = (self.week_of_year(), self.week_of_year());
            let must = self.pick(&["", "", "", ", must: true"]);
            let need = match self.dice.random_range(0..3) {
                0 => format!(
                    "floor: 0, wish: 0, seasons: [{{ weeks: [{from}, {to}], floor: {floor}, wish: {wish} }}]"
                ),
                _ => format!("floor: {floor}, wish: {wish}{must}"),
            };
            self.add("needs", format!("{}: {{ {need} }}", food.name));
        }
    }

    /// What stands in a bed at the start.
    fn stands(&mut self, shown: &Scenario, bed: &str, strips: u32) {
        let mut from = 1;
        while from <= strips && self.dice.random_bool(0.7) {
            let to = self.dice.random_range(from..=strips);
            let crop = &shown.crops.choose(self.dice).expect("there are some").name;
            let longest = self.pick(&[4, 12, 30, 150]);
            let sown = self.before(longest);
            let how = self.pick(&[
                "",
                "",
                ", keep: true",
                ", taken: 0.4",
                ", share: 0.3",
                ", share: 0",
            ]);
            self.add(
                "standing",
                format!(
                    "{bed} from {from}: {{ bed: {bed}, strips: [{from}, {to}], crop: {crop}, sown: {sown}{how} }}"
                ),
            );
            from = to + 1;
        }
    }

    /// Something in store or on the shelf.
    fn is_there(&mut self, shown: &Scenario) {
        let crop = shown.crops.choose(self.dice).expect("there are some");
        let (name, when) = (&crop.name, self.before(8));
        let stored = crop.ways.first().filter(|_| self.dice.random_bool(0.5));
        match stored {
            Some(way) => self.add(
                "in_store",
                format!(
                    "{name} of {when}: {{ crop: {name}, way: {}, amount: 3, harvested: {when} }}",
                    way.name
                ),
            ),
            None => self.add(
                "on_shelf",
                format!("{name} of {when}: {{ crop: {name}, sown: {when}, plants: 12 }}"),
            ),
        }
    }

    /// A rule of rotation, and a word about a crop.
    fn rules(&mut self, shown: &Scenario) {
        let family = &shown
            .families
            .choose(self.dice)
            .expect("there are some")
            .name;
        let rule = self.pick(&["forbid", "off", "{ discourage_money_per_m2_week: 0.05 }"]);
        self.add(
            "rotation",
            format!("{family}: {{ break_weeks: 104, rule: {rule} }}"),
        );
        let crop = &shown.crops.choose(self.dice).expect("there are some").name;
        let (from, to) = (self.start, self.start.plus(40));
        let word = match self.dice.random_bool(0.5) {
            true => format!("- {{ never: {crop} }}"),
            false => format!(
                "- {{ always: {crop}, strips: 1, from: {from}, to: {to}, missing_money: 5 }}"
            ),
        };
        self.add("directives", word);
    }
}

#[test]
fn whatever_is_asked_for_is_planned_and_the_plan_holds() {
    let shown = input::load(&plans::file("four-households"))
        .expect("it is shipped")
        .scenario;
    let options = Options {
        gap: 0.0,
        seconds: None,
        work: Some(10),
    };
    let about = About {
        file: String::new(),
        fingerprint: String::new(),
        options,
        timeless: true,
    };
    let mut planned = 0;
    for seed in 0..HOLDINGS {
        let text = Holding::drawn(&mut ChaCha8Rng::seed_from_u64(seed), &shown).text();
        let loaded = input::load_text("holding.yaml", &text);
        let scenario = loaded
            .unwrap_or_else(|e| panic!("{seed}: {e}\n{text}"))
            .scenario;
        let season = season(&scenario);
        if solve::possible(&season).is_err() {
            continue;
        }
        let answer = solve::solve(&season, &options, &Still);
        let plan = build(&scenario, &season, &answer, &about);
        let faults = verify(&scenario, &plan);
        assert!(faults.is_empty(), "{seed}: {faults:#?}\n{text}");
        assert!(plan.result.worth <= plan.result.bound, "{seed}:\n{text}");
        planned += 1;
    }
    assert!(
        planned > HOLDINGS / 2,
        "only {planned} of {HOLDINGS} can be planned"
    );
}
