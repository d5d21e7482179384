//! Rounds of annealing on both cores, the bound lowered beside them.

use super::anneal::{Cooling, Neighbours, anneal};
use super::answer::{Options, Watch};
use super::context::Context;
use super::draft::Draft;
use super::improve::{Guide, Improver};
use super::larder::Larder;
use super::lightest;
use super::lower::{Budget, Lowering};
use super::masks::{self, Stretch, first_masks};
use super::run::{Search, cut_short};
use crate::strips::Prices;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};

/// What rounds are called while they go on.
const PHASE: &str = "improve";
/// Moves of annealing that count as one unit of work.
pub const MOVES_PER_WORK: u64 = 100;
/// Moves a strip in each round of annealing, the loss that is taken with likelihood 1/e at its start
/// (money), and, where one of the two cores lowers the bound before it anneals, steps of the volume method in
/// that. Short rounds soon give a fair plan with fair masks; one long round cools better than many that each begin
/// warm again, so each is four times as long as the one before (measured, docs/decisions/37).
pub const ROUNDS: [(u64, f64, Option<usize>); 7] = [
    (300, 0.15, Some(0)),
    (300, 0.15, None),
    (1200, 0.1, Some(100)),
    (4800, 0.1, Some(100)),
    (19_200, 0.1, Some(500)),
    (76_800, 0.1, Some(500)),
    (307_200, 0.1, None),
];
/// Multiplications of a relaxation that take about as long as one move of annealing, an estimate.
const MOVE_EFFORT: u64 = 60_000;
/// Rounds that begin from the first drafts, since where a short one ends is much a matter of luck; the others
/// begin from the best plan.
const AFRESH: u64 = 2;
/// Share of a bed's strip-weeks that first masks ask for, in each of the two drafts made at once: which is better hangs
/// on the holding (measured, docs/decisions/42).
const ASKED_FOR: [f64; 2] = [0.2, 0.4];
/// Rounds after which a plan is fair.
pub const FAIR: usize = 2;
/// Rounds after which it is about as good as annealing makes it.
pub const GOOD: usize = 5;
/// Loss that is taken with likelihood 1/e at the end of a round, money.
const COLDEST: f64 = 0.005;
/// The same at the start of the round that mends a plan: it is good but for what befell it (estimate).
const MENDING: f64 = 0.05;

/// What annealing needs beside a draft.
struct Aids<'d> {
    neighbours: &'d Neighbours,
    stretches: &'d [Vec<Stretch>],
    guide: &'d Guide,
}

impl<'s, 'a> Search<'s, 'a> {
    /// Plans under masks: two drafts by the guide unless there is one already, then these rounds of annealing
    /// on both cores, the better of the two going on.
    pub fn plans(&mut self, rounds: std::ops::Range<usize>) {
        let Some(prices) = self.prices.clone() else {
            return;
        };
        if !self.go_on() {
            return;
        }
        let mut guide = Guide::of(self.context, &prices);
        let mut stretches = masks::stretches(self.context, &guide.losses);
        let mut guided_by = self.bound;
        let neighbours = Neighbours::of(self.context);
        let mut drafts = self.drafts(&guide, &stretches);
        for draft in &mut drafts {
            self.keep(draft);
            if let Some((_, best)) = self
                .best
                .as_ref()
                .filter(|_| self.begun || rounds.start > 0 || draft.worth(self.context).is_none())
            {
                draft.clone_from(best);
            }
        }
        self.tell("draft");
        let mut lowering = self.lowering.take();
        let mut speed = None;
        for round in rounds {
            let (per_strip, warmest, lower) = ROUNDS[round];
            let warmest = if self.mending { MENDING } else { warmest };
            let round = round as u64;
            if !self.go_on() {
                break;
            }
            let strips = self.strips() as u64;
            let moves = self.fitted(per_strip * strips, speed);
            let warmth = self.warmth(moves / strips.max(1));
            let cooling = Cooling {
                first: warmest * warmth,
                last: COLDEST * warmth,
                moves,
            };
            if self.bound < guided_by
                && let Some(prices) = &self.prices
            {
                guide = Guide::of(self.context, prices);
                stretches = masks::stretches(self.context, &guide.losses);
                guided_by = self.bound;
            }
            let begun = self.watch.seconds();
            let aids = Aids {
                neighbours: &neighbours,
                stretches: &stretches,
                guide: &guide,
            };
            let found = self.anneal_twice(
                &drafts,
                &aids,
                &cooling,
                round,
                lowering.as_mut().zip(lower),
            );
            speed = Some(cooling.moves as f64 / (self.watch.seconds() - begun).max(1e-9));
            for draft in &found {
                self.keep(draft);
            }
            self.work += 2 * cooling.moves / MOVES_PER_WORK;
            if let Some(lowering) = &mut lowering {
                // The moves that it took the place of are counted.
                lowering.work = 0;
                self.take_bound(lowering);
            }
            if let Some((_, best)) = self.best.as_ref().filter(|_| round + 1 >= AFRESH) {
                drafts = [best.clone(), best.clone()];
            }
            self.mending = false;
            self.tell(PHASE);
        }
        self.lowering = lowering;
    }

