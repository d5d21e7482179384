//! The whole search: a first draft, prices and a bound from relaxations, rounds of annealing, the last division of
//! supply, and the exact search where little is left open.

use super::answer::{Answer, Options, Progress, Status, Watch};
use super::ascent::ascend;
use super::context::Context;
use super::draft::Draft;
use super::exact::{ExactLimits, MOST_COLUMNS, PROVE, exact};
use super::finish::{Finished, finish};
use super::given::{self, Given};
use super::improve::Improver;
use super::larder::Larder;
use super::leave_out::needless;
use super::lightest;
use super::lower::{Lowering, Round, Rows};
use super::planned::as_planned;
use super::rounds::{FAIR, GOOD, MOVES_PER_WORK, ROUNDS};
use crate::candidates::{Rotation, Season};
use crate::programme::Placing;
use crate::strips::Prices;
use std::sync::atomic::{AtomicU64, Ordering};

/// A gap at most this is none.
const NO_GAP: f64 = 1e-6;
/// Strips up to which the exact search is tried.
const SMALL_STRIPS: usize = 60;
/// Columns of a programme from a year with a beginning that is as a rule proven within seconds (measured, docs/decisions/39).
const NEAR_COLUMNS: usize = 3_000;

/// Finds a plan and a bound.
///
/// # Panics
/// Where there is no plan at all, see [`super::possible`].
pub fn solve(season: &Season, options: &Options, watch: &dyn Watch) -> Answer {
    search(season, options, watch, None, None, false).0
}

/// Finds a plan, at least as good as the one given, and a bound, and gives the best prices found
/// beside them; none when the search was cut short before there were any.
pub fn solve_priced(
    season: &Season,
    options: &Options,
    watch: &dyn Watch,
    given: Option<Given>,
) -> (Answer, Option<Prices>) {
    search(season, options, watch, given, None, false)
}

/// The same for a plan that something has befallen: it is improved for a round of annealing even where it is within
/// the gap as it is, since what is lost may well be less than the gap.
pub fn mend(
    season: &Season,
    options: &Options,
    watch: &dyn Watch,
    given: Given,
) -> (Answer, Option<Prices>) {
    search(season, options, watch, Some(given), None, true)
}

/// Finds a plan at least as good as the one given, guided by prices that are known already, such as
/// those of a season that differs little: only the plan is sought, the bound is that of the prices.
pub fn solve_with_prices(
    season: &Season,
    options: &Options,
    watch: &dyn Watch,
    given: Given,
    prices: &Prices,
) -> Answer {
    search(season, options, watch, Some(given), Some(prices), false).0
}

fn search(
    season: &Season,
    options: &Options,
    watch: &dyn Watch,
    given: Option<Given>,
    known: Option<&Prices>,
    mending: bool,
) -> (Answer, Option<Prices>) {
    let context = Context::new(season);
    let larder = Larder::of(&context);
    let mut search = Search {
        context: &context,
        larder: &larder,
        options,
        watch,
        work: 0,
        bound: f64::INFINITY,
        prices: None,
        lowering: None,
        best: None,
        exact: None,
        cut: None,
        out_of_time: false,
        begun: false,
        mending,
        shown: AtomicU64::new(f64::NEG_INFINITY.to_bits()),
    };
    search.take(given);
    if search.best.is_none() {
        search.first_draft();
    }
    match known {
        Some(prices) => search.take_prices(prices),
        None => search.relaxations(),
    }
    let small = search.strips() <= SMALL_STRIPS && countable(season);
    let mut done = 0;
    if small {
        // Where a proof is near at hand a fair plan is enough for it; in a standing year it is farther off.
        if season.cycle.is_none() {
            search.plans(0..FAIR);
            done = FAIR;
        }
        if season.cycle.is_some() || !search.prove(NEAR_COLUMNS) {
            search.plans(done..GOOD);
            done = GOOD;
            search.prove(MOST_COLUMNS);
        }
    }
    search.plans(done..ROUNDS.len());
    let prices = search.prices.take();
    (search.answer(), prices)
}

