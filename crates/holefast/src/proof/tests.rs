//! The worked cases of `tests/data/worked`, and networks and fits of others' making, through the same
//! solver. Some published inputs may not be copied: their tests say when they are absent.

use serde_json::Value;

use super::*;
use crate::testing::files::handed_over;
use crate::top::lay_out;

/// Picks by a path: keys joined by dots, [key=value] from a list.
fn pick<'v>(mut at: &'v Value, path: &str) -> Option<&'v Value> {
    for part in path.replace('[', ".[").split('.').filter(|p| !p.is_empty()) {
        at = match part.strip_prefix('[').and_then(|p| p.strip_suffix(']')) {
            None => at.get(part)?,
            Some(select) => match select.split_once('=') {
                Some((key, value)) => at.as_array()?.iter().find(|v| match &v[key] {
                    Value::String(text) => text == value,
                    other => *other.to_string() == *value,
                })?,
                None => at.get(select.parse::<usize>().ok()?)?,
            },
        };
    }
    Some(at)
}

fn sorted(list: &Value) -> Vec<String> {
    let mut all: Vec<String> = list.as_array().unwrap().iter().map(Value::to_string).collect();
    all.sort();
    all
}

/// Compares our data with a file of expected values; says what differs.
fn differences(expected: &Value, ours: &Value) -> Vec<String> {
    let mut wrong = Vec::new();
    for check in expected["checks"].as_array().unwrap() {
        let path = check["path"].as_str().unwrap();
        let Some(got) = pick(ours, path) else {
            wrong.push(format!("missing {path}"));
            continue;
        };
        let agrees = if let Some(value) = check.get("value") {
            got.as_f64().is_some_and(|got| (got - value.as_f64().unwrap()).abs() <= check["tol"].as_f64().unwrap())
        } else if let Some(value) = check.get("equals") {
            got == value || got.as_f64().zip(value.as_f64()).is_some_and(|(a, b)| a == b)
        } else if let Some(most) = check.get("at_most") {
            got.as_f64().is_some_and(|got| got.abs() <= most.as_f64().unwrap())
        } else {
            sorted(got) == sorted(&check["set"])
        };
        if !agrees {
            wrong.push(format!("{path}: got {got}, wanted {check}"));
        }
    }
    wrong
}

fn worked_case(job: &str, expected: &str) {
    let parsed = crate::job::parse(job);
    let job = parsed.job.unwrap_or_else(|| panic!("{:?}", parsed.faults));
    let proof = prove(&job, &lay_out(&job).unwrap(), &ProofAsk { seed: 1, ..Default::default() }).unwrap();
    let ours: Value = serde_json::from_str(&proof.to_json()).unwrap();
    let expected: Value = serde_json::from_str(expected).unwrap();
    let wrong = differences(&expected, &ours);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    println!("{}: {} values agree", job.name, expected["checks"].as_array().unwrap().len());
}

#[test]
fn reference_case_without_a_prior() {
    worked_case(
        include_str!("../../tests/data/worked/p01-no-prior.toml"),
        include_str!("../../tests/data/worked/p01-no-prior.json"),
    );
}

#[test]
fn reference_case_of_mixed_readings() {
    worked_case(
        include_str!("../../tests/data/worked/p02-prior-mixed.toml"),
        include_str!("../../tests/data/worked/p02-prior-mixed.json"),
    );
}

#[test]
fn reference_case_of_bars_that_went_and_did_not() {
    worked_case(
        include_str!("../../tests/data/worked/p03-go-no-go.toml"),
        include_str!("../../tests/data/worked/p03-go-no-go.json"),
    );
}

/// A network of distances as an adjustment: what is held stays out of the unknowns.
struct Network {
    names: Vec<String>,
    start: Vec<[f64; 2]>,
    /// Index of each coordinate among the unknowns.
    unknown: Vec<[Option<usize>; 2]>,
    ends: Vec<[usize; 2]>,
    unknowns: usize,
}

