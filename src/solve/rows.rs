//! Rows of the compact relaxation beside the usual ones: breaks of the rotation, rounding rows, cover rows and lids.

use super::compact::Build;
use super::interior::{Col, Row};
use crate::candidates::{BARE, CandidateId, CoverState};
use crate::domain::{BedId, FoodId};
use crate::strips::{Break, CoverRow, Lid, Rounding, Side, state_of};

/// Room left in full rows, strips: the interior-point method needs some.
const A_LITTLE: f64 = 1e-2;

impl Build<'_, '_> {
    pub fn add_breaks(&mut self, breaks: &[Break]) {
        let columns = self.columns_of();
        for (n, rule) in breaks.iter().enumerate() {
            let right = rule.strips.max(A_LITTLE);
            let row = self.lp.at_most(("break", [n, 0, 0]), right);
            for &col in rule.takers.iter().flat_map(|&c| &columns[c]) {
                self.lp.term(row, col, 1.0);
            }
            self.break_rows.push(row);
        }
    }

    pub fn add_roundings(&mut self, roundings: &[Rounding]) {
        let columns = self.columns_of();
        for it in roundings {
            let weeks = (it.first, it.last);
            let of = ("rounding", it.food, it.side);
            let row = self.food_row(&columns, of, weeks, it.right, &it.terms);
            self.rounding_rows.push(row);
        }
    }

    pub fn add_cover_rows(&mut self, cover_rows: &[CoverRow]) {
        let columns = self.columns_of();
        for it in cover_rows {
            let weeks = (it.first, it.last);
            // Where bare ground lies is where no cover does.
            let bare = it.lyings.iter().filter(|l| l.state == BARE).count() as f64;
            let right = it.right + it.units * bare;
            let of = ("lyings", it.food, it.side);
            let row = self.food_row(&columns, of, weeks, right, &it.terms);
            for lying in &it.lyings {
                let lies = self.lies(lying.bed, lying.week);
                for (state, col) in lies {
                    if state == lying.state {
                        self.lp.term(row, col, -it.units);
                    } else if lying.state == BARE {
                        self.lp.term(row, col, it.units);
                    }
                }
            }
            self.food_rows_under.push(row);
        }
    }

    /// Columns of each candidate.
    fn columns_of(&self) -> Vec<Vec<Col>> {
        let mut columns: Vec<Vec<Col>> = vec![Vec::new(); self.context.season.candidates.len()];
        for &(_, c, col) in &self.columns {
            columns[c].push(col);
        }
        columns
    }

    /// A row: what is eaten of a food in some weeks (or minus what is short) is at most `right` plus the terms.
    fn food_row(
        &mut self,
        columns: &[Vec<Col>],
        (called, food, side): (&'static str, FoodId, Side),
        (first, last): (usize, usize),
        mut right: f64,
        units: &[(CandidateId, f64)],
    ) -> Row {
        let mut terms = Vec::new();
        for week in first..=last {
            let there = self.table.eaten.get(&(food, week));
            match (side, there) {
                (Side::Wish, Some(&(eaten, _))) => terms.push((eaten, 1.0)),
                (Side::Wish, None) => {}
                (Side::Floor, Some(&(_, Some(short)))) => terms.push((short, -1.0)),
                // No cost of being short, or nothing that could be eaten: short of it all.
                (Side::Floor, _) => right += self.context.season.foods[food].floor[week],
            }
        }
        let called = (
            called,
            [food * 2 + usize::from(side == Side::Floor), first, last],
        );
        let row = self.lp.at_most(called, right);
        for (col, sign) in terms {
            self.lp.term(row, col, sign);
        }
        for &(c, units) in units {
            for &col in &columns[c] {
                self.lp.term(row, col, -units);
            }
        }
        row
    }

    /// Covers that lie anywhere in a week, those in use and spare ones.
    fn anywhere(&mut self, cover: usize, week: usize) -> Col {
        if let Some(&(col, _)) = self.anywhere.get(&(cover, week)) {
            return col;
        }
        let lie = self.lp.col(("anywhere", [cover, week, 0]), 0.0);
        let known = self.now.range((cover, 0)..=(cover, week)).next_back();
        if let Some((_, &now)) = known {
            let used = self.lp.at_most(("in use", [cover, week, 0]), 0.0);
            self.lp.term(used, now, 1.0);
            self.lp.term(used, lie, -1.0);
        }
        let stock = f64::from(self.context.season.covers[cover].count);
        let all = self.lp.at_most(("anywhere", [cover, week, 0]), stock);
        self.lp.term(all, lie, 1.0);
        self.anywhere.insert((cover, week), (lie, all));
        lie
    }

    /// Whether each cover that something standing there asks for lies on a bed in a week: at most one of them does, on all
    /// beds together no more than there are, and with the lids of what stands there.
    pub fn lies(&mut self, bed: BedId, week: usize) -> Vec<(CoverState, Col)> {
        if let Some(known) = self.lies.get(&(bed, week)) {
            return known.clone();
        }
        let season = self.context.season;
        let mut lies: Vec<(CoverState, Col)> = Vec::new();
        let groups = self.context.groups_of[bed].clone();
        let one = self.lp.at_most(("one cover", [bed, week, 0]), 1.0);
        for cover in 0..season.covers.len() {
            let state = CoverState::try_from(cover + 1).expect("covers are few");
            let asked = groups.iter().any(|g| {
                let all = &self.context.terrains.alternatives[*g];
                all.iter()
                    .any(|&c| state_of(season, c, week) == Some(state))
            });
            if !asked {
                continue;
            }
            let anywhere = self.anywhere(cover, week);
            let col = self.lp.col(("lies", [bed, week, cover]), 0.0);
            self.lp.term(one, col, 1.0);
            let lp = &mut self.lp;
            let together = *self.lie_rows.entry((cover, week)).or_insert_with(|| {
                let row = lp.at_most(("lies", [cover, week, 0]), 0.0);
                lp.term(row, anywhere, -1.0);
                row
            });
            self.lp.term(together, col, 1.0);
            lies.push((state, col));
        }
        for group in groups {
            let strips = self.context.count(group) as f64;
            for state in [BARE]
                .into_iter()
                .chain(lies.iter().map(|(state, _)| *state))
            {
                let mut row = None;
                for &(c, col) in &self.standing[group] {
                    if state_of(season, c, week) == Some(state) {
                        let right = if state == BARE { strips } else { 0.0 };
                        let called = ("lid", [group, week, usize::from(state)]);
                        let row = *row.get_or_insert_with(|| self.lp.at_most(called, right));
                        self.lp.term(row, col, 1.0);
                    }
                }
                let Some(row) = row else { continue };
                for &(of, col) in &lies {
                    if state == BARE {
                        self.lp.term(row, col, strips);
                    } else if of == state {
                        self.lp.term(row, col, -strips);
                    }
                }
                let lid = Lid { group, week, state };
                self.lids.push((lid, row));
            }
        }
        self.lies.insert((bed, week), lies.clone());
        lies
    }
}