/// Whether the exact search counts all that a season asks for: where rotation goes round, breaks that are only
/// discouraged are not.
fn countable(season: &Season) -> bool {
    let mut rules = season.beds.iter().flat_map(|bed| &bed.rotation);
    season.cycle.is_none() || !rules.any(|rule| matches!(rule, Rotation::Discourage { .. }))
}

/// A search under way.
pub struct Search<'s, 'a> {
    pub context: &'s Context<'a>,
    pub larder: &'s Larder,
    pub options: &'s Options,
    pub watch: &'s dyn Watch,
    /// Units of work: strip-years sought and moves tried, see `rounds`.
    pub work: u64,
    pub bound: f64,
    pub prices: Option<Prices>,
    pub lowering: Option<Lowering>,
    pub best: Option<(Finished, Draft)>,
    pub exact: Option<super::exact::Better>,
    /// Why the search was cut short.
    pub cut: Option<Status>,
    /// Whether a round was made shorter to end before the limit of time.
    pub out_of_time: bool,
    /// Whether a plan to begin from was given.
    pub begun: bool,
    /// Whether the plan given is to be improved even where it is within the gap.
    pub mending: bool,
    /// The greatest worth shown, as the bits of a number: what is shown never falls, not by a last digit.
    shown: AtomicU64,
}

impl Search<'_, '_> {
    pub fn worth(&self) -> f64 {
        let drafted = self
            .best
            .as_ref()
            .map_or(f64::NEG_INFINITY, |(f, _)| f.worth);
        self.exact
            .as_ref()
            .map_or(drafted, |better| better.worth.max(drafted))
    }

    fn gap(&self) -> f64 {
        if self.bound.is_infinite() {
            return f64::INFINITY;
        }
        (self.bound - self.worth()).max(0.0) / self.bound.abs().max(1e-9)
    }

    pub fn tell(&self, phase: &'static str) {
        self.watch.progress(self.state(phase, self.worth()));
    }

    /// Where the search stands when the best plan has this worth.
    pub fn state(&self, phase: &'static str, worth: f64) -> Progress {
        let finite = |x: f64| x.is_finite().then_some(x);
        let worth = worth.max(f64::from_bits(self.shown.load(Ordering::Relaxed)));
        self.shown.store(worth.to_bits(), Ordering::Relaxed);
        Progress {
            phase,
            worth: finite(worth),
            bound: finite(self.bound),
        }
    }

    /// Whether to go on: no limit reached and the gap asked for not yet either.
    pub fn go_on(&mut self) -> bool {
        if self.cut.is_none() {
            self.cut = cut_short(self.options, self.watch, self.work);
        }
        self.cut.is_none() && self.gap() > self.gap_wanted()
    }

    fn gap_wanted(&self) -> f64 {
        if self.mending {
            NO_GAP
        } else {
            self.options.gap.max(0.0)
        }
    }

    /// A worth that is surely within the gap asked for.
    pub fn worth_wanted(&self) -> f64 {
        self.bound - (self.gap_wanted() - NO_GAP) * self.bound.abs()
    }

    /// Keeps a draft if it is the best so far.
    pub fn keep(&mut self, draft: &Draft) {
        if let Some(finished) = finish(self.context, draft)
            && finished.worth > self.worth()
        {
            self.best = Some((finished, draft.clone()));
        }
    }

    /// Strips of the holding, those of rings one by one.
    pub fn strips(&self) -> usize {
        (0..self.context.season.groups.len())
            .map(|g| self.context.season.strips_of(g) as usize)
            .sum()
    }

    fn first_draft(&mut self) {
        const SWEEPS: usize = 2;
        let mut draft = lightest::first(self.context, self.larder);
        self.keep(&draft);
        self.tell("first draft");
        let mut improver = Improver::new(self.context, self.larder, &draft, &[], 1);
        improver.sweeps(&mut draft, None, SWEEPS);
        self.work += (SWEEPS * self.strips()) as u64;
        self.keep(&draft);
        if let Some(mut draft) = as_planned(self.context, self.larder) {
            self.begun = true;
            self.keep(&draft);
            let mut improver = Improver::new(self.context, self.larder, &draft, &[], 3);
            improver.sweeps(&mut draft, None, SWEEPS);
            self.work += (SWEEPS * self.strips()) as u64;
            self.keep(&draft);
        }
        self.tell("first draft");
    }

