//! What is shown while a search goes on, against what it answers in the end.

use crate::solve::{Options, Progress, Status, Watch, solve};
use bedweek::test_season::{SeasonOptions, random_season};
use std::sync::Mutex;

/// A clock that stands still, nobody to interrupt, and all that was shown: whether in the midst of a round, and what.
#[derive(Default)]
struct Onlooker(Mutex<Vec<(bool, Progress)>>);

impl Watch for Onlooker {
    fn seconds(&self) -> f64 {
        0.0
    }
    fn interrupted(&self) -> bool {
        false
    }
    fn progress(&self, progress: Progress) {
        self.0.lock().unwrap().push((false, progress));
    }
    fn meanwhile(&self, progress: Progress) {
        self.0.lock().unwrap().push((true, progress));
    }
}

/// Plans shown never get worse, bounds never rise, the answer is as good as any plan shown, also of those met in
/// the midst of a round; and where a round ends within the gap asked for, the answer is the same whichever core was faster.
#[test]
fn what_is_shown_is_kept() {
    let mut midst = 0;
    for seed in 0..6 {
        let options = SeasonOptions {
            work_limit: seed % 2 == 1,
            ..SeasonOptions::small()
        };
        let season = random_season(seed, 6, 4, 60, 52, options);
        let asked = Options {
            gap: [0.0, 0.03, 0.1][seed as usize % 3],
            seconds: None,
            work: Some(600),
        };
        let watch = Onlooker::default();
        let answer = solve(&season, &asked, &watch);
        let shown = watch.0.into_inner().unwrap();
        midst += shown.iter().filter(|(midst, _)| *midst).count();
        let (mut worth, mut bound) = (f64::NEG_INFINITY, f64::INFINITY);
        for (_, progress) in shown {
            let now = progress.worth.unwrap_or(worth);
            assert!(now >= worth, "seed {seed}: {now} after {worth}");
            worth = now;
            let now = progress.bound.unwrap_or(bound);
            assert!(now <= bound, "seed {seed}: {now} after {bound}");
            bound = now;
        }
        let least = worth - 1e-6 * worth.abs();
        assert!(
            answer.worth >= least,
            "seed {seed}: {} {worth}",
            answer.worth
        );
        let gap = (answer.bound - answer.worth) / answer.bound.abs();
        let within = matches!(answer.status, Status::Optimal | Status::WithinGap);
        assert_eq!(within, gap <= asked.gap.max(1e-6), "seed {seed}: gap {gap}");
        let again = solve(&season, &asked, &Onlooker::default());
        assert_eq!(answer.strips, again.strips, "seed {seed}");
        assert_eq!(
            (answer.worth, answer.bound),
            (again.worth, again.bound),
            "seed {seed}"
        );
    }
    assert!(midst > 6, "rounds show what they meet: {midst}");
}
