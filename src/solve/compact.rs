//! The compact relaxation: beds of one kind pooled, plantings as flow over weeks and covers, breaks of the
//! rotation counted per pool where they are broken. Solved over the candidates that prices have
//! called for so far, it gives good prices fast; the bound at them is computed in `bound`.

use super::context::Context;
use super::flow::{self, Passage};
use super::interior::{Col, Lp, Midway, Row};
use super::table::Table;
use crate::candidates::{
    Always, BARE, Candidate, CandidateId, Counted, CoverState, GroupId, KindId,
};
use crate::domain::BedId;
use crate::strips::{Break, CoverRow, Lid, Prices, Rounding};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Prices and the worth of the relaxed plan.
pub struct Relaxed {
    pub prices: Prices,
    /// Worth of the relaxed plan, money, to the accuracy asked.
    pub worth: f64,
    /// Strips that begin each candidate.
    pub strips: Vec<f64>,
    /// Units eaten and short, by food and week.
    pub eaten: Vec<Vec<f64>>,
    pub short: Vec<Vec<f64>>,
    /// Covers on the beds that cover rows speak of, in shares of them, by bed and week.
    pub lies: BTreeMap<(BedId, usize), Vec<(CoverState, f64)>>,
    /// Multiplications that it took.
    pub effort: u64,
}

/// What the relaxation holds: it grows from round to round.
#[derive(Clone)]
pub struct Compact {
    /// Candidates that have a column.
    pub named: Vec<bool>,
    pub roundings: Arc<Vec<Rounding>>,
    pub cover_rows: Arc<Vec<CoverRow>>,
    /// Beds and weeks whose covers have lids besides.
    pub lidded: Vec<(BedId, usize)>,
    pub breaks: Arc<Vec<Break>>,
}

impl Compact {
    /// The plantings of some strip-years, no rows beside the usual ones.
    pub fn of<'y>(
        context: &Context,
        years: impl IntoIterator<Item = &'y Vec<CandidateId>>,
    ) -> Compact {
        let mut compact = Compact {
            named: vec![false; context.season.candidates.len()],
            roundings: Arc::default(),
            cover_rows: Arc::default(),
            lidded: Vec::new(),
            breaks: Arc::default(),
        };
        for year in years {
            compact.name(context, year);
        }
        compact
    }

    /// Whether it has no rows but the usual ones and breaks yet.
    pub fn has_no_rows(&self) -> bool {
        self.roundings.is_empty() && self.cover_rows.is_empty() && self.lidded.is_empty()
    }

    /// Names candidates; whether there was a new one.
    pub fn name(&mut self, context: &Context, candidates: &[CandidateId]) -> bool {
        let mut fresh = false;
        for &c in candidates {
            let c = context.season.first_turn(c);
            fresh |= !std::mem::replace(&mut self.named[c], true);
        }
        fresh
    }
}