    /// Takes up a plan that is given.
    fn take(&mut self, given: Option<Given>) {
        let Some(given) = given else { return };
        if let Some(draft) = given::draft(self.context, self.larder, given) {
            self.keep(&draft);
            self.begun = true;
            self.tell("given plan");
        }
    }

    /// Prices that are known already, and their bound.
    fn take_prices(&mut self, prices: &Prices) {
        // Estimates: how far below the first bound is aimed at, as a share, and steps of the volume method.
        const AIM: f64 = 0.2;
        const STEPS: usize = 300;
        let mut prices = prices.clone();
        prices.clamp(self.context.season);
        let worth = self.worth();
        let target = |first: f64| worth.max(first - AIM * first.abs());
        let go_on = |_| cut_short(self.options, self.watch, self.work).is_none();
        let found = ascend(self.context, &prices, target, STEPS, go_on);
        self.work += ((1 + found.steps) * self.context.season.groups.len()) as u64;
        self.bound = found.bound;
        self.prices = Some(found.prices);
        self.tell("prices");
    }

    /// Prices and a first bound by relaxations. Where no plan was given, one core anneals the first draft meanwhile, so
    /// that a fair plan is shown soon.
    fn relaxations(&mut self) {
        let Some((_, draft)) = &self.best else { return };
        let draft = draft.clone();
        let mut lowering = Lowering::new(self.context, draft.years.iter().flatten());
        self.take_bound(&mut lowering);
        let met = AtomicU64::new(f64::NEG_INFINITY.to_bits());
        let more = self.relaxation(&mut lowering, &met) == Round::More;
        let beside = self.prices.clone().filter(|_| more && !self.begun);
        let cooling = self.short_round(lowering.effort());
        let annealer = self.annealer();
        let found = std::thread::scope(|scope| {
            let beside = (beside.as_ref())
                .map(|prices| scope.spawn(|| annealer.beside(&draft, prices, &cooling, &met)));
            if more {
                self.more_relaxations(&mut lowering, &met);
            }
            beside.map(|found| found.join().expect("annealing does not panic"))
        });
        if let Some(found) = found {
            self.work += 2 * cooling.moves / MOVES_PER_WORK;
            self.keep(&found);
        }
        self.lowering = Some(lowering);
    }

    /// Relaxations until the last one holds the plantings that its prices call for; then with cover rows, where
    /// those take much off, so that masks follow what is left.
    fn more_relaxations(&mut self, lowering: &mut Lowering, met: &AtomicU64) {
        const ROUNDS: usize = 13;
        const WITH_ROWS: usize = 6;
        // What rows take off the relaxed plan at least, share of it (docs/decisions/34).
        const MUCH: f64 = 3e-3;
        for _ in 0..ROUNDS {
            if self.relaxation(lowering, met) != Round::More {
                break;
            }
        }
        let before = lowering.relaxed;
        for _ in 0..WITH_ROWS {
            let done = self.relaxation(lowering, met) == Round::Done;
            if done || before - lowering.relaxed < MUCH * before.abs() {
                break;
            }
        }
    }

    /// One relaxation more, and what it brought; what a plan is worth that was met meanwhile is shown beside.
    fn relaxation(&mut self, lowering: &mut Lowering, met: &AtomicU64) -> Round {
        if !self.go_on() {
            return Round::Done;
        }
        let (options, watch, work) = (self.options, self.watch, self.work);
        let go_on = || cut_short(options, watch, work).is_none();
        let brought = lowering.round(self.context, Rows::Covers, &go_on);
        self.take_bound(lowering);
        let met = f64::from_bits(met.load(Ordering::Relaxed));
        self.watch
            .progress(self.state("prices", self.worth().max(met)));
        brought
    }

    pub fn take_bound(&mut self, lowering: &mut Lowering) {
        self.work += std::mem::take(&mut lowering.work);
        if lowering.bound < self.bound {
            self.bound = lowering.bound;
            self.prices = lowering.prices.clone();
        }
    }

