//! The structure of a sparse factor: an order of elimination that fills in little, and columns of like
//! structure gathered into supernodes.

use std::ops::Range;

/// What does not change from factor to factor.
pub struct Structure {
    /// Row of the matrix that is eliminated n-th.
    pub order: Vec<usize>,
    /// Children before parents.
    pub supernodes: Vec<Supernode>,
}

/// Columns that are eliminated together.
pub struct Supernode {
    /// First column, in the order of elimination.
    pub first: usize,
    /// Rows of its front, in the order of elimination: its own columns, then those below.
    pub rows: Vec<u32>,
    /// Number of own columns.
    columns: usize,
    /// Supernodes whose rest goes into this front.
    pub children: Vec<usize>,
    /// Where the rows below its own columns stand in the front of its parent, by runs of neighbours.
    pub above: Vec<Range<usize>>,
    /// Entries of the matrix that belong here: number, and place in the front by columns.
    pub entries: Vec<(u32, u32)>,
}

impl Supernode {
    /// Columns eliminated here.
    pub fn columns(&self) -> usize {
        self.columns
    }

    /// Rows of its front below its own columns.
    pub fn below(&self) -> &[u32] {
        &self.rows[self.columns..]
    }

    /// Where a row stands in its front.
    fn place(&self, row: u32) -> usize {
        self.rows.binary_search(&row).expect("a row of the front")
    }
}

/// No parent: the root of a tree.
const NONE: usize = usize::MAX;

impl Structure {
    /// Finds it for a symmetric matrix given by the places of its lower half, by columns.
    pub fn of(order: usize, starts: &[usize], rows: &[usize]) -> Structure {
        let sparse = least_degree(order, starts, rows);
        let (upper, parent) = tree(&sparse, starts, rows);
        let sequence: Vec<usize> = postorder(&parent).into_iter().map(|n| sparse[n]).collect();
        drop((upper, parent));
        // The same once more, now with children right before their parents.
        let (upper, parent) = tree(&sequence, starts, rows);
        let columns = structures(&upper, &parent);
        let mut supernodes = gather(columns, &parent);
        let mut of_column = vec![0; order];
        for (n, node) in supernodes.iter().enumerate() {
            of_column[node.first..node.first + node.columns].fill(n);
        }
        for n in 0..supernodes.len() {
            let node = &supernodes[n];
            if let Some(&above) = node.below().first() {
                let parent = of_column[above as usize];
                let mut runs: Vec<Range<usize>> = Vec::new();
                for &row in node.below() {
                    let place = supernodes[parent].place(row);
                    match runs.last_mut() {
                        Some(run) if run.end == place => run.end += 1,
                        _ => runs.push(place..place + 1),
                    }
                }
                supernodes[n].above = runs;
                supernodes[parent].children.push(n);
            }
        }
        let place = inverse(&sequence);
        let mut entry = 0u32;
        for column in 0..order {
            for &row in &rows[starts[column]..starts[column + 1]] {
                let (a, b) = (place[row], place[column]);
                let (low, high) = (a.min(b), a.max(b));
                let node = &mut supernodes[of_column[low]];
                let at = (low - node.first) * node.rows.len() + node.place(high as u32);
                node.entries.push((entry, at as u32));
                entry += 1;
            }
        }
        Structure {
            order: sequence,
            supernodes,
        }
    }
}

fn inverse(order: &[usize]) -> Vec<usize> {
    let mut place = vec![0; order.len()];
    for (at, &row) in order.iter().enumerate() {
        place[row] = at;
    }
    place
}

/// An order by approximate least degree (Amestoy, Davis and Duff 1996, SIAM J. Matrix Anal. Appl. 17, 886-905).
fn least_degree(order: usize, starts: &[usize], rows: &[usize]) -> Vec<usize> {
    let control = amd::Control::default();
    match amd::order(order, starts, rows, &control) {
        Ok((sequence, _, _)) => sequence,
        Err(_) => (0..order).collect(),
    }
}

