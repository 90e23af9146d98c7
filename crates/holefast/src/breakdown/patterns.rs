//! Normal patterns: the lengths that sums of part sizes can make. Pieces may always be pushed
//! together until they lie at one of these, so nothing else need be looked at (Herz 1972,
//! Christofides and Whitlock 1977).

use super::Size;

/// Lengths up to `most` that are sums of `sizes`, each used as often as it fits, in rising order and
/// without nought; none if there are more than `limit`.
pub(super) fn sums(sizes: &[Size], most: Size, limit: usize) -> Option<Vec<Size>> {
    let mut sizes: Vec<Size> = sizes.iter().copied().filter(|&s| s > 0 && s <= most).collect();
    sizes.sort_unstable();
    sizes.dedup();
    let mut known = std::collections::BTreeSet::new();
    known.insert(0);
    // rising order: what is taken out is never made again
    let mut at = 0;
    loop {
        for &size in &sizes {
            if at + size > most {
                break;
            }
            known.insert(at + size);
        }
        if known.len() > limit + 1 {
            return None;
        }
        match known.range(at + 1..).next() {
            Some(&next) => at = next,
            None => break,
        }
    }
    known.remove(&0);
    Some(known.into_iter().collect())
}

/// How many of the rising `lengths` are at most `room`.
pub(super) fn reaching(lengths: &[Size], room: Size) -> usize {
    lengths.partition_point(|&l| l <= room)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sums_are_those_found_by_trying_all() {
        let sizes = [7, 11, 18];
        let mut all = std::collections::BTreeSet::new();
        for a in 0..20 {
            for b in 0..20 {
                for c in 0..20 {
                    all.insert(7 * a + 11 * b + 18 * c);
                }
            }
        }
        let expected: Vec<Size> = all.into_iter().filter(|&s| s > 0 && s <= 100).collect();
        assert_eq!(sums(&sizes, 100, 1000).as_deref(), Some(&expected[..]));
        assert_eq!(sums(&sizes, 100, expected.len()).map(|s| s.len()), Some(expected.len()));
        assert_eq!(sums(&sizes, 100, expected.len() - 1), None);
        assert_eq!(reaching(&expected, 6), 0);
        assert_eq!(reaching(&expected, 7), 1);
        assert_eq!(sums(&[], 100, 10).map(|s| s.len()), Some(0));
    }
}
