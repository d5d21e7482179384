//! Partial Cholesky factors of small dense matrices, column by column in blocks that a processor's vector
//! units like. Sums are taken in one fixed order: the same numbers on every machine.

use multiversion::multiversion;

/// Columns eliminated at once.
const PANEL: usize = 32;
/// Rows and columns of a tile of the update.
const TALL: usize = 8;
const WIDE: usize = 4;

/// A pivot at most this share of the matrix's own entry counts as none: its row repeats others.
const NO_PIVOT: f64 = 1e-13;
/// What stands in for such a pivot: what it is divided by becomes nothing.
const INSTEAD: f64 = 1e64;

/// Buffers that are kept between calls.
#[derive(Default)]
pub struct Scratch {
    packed: Vec<f64>,
}

/// Factors the first `pivots` columns of a symmetric matrix of order `size`, of which the lower half is
/// given by columns, and takes what they contribute from the rest of the lower half. Entries above the
/// diagonal may be overwritten with anything. `whole[j]` is the size that pivot `j` is held against.
pub fn eliminate(
    matrix: &mut [f64],
    size: usize,
    pivots: usize,
    whole: &[f64],
    scratch: &mut Scratch,
) {
    let mut first = 0;
    while first < pivots {
        let width = PANEL.min(pivots - first);
        panel(matrix, size, first, width, whole);
        let after = first + width;
        if after < size {
            update(matrix, size, first, width, scratch);
        }
        first = after;
    }
}

/// Factors `width` columns from `first` on, all rows below with them.
#[multiversion(targets("x86_64+avx2"))]
fn panel(matrix: &mut [f64], size: usize, first: usize, width: usize, whole: &[f64]) {
    for j in first..first + width {
        let (before, rest) = matrix.split_at_mut(j * size);
        let column = &mut rest[j..size];
        for p in first..j {
            let other = &before[p * size + j..(p + 1) * size];
            let times = other[0];
            if times != 0.0 {
                for (value, o) in column.iter_mut().zip(other) {
                    *value -= times * o;
                }
            }
        }
        let pivot = column[0];
        let root = if pivot > NO_PIVOT * whole[j] {
            pivot.sqrt()
        } else {
            INSTEAD
        };
        column[0] = root;
        let by = 1.0 / root;
        for value in &mut column[1..] {
            *value *= by;
        }
    }
}

/// Takes the contribution of a factored panel from all columns after it. Wider vector units do the same operations
/// side by side.
#[multiversion(targets("x86_64+avx2"))]
fn update(matrix: &mut [f64], size: usize, first: usize, width: usize, scratch: &mut Scratch) {
    let after = first + width;
    let (factored, rest) = matrix.split_at_mut(after * size);
    let rows = size - after;
    // The panel's rows by tiles: all columns of a tile's rows lie side by side.
    let length = width * TALL;
    let packed = &mut scratch.packed;
    packed.clear();
    packed.resize(rows.div_ceil(TALL) * length, 0.0);
    for p in 0..width {
        let column = &factored[(first + p) * size + after..(first + p + 1) * size];
        for (tile, values) in column.chunks(TALL).enumerate() {
            let at = tile * length + p * TALL;
            packed[at..at + values.len()].copy_from_slice(values);
        }
    }
    for across in (0..rows).step_by(WIDE) {
        let top = across / TALL;
        let right = &packed[top * length + across % TALL..(top + 1) * length];
        let wide = WIDE.min(rows - across);
        let columns = &mut rest[across * size..(across + wide) * size];
        for (down, left) in packed.chunks_exact(length).enumerate().skip(top) {
            let tile = product(left, right);
            let first = after + down * TALL;
            let tall = TALL.min(size - first);
            for (column, values) in columns.chunks_exact_mut(size).zip(&tile) {
                for (value, v) in column[first..first + tall].iter_mut().zip(values) {
                    *value -= v;
                }
            }
        }
    }
}

/// Solves with the lower triangle of a block's columns in place, and gives what they contribute to the rows below.
#[multiversion(targets("x86_64+avx2"))]
pub fn forward(block: &[f64], own: &mut [f64], below: &mut [f64]) {
    let (wide, size) = (own.len(), own.len() + below.len());
    for (j, column) in block.chunks_exact(size).enumerate() {
        let value = own[j] / column[j];
        own[j] = value;
        for (x, l) in own[j + 1..].iter_mut().zip(&column[j + 1..wide]) {
            *x -= l * value;
        }
        for (sum, l) in below.iter_mut().zip(&column[wide..]) {
            *sum += l * value;
        }
    }
}

/// Solves with the mirror of the lower triangle in place, the rows below being known.
#[multiversion(targets("x86_64+avx2"))]
pub fn backward(block: &[f64], own: &mut [f64], below: &[f64]) {
    let (wide, size) = (own.len(), own.len() + below.len());
    for (j, column) in block.chunks_exact(size).enumerate().rev() {
        let known = dot(&column[j + 1..wide], &own[j + 1..]) + dot(&column[wide..], below);
        own[j] = (own[j] - known) / column[j];
    }
}