    /// Drafts under first masks, one made on each core, the better one first.
    fn drafts(&mut self, guide: &Guide, stretches: &[Vec<Stretch>]) -> [Draft; 2] {
        const SWEEPS: usize = 3;
        const SEEDS: [u64; 2] = [2, 4];
        let strips = self.lowering.as_ref().map_or(&[][..], |l| &l.strips);
        let (context, larder) = (self.context, self.larder);
        let make = |n: usize| {
            let masks = first_masks(context, guide, stretches, strips, ASKED_FOR[n]);
            let mut draft = lightest::under(context, larder, masks);
            let mut improver = Improver::new(context, larder, &draft, &[], SEEDS[n]);
            improver.sweeps(&mut draft, Some(guide), SWEEPS);
            draft
        };
        let mut drafts = std::thread::scope(|scope| {
            let other = scope.spawn(|| make(1));
            [make(0), other.join().expect("a draft is made")]
        });
        self.work += (2 * SWEEPS * self.strips()) as u64;
        if drafts[1].worth(context) > drafts[0].worth(context) {
            drafts.swap(0, 1);
        }
        drafts
    }

    /// Moves of a round that ends before a limit cuts it short, for only its cold end finds better plans: so many
    /// as are asked for, or all that are left where no longer round could follow.
    fn fitted(&mut self, moves: u64, speed: Option<f64>) -> u64 {
        /// How often a round's moves may be left for it to take all of them (measured, docs/decisions/37).
        const ALL_LEFT: u64 = 2;
        /// Time that the end of the search takes besides, share of what is left.
        const SPARE: f64 = 0.04;
        let by_work = self
            .options
            .work
            .map(|limit| (limit.saturating_sub(self.work)) * MOVES_PER_WORK / 2);
        let by_time = self.options.seconds.zip(speed).map(|(limit, speed)| {
            ((limit - self.watch.seconds()).max(0.0) * (1.0 - SPARE) * speed) as u64
        });
        match by_work.into_iter().chain(by_time).min() {
            Some(left) if left < ALL_LEFT * moves => {
                self.out_of_time |= left < moves && by_time == Some(left);
                left
            }
            _ => moves,
        }
    }

    /// What annealing needs of the search as it stands.
    pub fn annealer(&self) -> Annealer<'s, 'a> {
        Annealer {
            context: self.context,
            larder: self.larder,
            options: self.options,
            watch: self.watch,
            work: self.work,
        }
    }

    /// A short round beside the relaxations, of which the first one took this effort.
    pub fn short_round(&self, effort: u64) -> Cooling {
        // Moves a strip that bring what the first draft lacks most, and what the relaxations take together for each
        // that the first one took: estimates.
        const PER_STRIP: u64 = 50;
        const TIMES: u64 = 10;
        let warmth = self.warmth(PER_STRIP);
        Cooling {
            first: ROUNDS[0].1 * warmth,
            last: COLDEST * warmth,
            moves: (PER_STRIP * self.strips() as u64).min(TIMES * effort / MOVE_EFFORT),
        }
    }

    /// What the losses that are taken are multiplied by in a round of so many moves a strip: more where a strip is worth
    /// more, for what large strips make is hard to leave again. A short round has no time to cool down from there; in
    /// a standing year, where no exact search mends what it leaves, it does so all the same.
    fn warmth(&self, per_strip: u64) -> f64 {
        /// What a strip of the demo holding is worth, money.
        const USUAL: f64 = 3.0;
        /// How many times that it has to be in a year with a beginning: below, nothing is gained.
        const MUCH: f64 = 2.0;
        /// Moves a strip of a round that is not short (measured, docs/decisions/35).
        const LONG: u64 = 3000;
        /// What a long round of a standing year is warmer by besides (measured, docs/decisions/37).
        const STANDING: f64 = 2.0;
        let of_usual = self.bound.abs() / self.strips().max(1) as f64 / USUAL;
        match self.context.season.cycle {
            Some(_) if per_strip >= LONG => STANDING * of_usual.max(1.0),
            Some(_) => of_usual.max(1.0),
            None if per_strip < LONG || of_usual < MUCH => 1.0,
            None => of_usual,
        }
    }

