//! The tree of the exact search: what is open, what is branched on. The root is `root`'s business, leaves are `leaf`'s, that two
//! searches share a tree is `pair`'s.

use super::branch::{Alike, Branchable, Choice, Learned, Losses, moved};
use super::exact::{Better, ExactLimits, PROVE, add_totals};
use super::orbits::Orbits;
use super::reduce::narrowed;
use super::simplex::{Basis, End, Simplex, Until};
use super::tidy::{lower_bounds, telling};
use super::{Progress, Watch};
use crate::candidates::Season;
use crate::programme::{ColumnId, Layout, Programme, Row, Sense};
use std::cmp::Ordering;
use std::collections::{BTreeSet, BinaryHeap};
use std::sync::Arc;

/// Distance from a whole number that is taken as whole: a thousand times what the simplex method leaves.
pub(super) const WHOLE: f64 = 1e-6;

/// Pivots of one solve after which it is given up (estimate: the largest root takes 16,000).
const MOST_PIVOTS: u64 = 100_000;
/// Fall of the bound that is told, share of it.
const TOLD: f64 = 1e-4;

/// Bounds of columns: lower, upper.
pub(super) type Bounds = (ColumnId, f64, f64);

/// Bounds narrowed on the way to a node; branches share their beginnings.
pub(super) type Chain = Option<Arc<Narrowed>>;

pub(super) struct Narrowed {
    columns: Vec<Bounds>,
    above: Chain,
}

/// A solved node.
pub(super) struct Node {
    pub point: Vec<f64>,
    /// No point below it is worth more.
    pub bound: f64,
    basis: Arc<Basis>,
    pub narrowed: Chain,
    depth: u32,
}

impl Node {
    pub fn value(&self, column: ColumnId) -> f64 {
        self.point[column]
    }

    /// The same to be solved again; it has no number yet.
    fn open(&self) -> Open {
        Open {
            bound: self.bound,
            depth: self.depth,
            number: 0,
            basis: self.basis.clone(),
            narrowed: self.narrowed.clone(),
            branched: None,
        }
    }
}

/// A node that is not solved yet.
#[derive(Clone)]
pub(super) struct Open {
    pub bound: f64,
    depth: u32,
    /// In the order of their making.
    number: u64,
    basis: Arc<Basis>,
    narrowed: Chain,
    /// The column that was branched on, how far it is moved at least, and whether up.
    branched: Option<(ColumnId, f64, bool)>,
}