    /// The exact search where the holding is small, and whether the programme had at most so many columns.
    fn prove(&mut self, columns: usize) -> bool {
        const RELAXATIONS: u64 = 20_000;
        if self.gap() <= NO_GAP || !self.go_on() {
            return true;
        }
        let Some(prices) = &self.prices else {
            return true;
        };
        let Some((_, draft)) = &self.best else {
            return true;
        };
        let strips = draft.laid_out(self.context.season);
        let placing = Placing {
            strips: &strips,
            covers: &draft.masks,
            drawn: &[],
        };
        let mut excluded = needless(self.context, prices, self.bound, self.worth());
        // What the plan known is made of stays, to search near it.
        for &candidate in strips.iter().flatten().flatten() {
            excluded[candidate] = false;
        }
        let limits = ExactLimits {
            until: self.options.seconds,
            gap: self.options.gap,
            columns: Some(columns),
            // Each counts as a unit of work.
            relaxations: Some(
                (self.options.work).map_or(RELAXATIONS, |limit| RELAXATIONS.min(limit - self.work)),
            ),
        };
        let found = exact(
            self.context.season,
            &excluded,
            self.worth(),
            Some(&placing),
            limits,
            &Beneath {
                watch: self.watch,
                worth: self.worth(),
                bound: self.bound,
            },
        );
        let Some(found) = found else { return false };
        self.work += found.relaxations;
        if found.better.is_some() {
            self.exact = found.better;
        }
        if found.finished && !found.unsplit {
            self.bound = self.bound.min(self.worth().max(found.bound));
            if self.bound - self.worth() <= NO_GAP * self.bound.abs() {
                self.bound = self.worth();
            }
        } else {
            self.bound = self.bound.min(found.bound.max(self.worth()));
        }
        self.tell(PROVE);
        true
    }

    fn answer(mut self) -> Answer {
        let gap = self.gap();
        let status = if gap <= NO_GAP {
            Status::Optimal
        } else if gap <= self.options.gap {
            Status::WithinGap
        } else {
            self.cut
                .or_else(|| cut_short(self.options, self.watch, self.work))
                .or(self.out_of_time.then_some(Status::TimeLimit))
                .unwrap_or(Status::WorkLimit)
        };
        let (bound, work, seconds) = (self.bound, self.work, self.watch.seconds());
        if let Some(better) = self.exact.take() {
            return Answer {
                status,
                strips: better.strips,
                covers: better.covers,
                draws: better.draws,
                worth: better.worth,
                bound: bound.max(better.worth),
                work,
                seconds,
            };
        }
        let (finished, draft) = (self.best.take()).expect("possible() says that there is a plan");
        Answer {
            status,
            strips: draft.laid_out(self.context.season),
            covers: draft.masks,
            draws: finished.draws,
            worth: finished.worth,
            bound: bound.max(finished.worth),
            work,
            seconds,
        }
    }
}

/// The watch of the exact search, which does not know what is known already.
struct Beneath<'w> {
    watch: &'w dyn Watch,
    worth: f64,
    bound: f64,
}

impl Watch for Beneath<'_> {
    fn seconds(&self) -> f64 {
        self.watch.seconds()
    }

    fn interrupted(&self) -> bool {
        self.watch.interrupted()
    }

    fn progress(&self, progress: Progress) {
        let worth = progress
            .worth
            .map_or(self.worth, |worth| worth.max(self.worth));
        let bound = progress
            .bound
            .map_or(self.bound, |bound| bound.min(self.bound));
        self.watch.progress(Progress {
            worth: Some(worth),
            bound: Some(bound.max(worth)),
            ..progress
        });
    }
}

pub fn cut_short(options: &Options, watch: &dyn Watch, work: u64) -> Option<Status> {
    if watch.interrupted() {
        Some(Status::Interrupted)
    } else if options
        .seconds
        .is_some_and(|limit| watch.seconds() >= limit)
    {
        Some(Status::TimeLimit)
    } else if options.work.is_some_and(|limit| work >= limit) {
        Some(Status::WorkLimit)
    } else {
        None
    }
}
