//! Better plans near the best one known: what a node's relaxed point and that plan agree on is fixed, and the rest searched.
//!
//! (Danna, Rothberg, Le Pape 2005, "Exploring relaxation induced neighborhoods to improve MIP solutions".)

use super::tree::{Bounds, Node, Search, WHOLE};

impl Search<'_> {
    /// Searches near the best plan known for so many pivots at the most, and uses what is left of them on what is open.
    pub fn search_near(&mut self, pivots: u64) {
        let most = self.simplex.pivots + pivots;
        self.only_near(pivots);
        self.search(most.saturating_sub(self.simplex.pivots));
    }

    /// Searches near the best plan known, from the best open node. Nothing is closed by it: all that is near is part of what
    /// is open.
    pub fn only_near(&mut self, pivots: u64) {
        let Some(open) = self.open.pop() else { return };
        let (dive, dropped) = (self.next.take(), self.dropped);
        let others = std::mem::take(&mut self.open);
        if let Ok(Some(node)) = self.solved(&open) {
            let agreed = self.agreed(&node);
            self.next = Some(self.below(&node, agreed, node.bound, None));
            self.search(pivots);
        }
        self.news.again.clear();
        self.dropped = dropped;
        self.next = dive;
        self.open = others;
        self.open.push(open);
    }

    /// Strips and covers of which a node has as many as the best plan known.
    fn agreed(&self, node: &Node) -> Vec<Bounds> {
        let strips = self.layout.strips.values();
        let columns = strips.chain(self.layout.covers.values());
        let mut agreed = Vec::new();
        for &column in columns {
            let (lower, upper) = self.simplex.bounds(column);
            let known = self.near[column];
            let same = (node.value(column) - known).abs() < WHOLE;
            if same && lower < upper && lower <= known && known <= upper {
                agreed.push((column, known, known));
            }
        }
        agreed
    }
}
