//! Seats of linkages with more locators than they need: is there a seat at all, the forced pose
//! if not, and a walk over the seats there are.
//!
//! The set of seats F = { pose : |slip of k| ≤ r of k for every locator } is convex; slips are
//! A · pose + misfit, mm. Hit and run: from a point of F, a random direction, a uniform point of
//! the chord, again and again (R. L. Smith, Operations Research 32, 1984; from memory).

use super::dense::Dense;
use super::linkage::Linkage;
use super::stream::Stream;

/// Newton steps for the forced pose: it takes 5 to 10; more means rounding has stopped it.
const MOST_NEWTON_STEPS: usize = 60;

/// Slips may stand over their clearance by this and count as within, mm: a tenth of a nanometre
/// is far above rounding (1e-13 mm) and far below any fit.
const WITHIN: f64 = 1e-7;

/// Steps of one walk on a virtual board (docs/design/prediction.md 2: doubling them changes nothing by 1 %).
pub(super) const BOARD_STEPS: usize = 32;

/// Returns the pose that minimises Σ max(0, |slip| − r)², and whether all slips are within.
///
/// Newton's method on a convex function, halving a step that does not go down.
pub(super) fn least_forced(a: &Dense, misfit: &[f64], clearances: &[f64], start: Vec<f64>) -> (Vec<f64>, bool) {
    let n = a.columns;
    let mut pose = start;
    let mut slips = slips_of(a, misfit, &pose);
    let mut cost = forced_cost(&slips, clearances);
    for _ in 0..MOST_NEWTON_STEPS {
        if greatest_excess(&slips, clearances) <= WITHIN {
            return (pose, true);
        }
        let mut gradient = vec![0.0; n];
        let mut hessian = Dense::zeros(n, n);
        for (k, &r) in clearances.iter().enumerate() {
            let slip = [slips[2 * k], slips[2 * k + 1]];
            let length = (slip[0] * slip[0] + slip[1] * slip[1]).sqrt();
            if length <= r {
                continue;
            }
            let unit = [slip[0] / length, slip[1] / length];
            let across = 1.0 - r / length;
            for i in 0..n {
                let (ax, ay) = (a[(2 * k, i)], a[(2 * k + 1, i)]);
                let along_i = ax * unit[0] + ay * unit[1];
                let across_i = ay * unit[0] - ax * unit[1];
                gradient[i] += (length - r) * along_i;
                for j in 0..n {
                    let (bx, by) = (a[(2 * k, j)], a[(2 * k + 1, j)]);
                    let along_j = bx * unit[0] + by * unit[1];
                    let across_j = by * unit[0] - bx * unit[1];
                    hessian[(i, j)] += along_i * along_j + across * across_i * across_j;
                }
            }
        }
        // Directions that nothing forces have no curvature: a little is lent to them.
        for i in 0..n {
            let column: f64 = (0..a.rows).map(|k| a[(k, i)] * a[(k, i)]).sum();
            hessian[(i, i)] += 1e-9 * column;
        }
        let Some(inverse) = hessian.inverse(0.0) else { break };
        let step = inverse.times_vector(&gradient);
        let mut share = 1.0;
        let better = loop {
            let trial: Vec<f64> = pose.iter().zip(&step).map(|(p, s)| p - share * s).collect();
            let trial_slips = slips_of(a, misfit, &trial);
            let trial_cost = forced_cost(&trial_slips, clearances);
            if trial_cost < cost {
                (pose, slips, cost) = (trial, trial_slips, trial_cost);
                break true;
            }
            share *= 0.5;
            if share < 1e-6 {
                break false;
            }
        };
        if !better {
            break;
        }
    }
    let within = greatest_excess(&slips, clearances) <= WITHIN;
    (pose, within)
}

/// How a linkage came to rest on one board.
pub(super) struct Seat {
    pub(super) pose: Vec<f64>,
    /// False if it does not seat even with what the wood gives.
    pub(super) seats: bool,
}

/// True if some pose has every slip within its clearance.
pub(super) fn seats(linkage: &Linkage, misfit: &[f64], clearances: &[f64]) -> bool {
    if !linkage.is_over_determined() {
        return true;
    }
    least_forced(&linkage.slip_from_pose, misfit, clearances, mean_seat(linkage, misfit)).1
}

/// The weighted least-squares pose.
fn mean_seat(linkage: &Linkage, misfit: &[f64]) -> Vec<f64> {
    linkage.pose_from_slip.times_vector(misfit).iter().map(|p| -p).collect()
}

