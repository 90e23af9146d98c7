//! A straight beam on any number of supports: how far it bends under loads across it.
//!
//! Beam of Euler and Bernoulli in pieces, each with its own stiffness and even load; cubic
//! elements, which are exact at their ends for such pieces. Supports push and do not pull: one that
//! the beam lifts off is let go. Millimetres and newtons; downward is positive.

/// A piece of the beam.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Piece {
    /// Its ends, mm; the next piece begins where this one ends.
    pub from: f64,
    pub to: f64,
    /// Modulus times second moment of area, N mm².
    pub stiffness: f64,
    /// N per mm.
    pub load: f64,
}

/// A place of the bent beam.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Station {
    /// mm along the beam.
    pub at: f64,
    /// Below the unbent beam, mm.
    pub down: f64,
    /// mm per mm.
    pub slope: f64,
}

/// The bent beam.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Bent {
    /// From end to end.
    pub stations: Vec<Station>,
    /// Upward, N, one for each support; nil where the beam has lifted off.
    pub reactions: Vec<f64>,
}

impl Bent {
    /// The station that lies lowest.
    pub(super) fn lowest(&self) -> Station {
        let mut lowest = self.stations[0];
        for &station in &self.stations {
            if station.down > lowest.down {
                lowest = station;
            }
        }
        lowest
    }
}

/// Pieces are cut into at least so many elements over the whole beam: between stations as near as
/// that the lowest place is missed by less than 1 part in 10 000 of the sag.
const LEAST_ELEMENTS: f64 = 200.0;

/// Places nearer than this are one, mm: far below what a rule shows.
const SAME_PLACE: f64 = 1e-6;

/// A support pulls if its force is less than this part of all loads: rounding of the solution.
const ROUNDING: f64 = 1e-9;

/// Bends a beam made of `pieces`, in order, over supports at these places, under loads of so many N
/// at these places besides. `None` where fewer than two supports hold it: it tips.
pub(super) fn bend(pieces: &[Piece], supports: &[f64], loads: &[(f64, f64)]) -> Option<Bent> {
    let mesh = Mesh::of(pieces, supports, loads)?;
    let force = mesh.loads.iter().step_by(2).map(|force| force.abs()).sum::<f64>();
    let mut held = vec![true; supports.len()];
    // Each turn lets one support go or takes one back; a beam of n supports settles in a few turns,
    // and one that did not is not told a figure.
    for _ in 0..4 * supports.len() + 4 {
        if held.iter().filter(|held| **held).count() < 2 {
            return None;
        }
        let moved = mesh.solve(&held)?;
        let reactions = mesh.reactions(&moved, &held);
        let pulling =
            (0..supports.len()).filter(|&n| held[n]).min_by(|&a, &b| reactions[a].total_cmp(&reactions[b]))?;
        if reactions[pulling] < -ROUNDING * force {
            held[pulling] = false;
            continue;
        }
        let down = |n: usize| moved[2 * mesh.nodes_of_supports[n]];
        let pressed = (0..supports.len()).filter(|&n| !held[n]).max_by(|&a, &b| down(a).total_cmp(&down(b)));
        if let Some(pressed) = pressed.filter(|&n| down(n) > SAME_PLACE) {
            held[pressed] = true;
            continue;
        }
        let station = |(n, &at): (usize, &f64)| Station { at, down: moved[2 * n], slope: moved[2 * n + 1] };
        return Some(Bent { stations: mesh.nodes.iter().enumerate().map(station).collect(), reactions });
    }
    None
}

/// The beam cut into elements; two unknowns at each node, down and slope.
struct Mesh {
    nodes: Vec<f64>,
    /// Stiffness of the element after each node but the last.
    stiffness: Vec<f64>,
    /// Forces and moments of all loads at the nodes.
    loads: Vec<f64>,
    nodes_of_supports: Vec<usize>,
}

impl Mesh {
    fn of(pieces: &[Piece], supports: &[f64], loads: &[(f64, f64)]) -> Option<Mesh> {
        let (first, last) = (pieces.first()?.from, pieces.last()?.to);
        let longest = (last - first) / LEAST_ELEMENTS;
        let mut places: Vec<f64> = supports.to_vec();
        places.extend(loads.iter().map(|load| load.0));
        places.sort_by(f64::total_cmp);
        let mut mesh =
            Mesh { nodes: vec![first], stiffness: Vec::new(), loads: Vec::new(), nodes_of_supports: Vec::new() };
        let mut even = Vec::new();
        for piece in pieces {
            let within = |at: &&f64| **at > piece.from + SAME_PLACE && **at < piece.to - SAME_PLACE;
            for &end in places.iter().filter(within).chain([&piece.to]) {
                let from = *mesh.nodes.last()?;
                let parts = ((end - from) / longest).ceil().max(1.0);
                if end - from <= SAME_PLACE {
                    continue;
                }
                for part in 1..=parts as usize {
                    mesh.nodes.push(from + (end - from) * part as f64 / parts);
                    mesh.stiffness.push(piece.stiffness);
                    even.push(piece.load);
                }
            }
        }
        mesh.loads = vec![0.0; 2 * mesh.nodes.len()];
        for (n, load) in even.into_iter().enumerate() {
            let h = mesh.nodes[n + 1] - mesh.nodes[n];
            for (k, part) in [h / 2.0, h * h / 12.0, h / 2.0, -h * h / 12.0].into_iter().enumerate() {
                mesh.loads[2 * n + k] += load * part;
            }
        }
        for &(at, force) in loads {
            let node = mesh.node_at(at);
            mesh.loads[2 * node] += force;
        }
        mesh.nodes_of_supports = supports.iter().map(|&at| mesh.node_at(at)).collect();
        Some(mesh)
    }