impl Network {
    fn of(data: &Value) -> Network {
        let names: Vec<String> = data["start_coordinates"].as_object().unwrap().keys().cloned().collect();
        let start = names.iter().map(|n| [0, 1].map(|k| data["start_coordinates"][n][k].as_f64().unwrap())).collect();
        let held: Vec<&str> = data["datum"]["held"].as_array().unwrap().iter().map(|h| h.as_str().unwrap()).collect();
        let mut unknowns = 0;
        let unknown = names
            .iter()
            .map(|name| {
                ["x", "y"].map(|axis| {
                    (!held.contains(&format!("{axis}:{name}").as_str())).then(|| {
                        unknowns += 1;
                        unknowns - 1
                    })
                })
            })
            .collect();
        let at = |name: &Value| names.iter().position(|n| n == name.as_str().unwrap()).unwrap();
        let ends = data["observations"].as_array().unwrap().iter().map(|o| [at(&o["from"]), at(&o["to"])]).collect();
        Network { names, start, unknown, ends, unknowns }
    }

    fn place(&self, point: usize, x: &[f64]) -> [f64; 2] {
        [0, 1].map(|k| self.start[point][k] + self.unknown[point][k].map_or(0.0, |i| x[i]))
    }

    fn rows(&self, x: &[f64]) -> Vec<solve::Row> {
        let row = |&[a, b]: &[usize; 2]| {
            let (computed, slopes) = geometry::distance(self.place(a, x), self.place(b, x));
            let mut terms = Vec::new();
            for (point, slope) in [a, b].into_iter().zip(slopes) {
                terms.extend((0..2).filter_map(|k| Some((self.unknown[point][k]?, slope[k]))));
            }
            solve::Row { computed, terms }
        };
        self.ends.iter().map(row).collect()
    }
}

/// Digits in which two numbers agree.
fn agreeing_digits(found: f64, published: f64) -> f64 {
    if found == published {
        return 16.0;
    }
    -crate::math::log10((found - published).abs() / published.abs())
}

