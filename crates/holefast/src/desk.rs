//! What follows from a job: layout, plan, model, prediction, what the readings prove, where the holes are. Each
//! is made once, when it is first asked for, and nothing that was not asked for is made.
//!
//! Climate, seeds and numbers of virtual boards are decided here, so that command line, book and page say the
//! same of the same job. How each is worked out is the matter of `top`, `plan`, `predict`, `proof` and `cut`.

use std::cell::OnceCell;

use crate::cut::Places;
use crate::fault::{Fault, FaultKind};
use crate::job::Job;
use crate::plan::{Plan, PlanOptions, make_plan};
use crate::predict::{self, Ask, HoleCovariance, Lessening, Model, Prediction, Run, lines_of};
use crate::proof::{self, Next, Proof, ProofAsk, proved_holes};
use crate::reading::Prior;
use crate::top::{Layout, lay_out};

/// Seed of everything that is drawn, unless another is asked for: the same job gives the same figures.
pub const SEED: u64 = 1;

/// Virtual boards behind a prediction that is asked for by itself: 95 % of square to some 0.5 %.
pub const BOARDS: u64 = 100_000;

/// Virtual boards behind a book's: to some 1 %, in a fifth of the time.
pub const BOARDS_OF_A_BOOK: u64 = 20_000;

/// Which virtual boards are built.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Boards {
    /// How many; 0 leaves the prediction at first order.
    pub number: u64,
    /// Seed of their random numbers.
    pub seed: u64,
    /// Whether the plan's checks are made on them.
    pub checks: bool,
}

impl Boards {
    /// None: a prediction to first order.
    pub const NONE: Boards = Boards::of(0);

    /// So many, with the usual seed and all checks.
    pub const fn of(number: u64) -> Boards {
        Boards { number, seed: SEED, checks: true }
    }
}

/// A result that is kept, or why there is none.
type Kept<T> = OnceCell<Result<T, Vec<Fault>>>;

/// A job with all that follows from it.
pub struct Desk<'a> {
    job: &'a Job,
    layout: Kept<Layout>,
    plan: Kept<Plan>,
    model: Kept<Model>,
    covariance: OnceCell<HoleCovariance>,
}

fn kept<T>(cell: &Kept<T>, make: impl FnOnce() -> Result<T, Vec<Fault>>) -> Result<&T, Vec<Fault>> {
    cell.get_or_init(make).as_ref().map_err(Clone::clone)
}