/// The sum of products, in as many partial sums as a wide vector unit has places, whatever the machine has.
#[inline(always)]
fn dot(a: &[f64], b: &[f64]) -> f64 {
    const LANES: usize = 8;
    let mut sums = [0.0; LANES];
    let (a, b) = (a.chunks_exact(LANES), b.chunks_exact(LANES));
    let rest: f64 = a
        .remainder()
        .iter()
        .zip(b.remainder())
        .map(|(x, y)| x * y)
        .sum();
    for (x, y) in a.zip(b) {
        for lane in 0..LANES {
            sums[lane] += x[lane] * y[lane];
        }
    }
    sums.iter().sum::<f64>() + rest
}

/// Rows of a tile times the first rows that are given of another: `[column][row]`.
#[inline(always)]
fn product(left: &[f64], right: &[f64]) -> [[f64; TALL]; WIDE] {
    let mut sum = [[0.0; TALL]; WIDE];
    for (l, r) in left.chunks_exact(TALL).zip(right.chunks(TALL)) {
        let l: &[f64; TALL] = l.try_into().expect("a tile's rows");
        let r: &[f64; WIDE] = r.first_chunk().expect("columns of a tile");
        for (column, by) in sum.iter_mut().zip(r) {
            for (value, v) in column.iter_mut().zip(l) {
                *value += by * v;
            }
        }
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A positive definite matrix of any order, made of sines.
    fn matrix(size: usize) -> Vec<f64> {
        let mut full = vec![0.0; size * size];
        for i in 0..size {
            for j in 0..size {
                full[j * size + i] = ((i * 7 + j * j * 3 + 1) as f64).sin();
            }
        }
        let mut square = vec![0.0; size * size];
        for i in 0..size {
            for j in 0..size {
                let sum: f64 = (0..size)
                    .map(|k| full[k * size + i] * full[k * size + j])
                    .sum();
                square[j * size + i] = sum + if i == j { 1.0 } else { 0.0 };
            }
        }
        square
    }

    #[test]
    fn factors_times_their_mirror_are_the_matrix() {
        for size in [1, 3, 4, 31, 33, 70, 97] {
            let given = matrix(size);
            let mut factors = given.clone();
            let whole: Vec<f64> = (0..size).map(|j| given[j * size + j]).collect();
            eliminate(&mut factors, size, size, &whole, &mut Scratch::default());
            for i in 0..size {
                for j in 0..=i {
                    let sum: f64 = (0..=j)
                        .map(|k| factors[k * size + i] * factors[k * size + j])
                        .sum();
                    let error = (sum - given[j * size + i]).abs();
                    assert!(
                        error < 1e-9 * size as f64,
                        "{size}: ({i}, {j}) is off by {error}"
                    );
                }
            }
        }
    }

    /// The same, entry by entry, in the order that all machines keep.
    fn plainly(matrix: &mut [f64], size: usize, pivots: usize, whole: &[f64]) {
        let mut first = 0;
        while first < pivots {
            let width = PANEL.min(pivots - first);
            panel(matrix, size, first, width, whole);
            for column in first + width..size {
                for row in column..size {
                    let mut sum = 0.0;
                    for p in first..first + width {
                        sum += matrix[p * size + column] * matrix[p * size + row];
                    }
                    matrix[column * size + row] -= sum;
                }
            }
            first += width;
        }
    }

    #[test]
    fn whatever_the_vector_units_the_bits_are_those_of_one_order() {
        for (size, pivots) in [(1, 1), (33, 32), (70, 70), (97, 40), (131, 100)] {
            let given = matrix(size);
            let whole: Vec<f64> = (0..size).map(|j| given[j * size + j]).collect();
            let (mut tiled, mut plain) = (given.clone(), given);
            eliminate(&mut tiled, size, pivots, &whole, &mut Scratch::default());
            plainly(&mut plain, size, pivots, &whole);
            for column in 0..size {
                for row in column..size {
                    let at = column * size + row;
                    assert_eq!(
                        tiled[at].to_bits(),
                        plain[at].to_bits(),
                        "{size}, {pivots}: ({row}, {column})"
                    );
                }
            }
        }
    }

    #[test]
    fn part_of_the_columns_leaves_what_the_others_still_hold() {
        let (size, pivots) = (50, 37);
        let given = matrix(size);
        let whole: Vec<f64> = (0..size).map(|j| given[j * size + j]).collect();
        let mut part = given.clone();
        eliminate(&mut part, size, pivots, &whole, &mut Scratch::default());
        for i in pivots..size {
            for j in pivots..=i {
                let sum: f64 = (0..pivots)
                    .map(|k| part[k * size + i] * part[k * size + j])
                    .sum();
                let error = (sum + part[j * size + i] - given[j * size + i]).abs();
                assert!(error < 1e-9, "({i}, {j}) is off by {error}");
            }
        }
    }
}
