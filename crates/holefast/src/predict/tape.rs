//! Linear propagation of uncertainty on a tape: quantities written down in the order they come
//! about, each either a source (independent, of known standard deviation, in a named group) or a
//! linear combination of quantities before it.
//!
//! One sweep back from a result gives its sensitivity to every source, hence its standard
//! uncertainty and its budget; a sweep forward then gives the covariance of that result with every
//! quantity. Shared sources stay shared, which is what makes budgets right. The law of propagation
//! of JCGM 100, 5.1.2 and 5.2, for models that are linear or linearised by the caller.
//!
//! Units are the caller's: a coefficient has the unit of the result over that of the quantity.
//! The memory is that of the tape, never a table of results by sources.

/// A quantity on the tape. Only meaningful for the tape that made it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Node(u32);

/// The tape. `G` names the groups of sources.
#[derive(Clone, Debug)]
pub struct Tape<G> {
    /// End of each node's terms in `parents` and `factors`; its start is the end of the one before.
    ends: Vec<u32>,
    parents: Vec<u32>,
    factors: Vec<f64>,
    /// Standard deviation of a source, nil for a combination.
    sd: Vec<f64>,
    /// Group of a source.
    group: Vec<Option<G>>,
}

/// Sensitivities of one result to every node of a tape.
#[derive(Clone, Debug)]
pub struct Sensitivity(Vec<f64>);

/// Room for sweeps over the few nodes that a result hangs on; kept between sweeps to save work.
#[derive(Clone, Debug, Default)]
pub struct Scratch {
    weight: Vec<[f64; 2]>,
    /// One bit a node: still to be visited.
    waiting: Vec<u64>,
}

impl<G: Copy + PartialEq> Tape<G> {
    /// An empty tape with room for so many nodes.
    pub fn with_capacity(nodes: usize) -> Tape<G> {
        Tape {
            ends: Vec::with_capacity(nodes),
            parents: Vec::with_capacity(3 * nodes),
            factors: Vec::with_capacity(3 * nodes),
            sd: Vec::with_capacity(nodes),
            group: Vec::with_capacity(nodes),
        }
    }

    /// Number of nodes.
    pub fn len(&self) -> usize {
        self.ends.len()
    }

    /// Number of sources.
    pub fn sources(&self) -> usize {
        self.group.iter().flatten().count()
    }

    /// True if nothing is written on it.
    pub fn is_empty(&self) -> bool {
        self.ends.is_empty()
    }

    /// Writes an independent source of standard deviation `sd` (not negative).
    pub fn source(&mut self, group: G, sd: f64) -> Node {
        self.close(sd, Some(group))
    }

    /// Writes a linear combination of earlier nodes; terms of factor nil are dropped.
    pub fn linear(&mut self, terms: &[(Node, f64)]) -> Node {
        for &(node, factor) in terms {
            if factor != 0.0 {
                self.parents.push(node.0);
                self.factors.push(factor);
            }
        }
        self.close(0.0, None)
    }

    fn close(&mut self, sd: f64, group: Option<G>) -> Node {
        let node = Node(self.ends.len() as u32);
        self.ends.push(self.parents.len() as u32);
        self.sd.push(sd);
        self.group.push(group);
        node
    }

    fn terms(&self, node: usize) -> std::ops::Range<usize> {
        let start = if node == 0 { 0 } else { self.ends[node - 1] as usize };
        start..self.ends[node] as usize
    }

    /// Returns the sensitivities of the result Σ factor · node: one sweep back through the tape.
    pub fn sensitivity(&self, result: &[(Node, f64)]) -> Sensitivity {
        let mut weight = vec![0.0; self.len()];
        for &(node, factor) in result {
            weight[node.0 as usize] += factor;
        }
        for node in (0..self.len()).rev() {
            let w = weight[node];
            if w != 0.0 {
                for term in self.terms(node) {
                    weight[self.parents[term] as usize] += w * self.factors[term];
                }
            }
        }
        Sensitivity(weight)
    }

    /// Returns the covariance of two results, from their sensitivities.
    pub fn covariance(&self, a: &Sensitivity, b: &Sensitivity) -> f64 {
        (0..self.len()).map(|i| (a.0[i] * self.sd[i]) * (b.0[i] * self.sd[i])).sum()
    }

    /// Returns the variance of a result.
    pub fn variance(&self, of: &Sensitivity) -> f64 {
        self.covariance(of, of)
    }

