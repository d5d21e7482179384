//! Which rows of a sequence of weeks are implied by another.

/// Whether every member of `a` is in `b`; both ascending.
pub fn is_subset<T: Ord>(a: &[T], b: &[T]) -> bool {
    let mut rest = b.iter();
    a.len() <= b.len() && a.iter().all(|x| rest.any(|y| y == x))
}

/// For each of `count` weeks, whether its row must be kept. `implied(a, b)` says that the row of
/// week `a` follows from that of week `b`; only neighbours are compared, which is enough for
/// plantings (they stand in unbroken spans of weeks).
pub fn maximal(count: usize, implied: impl Fn(usize, usize) -> bool) -> Vec<bool> {
    let mut keep = vec![true; count];
    let mut last_kept = None;
    for (week, kept) in keep.iter_mut().enumerate() {
        // An implied row may rest on its right neighbour, which then is kept or rests on
        // a row further right; a chain to the right never turns back.
        let right = week + 1 < count && implied(week, week + 1);
        let left = last_kept.is_some_and(|last| implied(week, last));
        if right || left {
            *kept = false;
        } else {
            last_kept = Some(week);
        }
    }
    keep
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn subsets() {
        assert!(is_subset(&[1, 3], &[1, 2, 3]));
        assert!(is_subset::<u8>(&[], &[]));
        assert!(!is_subset(&[1, 4], &[1, 2, 3]));
    }

    #[test]
    fn only_the_largest_of_nested_rows_are_kept() {
        let sets = [vec![1], vec![1, 2], vec![1, 2], vec![2], vec![3], vec![]];
        let keep = maximal(sets.len(), |a, b| is_subset(&sets[a], &sets[b]));
        assert_eq!(keep, [false, false, true, false, true, false]);
    }
}