/// Adjusts every network of a file and compares all that is given of it.
fn networks_agree(text: &str, count: usize) {
    let all: Value = serde_json::from_str(text).unwrap();
    let networks = all["networks"].as_array().unwrap();
    assert_eq!(networks.len(), count);
    for data in networks {
        let id = data["id"].as_str().unwrap();
        let network = Network::of(data);
        let number = |o: &Value, key: &str| o[key].as_f64().unwrap();
        let observations = data["observations"].as_array().unwrap();
        let mut prior = matrix::Symmetric::zeros(network.unknowns);
        if let Some(sigmas) = data.get("prior_sigma") {
            for (point, name) in network.names.iter().enumerate() {
                for k in 0..2 {
                    let (at, sd) = (network.unknown[point][k].unwrap(), sigmas[name][k].as_f64().unwrap());
                    prior.add(at, at, 1.0 / (sd * sd));
                }
            }
        }
        let finite = if data.get("prior_sigma").is_some() { network.unknowns } else { 0 };
        let rows = |x: &[f64]| network.rows(x);
        let system = solve::System {
            rows: &rows,
            read: observations.iter().map(|o| number(o, "distance")).collect(),
            noise: observations.iter().map(|o| solve::Noise::One(number(o, "sigma") * number(o, "sigma"))).collect(),
            gauges: Vec::new(),
            prior,
            hole_unknowns: network.unknowns,
        };
        let fit = system.fit(&vec![0.0; network.unknowns]);
        assert_eq!(fit.outcome, solve::Outcome::Converged, "{id}");
        let wanted = &data["recomputed"];
        let freedom = observations.len() + finite + fit.free.len() - network.unknowns;
        assert_eq!(freedom as u64, wanted["dof"].as_u64().unwrap(), "{id}");
        let statistic = system.misfit(&fit.rows, &fit.x);
        let stated = number(wanted, "global_test_statistic_vPv_over_sigma0sq");
        assert!((statistic / stated - 1.0).abs() < 1e-6, "{id}: {statistic} {stated}");
        let sigma0 = number(data, "sigma0_apriori");
        let s0 = sigma0 * (statistic / freedom as f64).sqrt();
        assert!((s0 / number(wanted, "s0_aposteriori") - 1.0).abs() < 1e-6, "{id}");
        // A unit of the last printed digit of coordinates: 0.1 mm in m networks, 1 µm in mm ones.
        let in_metres = data["unit"] == "m";
        let mut digits = f64::INFINITY;
        for (point, name) in network.names.iter().enumerate() {
            let place = network.place(point, &fit.x);
            for k in 0..2 {
                let recomputed = wanted["coordinates"][name][k].as_f64().unwrap();
                assert!((place[k] - recomputed).abs() < 2e-6, "{id} {name}: {} {recomputed}", place[k]);
                if let Some(published) = data["published"]["coordinates"][name][k].as_f64() {
                    assert!(in_metres && (place[k] - published).abs() < 1e-4, "{id} {name}: {} {published}", place[k]);
                    digits = digits.min(agreeing_digits(place[k], published));
                }
                let Some(at) = network.unknown[point][k] else { continue };
                let u = fit.covariance.at(at, at).max(0.0).sqrt();
                let axis = ["x", "y"][k];
                let stated = wanted["sd_apriori_sigma0"][name][axis].as_f64().unwrap();
                assert!((u - stated).abs() < 2e-5 * stated, "{id} {name} {axis}: {u} {stated}");
                if let Some(published) = data["published"]["sd_cm_aposteriori"][name][k].as_f64() {
                    let cm = 100.0 * u * s0 / sigma0;
                    assert!((cm - published).abs() < 0.002, "{id} {name}: {cm} {published}");
                }
            }
        }
        let limits = statistics::Limits::of(observations.len());
        let of = statistics::of_readings(&system, &fit, &limits, &[]);
        let mut sum = 0.0;
        for ((one, v), stated) in of.iter().zip(&fit.residuals).zip(wanted["per_observation"].as_array().unwrap()) {
            // Their residual is adjusted less observed.
            let near = |found: f64, key: &str, tolerance: f64| {
                let wanted = number(stated, key);
                assert!((found - wanted).abs() <= tolerance * (1.0 + wanted.abs()), "{id} {key}: {found} {wanted}");
            };
            near(-v, "residual_adj_minus_obs", 1e-6);
            near(one.redundancy, "redundancy", 2e-6);
            near(-one.standardised.unwrap(), "w_baarda", 6e-5);
            near(one.smallest_blunder.unwrap(), "mdb_alpha0.001_power0.80", 2e-5);
            sum += one.redundancy;
        }
        if finite == 0 {
            assert!((sum - freedom as f64).abs() < 1e-9, "{id}: redundancy {sum} of {freedom}");
        }
        println!("{id}: {} steps, least agreeing digits of published coordinates {digits:.1}", fit.iterations);
    }
}

#[test]
fn reference_networks_of_holes() {
    networks_agree(include_str!("../../tests/data/networks.json"), 3);
}

#[test]
fn reference_networks_of_textbooks_to_their_printed_digits() {
    let Some(text) = handed_over("reference/networks_public.json") else { return };
    networks_agree(&text, 8);
}

/// Fits a curve through the same solver; errors of one as uncertainty.
fn fitted(start: &[f64], read: Vec<f64>, rows: &dyn Fn(&[f64]) -> Vec<solve::Row>) -> (solve::Fit, f64) {
    let system = solve::System {
        rows,
        noise: read.iter().map(|_| solve::Noise::One(1.0)).collect(),
        read,
        gauges: Vec::new(),
        prior: matrix::Symmetric::zeros(start.len()),
        hole_unknowns: start.len(),
    };
    let fit = system.fit(start);
    let squares = fit.residuals.iter().map(|v| v * v).sum();
    (fit, squares)
}

fn numbers(list: &Value) -> Vec<f64> {
    list.as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect()
}