/// Builds and solves the relaxation, from where the one before was midway, which becomes where this one was; `None` where
/// the interior-point method fails or is told not to go on.
pub fn relax(
    context: &Context,
    compact: &Compact,
    midway: &mut Midway,
    accuracy: f64,
    go_on: &dyn Fn() -> bool,
) -> Option<Relaxed> {
    let Compact {
        named,
        roundings,
        cover_rows,
        lidded,
        breaks,
    } = compact;
    let season = context.season;
    let mut build = Build::new(context, named);
    for kind in 0..season.kinds.len() {
        build.add_kind(kind, named);
    }
    build.add_shared();
    build.add_roundings(roundings);
    build.add_cover_rows(cover_rows);
    for &(bed, week) in lidded {
        build.lies(bed, week);
    }
    build.add_breaks(breaks);
    let point = build.lp.solve_from(midway, accuracy, go_on)?;
    let mut prices = Prices::zero(season, &context.variety);
    build.table.read_prices(context, &point, &mut prices);
    for (&(k, week), &row) in &build.cover_rows {
        prices.cover[k][week] = point.prices[row];
    }
    for (&(k, week), &(_, row)) in &build.anywhere {
        prices.cover[k][week] += point.prices[row];
    }
    for (&(part, week), &row) in &build.shelf_rows {
        prices.shelf[part][week] = point.prices[row];
    }
    for (n, row) in build.plant_rows.iter().enumerate() {
        prices.plants[n] = row.map_or(0.0, |row| point.prices[row]);
    }
    for (a, &row) in build.always_rows.iter().enumerate() {
        prices.always[a] = point.prices[row];
    }
    prices.roundings = roundings.clone();
    prices.rounding = build
        .rounding_rows
        .iter()
        .map(|&row| point.prices[row])
        .collect();
    prices.cover_rows = cover_rows.clone();
    prices.cover_row_price = (build.food_rows_under.iter())
        .map(|&row| point.prices[row])
        .collect();
    prices.lids = Arc::new(build.lids.iter().map(|(lid, _)| *lid).collect());
    prices.lid_price = (build.lids.iter())
        .map(|&(_, row)| point.prices[row])
        .collect();
    if season.cycle.is_some() {
        prices.breaks = breaks.clone();
        prices.break_price = (build.break_rows.iter())
            .map(|&row| point.prices[row])
            .collect();
    }
    prices.clamp(season);
    let mut strips = vec![0.0; season.candidates.len()];
    for &(_, c, col) in &build.columns {
        strips[c] += point.x[col].max(0.0);
    }
    let mut eaten = vec![vec![0.0; season.weeks]; season.foods.len()];
    let mut short: Vec<Vec<f64>> = season.foods.iter().map(|f| f.floor.clone()).collect();
    for (&(f, week), &(eat, lack)) in &build.table.eaten {
        eaten[f][week] = point.x[eat].max(0.0);
        short[f][week] = lack.map_or(0.0, |col| point.x[col].max(0.0));
    }
    let value = |col: Col| point.x[col].max(0.0);
    Some(Relaxed {
        prices,
        lies: (build.lies.iter())
            .map(|(&place, all)| (place, all.iter().map(|&(s, col)| (s, value(col))).collect()))
            .collect(),
        worth: season.given_back - point.value - build.table.never_eaten,
        strips,
        eaten,
        short,
        effort: point.effort,
    })
}

/// A relaxation while it is built.
pub struct Build<'b, 'a> {
    pub context: &'b Context<'a>,
    pub lp: Lp,
    pub table: Table,
    pub columns: Vec<(KindId, CandidateId, Col)>,
    /// By group: columns of what stands there.
    pub standing: Vec<Vec<(CandidateId, Col)>>,
    pub cover_rows: BTreeMap<(usize, usize), Row>,
    /// Covers in use, by cover and the first of the weeks in which it is these.
    pub now: BTreeMap<(usize, usize), Col>,
    /// Covers that lie anywhere in the weeks that cover rows speak of, and the rows that limit them.
    pub anywhere: BTreeMap<(usize, usize), (Col, Row)>,
    /// Covers on single beds, by bed and week, what they are at most together, by cover and week, and lids.
    pub lies: BTreeMap<(BedId, usize), Vec<(CoverState, Col)>>,
    pub lie_rows: BTreeMap<(usize, usize), Row>,
    pub lids: Vec<(Lid, Row)>,
    pub shelf_rows: BTreeMap<(usize, usize), Row>,
    pub plant_rows: Vec<Option<Row>>,
    pub always_rows: Vec<Row>,
    pub rounding_rows: Vec<Row>,
    pub food_rows_under: Vec<Row>,
    pub break_rows: Vec<Row>,
}

impl<'b, 'a> Build<'b, 'a> {
    fn new(context: &'b Context<'a>, named: &[bool]) -> Build<'b, 'a> {
        let season = context.season;
        let mut lp = Lp::default();
        let limit = vec![season.minutes_per_week.unwrap_or(0.0); season.weeks];
        let grown: BTreeMap<u32, f64> = season
            .candidates
            .iter()
            .enumerate()
            .filter(|(c, candidate)| named[*c] || candidate.standing.is_some())
            .flat_map(|(c, _)| {
                context.classes.of_candidate[c]
                    .iter()
                    .map(|(class, _)| (*class, 0.0))
            })
            .chain(context.classes.in_store.iter().copied())
            .collect();
        let table = Table::add(&mut lp, context, &grown, &limit);
        Build {
            context,
            lp,
            table,
            columns: Vec::new(),
            standing: vec![Vec::new(); season.groups.len()],
            cover_rows: BTreeMap::new(),
            now: BTreeMap::new(),
            anywhere: BTreeMap::new(),
            lies: BTreeMap::new(),
            lie_rows: BTreeMap::new(),
            lids: Vec::new(),
            shelf_rows: BTreeMap::new(),
            plant_rows: vec![None; season.on_shelf.len()],
            always_rows: Vec::new(),
            rounding_rows: Vec::new(),
            food_rows_under: Vec::new(),
            break_rows: Vec::new(),
        }
    }

