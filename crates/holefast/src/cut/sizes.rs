//! What dogs of several diameters can do: which two a line may lie against, and how far they turn it.

use super::dogs::Dogs;

/// What the dogs at hand can do: differences of radius from the first to the second of a line.
pub(super) struct Sizes {
    /// Each pair of diameters for a line, most alike first.
    pub pairs: Vec<[f64; 2]>,
    /// Greatest difference of radius, mm.
    pub greatest: f64,
    /// All differences of radius, each once, mm.
    pub differences: Vec<f64>,
}

impl Sizes {
    pub(super) fn of(dogs: &Dogs) -> Sizes {
        let mut pairs: Vec<[f64; 2]> =
            dogs.heads.iter().flat_map(|&(a, _)| dogs.heads.iter().map(move |&(b, _)| [a, b])).collect();
        pairs.retain(|pair| dogs.have(pair));
        // Alike pairs make the same line but for its place: one of each difference is enough, the
        // thickest, and of those with no difference the dog that there are most of.
        let usual = dogs.usual();
        pairs.sort_by(|a, b| {
            let difference = |p: &[f64; 2]| (p[0] - p[1]).abs();
            difference(a).total_cmp(&difference(b)).then((b[0] == usual).cmp(&(a[0] == usual)))
        });
        let mut kept: Vec<[f64; 2]> = Vec::new();
        for pair in pairs {
            let same = |k: &&[f64; 2]| ((k[1] - k[0]) - (pair[1] - pair[0])).abs() < 1e-9;
            // With few dogs of a size the like difference of others may be what is left.
            if kept.iter().filter(same).count() < 2 {
                kept.push(pair);
            }
        }
        let greatest = kept.iter().map(|p| 0.5 * (p[0] - p[1]).abs()).fold(0.0, f64::max);
        let mut differences: Vec<f64> = kept.iter().map(|p| 0.5 * (p[1] - p[0])).collect();
        differences.sort_by(f64::total_cmp);
        differences.dedup();
        Sizes { pairs: kept, greatest, differences }
    }
}
