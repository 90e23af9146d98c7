//! Published examples of the propagation of uncertainty, put through the very functions that
//! predict boards: `Tape::sensitivity`, `Tape::variance` and `Tape::contributions` for first order,
//! `Streams::uniforms`, `normals` and `Sample::of` for what is drawn.

use super::lanes::normals;
use super::statistics::Sample;
use super::stream::Stream;
use super::tape::{Tape, effective_freedom};

fn published() -> serde_json::Value {
    serde_json::from_str(include_str!("../../tests/data/uncertainty.json")).unwrap()
}

fn numbers(value: &serde_json::Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect()
}

// Source: JCGM 100:2008, H.1 (table H.1), as in `tests/data/uncertainty.json`
#[test]
fn gum_h1_end_gauge_by_tape_sensitivity_and_variance() {
    let json = published();
    let case = &json["end_gauge"];
    let input = |name: &str, key: &str| case["inputs"][name][key].as_f64().unwrap();
    let mut tape = Tape::with_capacity(8);
    let ls = tape.source("ls", input("ls", "u"));
    let parts: Vec<_> =
        numbers(&case["inputs"]["d"]["u_components"]).into_iter().map(|u| (tape.source("d", u), 1.0)).collect();
    let d = tape.linear(&parts);
    let dalpha = tape.source("dalpha", input("dalpha_per_C", "u"));
    let theta = tape.source("theta", input("theta_C", "u"));
    let alpha_s = tape.source("alpha_s", input("alpha_s_per_C", "u"));
    let dtheta = tape.source("dtheta", input("dtheta_C", "u"));
    // l = ls + d − ls(δα θ + αs δθ), linearised at the estimates.
    let (l0, a0) = (input("ls", "value"), input("alpha_s_per_C", "value"));
    let (t0, da0, dt0) = (input("theta_C", "value"), input("dalpha_per_C", "value"), input("dtheta_C", "value"));
    let l = tape.linear(&[
        (ls, 1.0 - (da0 * t0 + a0 * dt0)),
        (d, 1.0),
        (dalpha, -l0 * t0),
        (theta, -l0 * da0),
        (alpha_s, -l0 * dt0),
        (dtheta, -l0 * a0),
    ]);
    let sensitivity = tape.sensitivity(&[(l, 1.0)]);
    let uc = tape.variance(&sensitivity).sqrt();
    assert!((uc - case["recomputed"]["uc_nm"].as_f64().unwrap()).abs() < 0.1, "{uc}");
    let groups = ["ls", "d", "dalpha", "dtheta"];
    for (name, variance) in groups.iter().zip(tape.variance_by_group(&sensitivity, &groups)) {
        let expected = case["recomputed"]["contributions_nm"][name].as_f64().unwrap();
        assert!((variance.sqrt() - expected).abs() < 0.01, "{name}: {} against {expected}", variance.sqrt());
    }
    // Welch–Satterthwaite over the groups with stated freedom (G.4).
    let freedom = |name: &str, key: &str| case["inputs"][name][key].as_f64().unwrap();
    let nu = [freedom("ls", "nu"), freedom("d", "nu_eff"), freedom("dalpha_per_C", "nu"), freedom("dtheta_C", "nu")];
    let parts: Vec<(f64, f64)> =
        tape.variance_by_group(&sensitivity, &groups).iter().zip(nu).map(|(v, nu)| (v.sqrt(), nu)).collect();
    let effective = effective_freedom(&parts);
    assert!((16.6..16.8).contains(&effective), "{effective}");
}

// Source: JCGM 100:2008, G.4.1 example
#[test]
fn gum_g4_by_tape_contributions() {
    let json = published();
    let case = &json["welch"];
    let mut tape = Tape::with_capacity(4);
    let sources: Vec<_> = numbers(&case["relative_u_percent"]).into_iter().map(|u| (tape.source((), u), 1.0)).collect();
    let sensitivity = tape.sensitivity(&sources);
    let parts: Vec<(f64, f64)> =
        tape.contributions(&sensitivity).iter().zip(numbers(&case["nu"])).map(|((_, u), nu)| (*u, nu)).collect();
    let uc = tape.variance(&sensitivity).sqrt();
    assert!((uc - case["uc_percent"].as_f64().unwrap()).abs() < 0.005, "{uc}");
    let expected = case["nu_eff"].as_f64().unwrap();
    assert!((effective_freedom(&parts) - expected).abs() < 1e-3);
}