/// For an order of elimination: by column the earlier columns in its row, and the elimination tree
/// (Liu 1990, SIAM J. Matrix Anal. Appl. 11, 134-172).
fn tree(order: &[usize], starts: &[usize], rows: &[usize]) -> (Vec<Vec<u32>>, Vec<usize>) {
    let place = inverse(order);
    let mut earlier: Vec<Vec<u32>> = vec![Vec::new(); order.len()];
    for column in 0..order.len() {
        for &row in &rows[starts[column]..starts[column + 1]] {
            let (a, b) = (place[row], place[column]);
            if a != b {
                earlier[a.max(b)].push(a.min(b) as u32);
            }
        }
    }
    let mut parent = vec![NONE; order.len()];
    let mut ancestor = vec![NONE; order.len()];
    for (n, columns) in earlier.iter().enumerate() {
        for &column in columns {
            let mut at = column as usize;
            while at != NONE && at < n {
                let next = std::mem::replace(&mut ancestor[at], n);
                if next == NONE {
                    parent[at] = n;
                }
                at = next;
            }
        }
    }
    (earlier, parent)
}

/// Nodes with all children before their parent, each subtree in one piece.
fn postorder(parent: &[usize]) -> Vec<usize> {
    let count = parent.len();
    let mut children: Vec<Vec<usize>> = vec![Vec::new(); count];
    let mut roots = Vec::new();
    for (n, &above) in parent.iter().enumerate() {
        match above {
            NONE => roots.push(n),
            above => children[above].push(n),
        }
    }
    let mut order = Vec::with_capacity(count);
    for root in roots {
        let mut stack = vec![(root, 0)];
        while let Some((node, next)) = stack.pop() {
            if let Some(&child) = children[node].get(next) {
                stack.push((node, next + 1));
                stack.push((child, 0));
            } else {
                order.push(node);
            }
        }
    }
    order
}

/// Rows of each column of the factor, below the diagonal, ascending.
fn structures(earlier: &[Vec<u32>], parent: &[usize]) -> Vec<Vec<u32>> {
    let count = parent.len();
    let mut columns: Vec<Vec<u32>> = vec![Vec::new(); count];
    for (row, list) in earlier.iter().enumerate() {
        for &column in list {
            columns[column as usize].push(row as u32);
        }
    }
    for n in 0..count {
        columns[n].sort_unstable();
        columns[n].dedup();
        let above = parent[n];
        if above != NONE {
            let below: Vec<u32> = columns[n]
                .iter()
                .copied()
                .filter(|&row| row as usize != above)
                .collect();
            columns[above].extend(below);
        }
    }
    columns
}

/// Columns into supernodes. A column joins the next one where it has the same rows, or where few zeros are
/// stored by it.
fn gather(mut columns: Vec<Vec<u32>>, parent: &[usize]) -> Vec<Supernode> {
    // Shares of a supernode's entries that may be zeros, by its width: more is lost in small ones by
    // handing up the tree. Estimates.
    const ZEROS: [(usize, f64); 3] = [(4, 0.8), (16, 0.3), (64, 0.1)];
    let count = columns.len();
    let mut nodes: Vec<Supernode> = Vec::new();
    let mut zeros: Vec<usize> = Vec::new();
    for n in 0..count {
        let mut rows = Vec::with_capacity(columns[n].len() + 1);
        rows.push(n as u32);
        rows.append(&mut columns[n]);
        nodes.push(Supernode {
            first: n,
            rows,
            columns: 1,
            children: Vec::new(),
            above: Vec::new(),
            entries: Vec::new(),
        });
        zeros.push(0);
        // The last child ends right before its parent: the two may become one.
        while nodes.len() > 1 {
            let (child, top) = (&nodes[nodes.len() - 2], &nodes[nodes.len() - 1]);
            if parent[child.first + child.columns - 1] != top.first {
                break;
            }
            let width = child.columns + top.columns;
            let size = child.columns + top.rows.len();
            let more = child.columns * (size - child.rows.len());
            let stored = width * size - width * (width - 1) / 2;
            let none = zeros[zeros.len() - 2] + zeros[zeros.len() - 1] + more;
            let share = none as f64 / stored as f64;
            let allowed = ZEROS
                .iter()
                .find(|(most, _)| width <= *most)
                .map_or(0.03, |z| z.1);
            if none > 0 && share > allowed {
                break;
            }
            let top = nodes.pop().expect("two nodes");
            zeros.pop();
            let child = nodes.last_mut().expect("one node");
            child.rows.truncate(child.columns);
            child.rows.extend(top.rows);
            child.columns = width;
            *zeros.last_mut().expect("as many as nodes") = none;
        }
    }
    nodes
}