impl PartialEq for Open {
    fn eq(&self, other: &Open) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Open {}

impl PartialOrd for Open {
    fn partial_cmp(&self, other: &Open) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Open {
    /// The greatest is taken next: by bound, then the deeper, then the later.
    fn cmp(&self, other: &Open) -> Ordering {
        (self.bound.total_cmp(&other.bound))
            .then(self.depth.cmp(&other.depth))
            .then(self.number.cmp(&other.number))
    }
}

/// What a search has found that another one of the same tree does not know.
#[derive(Clone, Default)]
pub(super) struct News {
    pub learned: Vec<Learned>,
    /// Rows that every plan keeps, and the nodes to be solved again with them.
    pub rows: Vec<Row>,
    pub again: Vec<Open>,
}

/// The search and what it has found.
#[derive(Clone)]
pub(super) struct Search<'a> {
    pub season: &'a Season,
    pub layout: &'a Layout,
    pub programme: Programme,
    pub simplex: Simplex,
    pub branchable: Vec<Branchable>,
    pub orbits: Orbits,
    /// For each kind of [`Alike`] in use.
    pub losses: Vec<[Losses; 2]>,
    /// For each column.
    pub own_losses: Vec<[Losses; 2]>,
    /// For each column, the place of its kind in `losses`.
    pub alike: Vec<usize>,
    pub open: BinaryHeap<Open>,
    /// The node that a dive goes on with.
    pub next: Option<Open>,
    pub news: News,
    /// Whether dives go on with the upper side always, which settles more.
    pub upwards: bool,
    made: u64,
    /// Columns whose bounds in the simplex are not those of the programme.
    changed: Vec<ColumnId>,
    pub limits: ExactLimits,
    watch: &'a dyn Watch,
    /// Nodes worth no more than this are dropped.
    pub cutoff: f64,
    pub best: Option<Better>,
    /// The best plan known as a point of the programme, to search near it; empty where there is none.
    pub near: Vec<f64>,
    /// The lowest bound of the whole programme so far.
    pub root_bound: f64,
    /// The bound at the root in the end, and what one unit more of each column was worth then.
    pub root_prices: (f64, Vec<f64>),
    /// Best bound of nodes dropped: no strip-years were found for them, or no point.
    pub dropped: f64,
    pub relaxations: u64,
    /// What was told last: the best plan's worth, and what no plan exceeds.
    told: (Option<f64>, f64),
}

impl<'a> Search<'a> {
    /// A search of the programme that was laid out, for what is worth more than `cutoff`.
    pub fn new(
        season: &'a Season,
        layout: &'a Layout,
        mut programme: Programme,
        cutoff: f64,
        limits: ExactLimits,
        watch: &'a dyn Watch,
    ) -> Search<'a> {
        lower_bounds(&mut programme);
        let branchable = add_totals(&mut programme, layout, season);
        let kinds: BTreeSet<Alike> = branchable.iter().map(|it| it.alike).collect();
        let mut alike = vec![usize::MAX; programme.columns.len()];
        for it in &branchable {
            alike[it.column] = kinds.range(..it.alike).count();
        }
        Search {
            orbits: Orbits::of(season, layout, &programme),
            season,
            layout,
            own_losses: vec![[Losses::default(); 2]; alike.len()],
            simplex: Simplex::new(&programme, &telling(&programme)),
            programme,
            branchable,
            losses: vec![[Losses::default(); 2]; kinds.len()],
            alike,
            open: BinaryHeap::new(),
            next: None,
            news: News::default(),
            upwards: false,
            made: 0,
            changed: Vec::new(),
            limits,
            watch,
            cutoff,
            best: None,
            near: Vec::new(),
            root_bound: f64::INFINITY,
            root_prices: (f64::INFINITY, Vec::new()),
            dropped: f64::NEG_INFINITY,
            relaxations: 0,
            told: (None, f64::INFINITY),
        }
    }

