//! The known word nearest to one that was mistyped.

/// Longest word compared; a longer one is no slip of the pen and would only cost time.
const MOST_COMPARED: usize = 40;

/// The nearest of the known words, if it is near enough to be what was meant: at most a third of
/// the letters differ (one of three, two of six), capitals and `-` for `_` not counted.
pub(super) fn nearest<'k>(word: &str, known: impl IntoIterator<Item = &'k str>) -> Option<&'k str> {
    let word: Vec<char> = word.chars().take(MOST_COMPARED + 1).map(folded).collect();
    if word.is_empty() || word.len() > MOST_COMPARED {
        return None;
    }
    known
        .into_iter()
        .map(|k| (distance(&word, &k.chars().map(folded).collect::<Vec<_>>()), k))
        .filter(|&(d, k)| 3 * d <= word.len().max(k.chars().count()))
        .min_by_key(|&(d, _)| d)
        .map(|(_, k)| k)
}

fn folded(c: char) -> char {
    match c.to_ascii_lowercase() {
        '-' | ' ' => '_',
        c => c,
    }
}

/// Least number of letters put in, left out, changed or swapped with their neighbour
/// (optimal string alignment).
fn distance(a: &[char], b: &[char]) -> usize {
    let mut before: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i];
        for j in 1..=b.len() {
            let change = usize::from(a[i - 1] != b[j - 1]);
            let mut best = (last[j] + 1).min(row[j - 1] + 1).min(last[j - 1] + change);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                best = best.min(before[j - 2] + 1);
            }
            row.push(best);
        }
        before = last;
        last = row;
    }
    last[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_of_the_pen_find_their_word() {
        let known = ["thickness", "length", "width", "material", "turn_over", "pitch", "x", "y"];
        for (word, meant) in [
            ("thickess", Some("thickness")),
            ("lenght", Some("length")),
            ("Width", Some("width")),
            ("turn-over", Some("turn_over")),
            ("ptich", Some("pitch")),
            ("colour", None),
            ("z", None),
            ("", None),
        ] {
            assert_eq!(nearest(word, known), meant, "{word}");
        }
        assert_eq!(nearest(&"x".repeat(100_000), known), None);
    }

    #[test]
    fn distance_is_a_metric_on_small_words() {
        let d = |a: &str, b: &str| distance(&a.chars().collect::<Vec<_>>(), &b.chars().collect::<Vec<_>>());
        assert_eq!((d("", "abc"), d("abc", ""), d("abc", "abc"), d("abc", "acb")), (3, 3, 0, 1));
        for a in ["row", "rows", "wor"] {
            for b in ["row", "rows", "bar"] {
                assert_eq!(d(a, b), d(b, a));
            }
        }
    }
}