/// Draws a seat uniform over those there are, or gives the forced pose if there are none.
pub(super) fn seat(linkage: &Linkage, misfit: &[f64], clearances: &[f64], give: &[f64], draws: (&Stream, u32)) -> Seat {
    /// The walk starts off the rim where it can: from a corner most chords are short.
    const INSIDE: f64 = 0.9;
    let a = &linkage.slip_from_pose;
    let start = mean_seat(linkage, misfit);
    let tighter: Vec<f64> = clearances.iter().map(|r| INSIDE * r).collect();
    let (inside, is_inside) = least_forced(a, misfit, &tighter, start);
    let (pose, within) = if is_inside { (inside, true) } else { least_forced(a, misfit, clearances, inside) };
    if within {
        let pose = hit_and_run(a, misfit, clearances, pose, BOARD_STEPS, draws, |_| {});
        return Seat { pose, seats: true };
    }
    let eased: Vec<f64> = clearances.iter().zip(give).map(|(r, g)| r + g).collect();
    let (_, seats) = least_forced(a, misfit, &eased, pose.clone());
    Seat { pose, seats }
}

/// Slips of a pose, mm.
pub(super) fn slips_of(a: &Dense, misfit: &[f64], pose: &[f64]) -> Vec<f64> {
    let mut slips = a.times_vector(pose);
    slips.iter_mut().zip(misfit).for_each(|(s, m)| *s += m);
    slips
}

fn excesses<'a>(slips: &'a [f64], clearances: &'a [f64]) -> impl Iterator<Item = f64> + 'a {
    slips.chunks_exact(2).zip(clearances).map(|(s, r)| (s[0] * s[0] + s[1] * s[1]).sqrt() - r)
}

fn forced_cost(slips: &[f64], clearances: &[f64]) -> f64 {
    excesses(slips, clearances).map(|e| e.max(0.0) * e.max(0.0)).sum()
}

/// Greatest |slip| − r, mm.
fn greatest_excess(slips: &[f64], clearances: &[f64]) -> f64 {
    excesses(slips, clearances).fold(f64::NEG_INFINITY, f64::max)
}

/// Walks over the seats from `pose`, which must be one, and returns the point reached. Draws are
/// numbered from `first_draw`; `visit` sees every point.
///
/// Directions are uniform after scaling turns by the reach, so that no direction is starved.
pub(super) fn hit_and_run(
    a: &Dense,
    misfit: &[f64],
    clearances: &[f64],
    mut pose: Vec<f64>,
    steps: usize,
    (stream, first_draw): (&Stream, u32),
    mut visit: impl FnMut(&[f64]),
) -> Vec<f64> {
    let n = a.columns;
    let scales: Vec<f64> =
        (0..n).map(|i| 1.0 / (0..a.rows).map(|k| a[(k, i)] * a[(k, i)]).sum::<f64>().sqrt()).collect();
    let mut slips = slips_of(a, misfit, &pose);
    for step in 0..steps {
        // Four numbers a draw: enough retries for n directions and the place on the chord.
        let mut direction = vec![0.0; n];
        let mut place = 0.0;
        for (round, chunk) in direction.chunks_mut(2).enumerate() {
            let four = stream.uniform4(first_draw + step as u32, round as u32);
            let normal = super::stream::normal_pair(four[0], four[1]);
            chunk.iter_mut().zip(normal).for_each(|(d, z)| *d = z);
            if round == 0 {
                place = four[2];
            }
        }
        direction.iter_mut().zip(&scales).for_each(|(d, s)| *d *= s);
        let moves = a.times_vector(&direction);
        let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
        for (k, &r) in clearances.iter().enumerate() {
            let (s, m) = ([slips[2 * k], slips[2 * k + 1]], [moves[2 * k], moves[2 * k + 1]]);
            let mm = m[0] * m[0] + m[1] * m[1];
            if mm == 0.0 {
                continue;
            }
            let sm = (s[0] * m[0] + s[1] * m[1]) / mm;
            let inside = sm * sm - (s[0] * s[0] + s[1] * s[1] - r * r) / mm;
            let half = inside.max(0.0).sqrt();
            low = low.max(-sm - half);
            high = high.min(-sm + half);
        }
        if high > low {
            let t = low + place * (high - low);
            pose.iter_mut().zip(&direction).for_each(|(p, d)| *p += t * d);
            slips.iter_mut().zip(&moves).for_each(|(s, m)| *s += t * m);
        }
        visit(&pose);
    }
    pose
}

/// Returns a factor of the covariance of the seats at nominal geometry: columns are the poses of
/// unit independent sources.
pub(super) fn spread(a: &Dense, clearances: &[f64], steps: usize) -> Dense {
    let n = a.columns;
    let misfit = vec![0.0; a.rows];
    // F is symmetric about the nominal pose, so the mean is nil.
    let mut sums = Dense::zeros(n, n);
    let stream = Stream::new(0, 0);
    hit_and_run(a, &misfit, clearances, vec![0.0; n], steps, (&stream, 0), |pose| {
        for i in 0..n {
            for j in 0..n {
                sums[(i, j)] += pose[i] * pose[j];
            }
        }
    });
    Dense::from_fn(n, n, |i, j| sums[(i, j)] / steps as f64).lower_factor()
}