    /// Another search of the same tree, which knows the same and has nothing to do yet.
    pub fn twin(&self) -> Search<'a> {
        Search {
            open: BinaryHeap::new(),
            next: None,
            news: News::default(),
            upwards: true,
            relaxations: 0,
            ..self.clone()
        }
    }

    /// Best bound of what is still open.
    pub fn open_bound(&self) -> f64 {
        let open = self.open.peek().into_iter().chain(&self.next);
        open.map(|open| open.bound)
            .fold(f64::NEG_INFINITY, f64::max)
    }

    /// Whether the best plan is within the gap asked for, if none is worth more than `bound`.
    pub fn enough(&self, bound: f64) -> bool {
        let bound = bound.max(self.dropped);
        bound - self.cutoff <= self.limits.gap * bound.abs()
    }

    pub fn must_stop(&self) -> bool {
        self.out_of_time() || (self.limits.relaxations).is_some_and(|most| self.relaxations >= most)
    }

    pub fn out_of_time(&self) -> bool {
        self.watch.interrupted() || self.limits.until.is_some_and(|t| self.watch.seconds() >= t)
    }

    /// Solves the relaxation with the bounds as they are, in so many pivots.
    pub fn solve(&mut self, pivots: u64) -> End {
        self.relaxations += 1;
        let (watch, limit) = (self.watch, self.limits.until);
        let go_on = || !watch.interrupted() && limit.is_none_or(|t| watch.seconds() < t);
        let until = Until {
            least: self.cutoff,
            pivots,
            go_on: &go_on,
        };
        self.simplex.solve(&until)
    }

    /// Solves it to its end, from the beginning where the basis that it stands at leads nowhere.
    pub fn solve_surely(&mut self) -> End {
        let end = self.solve_to_the_end();
        if end != End::Stuck {
            return end;
        }
        self.simplex.begin_anew();
        self.solve_to_the_end()
    }

    fn solve_to_the_end(&mut self) -> End {
        match self.solve(MOST_PIVOTS) {
            // Not the limits: it turns in circles.
            End::Stopped if !self.out_of_time() => End::Stuck,
            end => end,
        }
    }

    /// Searches what is open until it is done, a limit is met or so many pivots are made.
    pub fn search(&mut self, pivots: u64) {
        let most = self.simplex.pivots + pivots;
        while self.simplex.pivots < most {
            let Some(open) = self.next.take().or_else(|| self.open.pop()) else {
                return;
            };
            if open.bound <= self.cutoff {
                continue;
            }
            if self.must_stop() {
                self.open.push(open);
                return;
            }
            match self.solved(&open) {
                Ok(Some(node)) => self.next = self.expand(node),
                Ok(None) => {}
                Err(()) => {
                    self.open.push(open);
                    return;
                }
            }
        }
    }

    /// Tells what no plan exceeds, where what is open has this bound, and what the best plan is worth, if either changed.
    pub fn tell(&mut self, open: f64) {
        let worth = self.best.as_ref().map(|better| better.worth);
        let bound = open.max(self.dropped).max(self.cutoff).min(self.root_bound);
        let told = (worth, bound);
        if told.0 != self.told.0 || self.told.1 - told.1 > TOLD * bound.abs() {
            self.told = told;
            self.watch.progress(Progress {
                phase: PROVE,
                worth,
                bound: Some(bound),
            });
        }
    }

    /// An open node, solved; none where nothing better is below it, an error where the limits ended it.
    pub fn solved(&mut self, open: &Open) -> Result<Option<Node>, ()> {
        self.take_bounds(&open.narrowed);
        self.simplex.begin_from(&open.basis);
        let end = self.solve_surely();
        let (bound, worths) = match end {
            End::Infeasible | End::Beaten => return Ok(None),
            End::Stopped => return Err(()),
            End::Optimal => self.simplex.bound(),
            End::Stuck => {
                self.dropped = self.dropped.max(self.simplex.bound().0.min(open.bound));
                return Ok(None);
            }
        };
        let bound = bound.min(open.bound);
        if let Some((column, moved, up)) = open.branched {
            self.learn((column, moved, up, open.bound - bound));
        }
        if bound <= self.cutoff {
            return Ok(None);
        }
        let within = |column| self.simplex.bounds(column);
        let columns = narrowed(&self.programme, &within, bound, &worths, self.cutoff);
        let mut below = open.narrowed.clone();
        if !columns.is_empty() {
            for &(column, lower, upper) in &columns {
                self.simplex.set_bounds(column, lower, upper);
                self.changed.push(column);
            }
            below = Some(Arc::new(Narrowed {
                columns,
                above: below,
            }));
        }
        Ok(Some(self.node(bound, below, open.depth)))
    }

    /// Narrows the whole programme, now that a better plan is known: by what the root said.
    pub fn narrow_root(&mut self) {
        let (bound, worths) = &self.root_prices;
        let within = |column: ColumnId| {
            let whole = &self.programme.columns[column];
            (whole.lower, whole.upper)
        };
        let columns = narrowed(&self.programme, &within, *bound, worths, self.cutoff);
        for (column, lower, upper) in columns {
            let whole = &mut self.programme.columns[column];
            (whole.lower, whole.upper) = (lower, upper);
            self.changed.push(column);
        }
    }

    /// The node where the simplex stands.
    pub fn node(&self, bound: f64, narrowed: Chain, depth: u32) -> Node {
        Node {
            point: self.simplex.point(),
            bound,
            basis: Arc::new(self.simplex.basis()),
            narrowed,
            depth,
        }
    }

    /// Gives the simplex the bounds of a node.
    pub fn take_bounds(&mut self, chain: &Chain) {
        for column in std::mem::take(&mut self.changed) {
            let whole = &self.programme.columns[column];
            self.simplex.set_bounds(column, whole.lower, whole.upper);
        }
        let mut links = Vec::new();
        let mut at = chain;
        while let Some(link) = at {
            links.push(link);
            at = &link.above;
        }
        for link in links.into_iter().rev() {
            for &(column, lower, upper) in &link.columns {
                self.simplex.set_bounds(column, lower, upper);
                self.changed.push(column);
            }
        }
    }

    /// Opens a node below another, with a column between these bounds.
    pub fn open(&mut self, above: &Node, bounds: Bounds, bound: f64) {
        let open = self.below(above, vec![bounds], bound, None);
        self.open.push(open);
    }

    /// Finds rows that these columns are not so great all at once, on all beds alike; with them the node is to be solved again.
    pub fn forbid(&mut self, node: &Node, columns: &[(ColumnId, u32)]) {
        let most = columns.iter().map(|it| f64::from(it.1)).sum::<f64>() - 1.0;
        let of: Vec<ColumnId> = columns.iter().map(|it| it.0).collect();
        // Of a column that could be greater than here the row would ask too much.
        let as_great = |copy: &Vec<ColumnId>| {
            let mut pairs = copy.iter().zip(columns);
            pairs.all(|(&c, &(_, n))| self.programme.columns[c].upper <= f64::from(n))
        };
        let rows: Vec<Row> = (self.orbits.copies(&of).into_iter())
            .filter(as_great)
            .map(|copy| {
                let terms = copy.into_iter().map(|column| (column, 1.0)).collect();
                Row::unnamed(terms, Sense::AtMost, most)
            })
            .collect();
        self.news.rows.extend(rows);
        self.made += 1;
        self.news.again.push(Open {
            number: self.made,
            ..node.open()
        });
    }

    /// Adds rows that were found below the root.
    pub fn add_rows(&mut self, rows: &[Row]) {
        self.take_bounds(&None);
        self.simplex.add_rows(rows);
    }

    /// A node below another, with columns between these bounds.
    pub fn below(
        &mut self,
        above: &Node,
        columns: Vec<Bounds>,
        bound: f64,
        branched: Option<(ColumnId, f64, bool)>,
    ) -> Open {
        self.made += 1;
        Open {
            bound: bound.min(above.bound),
            depth: above.depth + 1,
            number: self.made,
            narrowed: Some(Arc::new(Narrowed {
                columns,
                above: above.narrowed.clone(),
            })),
            branched,
            ..above.open()
        }
    }

    /// Opens the branches below a solved node, whose bounds the simplex has, or takes it as a leaf. Gives the branch to
    /// go on with: a dive ends where nothing better is below, so plans are found soon.
    pub fn expand(&mut self, mut node: Node) -> Option<Open> {
        loop {
            let mut fractional: Vec<(bool, ColumnId, f64)> = self
                .branchable
                .iter()
                .map(|it| (it.late, it.column, node.value(it.column)))
                .filter(|(_, _, value)| (value - value.round()).abs() > WHOLE)
                .collect();
            if fractional.iter().all(|f| f.0) && self.placed(&node) {
                return None;
            }
            let Some(late) = fractional.iter().map(|f| f.0).min() else {
                self.leaf(&node);
                return None;
            };
            fractional.retain(|f| f.0 == late);
            match self.choose(&node, fractional) {
                Choice::Branch(column, bounds) => return Some(self.branch(&node, column, bounds)),
                Choice::Nothing => return None,
                Choice::Narrowed(columns) => {
                    // One side holds nothing better: the other one is the node.
                    let open = self.below(&node, columns, node.bound, None);
                    match self.solved(&open) {
                        Ok(Some(narrower)) => node = narrower,
                        Ok(None) => return None,
                        Err(()) => {
                            self.open.push(open);
                            return None;
                        }
                    }
                }
            }
        }
    }

    /// Opens both sides of a column, and gives the better one.
    fn branch(&mut self, node: &Node, column: ColumnId, bounds: [f64; 2]) -> Open {
        let value = node.value(column);
        let [down, up] = self.sides(column, value);
        let by = |up: bool| Some((column, moved(value, up), up));
        let down = self.below(node, down, bounds[0], by(false));
        let up = self.below(node, up, bounds[1], by(true));
        let (better, other) = match down.bound >= up.bound && !self.upwards {
            true => (down, up),
            false => (up, down),
        };
        self.open.push(other);
        better
    }
}