    fn add_kind(&mut self, kind: KindId, named: &[bool]) {
        let season = self.context.season;
        let groups: Vec<GroupId> = (0..season.groups.len())
            .filter(|&g| season.beds[season.groups[g].bed].kind == kind)
            .collect();
        // A cover goes furthest on the beds with most strips: their share is asked of all.
        let beds = season.beds.iter().filter(|b| b.kind == kind);
        let Some(most) = beds.map(|b| b.strips).max() else {
            return;
        };
        let per_bed = f64::from(most);
        // Strips that are free at the start, by what lies there.
        let mut free = vec![0.0; self.context.states()];
        let mut rings = 0.0;
        let mut passages = Vec::new();
        let moves = self.context.moves(1);
        for &g in &groups {
            let before = season.beds[season.groups[g].bed].state_before;
            if season.groups[g].standing.is_none() {
                free[usize::from(before)] += season.strips_of(g);
                rings += self.context.count(g) as f64;
                continue;
            }
            let stands = (self.lp).equal(("stands", [g, 0, 0]), self.context.count(g) as f64);
            for &c in &self.context.terrains.alternatives[g] {
                let states = &season.candidates[c].states;
                let first = states.first().copied().unwrap_or(before);
                let change = match &season.cycle {
                    Some(_) => 0.0,
                    None => moves.0[usize::from(before)][usize::from(first)],
                };
                let col = self.column(kind, c, per_bed, change);
                self.lp.term(stands, col, 1.0);
                self.standing[g].push((c, col));
                let last = states.last().copied().unwrap_or(before);
                // A perennial of a standing year leaves its strip to nothing else.
                if season.cycle.is_none() {
                    passages.push(Passage {
                        col,
                        from: None,
                        to: (last, season.candidates[c].end),
                    });
                }
            }
        }
        for c in 0..season.candidates.len() {
            let candidate = &season.candidates[c];
            if named[c] && candidate.standing.is_none() && candidate.kind == kind {
                let col = self.column(kind, c, per_bed, 0.0);
                let states = &candidate.states;
                passages.push(Passage {
                    col,
                    from: Some((states[0], candidate.start)),
                    to: (states[states.len() - 1], candidate.end),
                });
            }
        }
        flow::add(
            self.context,
            &mut self.lp,
            kind,
            &passages,
            &free,
            rings,
            per_bed,
        );
    }

    /// One column with what it grows, works, takes of the shelf and of the covers. A cover is shared by
    /// so many `strips`; `change` is what changing covers before it costs the bed, money.
    fn column(&mut self, kind: KindId, c: CandidateId, strips: f64, change: f64) -> Col {
        let season = self.context.season;
        let candidate = &season.candidates[c];
        let minutes: f64 = candidate.work.iter().map(|(_, m)| m).sum();
        let col = self.lp.col(
            ("planting", [c, 0, 0]),
            candidate.cost
                + minutes * season.minute_money
                + (inner_moves(self.context, candidate) + change) / strips,
        );
        let mut grown: BTreeMap<u32, f64> = BTreeMap::new();
        for &(class, units) in &self.context.classes.of_candidate[c] {
            *grown.entry(class).or_insert(0.0) += units;
        }
        for (class, units) in grown {
            self.table.grow(&mut self.lp, class, col, units);
        }
        for &(week, minutes) in &candidate.work {
            if let Some(row) = self.table.work[week] {
                self.lp.term(row, col, minutes);
            }
        }
        for s in &candidate.shelf {
            let part = usize::from(s.lit);
            let space = [season.shelf_unlit_m2, season.shelf_lit_m2][part];
            let lp = &mut self.lp;
            let row = *self
                .shelf_rows
                .entry((part, s.week))
                .or_insert_with(|| lp.at_most(("shelf", [part, s.week, 0]), space));
            self.lp.term(row, col, s.m2);
        }
        for p in &candidate.plants {
            let lp = &mut self.lp;
            let there = season.on_shelf[p.of].plants;
            let row = *self.plant_rows[p.of]
                .get_or_insert_with(|| lp.at_most(("plants", [p.of, 0, 0]), there));
            self.lp.term(row, col, p.plants);
        }
        let mut on = candidate.start;
        for run in candidate.states.chunk_by(|a, b| a == b) {
            self.covered(run[0], on, on + run.len(), col, 1.0 / strips);
            on += run.len();
        }
        self.columns.push((kind, c, col));
        col
    }

