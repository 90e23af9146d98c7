//! With what a check is made: the sharpest way that lets good boards through.
//!
//! Locating pins make a check far too sharp: it would stop half of the boards that are well within
//! what is wanted. So checks are made with gauges, thinner pins. Of the kit's gauges, one or two
//! of them with a locating pin for the rest, the sharpest way is taken that stops at most
//! [`GOOD_STOPPED_AT_MOST`] of the boards within the wanted accuracy; if none stops so few, the
//! bluntest (docs/design/plan.md 6). Shares are to first order: misfit and square jointly normal,
//! clearances at their means; virtual boards say later what each check does.

use super::assemble::end_clearance;
use super::dimensions::is_long_enough;
use crate::job::Job;
use crate::kit::{Kit, Limits};
use crate::math::{erf, exp};
use crate::plan::{CheckLimit, Place, Plan, Setup, With};
use crate::predict::{CheckMoments, Quick};

/// A check may stop this share of the boards that are within the wanted accuracy (docs/design/plan.md 6).
pub(super) const GOOD_STOPPED_AT_MOST: f64 = 0.02;

/// Steps of Simpson's rule over the wanted range of square; halving them moves no share by 1e-9.
const STEPS: usize = 64;

/// Chooses gauges and writes limits into every check of the plan.
///
/// Where the job wants nothing of square, all boards count as good.
pub(super) fn set_limits(job: &Job, kit: &Kit, plan: &mut Plan, quick: &Quick) {
    let wanted = job.accuracy.square;
    let all = ways(kit);
    for moments in &quick.checks {
        let bore = {
            let setup = &plan.setups[moments.setup];
            bar_bore(plan, setup).unwrap_or(Limits::exact(0.0))
        };
        let tests = square_per_misfit(plan, &plan.setups[moments.setup]);
        let mut best: Option<(f64, f64, [With; 2])> = None;
        let mut bluntest: Option<(f64, f64, [With; 2])> = None;
        // Those too short for the bar are left; where all are, the plan is refused for it.
        let goes_in = |with: With| is_long_enough(job, kit, plan, &plan.setups[moments.setup], with);
        let long_enough: Vec<[With; 2]> = all.iter().copied().filter(|way| way.iter().all(|&w| goes_in(w))).collect();
        for &way in if long_enough.is_empty() { &all } else { &long_enough } {
            let misfit: f64 = way.iter().map(|w| end_clearance(kit, bore, diameter(kit, *w))).sum();
            let stopped = good_stopped(moments, quick.square_sd.unwrap_or(0.0), misfit, wanted);
            let this = (misfit, stopped, way);
            if stopped <= GOOD_STOPPED_AT_MOST && best.is_none_or(|b| misfit < b.0) {
                best = Some(this);
            }
            if bluntest.is_none_or(|b| misfit > b.0) {
                bluntest = Some(this);
            }
        }
        let Some((misfit, stopped, way)) = best.or(bluntest) else { continue };
        let setup = &mut plan.setups[moments.setup];
        for (pin, with) in setup.pins.iter_mut().zip(way) {
            pin.with = with;
        }
        setup.limit = Some(CheckLimit {
            misfit_mm: misfit,
            tests_square: 1000.0 * misfit * tests,
            good_stopped: wanted.map(|_| stopped),
        });
    }
}

/// Two gauges of a sort, or one with a locating pin.
fn ways(kit: &Kit) -> Vec<[With; 2]> {
    let mut all = Vec::new();
    for gauge in &kit.gauges {
        let with = With::Gauge(gauge.diameter);
        if gauge.count >= 2 {
            all.push([with, with]);
        }
        if gauge.count >= 1 {
            all.push([With::Pin, with]);
        }
    }
    all
}

fn diameter(kit: &Kit, with: With) -> Limits {
    match with {
        With::Gauge(limits) => limits,
        With::Dog => kit.dog.diameter,
        With::Pin | With::Point => kit.pin.diameter,
    }
}

fn bar_bore(plan: &Plan, setup: &Setup) -> Option<Limits> {
    let Place::Feature { template, feature } = &setup.pins.first()?.a else { return None };
    plan.template(template)?.features.iter().find(|f| f.name == *feature)?.bore_mm
}

