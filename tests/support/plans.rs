//! Plans of the shipped scenarios, for tests.
#![allow(dead_code)]

use bedweek::candidates::{Season, season};
use bedweek::domain::Scenario;
use bedweek::input;
use bedweek::plan::{About, YearPlan, build};
use bedweek::solve::{Answer, Options};
use std::path::{Path, PathBuf};

/// A scenario and a plan for it.
pub struct Made {
    pub scenario: Scenario,
    pub season: Season,
    pub plan: YearPlan,
}

/// The file of a shipped scenario.
pub fn file(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("scenarios/{name}.yaml"))
}

/// The plan that `answer` gives for a shipped scenario.
pub fn made(name: &str, answer: impl Fn(&Season) -> Answer) -> Made {
    let loaded = input::load(&file(name)).unwrap_or_else(|errors| panic!("{errors}"));
    made_of(loaded.scenario, answer)
}

/// The plan that `answer` gives for a scenario.
pub fn made_of(scenario: Scenario, answer: impl Fn(&Season) -> Answer) -> Made {
    let season = season(&scenario);
    let about = About {
        file: "scenario.yaml".into(),
        fingerprint: "0".into(),
        options: Options {
            gap: 0.01,
            seconds: None,
            work: None,
        },
        timeless: true,
    };
    let mut answer = answer(&season);
    let mut plan = build(&scenario, &season, &answer, &about);
    // No search, no proof: any bound above the worth is as good as another.
    answer.bound = plan.result.worth + 10.0;
    plan = build(&scenario, &season, &answer, &about);
    Made {
        scenario,
        season,
        plan,
    }
}