    fn node_at(&self, at: f64) -> usize {
        let apart = |n: &usize| (self.nodes[*n] - at).abs();
        (0..self.nodes.len()).min_by(|a, b| apart(a).total_cmp(&apart(b))).unwrap_or(0)
    }

    /// The stiffness matrix of the element after a node.
    fn element(&self, n: usize) -> [[f64; 4]; 4] {
        let h = self.nodes[n + 1] - self.nodes[n];
        let k = self.stiffness[n] / (h * h * h);
        [
            [12.0, 6.0 * h, -12.0, 6.0 * h],
            [6.0 * h, 4.0 * h * h, -6.0 * h, 2.0 * h * h],
            [-12.0, -6.0 * h, 12.0, -6.0 * h],
            [6.0 * h, 2.0 * h * h, -6.0 * h, 4.0 * h * h],
        ]
        .map(|row| row.map(|value| k * value))
    }

    /// Down and slope of all nodes; `None` if the beam can move freely.
    fn solve(&self, held: &[bool]) -> Option<Vec<f64>> {
        let size = 2 * self.nodes.len();
        // Row n holds the entries of columns n - 3 to n: an element reaches no further.
        let mut band = vec![[0.0; 4]; size];
        for n in 0..self.stiffness.len() {
            for (i, row) in self.element(n).into_iter().enumerate() {
                for (j, value) in row.into_iter().enumerate().take(i + 1) {
                    band[2 * n + i][3 + j - i] += value;
                }
            }
        }
        let mut right = self.loads.clone();
        for (&node, _) in self.nodes_of_supports.iter().zip(held).filter(|(_, held)| **held) {
            let at = 2 * node;
            band[at] = [0.0, 0.0, 0.0, 1.0];
            for below in 1..=3 {
                if let Some(row) = band.get_mut(at + below) {
                    row[3 - below] = 0.0;
                }
            }
            right[at] = 0.0;
        }
        // Factors L D Lᵀ within the band; then forward and back.
        for i in 0..size {
            for j in i.saturating_sub(3)..i {
                let mut value = band[i][3 + j - i];
                for k in i.saturating_sub(3)..j {
                    if k + 3 >= j {
                        value -= band[i][3 + k - i] * band[j][3 + k - j] * band[k][3];
                    }
                }
                band[i][3 + j - i] = value / band[j][3];
            }
            for k in i.saturating_sub(3)..i {
                band[i][3] -= band[i][3 + k - i] * band[i][3 + k - i] * band[k][3];
            }
            if band[i][3] <= 0.0 || !band[i][3].is_finite() {
                return None;
            }
        }
        for i in 0..size {
            for k in i.saturating_sub(3)..i {
                right[i] -= band[i][3 + k - i] * right[k];
            }
        }
        for i in 0..size {
            right[i] /= band[i][3];
        }
        for i in (0..size).rev() {
            for k in i.saturating_sub(3)..i {
                right[k] -= band[i][3 + k - i] * right[i];
            }
        }
        Some(right)
    }