/// The departure from square, rad, that a misfit of 1 mm along the bar stands for: with the bar at
/// an angle, l / (k m) of its triangle; along a row or column, 1 / the height of the two columns.
fn square_per_misfit(plan: &Plan, setup: &Setup) -> f64 {
    let ends: Vec<_> = setup
        .pins
        .iter()
        .filter_map(|p| match &p.b {
            Place::Hole(name) => plan.hole(name),
            Place::Feature { .. } => None,
        })
        .collect();
    let [a, b] = ends[..] else { return 0.0 };
    let (dx, dy) = ((b.x_mm - a.x_mm).abs(), (b.y_mm - a.y_mm).abs());
    let least = 1e-9 * (dx + dy);
    if dx > least && dy > least {
        return (dx * dx + dy * dy).sqrt() / (dx * dy);
    }
    // Across the far ends: one column leaning by a shifts its end by a times its height.
    let first = plan.setups.first().and_then(|s| s.templates.first());
    let height = first.map_or(0.0, |t| if dx > least { (a.y_mm - t.y_mm).abs() } else { (a.x_mm - t.x_mm).abs() });
    if height > 0.0 { 1.0 / height } else { 0.0 }
}

/// Share of the boards with |square| ≤ `wanted` that a limit on the misfit stops.
fn good_stopped(moments: &CheckMoments, square_sd: f64, limit: f64, wanted: Option<f64>) -> f64 {
    let sd = moments.misfit_sd;
    let outside = |mean: f64, sd: f64| {
        let z = |x: f64| x / (sd.max(f64::MIN_POSITIVE) * std::f64::consts::SQRT_2);
        1.0 - 0.5 * (erf(z(limit - mean)) + erf(z(limit + mean)))
    };
    let Some(wanted) = wanted.filter(|_| square_sd > 0.0) else { return outside(0.0, sd) };
    let slope = moments.misfit_square_cov / (square_sd * square_sd);
    let rest = (sd * sd - slope * moments.misfit_square_cov).max(0.0).sqrt();
    // Beyond eight standard deviations no board is left to count.
    let top = wanted.min(8.0 * square_sd);
    let step = 2.0 * top / STEPS as f64;
    let (mut all, mut stopped) = (0.0, 0.0);
    for i in 0..=STEPS {
        let s = -top + step * i as f64;
        let weight = match i {
            0 | STEPS => 1.0,
            i if i % 2 == 1 => 4.0,
            _ => 2.0,
        };
        let density = weight * exp(-0.5 * (s / square_sd) * (s / square_sd));
        all += density;
        stopped += density * outside(slope * s, rest);
    }
    stopped / all
}

#[cfg(test)]
mod tests {
    use super::*;

    fn moments(misfit_sd: f64, cov: f64) -> CheckMoments {
        CheckMoments { setup: 0, misfit_sd, misfit_square_cov: cov }
    }

    #[test]
    fn a_limit_at_196_of_an_independent_misfit_stops_one_in_twenty() {
        // Standard normal: P(|z| > 1.959964) = 0.05.
        let stopped = good_stopped(&moments(0.05, 0.0), 1e-4, 0.05 * 1.959964, Some(1e-3));
        assert!((stopped - 0.05).abs() < 1e-6, "{stopped}");
        let all = good_stopped(&moments(0.05, 0.0), 1e-4, 0.05 * 1.959964, None);
        assert!((all - 0.05).abs() < 1e-6, "{all}");
    }

    #[test]
    fn a_misfit_that_is_square_itself_stops_no_good_board() {
        // misfit = 600 mm × square: within 0.25 mm/m it stays below 0.15 mm.
        let (square_sd, height) = (2e-4, 600.0);
        let m = moments(height * square_sd, height * square_sd * square_sd);
        assert!(good_stopped(&m, square_sd, 0.1501, Some(2.5e-4)) < 1e-9);
        // Half the limit stops those between 0.125 and 0.25 mm/m: compare with the normal itself.
        let p = |x: f64| erf(x / square_sd / std::f64::consts::SQRT_2);
        let expected = (p(2.5e-4) - p(1.25e-4)) / p(2.5e-4);
        let found = good_stopped(&m, square_sd, 0.075, Some(2.5e-4));
        // A sharp edge costs Simpson's rule one step in 64.
        assert!((found - expected).abs() < 0.02, "{found} {expected}");
    }
}