#[test]
fn reference_fits_as_certified() {
    let Some(text) = handed_over("reference/fitting_public.json") else { return };
    let all: Value = serde_json::from_str(&text).unwrap();

    // NIST StRD Norris: a line.
    let norris = &all["nist_strd_norris"];
    let (x, y) = (numbers(&norris["x"]), numbers(&norris["y"]));
    let rows = |b: &[f64]| {
        x.iter().map(|x| solve::Row { computed: b[0] + b[1] * x, terms: vec![(0, 1.0), (1, *x)] }).collect()
    };
    let (fit, squares) = fitted(&[0.0, 0.0], y, &rows);
    let s = (squares / 34.0).sqrt();
    let sd = |k: usize| s * fit.covariance.at(k, k).sqrt();
    for (found, key, least) in [
        (fit.x[0], "b0", 9.0),
        (fit.x[1], "b1", 9.0),
        (sd(0), "sd_b0", 9.0),
        (sd(1), "sd_b1", 9.0),
        (squares, "residual_sum_squares", 9.0),
    ] {
        let digits = agreeing_digits(found, norris["certified"][key].as_f64().unwrap());
        println!("Norris {key}: {digits:.1} digits");
        assert!(digits > least, "{key}: {found}");
    }

    // NIST StRD Misra1a from both published starts.
    let misra = &all["nist_strd_misra1a"];
    let (x, y) = (numbers(&misra["x"]), numbers(&misra["y"]));
    let rows = |b: &[f64]| {
        let row = |x: &f64| {
            let fall = crate::math::exp(-b[1] * x);
            solve::Row { computed: b[0] * (1.0 - fall), terms: vec![(0, 1.0 - fall), (1, b[0] * x * fall)] }
        };
        x.iter().map(row).collect()
    };
    for start in ["start1", "start2"] {
        let (fit, squares) = fitted(&numbers(&misra[start]), y.clone(), &rows);
        assert_eq!(fit.outcome, solve::Outcome::Converged, "{start}");
        let s = (squares / 12.0).sqrt();
        for (found, key, least) in [
            (fit.x[0], "b1", 7.0),
            (fit.x[1], "b2", 7.0),
            (s * fit.covariance.at(0, 0).sqrt(), "sd_b1", 6.0),
            (s * fit.covariance.at(1, 1).sqrt(), "sd_b2", 6.0),
            (squares, "residual_sum_squares", 7.0),
        ] {
            let digits = agreeing_digits(found, misra["certified"][key].as_f64().unwrap());
            println!("Misra1a {start} {key}: {digits:.1} digits, {} steps", fit.iterations);
            assert!(digits > least, "{start} {key}: {found}");
        }
    }
}

/// Circles by distance from the rim, from the algebraic fit.
#[test]
fn reference_circles_through_the_same_solver() {
    let all: Value = serde_json::from_str(include_str!("../../tests/data/circles.json")).unwrap();
    for name in ["gander_golub_strebel", "scipy_cookbook"] {
        let circle = &all[name];
        let points: Vec<[f64; 2]> = circle["points"]
            .as_array()
            .unwrap()
            .iter()
            .map(|p| [p[0].as_f64().unwrap(), p[1].as_f64().unwrap()])
            .collect();
        let rows = |c: &[f64]| {
            let row = |p: &[f64; 2]| {
                let (distance, [slope, _]) = geometry::distance([c[0], c[1]], *p);
                solve::Row { computed: distance - c[2], terms: vec![(0, slope[0]), (1, slope[1]), (2, -1.0)] }
            };
            points.iter().map(row).collect()
        };
        let (fit, squares) = fitted(&numbers(&circle["start"]), vec![0.0; points.len()], &rows);
        assert_eq!(fit.outcome, solve::Outcome::Converged, "{name}");
        let wanted = numbers(&circle["centre_radius"]);
        for (found, wanted) in fit.x.iter().zip(&wanted) {
            assert!((found - wanted).abs() < 1e-5, "{name}: {:?} {wanted}", fit.x);
        }
        assert!((squares - circle["sum_of_squares"].as_f64().unwrap()).abs() < 1e-6, "{name}: {squares}");
        println!("{name}: {} steps", fit.iterations);
    }
}