    /// Anneals on both cores, a draft on each; one of them lowers the bound first and makes as many moves less. Where
    /// the other comes within the gap asked for, its plan alone is the result, whatever the first one has met by then:
    /// so the result does not hang on which is faster.
    fn anneal_twice(
        &self,
        [draft, other_draft]: &[Draft; 2],
        aids: &Aids,
        cooling: &Cooling,
        round: u64,
        lower: Option<(&mut Lowering, usize)>,
    ) -> Vec<Draft> {
        /// A better plan is told of once it is so much better, share of the bound.
        const FINE: f64 = 2e-4;
        let worth = self.worth();
        let wanted = self.worth_wanted();
        let reached = AtomicBool::new(false);
        std::thread::scope(|scope| {
            let other = scope.spawn(|| {
                let mut cooling = *cooling;
                if let Some((lowering, ascent)) = lower {
                    let budget = Budget {
                        effort: cooling.moves * MOVE_EFFORT,
                        ascent,
                    };
                    let took = lowering.lower(self.context, budget, worth, || {
                        cut_short(self.options, self.watch, self.work).is_none()
                    });
                    cooling.moves = cooling.moves.saturating_sub(took / MOVE_EFFORT);
                }
                self.annealer()
                    .anneal(other_draft, aids, &cooling, 1100 + round, |worth| {
                        worth < wanted && !reached.load(Ordering::Relaxed)
                    })
            });
            let mut told = worth;
            let one = self
                .annealer()
                .anneal(draft, aids, cooling, 1200 + round, |worth| {
                    if worth > told + FINE * self.bound.abs() {
                        told = worth;
                        self.watch.meanwhile(self.state(PHASE, worth));
                    }
                    reached.store(worth >= wanted, Ordering::Relaxed);
                    worth < wanted
                });
            let other = other.join().expect("annealing does not panic");
            match reached.load(Ordering::Relaxed) {
                true => vec![one],
                false => vec![one, other],
            }
        })
    }
}

/// What annealing needs of a search, which goes on beside it.
#[derive(Clone, Copy)]
pub struct Annealer<'s, 'a> {
    pub context: &'s Context<'a>,
    pub larder: &'s Larder,
    pub options: &'s Options,
    pub watch: &'s dyn Watch,
    /// Units of work done before.
    pub work: u64,
}

impl Annealer<'_, '_> {
    /// Anneals until the moves are made, a limit is reached or the best plan's worth, which is shown now and then, is
    /// enough.
    fn anneal(
        &self,
        draft: &Draft,
        aids: &Aids,
        cooling: &Cooling,
        seed: u64,
        mut too_little: impl FnMut(f64) -> bool,
    ) -> Draft {
        let mut draft = draft.clone();
        let mut improver =
            Improver::new(self.context, self.larder, &draft, &aids.guide.losses, seed);
        let go_on = |moves: u64, best: f64| {
            // Both cores' moves count.
            let work = self.work + 2 * moves / MOVES_PER_WORK;
            too_little(best) && cut_short(self.options, self.watch, work).is_none()
        };
        let Aids {
            neighbours,
            stretches,
            guide,
        } = aids;
        anneal(
            &mut improver,
            &mut draft,
            neighbours,
            stretches,
            guide,
            cooling,
            go_on,
        );
        draft
    }

    /// Anneals the first draft for a while at these first prices, with what the first relaxation took for a measure of
    /// that; the worth met is told in `met`, as the bits of a number.
    pub fn beside(
        &self,
        draft: &Draft,
        prices: &Prices,
        cooling: &Cooling,
        met: &AtomicU64,
    ) -> Draft {
        const SEED: u64 = 1300;
        let guide = Guide::of(self.context, prices);
        let aids = Aids {
            neighbours: &Neighbours::of(self.context),
            stretches: &masks::stretches(self.context, &guide.losses),
            guide: &guide,
        };
        self.anneal(draft, &aids, cooling, SEED, |worth| {
            met.store(worth.to_bits(), Ordering::Relaxed);
            true
        })
    }
}
