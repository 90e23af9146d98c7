//! Where the dog holes are and how well that is known: the one thing that cutting takes from
//! planning, predicting or proving.

use crate::predict::Model;
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
}

/// All dog holes, with the covariance of their centres where it is known.
#[derive(Clone, Debug, PartialEq)]
pub struct Places {
    holes: Vec<Place>,
    /// Row by row, mm², x0 y0 x1 y1 …; empty where nothing is known.
    covariance: Vec<f64>,
    basis: Basis,
}

impl Places {
    /// The holes of a layout where they are wanted, nothing known of their spread.
    pub fn planned(layout: &Layout) -> Places {
        let holes = layout
            .holes
            .iter()
            .map(|h| Place { name: h.name.clone(), cell: h.cell, centre: h.centre, diameter: h.diameter })
            .collect();
        Places { holes, covariance: Vec::new(), basis: Basis::Planned }
    }

    /// The holes of a layout where they are wanted, with the spread that a plan is foretold to leave.
    /// A hole that the model does not open is left out.
    pub fn predicted(layout: &Layout, model: &Model) -> Places {
        let all = model.dog_covariance();
        Places::planned(layout).known(&all.names, &all.covariance, Basis::Predicted)
    }

    /// These holes with places as proved and their covariance; others are left out. `centres` and
    /// `covariance` (mm², row by row, x0 y0 x1 y1 …) are in the order of `names`.
    pub fn proved(layout: &Layout, names: &[String], centres: &[Point], covariance: &[f64]) -> Places {
        let mut places = Places::planned(layout).known(names, covariance, Basis::Proved);
        for hole in &mut places.holes {
            if let Some(at) = names.iter().position(|name| *name == hole.name)
                && let Some(centre) = centres.get(at)
            {
                hole.centre = *centre;
            }
        }
        places
    }

    /// Keeps the holes that are named, in their own order, with their part of a covariance.
    fn known(self, names: &[String], covariance: &[f64], basis: Basis) -> Places {
        let size = 2 * names.len();
        let mut holes = Vec::new();
        let mut at = Vec::new();
        for hole in self.holes {
            if let Some(index) = names.iter().position(|name| *name == hole.name) {
                holes.push(hole);
                at.extend([2 * index, 2 * index + 1]);
            }
        }
        let value = |row: usize, column: usize| covariance.get(row * size + column).copied().unwrap_or(0.0);
        let covariance = at.iter().flat_map(|&row| at.iter().map(move |&column| value(row, column))).collect();
        Places { holes, covariance, basis }
    }

    /// The holes, in the layout's order.
    pub fn holes(&self) -> &[Place] {
        &self.holes
    }

    /// What the places rest on.
    pub fn basis(&self) -> Basis {
        self.basis
    }

    /// A hole by its name.
    pub fn find(&self, name: &str) -> Option<usize> {
        self.holes.iter().position(|hole| hole.name == name)
    }

    /// The variance of Σ g · centre over these holes, mm² times the square of g's unit; a hole may
    /// stand there twice. `None` where nothing is known of the spread.
    pub fn variance(&self, terms: &[(usize, [f64; 2])]) -> Option<f64> {
        if self.covariance.is_empty() {
            return None;
        }
        let size = 2 * self.holes.len();
        let mut sum = 0.0;
        for &(a, ga) in terms {
            for &(b, gb) in terms {
                let rows = [&self.covariance[2 * a * size + 2 * b..], &self.covariance[(2 * a + 1) * size + 2 * b..]];
                sum += ga[0] * (rows[0][0] * gb[0] + rows[0][1] * gb[1]);
                sum += ga[1] * (rows[1][0] * gb[0] + rows[1][1] * gb[1]);
            }
        }
        Some(sum.max(0.0))
    }
}