    /// What each support pushes up with, N.
    fn reactions(&self, moved: &[f64], held: &[bool]) -> Vec<f64> {
        let upward = |node: usize| {
            let mut force = self.loads[2 * node];
            for n in node.saturating_sub(1)..=node {
                if n < self.stiffness.len() {
                    let row = self.element(n)[2 * (node - n)];
                    force -= row.iter().zip(&moved[2 * n..2 * n + 4]).map(|(k, u)| k * u).sum::<f64>();
                }
            }
            force
        };
        self.nodes_of_supports.iter().zip(held).map(|(&node, &held)| if held { upward(node) } else { 0.0 }).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn even(length: f64, stiffness: f64, load: f64) -> [Piece; 1] {
        [Piece { from: 0.0, to: length, stiffness, load }]
    }

    fn near(found: f64, expected: f64, relative: f64) {
        assert!((found - expected).abs() <= relative * expected.abs(), "{found}, expected {expected}");
    }

    #[test]
    fn the_reference_strip() {
        // Source: elementary theory of beams, worked out independently. MDF,
        // 3.5 GPa, 18 × 300 mm, span 800 mm, 750 kg/m³.
        let stiffness = 3500.0 * 145_800.0;
        let own = bend(&even(800.0, stiffness, 0.0397169), &[0.0, 800.0], &[]).unwrap().lowest();
        near(own.down, 0.4151, 1e-4);
        assert!((own.at - 400.0).abs() < 1e-6);
        let loaded = bend(&even(800.0, stiffness, 0.0), &[0.0, 800.0], &[(400.0, 100.0)]).unwrap().lowest();
        near(loaded.down, 2.09027, 1e-5);
    }

    #[test]
    fn continuous_over_three_supports() {
        // Two spans l: the middle carries 5/4 q l; the greatest sag is q l⁴/(184.6 EI), 0.4215 l from the end.
        let bent = bend(&even(2000.0, 1e9, 0.1), &[0.0, 1000.0, 2000.0], &[]).unwrap();
        near(bent.reactions[1], 125.0, 1e-6);
        near(bent.reactions[0], 37.5, 1e-6);
        near(bent.lowest().down, 0.1 * 1e12 / (184.6 * 1e9), 1e-3);
        // An uneven beam in two pieces of equal stiffness is the same beam.
        let two =
            [Piece { to: 700.0, ..even(2000.0, 1e9, 0.1)[0] }, Piece { from: 700.0, ..even(2000.0, 1e9, 0.1)[0] }];
        near(bend(&two, &[0.0, 1000.0, 2000.0], &[]).unwrap().lowest().down, bent.lowest().down, 1e-4);
    }

    /// A beam of length 1000 on two supports so far from its ends.
    fn on_two(from_end: f64) -> Bent {
        bend(&even(1000.0, 1e6, 1e-3), &[from_end, 1000.0 - from_end], &[]).unwrap()
    }

    #[test]
    fn overhanging_ends() {
        // End of an overhang a beyond a span l, by superposition: q a (l³ − 6 a² l − 3 a³)/(24 EI) upward.
        let (a, l): (f64, f64) = (150.0, 700.0);
        let upward = 1e-3 * a * (l * l * l - 6.0 * a * a * l - 3.0 * a * a * a) / (24.0 * 1e6);
        near(-on_two(a).stations[0].down, upward, 1e-6);
    }

    /// Narrows a least value of `f` down between two places.
    fn least(mut from: f64, mut to: f64, f: impl Fn(f64) -> f64) -> f64 {
        for _ in 0..60 {
            let (one, two) = (from + 0.382 * (to - from), from + 0.618 * (to - from));
            if f(one) < f(two) { to = two } else { from = one }
        }
        0.5 * (from + to)
    }

    #[test]
    fn the_known_places_of_two_supports() {
        // Airy, Bessel and least sag (from memory): 0.2113, 0.2203 and 0.2232 of the length from each end.
        let airy = least(180.0, 240.0, |a| on_two(a).stations[0].slope.abs());
        assert!((airy - 211.3).abs() < 0.1, "{airy}");
        let shortening = |a: f64| {
            let squares = |pair: &[Station]| {
                let (f, t) = (pair[0], pair[1]);
                (t.at - f.at) / 3.0 * (f.slope * f.slope + f.slope * t.slope + t.slope * t.slope)
            };
            on_two(a).stations.windows(2).map(squares).sum::<f64>()
        };
        let bessel = least(180.0, 260.0, shortening);
        assert!((bessel - 220.3).abs() < 0.2, "{bessel}");
        let flattest = least(180.0, 260.0, |a| on_two(a).lowest().down);
        assert!((flattest - 223.2).abs() < 0.1, "{flattest}");
    }

    #[test]
    fn supports_push_and_do_not_pull() {
        // A long span lifts the end of a short one: as if that support were not there.
        let pieces = even(1600.0, 1e9, 0.1);
        let three = bend(&pieces, &[0.0, 100.0, 1600.0], &[]).unwrap();
        let two = bend(&pieces, &[100.0, 1600.0], &[]).unwrap();
        assert_eq!(three.reactions[0], 0.0);
        near(three.lowest().down, two.lowest().down, 1e-6);
        assert!(three.stations[0].down < 0.0);
        near(three.reactions.iter().sum::<f64>(), 160.0, 1e-6);
        // Held down it would pull with 258.75 N, by the theorem of three moments: less than nil.
        let moment = -0.1 * (1e6 + 3.375e9) / (8.0 * 1600.0);
        assert!(0.1 * 50.0 + moment / 100.0 < -258.0);
        // Its weight beyond the last support: it tips.
        assert_eq!(bend(&pieces, &[0.0, 700.0], &[]), None);
        assert_eq!(bend(&pieces, &[800.0], &[]), None);
    }
}