impl<'a> Desk<'a> {
    /// A job, nothing made of it yet.
    pub fn new(job: &'a Job) -> Desk<'a> {
        Desk {
            job,
            layout: OnceCell::new(),
            plan: OnceCell::new(),
            model: OnceCell::new(),
            covariance: OnceCell::new(),
        }
    }

    /// A job with a plan that is not its own: read from a file, or made before.
    pub fn with_plan(job: &'a Job, plan: Plan) -> Desk<'a> {
        Desk { plan: OnceCell::from(Ok(plan)), ..Desk::new(job) }
    }

    /// The job.
    pub fn job(&self) -> &'a Job {
        self.job
    }

    /// Its holes on its sheet.
    ///
    /// Errors: why they do not fit.
    pub fn layout(&self) -> Result<&Layout, Vec<Fault>> {
        kept(&self.layout, || lay_out(self.job))
    }

    /// Its set-ups, in order.
    ///
    /// Errors: as [`Desk::layout`], and why the kit cannot bore it.
    pub fn plan(&self) -> Result<&Plan, Vec<Fault>> {
        kept(&self.plan, || make_plan(self.job, self.layout()?, &PlanOptions::default()))
    }

    /// How the plan's set-ups carry errors on, in the job's climate.
    ///
    /// Errors: as [`Desk::plan`]; a plan that is not the kit's.
    pub fn model(&self) -> Result<&Model, Vec<Fault>> {
        kept(&self.model, || {
            let plan = self.plan()?;
            let no_kit = || {
                vec![
                    Fault::impossible("the job has no kit, so nothing can be bored with it")
                        .hint("add [kit]; holefast new writes a job that has one"),
                ]
            };
            let kit = self.job.kit.as_ref().ok_or_else(no_kit)?;
            Ok(Model::new(kit, plan)?.in_climate(&self.job.top, self.job.climate.as_ref()))
        })
    }

    /// How square the top comes out; `run` works the blocks of boards out.
    ///
    /// Errors: as [`Desk::model`].
    pub fn prediction(&self, boards: Boards, run: &Run<'_>) -> Result<Prediction, Vec<Fault>> {
        let ask = Ask {
            boards: boards.number,
            seed: boards.seed,
            checks: boards.checks,
            lines: lines_of(self.job),
            square_limit: self.job.accuracy.square,
        };
        predict::predict(self.model()?, &ask, run)
    }

    /// What would lessen the spread of square, found by predicting again; nothing without a kit.
    ///
    /// Errors: as [`Desk::plan`].
    pub fn lessenings(&self) -> Result<Vec<Lessening>, Vec<Fault>> {
        self.job.kit.as_ref().map_or_else(|| Ok(Vec::new()), |kit| predict::lessen(kit, self.plan()?))
    }

    /// What the plan predicts of every hole, checks left out.
    ///
    /// Errors: as [`Desk::model`].
    pub fn covariance(&self) -> Result<&HoleCovariance, Vec<Fault>> {
        let model = self.model()?;
        Ok(self.covariance.get_or_init(|| model.hole_covariance()))
    }

    /// What is known of the holes before any reading, where the job lets its plan count.
    fn prior(&self) -> Result<Option<&HoleCovariance>, Vec<Fault>> {
        match self.job.proof.prior {
            Some(Prior::Prediction) => self.covariance().map(Some),
            _ => Ok(None),
        }
    }

    /// What the job's readings prove; `seed` is that of the draws that a bar that did not go needs.
    ///
    /// Errors: as [`Desk::layout`], and what is wrong with the readings.
    pub fn proof(&self, seed: u64) -> Result<Proof, Vec<Fault>> {
        proof::prove(self.job, self.layout()?, &ProofAsk { prediction: self.prior()?, seed })
    }

    /// Which readings are worth taking next.
    ///
    /// Errors: as [`Desk::proof`].
    pub fn next(&self) -> Result<Next, Vec<Fault>> {
        proof::next(self.job, self.layout()?, self.prior()?)
    }

    /// The readings that find one hole that is out.
    ///
    /// Errors: as [`Desk::proof`].
    pub fn bad_hole(&self) -> Result<proof::BadHoleSet, Vec<Fault>> {
        proof::bad_hole(self.job, self.layout()?, self.prior()?)
    }

    /// True if the places ([`Desk::places`], or by the plan alone) need a plan: that takes a while, and a person
    /// may be told.
    pub fn places_need_a_plan(&self, by_plan: bool) -> bool {
        if self.job.proof.readings.is_empty() || by_plan {
            self.job.kit.is_some()
        } else {
            self.job.proof.prior == Some(Prior::Prediction)
        }
    }

    /// Where the dog holes are for cutting: where the job has readings as they prove them, else as
    /// [`Desk::places_by_plan`] has them.
    ///
    /// Errors: as [`Desk::proof`] and [`Desk::places_by_plan`].
    pub fn places(&self) -> Result<Places, Vec<Fault>> {
        if self.job.proof.readings.is_empty() {
            return self.places_by_plan();
        }
        let ask = ProofAsk { prediction: self.prior()?, seed: SEED };
        let layout = self.layout()?;
        Ok(Places::proved(layout, &proved_holes(self.job, layout, &ask)?))
    }

    /// As the plan is foretold to leave them; without a kit as they are wanted.
    ///
    /// Errors: as [`Desk::model`].
    pub fn places_by_plan(&self) -> Result<Places, Vec<Fault>> {
        let layout = self.layout()?;
        Ok(match self.job.kit {
            None => Places::planned(layout),
            Some(_) => Places::predicted(layout, self.model()?),
        })
    }

    /// For cuts that stand beside other work: as [`Desk::places`], and by the plan where the readings cannot be
    /// used, which is then returned as remarks.
    ///
    /// Errors: as [`Desk::places_by_plan`].
    pub fn places_if_proved(&self) -> Result<(Places, Vec<Fault>), Vec<Fault>> {
        match self.places() {
            Ok(places) => Ok((places, Vec::new())),
            Err(faults) if self.job.proof.readings.is_empty() => Err(faults),
            Err(faults) => {
                let remark = |fault: Fault| Fault {
                    kind: FaultKind::Remark,
                    message: format!("cuts go by the plan, not by the readings: {}", fault.message),
                    ..fault
                };
                Ok((self.places_by_plan()?, faults.into_iter().map(remark).collect()))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cut::Basis;
    use crate::predict::one_after_another;

    const TOP: &str = include_str!("../../../examples/first-top.toml");

    fn job(text: &str) -> Job {
        let parsed = crate::job::parse(text);
        parsed.job.unwrap_or_else(|| panic!("{:?}", parsed.faults))
    }

    #[test]
    fn nothing_is_made_that_was_not_asked_for() {
        let job = job(TOP);
        let desk = Desk::new(&job);
        desk.layout().unwrap();
        assert!(desk.plan.get().is_none() && desk.model.get().is_none());
        desk.plan().unwrap();
        assert!(desk.model.get().is_none() && desk.covariance.get().is_none());
    }

    /// The way that was gone by hand in every front end before: nothing may be left out of it, the climate least.
    #[test]
    fn it_is_the_way_by_hand() {
        let job = job(&format!(
            "{TOP}\n[climate]\nboring = {{ temperature = 12, humidity = 40 }}\nuse = {{ temperature = 24, humidity = 65 }}\n"
        ));
        assert!(job.climate.is_some(), "or it would not be seen if it were left out");
        let desk = Desk::new(&job);
        let layout = lay_out(&job).unwrap();
        let plan = make_plan(&job, &layout, &PlanOptions::default()).unwrap();
        let still = Model::new(job.kit.as_ref().unwrap(), &plan).unwrap();
        let model = Model::new(job.kit.as_ref().unwrap(), &plan).unwrap().in_climate(&job.top, job.climate.as_ref());
        let ask = Ask { boards: 1000, seed: 1, checks: true, lines: lines_of(&job), square_limit: job.accuracy.square };
        let by_hand = predict::predict(&model, &ask, &one_after_another).unwrap();
        assert_eq!(desk.plan().unwrap(), &plan);
        assert_eq!(desk.prediction(Boards::of(1000), &one_after_another).unwrap().to_json(), by_hand.to_json());
        let without = predict::predict(&still, &ask, &one_after_another).unwrap();
        assert_ne!(without.to_json(), by_hand.to_json(), "the climate changes nothing that is looked at");
        assert_eq!(desk.covariance().unwrap().covariance, model.hole_covariance().covariance);
    }

    #[test]
    fn places_rest_on_the_best_that_is_known() {
        let instrument = "\n[[instrument]]\nname = \"tape\"\nreads = [\"distance\"]\nu = 0.2\n";
        let reading = |with: &str| {
            format!(
                "\n[[reading]]\nkind = \"distance\"\nbetween = [\"A1\", \"D6\"]\nwith = \"{with}\"\nvalue = 466.5\n"
            )
        };
        let basis = |text: &str| Desk::new(&job(text)).places().unwrap().basis();
        assert_eq!(basis(TOP), Basis::Predicted);
        assert_eq!(basis(&format!("{TOP}{instrument}{}", reading("tape"))), Basis::Proved);
        let without_kit = TOP.split("[kit").next().unwrap();
        assert_eq!(basis(without_kit), Basis::Planned);
        // Asked for by the plan, readings are not looked at.
        let read = job(&format!("{TOP}{instrument}{}", reading("tape")));
        assert_eq!(Desk::new(&read).places_by_plan().unwrap().basis(), Basis::Predicted);
        assert!(Desk::new(&read).places_need_a_plan(true) && !Desk::new(&read).places_need_a_plan(false));
    }

    #[test]
    fn a_plan_that_is_given_is_not_made_again() {
        let job = job(TOP);
        let mut plan = Desk::new(&job).plan().unwrap().clone();
        plan.setups.truncate(3);
        let desk = Desk::with_plan(&job, plan.clone());
        assert_eq!(desk.plan().unwrap(), &plan);
        // and what follows from it follows from it
        assert!(desk.covariance().unwrap().names.len() < Desk::new(&job).covariance().unwrap().names.len());
    }
}
