//! Where the dog holes are and how well that is known: the one thing that cutting takes from
//! planning, predicting or proving.

use crate::fault::{Fault, FaultKind};
use crate::job::Job;
use crate::predict::Model;
use crate::proof::{ProofAsk, ProvedHoles, proved_holes};
use crate::reading::Prior;
use crate::top::{Cell, Layout, Point};

/// What the places rest on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// As they are wanted; how far they lie from there is not known.
    Planned,
    /// As they are wanted, with the spread that the plan is foretold to leave.
    Predicted,
    /// As readings on the finished top have shown them.
    Proved,
}

/// One dog hole.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// Its name.
    pub name: String,
    /// Its place in the grid; none for an extra hole.
    pub cell: Option<Cell>,
    /// Its centre, mm.
    pub centre: Point,
    /// Its diameter, mm.
    pub diameter: f64,
    /// Where it stands in the covariance; none where nothing is known of it.
    at: Option<usize>,
}

impl Place {
    /// True if it is known how far it may lie from where it is taken to be.
    pub fn is_known(&self) -> bool {
        self.at.is_some()
    }
}

/// All dog holes, with the covariance of their centres where it is known.
#[derive(Clone, Debug, PartialEq)]
pub struct Places {
    holes: Vec<Place>,
    /// Row by row, mm², x0 y0 x1 y1 …, over the holes that are known.
    covariance: Vec<f64>,
    /// Of how many holes that is.
    known: usize,
    /// Directions, in the same order, that the readings leave free.
    free: Vec<Vec<f64>>,
    basis: Basis,
    /// Readings contradict each other or one is suspect.
    doubted: bool,
}

/// A figure's gradient at the adjusted places is turned against that at the wanted ones, where free
/// directions are found, by so much at most: 0.1 mm in 200, ten times over.
const TURNED: f64 = 5e-3;

impl Places {
    /// The holes of a layout where they are wanted, nothing known of their spread.
    pub fn planned(layout: &Layout) -> Places {
        let holes = layout
            .holes
            .iter()
            .map(|h| Place { name: h.name.clone(), cell: h.cell, centre: h.centre, diameter: h.diameter, at: None })
            .collect();
        let basis = Basis::Planned;
        Places { holes, covariance: Vec::new(), known: 0, free: Vec::new(), basis, doubted: false }
    }

    /// The holes of a layout where they are wanted, with the spread that a plan is foretold to leave.
    /// A hole that the model does not open is left out.
    pub fn predicted(layout: &Layout, model: &Model) -> Places {
        let all = model.dog_covariance();
        let mut places = Places::planned(layout).known(&all.names, all.covariance, Basis::Predicted);
        places.holes.retain(Place::is_known);
        places
    }

    /// The holes with places as proved and what is known of them then. Those that the proof does not
    /// take in stay where they are wanted, and nothing is known of them.
    pub fn proved(layout: &Layout, proof: &ProvedHoles) -> Places {
        let mut places = Places::planned(layout).known(&proof.names, proof.covariance.clone(), Basis::Proved);
        for hole in &mut places.holes {
            if let Some(centre) = hole.at.and_then(|at| proof.centres.get(at)) {
                hole.centre = *centre;
            }
        }
        Places { free: proof.free.clone(), doubted: proof.doubted, ..places }
    }

    /// Takes in a covariance of the holes that are named.
    fn known(self, names: &[String], covariance: Vec<f64>, basis: Basis) -> Places {
        let mut holes = self.holes;
        for hole in &mut holes {
            hole.at = names.iter().position(|name| *name == hole.name);
        }
        Places { holes, covariance, known: names.len(), basis, ..self }
    }

    /// The holes, in the layout's order.
    pub fn holes(&self) -> &[Place] {
        &self.holes
    }

    /// What the places rest on.
    pub fn basis(&self) -> Basis {
        self.basis
    }

    /// True if they rest on readings that contradict each other, or of which one is suspect.
    pub fn is_doubted(&self) -> bool {
        self.doubted
    }

    /// A hole by its name.
    pub fn find(&self, name: &str) -> Option<usize> {
        self.holes.iter().position(|hole| hole.name == name)
    }

    /// The variance of Σ g · centre over these holes, mm² times the square of g's unit; a hole may
    /// stand there twice. `None` where nothing is known of one of them, or where what the readings
    /// leave free changes the sum.
    pub fn variance(&self, terms: &[(usize, [f64; 2])]) -> Option<f64> {
        let size = 2 * self.known;
        let mut sum = 0.0;
        for &(a, ga) in terms {
            let a = self.holes[a].at?;
            for &(b, gb) in terms {
                let b = self.holes[b].at?;
                let rows = [&self.covariance[2 * a * size + 2 * b..], &self.covariance[(2 * a + 1) * size + 2 * b..]];
                sum += ga[0] * (rows[0][0] * gb[0] + rows[0][1] * gb[1]);
                sum += ga[1] * (rows[1][0] * gb[0] + rows[1][1] * gb[1]);
            }
        }
        self.is_fixed(terms).then_some(sum.max(0.0))
    }

    /// True if nothing that the readings leave free changes Σ g · centre.
    fn is_fixed(&self, terms: &[(usize, [f64; 2])]) -> bool {
        self.free.iter().all(|z| {
            let (mut along, mut steep, mut moved) = (0.0, 0.0, 0.0);
            for (hole, g) in terms {
                let Some(at) = self.holes[*hole].at else { return false };
                let z = [z[2 * at], z[2 * at + 1]];
                along += g[0] * z[0] + g[1] * z[1];
                steep += g[0] * g[0] + g[1] * g[1];
                moved += z[0] * z[0] + z[1] * z[1];
            }
            let along: f64 = along;
            along.abs() <= TURNED * (steep * moved).sqrt()
        })
    }
}

/// Where the holes are for cuts that stand beside other work: as the job's readings prove them; without
/// any, or where they prove nothing, as the plan is foretold to leave them, or as they are wanted where
/// there is no model of one. Readings that cannot be used are told as remarks.
pub fn places_for(job: &Job, layout: &Layout, model: Option<&Model>) -> (Places, Vec<Fault>) {
    let by_plan = || model.map_or_else(|| Places::planned(layout), |model| Places::predicted(layout, model));
    if job.proof.readings.is_empty() {
        return (by_plan(), Vec::new());
    }
    let prediction = model.filter(|_| job.proof.prior == Some(Prior::Prediction)).map(Model::hole_covariance);
    let ask = ProofAsk { prediction: prediction.as_ref(), ..ProofAsk::default() };
    match proved_holes(job, layout, &ask) {
        Ok(proof) => (Places::proved(layout, &proof), Vec::new()),
        Err(faults) => {
            let told = |fault: Fault| Fault {
                kind: FaultKind::Remark,
                message: format!("cuts go by the plan, not by the readings: {}", fault.message),
                ..fault
            };
            (by_plan(), faults.into_iter().map(told).collect())
        }
    }
}