    /// Returns the parts of a result's variance that come from each of these groups.
    pub fn variance_by_group(&self, of: &Sensitivity, groups: &[G]) -> Vec<f64> {
        let mut parts = vec![0.0; groups.len()];
        for node in 0..self.len() {
            if let Some(at) = self.group[node].and_then(|g| groups.iter().position(|&other| other == g)) {
                let part = of.0[node] * self.sd[node];
                parts[at] += part * part;
            }
        }
        parts
    }

    /// Returns every source's contribution to a result, sensitivity times standard deviation, in
    /// the order the sources were written; combinations are left out.
    pub fn contributions(&self, of: &Sensitivity) -> Vec<(G, f64)> {
        (0..self.len()).filter_map(|i| self.group[i].map(|g| (g, of.0[i] * self.sd[i]))).collect()
    }

    /// Returns the covariance of every node with a result: one sweep forward.
    pub fn covariances_with(&self, result: &Sensitivity) -> Vec<f64> {
        let mut with = vec![0.0; self.len()];
        for node in 0..self.len() {
            let mut sum = result.0[node] * self.sd[node] * self.sd[node];
            for term in self.terms(node) {
                sum += self.factors[term] * with[self.parents[term] as usize];
            }
            with[node] = sum;
        }
        with
    }

    /// Every node's row over all sources, each in units of its standard deviation, added up forward;
    /// and the sources' groups.
    #[cfg(test)]
    pub(super) fn table(&self) -> (Vec<Vec<f64>>, Vec<G>) {
        let groups: Vec<G> = self.group.iter().flatten().copied().collect();
        let mut rows: Vec<Vec<f64>> = Vec::with_capacity(self.len());
        let mut source = 0;
        for node in 0..self.len() {
            let mut row = vec![0.0; groups.len()];
            if self.group[node].is_some() {
                row[source] = self.sd[node];
                source += 1;
            }
            for term in self.terms(node) {
                let parent = &rows[self.parents[term] as usize];
                row.iter_mut().zip(parent).for_each(|(r, p)| *r += self.factors[term] * p);
            }
            rows.push(row);
        }
        (rows, groups)
    }

    /// Returns the 2 × 2 covariance [var a, var b, cov] of two results, visiting only what they
    /// hang on.
    pub fn pair_covariance(&self, a: &[(Node, f64)], b: &[(Node, f64)], room: &mut Scratch) -> [f64; 3] {
        room.weight.resize(self.len(), [0.0; 2]);
        room.waiting.resize(self.len().div_ceil(64), 0);
        let mut last = 0;
        for (which, result) in [a, b].into_iter().enumerate() {
            for &(node, factor) in result {
                let node = node.0 as usize;
                room.weight[node][which] += factor;
                room.waiting[node / 64] |= 1 << (node % 64);
                last = last.max(node / 64);
            }
        }
        let mut sums = [0.0; 3];
        for word in (0..=last).rev() {
            // Parents lie before their node, so bits set on the way are always lower ones.
            while room.waiting.get(word).is_some_and(|&bits| bits != 0) {
                let bit = 63 - room.waiting[word].leading_zeros() as usize;
                room.waiting[word] &= !(1 << bit);
                let node = word * 64 + bit;
                let [wa, wb] = std::mem::take(&mut room.weight[node]);
                // What cancels exactly leads nowhere: two holes of one bar do not hang on its pose.
                if wa == 0.0 && wb == 0.0 {
                    continue;
                }
                let sd = self.sd[node];
                let (pa, pb) = (wa * sd, wb * sd);
                sums[0] += pa * pa;
                sums[1] += pb * pb;
                sums[2] += pa * pb;
                for term in self.terms(node) {
                    let parent = self.parents[term] as usize;
                    let factor = self.factors[term];
                    room.weight[parent][0] += wa * factor;
                    room.weight[parent][1] += wb * factor;
                    room.waiting[parent / 64] |= 1 << (parent % 64);
                }
            }
        }
        sums
    }
}

impl Sensitivity {
    /// Of one node, in units of the result over the node's.
    pub fn of(&self, node: Node) -> f64 {
        self.0[node.0 as usize]
    }
}

impl Node {
    /// Position on the tape.
    pub fn index(self) -> usize {
        self.0 as usize
    }
}

/// Returns the effective degrees of freedom of a combined uncertainty, by the formula of Welch and
/// Satterthwaite (JCGM 100, G.2b), from each contribution and its own degrees of freedom.
pub fn effective_freedom(contributions: &[(f64, f64)]) -> f64 {
    let combined: f64 = contributions.iter().map(|(u, _)| u * u).sum();
    let parts: f64 = contributions.iter().map(|(u, nu)| u * u * u * u / nu).sum();
    combined * combined / parts
}
