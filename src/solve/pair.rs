//! The tree of the exact search on both cores: two searches, each with nodes of its own, for a round at a time.
//!
//! One dives by the better bound, the other upwards; every other round it searches near the best plan. Between rounds they
//! tell each other what they found and share what is open anew. A round ends after so many pivots, not after so much time:
//! the result does not hang on which core is faster.

use super::tree::{Node, Open, Search};
use crate::programme::Row;

/// Pivots of the first round, and of the longest: each is twice as long as the one before (estimates; the small
/// holdings measured make some 4,000 a second and core).
const FIRST_PIVOTS: u64 = 500;
const MOST_PIVOTS: u64 = 4_000;

/// Searches the tree below the root until it is done or a limit is met.
pub(super) fn on_both_cores(search: Search, root: Node) -> Search {
    in_rounds(search, root, FIRST_PIVOTS, MOST_PIVOTS)
}

fn in_rounds(mut search: Search, root: Node, mut pivots: u64, longest: u64) -> Search {
    let most = search.limits.relaxations;
    search.next = search.expand(root);
    // What the root taught both know.
    search.news.learned.clear();
    let other = search.twin();
    let mut pair = Pair { one: search, other };
    // Every other round: searched near the best plan each time, bounds fall too slowly (docs/decisions/38).
    let mut near = true;
    while pair.prepare(most) {
        let Pair { one, other } = &mut pair;
        std::thread::scope(|scope| {
            let beside = scope.spawn(|| match near && !other.near.is_empty() {
                true => other.search_near(pivots),
                false => other.search(pivots),
            });
            one.search(pivots);
            beside.join().expect("searching does not panic");
        });
        pivots = longest.min(2 * pivots);
        near = !near;
    }
    pair.merged()
}

/// Two searches of one tree.
struct Pair<'a> {
    one: Search<'a>,
    other: Search<'a>,
}

impl<'a> Pair<'a> {
    /// Between two rounds: news are told, what is open is shared; whether to go on.
    fn prepare(&mut self, most: Option<u64>) -> bool {
        self.tell_each_other();
        self.share();
        let open = self.one.open_bound().max(self.other.open_bound());
        self.one.tell(open);
        if open == f64::NEG_INFINITY || self.one.out_of_time() || self.one.enough(open) {
            return false;
        }
        let Some(most) = most else { return true };
        let left = most.saturating_sub(self.one.relaxations + self.other.relaxations);
        for search in [&mut self.one, &mut self.other] {
            search.limits.relaxations = Some(search.relaxations + left / 2);
        }
        left >= 2
    }

    /// What one of them found out the other one learns: rows in one order for both, since a basis names them by number.
    fn tell_each_other(&mut self) {
        let news = [&mut self.one, &mut self.other].map(|search| std::mem::take(&mut search.news));
        let [first, second] = news;
        second.learned.iter().for_each(|&it| self.one.note(it));
        first.learned.iter().for_each(|&it| self.other.note(it));
        let rows: Vec<Row> = first.rows.into_iter().chain(second.rows).collect();
        let cutoff = self.one.cutoff.max(self.other.cutoff);
        // The better plan goes to the first, and is what both search near.
        if self.one.cutoff < cutoff {
            self.one.best = self.other.best.take();
            self.one.near.clone_from(&self.other.near);
        }
        let near = self.one.near.clone();
        let dropped = self.one.dropped.max(self.other.dropped);
        for (search, again) in [
            (&mut self.one, first.again),
            (&mut self.other, second.again),
        ] {
            search.dropped = dropped;
            if search.cutoff < cutoff {
                search.cutoff = cutoff;
                search.near.clone_from(&near);
                search.narrow_root();
            }
            if !rows.is_empty() {
                search.add_rows(&rows);
            }
            search.open.extend(again);
        }
    }

    /// The best open nodes go to one and the other in turn; each keeps the dive that it is in.
    fn share(&mut self) {
        let cutoff = self.one.cutoff;
        let mut all: Vec<Open> = Vec::new();
        for search in [&mut self.one, &mut self.other] {
            search.next.take_if(|open| open.bound <= cutoff);
            all.extend(search.open.drain());
        }
        all.retain(|open| open.bound > cutoff);
        // Places among equals follow from the order of before.
        all.sort_by(|a, b| b.cmp(a));
        // Who has no dive to go on with takes first.
        let ones = usize::from(self.one.next.is_some() && self.other.next.is_none());
        for (at, open) in all.into_iter().enumerate() {
            match at % 2 == ones {
                true => self.one.open.push(open),
                false => self.other.open.push(open),
            }
        }
    }