// Source: JCGM 101:2008, 9.2.2 to 9.2.4 (printed values from memory, exact ones computed)
#[test]
fn jcgm101_additive_models_by_tape_variance_and_drawn_samples() {
    let json = published();
    let cases = json["additive"]["cases"].as_array().unwrap();
    for (case, sds) in cases.iter().zip([[1.0; 4], [1.0; 4], [1.0, 1.0, 1.0, 10.0]]) {
        let clause = case["clause"].as_str().unwrap();
        let mut tape = Tape::with_capacity(4);
        let sources = sds.map(|sd| (tape.source((), sd), 1.0));
        let u = tape.variance(&tape.sensitivity(&sources)).sqrt();
        assert!((u - case["u"].as_f64().unwrap()).abs() < 1e-6, "{clause}: {u}");
        // The same four inputs drawn as boards draw theirs.
        let values: Vec<f64> = (0..400_000)
            .map(|board| {
                let four = Stream::new(11, board).uniforms(0, 0);
                let drawn = if clause == "9.2.2" {
                    let ([a, b], [c, d]) = (normals(four[0], four[1]), normals(four[2], four[3]));
                    [a, b, c, d].map(|z| z.0[0])
                } else {
                    four.map(|u| (2.0 * u.0[0] - 1.0) * 3f64.sqrt())
                };
                drawn.iter().zip(sds).map(|(z, sd)| z * sd).sum()
            })
            .collect();
        let sample = Sample::of(&values).unwrap();
        let exact = numbers(&case["exact_95"]);
        let tolerance = if clause == "9.2.4" { 0.05 } else { 0.02 };
        assert!((sample.q025 - exact[0]).abs() < tolerance, "{clause}: {sample:?}");
        assert!((sample.q975 - exact[1]).abs() < tolerance, "{clause}: {sample:?}");
        assert!((sample.sd / u - 1.0).abs() < 4.0 * sample.sd_noise / u, "{clause}: {sample:?}");
    }
}

// Source: worked out independently, by formula and by simulation. Chain of set-ups,
// variance n st² + p² sth² n(n+1)(2n+1)/6
#[test]
fn the_setup_chain_by_tape_variance() {
    let json = published();
    let case = &json["chain"];
    let (n, p) = (case["n"].as_u64().unwrap(), case["p_mm"].as_f64().unwrap());
    let (st, sth) = (case["st_mm"].as_f64().unwrap(), case["sth_rad"].as_f64().unwrap());
    let mut tape = Tape::with_capacity(64);
    let mut y = tape.linear(&[]);
    let mut heading = tape.linear(&[]);
    for _ in 0..n {
        let turn = tape.source("heading", sth);
        heading = tape.linear(&[(heading, 1.0), (turn, 1.0)]);
        let step = tape.source("transverse", st);
        y = tape.linear(&[(y, 1.0), (heading, p), (step, 1.0)]);
    }
    let sd = tape.variance(&tape.sensitivity(&[(y, 1.0)])).sqrt();
    assert!((sd - case["sd_y10_mm"].as_f64().unwrap()).abs() < 1e-6, "{sd}");
}

#[test]
fn sweeps_back_forth_and_in_pairs_agree() {
    // A tape with everything shared: three quantities on two sources, one of them twice removed.
    let mut tape = Tape::with_capacity(8);
    let (a, b) = (tape.source(0, 2.0), tape.source(1, 3.0));
    let c = tape.linear(&[(a, 1.0), (b, -1.0)]);
    let d = tape.linear(&[(c, 2.0), (a, 0.5)]);
    // By hand: c = a − b, d = 2.5 a − 2 b: var c = 4 + 9, var d = 25 + 36, cov = 10 + 18.
    let (sc, sd) = (tape.sensitivity(&[(c, 1.0)]), tape.sensitivity(&[(d, 1.0)]));
    assert_eq!((tape.variance(&sc), tape.variance(&sd), tape.covariance(&sc, &sd)), (13.0, 61.0, 28.0));
    assert_eq!(tape.covariances_with(&sc)[d.index()], 28.0);
    let mut room = super::tape::Scratch::default();
    for _ in 0..2 {
        assert_eq!(tape.pair_covariance(&[(c, 1.0)], &[(d, 1.0)], &mut room), [13.0, 61.0, 28.0]);
    }
    assert_eq!(tape.variance_by_group(&sd, &[0, 1]), [25.0, 36.0]);
}
