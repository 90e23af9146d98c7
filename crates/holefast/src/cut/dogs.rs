//! The dogs that fence and rail are laid against: their diameters where touched, and how far they
//! stand from their holes' centres.

use crate::job::Job;
use crate::kit::Limits;

/// The dogs at hand.
#[derive(Clone, Debug, PartialEq)]
pub struct Dogs {
    /// Diameters where touched, mm, thickest first, with how many there are of each.
    pub heads: Vec<(f64, u32)>,
    /// Standard uncertainty of a touched face from its dog's axis, mm: nil for dogs that were measured.
    pub radius_sd: f64,
    /// Standard deviation per axis of a dog's axis from its hole's centre at the height where it is
    /// touched, mm: play of the dog in the hole, and the hole's lean.
    pub stands_sd: f64,
    /// False where no kit says how the dogs fit: then they are taken as without play.
    pub fit_known: bool,
}

impl Dogs {
    /// The dogs of a job. Without a kit they are as thick as the holes, as many as needed.
    ///
    /// A loose dog of diametral clearance c stands a quarter of it from the middle, standard
    /// deviation per axis (uniform over the disc it may stand in); lean moves it by height × slope.
    pub fn of(job: &Job) -> Dogs {
        let Some(kit) = &job.kit else {
            return Dogs { heads: vec![(job.grid.hole, u32::MAX)], radius_sd: 0.0, stands_sd: 0.0, fit_known: false };
        };
        let (bit, dog) = (&kit.opening_bit, &kit.dog);
        let hole = Limits::new(bit.diameter.min + bit.oversize.min, bit.diameter.max + bit.oversize.max);
        let clearance = Limits::new((hole.min - dog.diameter.max).max(0.0), (hole.max - dog.diameter.min).max(0.0));
        let height = kit.fence.as_ref().map_or(0.0, |fence| fence.height);
        let lean = height * bit.lean;
        let stands_sd = (clearance.mean_square() / 16.0 + lean * lean).sqrt();
        let mut heads: Vec<(f64, u32)> = Vec::new();
        for &head in &dog.heads {
            match heads.iter_mut().find(|(known, _)| *known == head) {
                Some((_, count)) => *count += 1,
                None => heads.push((head, 1)),
            }
        }
        heads.sort_by(|a, b| b.0.total_cmp(&a.0));
        if heads.is_empty() {
            // Rectangular within the limits, over the radius: half the width by the root of twelve.
            let radius_sd = 0.5 * dog.diameter.width() / 12f64.sqrt();
            return Dogs { heads: vec![(dog.diameter.mean(), u32::MAX)], radius_sd, stands_sd, fit_known: true };
        }
        Dogs { heads, radius_sd: 0.0, stands_sd, fit_known: true }
    }

    /// Diameter of the dog that there are most of, mm; of those the thickest.
    pub fn usual(&self) -> f64 {
        let mut best = (0.0, 0);
        for &(head, count) in &self.heads {
            if count > best.1 {
                best = (head, count);
            }
        }
        best.0
    }

    /// True if these diameters can be had at once.
    pub fn have(&self, wanted: &[f64]) -> bool {
        self.heads.iter().all(|&(head, count)| {
            let needed = wanted.iter().filter(|&&w| w == head).count();
            u32::try_from(needed).is_ok_and(|needed| needed <= count)
        }) && wanted.iter().all(|w| self.heads.iter().any(|(head, _)| head == w))
    }
}