    /// A cover in weeks `on..off`, as a running sum over the weeks of the year: more where it goes on, less where
    /// it comes off, and more in the first week of each year that it goes into lying there.
    fn covered(&mut self, state: u8, on: usize, off: usize, col: Col, share: f64) {
        let weeks = self.context.season.weeks;
        if state == BARE {
            return;
        }
        let k = usize::from(state) - 1;
        self.cover_change(k, on % weeks, col, share);
        for _ in on / weeks..(off - 1) / weeks {
            self.cover_change(k, 0, col, share);
        }
        if !off.is_multiple_of(weeks) {
            self.cover_change(k, off % weeks, col, -share);
        }
    }

    /// In row (k, w): covers put on up to `w` less those taken off are what is in use in `w`.
    fn cover_change(&mut self, k: usize, week: usize, col: Col, share: f64) {
        let lp = &mut self.lp;
        let row = *self
            .cover_rows
            .entry((k, week))
            .or_insert_with(|| lp.at_most(("covered", [k, week, 0]), 0.0));
        self.lp.term(row, col, share);
    }

    fn add_shared(&mut self) {
        let season = self.context.season;
        for (k, cover) in season.covers.iter().enumerate() {
            let weeks: Vec<usize> = self
                .cover_rows
                .keys()
                .filter(|(kind, _)| *kind == k)
                .map(|(_, week)| *week)
                .collect();
            let mut before: Option<Col> = None;
            let mut caps = Vec::new();
            for week in weeks {
                let row = self.cover_rows[&(k, week)];
                let now = self.lp.col(("now", [k, week, 0]), 0.0);
                self.now.insert((k, week), now);
                self.lp.term(row, now, -1.0);
                if let Some(col) = before {
                    self.lp.term(row, col, 1.0);
                }
                let cap = (self.lp).at_most(("covers", [k, week, 0]), f64::from(cover.count));
                self.lp.term(cap, now, 1.0);
                caps.push((week, cap));
                before = Some(now);
            }
            self.cover_rows.retain(|(kind, _), _| *kind != k);
            // A row in force for several weeks: its price is read into its first week.
            self.cover_rows
                .extend(caps.into_iter().map(|(week, cap)| ((k, week), cap)));
        }
        self.add_always();
    }

    /// Rows of what is counted on. Plantings decided on that are alike but for their bed are one
    /// where beds are pooled: no strip counts twice.
    fn add_always(&mut self) {
        let season = self.context.season;
        let kind_of = |rule: &Always| rule.bed.map(|b| season.beds[b].kind);
        let mut first: Vec<usize> = Vec::new();
        for (a, rule) in season.always.iter().enumerate() {
            let alike = |&other: &usize| {
                let it = &season.always[other];
                matches!(rule.of, Counted::Planned(_))
                    && it.of == rule.of
                    && kind_of(it) == kind_of(rule)
            };
            if let Some(&other) = first.iter().find(|other| alike(other)) {
                let row = self.always_rows[other];
                self.lp.raise(row, -rule.units);
                self.always_rows.push(row);
                continue;
            }
            first.push(a);
            let row = self.lp.at_most(("always", [a, 0, 0]), -rule.units);
            let missing = self.lp.col(("missing", [a, 0, 0]), rule.missing_money);
            self.lp.term(row, missing, -1.0);
            for &(kind, c, col) in &self.columns {
                let there = kind_of(rule).is_none_or(|it| it == kind);
                if there && self.context.terrains.serves[c].binary_search(&a).is_ok() {
                    self.lp.term(row, col, -rule.per_strip(&season.kinds[kind]));
                }
            }
            self.always_rows.push(row);
        }
    }
}

/// Moves of covers between a candidate's own weeks, money per whole bed.
fn inner_moves(context: &Context, candidate: &Candidate) -> f64 {
    let moves = context.moves(1);
    candidate
        .states
        .windows(2)
        .map(|pair| moves.0[usize::from(pair[0])][usize::from(pair[1])])
        .sum()
}
