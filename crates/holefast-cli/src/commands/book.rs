//! `holefast book`: the whole way from a job to the printed shop book.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use holefast_paper::{BookOptions, Expectation, Site};

use crate::exit::Trouble;
use crate::job_file::JobFile;
use crate::output::{self, Kind};
use crate::progress::Progress;
use crate::stages::{self, Boards};
use crate::words;

/// Writes the shop book: layout, a card for every step, checks, accuracy, as a PDF
///
/// Layout, outline of the plan and expected accuracy are printed as well. The book is written whole
/// or not at all; a file that is no PDF is never replaced.
#[derive(Args)]
pub struct Book {
    /// The job file; - reads it from standard input
    job: PathBuf,
    /// Where the book goes; without it, the job's name with .pdf, in the current folder
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Paper to print on
    #[arg(long, value_enum, default_value_t = Paper::A4)]
    paper: Paper,
    /// Virtual boards behind the expected accuracy; 0 leaves it at first order
    #[arg(long, value_name = "N", default_value_t = 20_000, value_parser = clap::value_parser!(u64).range(..=stages::MOST_BOARDS))]
    boards: u64,
    /// Address of a page that opens jobs, for a code on the cover that carries this one to a phone
    ///
    /// The page is the folder that `cargo xtask web` writes, wherever you serve it. The job stands behind the
    /// # of the address and is sent to nobody.
    #[arg(long, value_name = "URL", value_parser = page)]
    site: Option<String>,
}

fn page(typed: &str) -> Result<String, String> {
    holefast_paper::link::page_address(typed).map_err(|fault| match fault.hint {
        Some(hint) => format!("{}; {hint}", fault.message),
        None => fault.message,
    })
}

#[derive(Clone, Copy, ValueEnum)]
enum Paper {
    /// 210 x 297 mm
    A4,
    /// 8 1/2 x 11 in
    Letter,
}

/// The seed of the book's virtual boards: the same job gives the same book.
const SEED: u64 = 1;

impl Book {
    pub fn run(self) -> Result<(), Trouble> {
        let path = self.output.unwrap_or_else(|| beside_us(&self.job));
        output::look(&path, Kind::Pdf)?;
        let file = JobFile::read(&self.job)?;
        let job = &file.job;
        let layout = stages::lay_out(&file)?;
        let plan = stages::plan(&file, &layout)?;
        let boards = Boards { number: self.boards, seed: SEED, checks: true };
        let prediction = stages::predict(&file, &plan, boards)?;
        let lessenings = stages::lessen(&file, &plan)?;
        let confidence = job.accuracy.confidence;

        let expected = Expectation::of(&prediction, &lessenings, confidence, job.units);
        let paper = match self.paper {
            Paper::A4 => holefast_paper::Paper::A4,
            Paper::Letter => holefast_paper::Paper::Letter,
        };
        let site = self.site.map(|page| Site { page, job_text: file.text.clone() });
        let options = BookOptions { paper, digest: holefast_paper::digest(&file.text), site };
        let cuts = stages::cut_pages(&file, &layout, &plan)?;
        let pdf = {
            let _progress = Progress::of_some(words::SETTING);
            holefast_paper::book_with_cuts(job, &layout, &plan, &expected, &options, &cuts)
                .map_err(|fault| file.trouble(vec![fault]))?
        };
        output::write(&path, Kind::Pdf, &pdf)?;

        let mut lines = vec![job.name.clone(), String::new()];
        lines.extend(holefast::words::layout::lines(job, &layout));
        lines.push(String::new());
        lines.extend(holefast::words::outline::lines(&file.job, &plan));
        lines.push(String::new());
        lines.push(holefast::words::expected::expectation(&prediction, confidence));
        lines.push(String::new());
        lines.push(words::written("shop book", &path));
        output::print(&output::lines(&lines))
    }
}

/// The job's name with `.pdf`, in the current folder.
fn beside_us(job: &Path) -> PathBuf {
    let stem = job.file_stem().filter(|_| job != Path::new("-"));
    Path::new(stem.unwrap_or("shop-book".as_ref())).with_extension("pdf")
}