    /// One search that has what both have.
    fn merged(self) -> Search<'a> {
        let Pair { mut one, other } = self;
        one.open.extend(other.open);
        one.open.extend(other.next);
        one.relaxations += other.relaxations;
        one
    }
}

#[cfg(test)]
mod tests {
    //! Against the search that is over before the other core gets anything to do. All seasons are random.

    use super::*;
    use crate::candidates::Season;
    use crate::programme::{Form, lay_out};
    use crate::solve::exact::ExactLimits;
    use crate::solve::root::Root;
    use bedweek::test_season::{SeasonOptions, random_season};
    use bedweek::test_watch::Still;

    /// The best plan's worth, what is not ruled out, relaxations solved, in rounds of so many pivots.
    fn searched(season: &Season, limits: ExactLimits, pivots: u64) -> (f64, f64, u64) {
        let (programme, layout) = lay_out(season, Form::Bed, &|_| true);
        let mut search = Search::new(season, &layout, programme, -1e6, limits, &Still);
        let Root::Node(node) = search.root() else {
            // The limit ended it.
            return (f64::NEG_INFINITY, search.root_bound, search.relaxations);
        };
        search = in_rounds(search, node, pivots, pivots);
        let worth = (search.best.as_ref()).map_or(f64::NEG_INFINITY, |better| better.worth);
        let bound = (search.open_bound()).max(search.dropped).max(search.cutoff);
        (worth, bound, search.relaxations)
    }

    /// Room for the search's own tolerance.
    fn room(worth: f64) -> f64 {
        2e-6 * worth.abs().max(1.0)
    }

    #[test]
    fn whoever_has_which_nodes_the_best_is_the_same() {
        let mut shared = 0;
        for seed in 0..8 {
            let season = random_season(seed, 3, 2, 8, 44, SeasonOptions::small());
            let alone = searched(&season, ExactLimits::default(), 1_000_000);
            let [pair, again] =
                [1, 1].map(|pivots| searched(&season, ExactLimits::default(), pivots));
            assert_eq!(pair, again, "seed {seed}");
            let room = room(alone.0);
            assert!(
                (pair.0 - alone.0).abs() < room,
                "seed {seed}: {pair:?} {alone:?}"
            );
            assert!(
                (pair.1 - alone.1).abs() < room,
                "seed {seed}: {pair:?} {alone:?}"
            );
            shared += usize::from(pair.2 != alone.2);
        }
        assert!(shared > 2, "the nodes of {shared} seasons were shared");
    }

    #[test]
    fn near_the_best_plan_it_is_found_again_and_nothing_is_closed() {
        let mut found = 0;
        for seed in 0..8 {
            let season = random_season(seed, 3, 2, 8, 44, SeasonOptions::small());
            let (programme, layout) = lay_out(&season, Form::Bed, &|_| true);
            let limits = ExactLimits::default();
            let mut whole = Search::new(&season, &layout, programme, -1e6, limits, &Still);
            let Root::Node(node) = whole.root() else {
                panic!("seed {seed}: idle ground is a plan")
            };
            let first = whole.expand(node);
            whole.open.extend(first);
            let mut near = whole.clone();
            whole.search(1_000_000);
            let best = whole.best.expect("idle ground is a plan").worth;
            let (open, bound) = (near.open.len(), near.open_bound());
            if bound <= near.cutoff {
                continue;
            }
            near.near = whole.near;
            near.only_near(1_000_000);
            let again = near.best.as_ref().map_or(-1e6, |better| better.worth);
            assert!(again < best + room(best), "seed {seed}: {again} for {best}");
            assert_eq!(
                (near.open.len(), near.open_bound()),
                (open, bound),
                "seed {seed}"
            );
            // Not where the plan is below another node.
            found += usize::from((again - best).abs() < room(best));
        }
        assert!(found > 2, "{found}");
    }

    #[test]
    fn so_many_relaxations_are_solved_at_most_and_the_bound_holds() {
        /// Both sides of what each core tries when the limit is met.
        const ROOM: u64 = 4;
        let season = random_season(3, 3, 2, 8, 44, SeasonOptions::small());
        let (best, _, all) = searched(&season, ExactLimits::default(), 20);
        for relaxations in (0..all).step_by(1 + all as usize / 10) {
            let limits = ExactLimits {
                relaxations: Some(relaxations),
                ..ExactLimits::default()
            };
            let (_, bound, solved) = searched(&season, limits, 20);
            assert!(solved <= relaxations + ROOM, "{solved} for {relaxations}");
            assert!(bound >= best - room(best), "{bound} for {best}");
        }
    }
}
