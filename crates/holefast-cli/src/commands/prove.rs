//! `holefast prove`: how square the top really is, from readings.

use std::path::{Path, PathBuf};

use clap::Args;
use holefast::drawing::{Theme, proof_view};
use holefast::{FaultKind, Job};

use crate::exit::Trouble;
use crate::job_file::{JobFile, read_bytes};
use crate::output::{self, Kind};
use crate::stages::Bench;
use crate::{faults, words};

/// Proves how square the bored top is, from readings
///
/// Readings and what they were made with stand in the job as [[reading]] and [[instrument]], or in a
/// table of their own. Told are a verdict, what every reading is worth, holes or readings that should
/// be checked first, the best right angle on this top. With a plan that was followed, [proof] prior =
/// "prediction" lets its promise count, and the result without it stands beside.
#[derive(Args)]
pub struct Prove {
    /// The job file; - reads it from standard input
    job: PathBuf,
    /// Take the readings of this table (CSV) too, after those of the job
    ///
    /// Its first line names keys of [[reading]]: kind,between,with,value. Two holes stand in one cell
    /// with a space between: A1 G9. Bare numbers are in the job's units.
    #[arg(long, value_name = "FILE.csv")]
    readings: Option<PathBuf>,
    /// Print the proof as data, and nothing else
    #[arg(long)]
    json: bool,
    /// Write the drawing of the deviations, exaggerated, to this file as SVG; - prints it
    #[arg(long, value_name = "FILE", conflicts_with = "json")]
    svg: Option<PathBuf>,
    /// Seed of the draws behind the verdict where a bar did not go
    #[arg(long, value_name = "S", default_value_t = holefast::desk::SEED)]
    seed: u64,
}

/// Room for the drawing, mm: A4 on its side less margins that every printer can do.
const ROOM: [f64; 2] = [277.0, 190.0];

impl Prove {
    pub fn run(self) -> Result<(), Trouble> {
        let to_file = self.svg.as_deref().filter(|path| *path != Path::new("-"));
        if let Some(path) = to_file {
            output::look(path, Kind::Svg)?;
        }
        let mut file = JobFile::read(&self.job)?;
        if let Some(path) = &self.readings {
            add_readings(&mut file.job, path)?;
        }
        let bench = Bench::new(&file);
        let layout = bench.layout()?;
        bench.with_prior()?;
        let proof = bench.desk().proof(self.seed).map_err(|faults| file.trouble(faults))?;
        faults::show(&file.path, &file.text, &proof.remarks);
        if self.json {
            return output::print(&proof.to_json());
        }
        if self.svg.is_none() {
            return output::print(&output::lines(&holefast::words::proof::lines(&proof, &file.job)));
        }
        let svg = holefast_paper::svg(&proof_view(&file.job, layout, &proof, ROOM), &Theme::PAPER);
        match to_file {
            None => output::print(&svg),
            Some(path) => {
                output::write(path, Kind::Svg, svg.as_bytes())?;
                faults::remark(&words::written("drawing", path));
                Ok(())
            }
        }
    }
}

/// Adds the readings of a table to a job's own. Their places in the table's text are left behind: what
/// is told of them later names holes and numbers.
pub fn add_readings(job: &mut Job, path: &Path) -> Result<(), Trouble> {
    let bytes = read_bytes(path)?;
    let text = String::from_utf8_lossy(&bytes).into_owned();
    match holefast::job::readings_from_csv(&text, job) {
        Ok((readings, remarks)) => {
            debug_assert!(remarks.iter().all(|f| f.kind == FaultKind::Remark));
            faults::show(path, &text, &remarks);
            job.proof.readings.extend(readings.into_iter().map(|mut reading| {
                (reading.span, reading.value_span, reading.with_span) = (None, None, None);
                reading
            }));
            Ok(())
        }
        Err(faults) => Err(Trouble::Faults { path: path.to_owned(), text, faults }),
    }
}
