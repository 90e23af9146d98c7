//! `holefast book`: the whole way from a job to the printed shop book.

use std::cell::RefCell;
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use holefast::desk::BOARDS_OF_A_BOOK;
use holefast_paper::book::{self, Made, Making, Stage};

use crate::exit::Trouble;
use crate::job_file::JobFile;
use crate::output::{self, Kind};
use crate::progress::Progress;
use crate::{blocks, faults, stages, words};

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
    /// Also write every page as a drawing into this folder, made if it is not there: page-01.svg and so on
    #[arg(long, value_name = "FOLDER")]
    pages: Option<PathBuf>,
    /// Paper to print on
    #[arg(long, value_enum, default_value_t = Paper::A4)]
    paper: Paper,
    /// Virtual boards behind the expected accuracy; 0 leaves it at first order
    #[arg(long, value_name = "N", default_value_t = BOARDS_OF_A_BOOK, value_parser = clap::value_parser!(u64).range(..=stages::MOST_BOARDS))]
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

impl Book {
    pub fn run(self) -> Result<(), Trouble> {
        let path = self.output.unwrap_or_else(|| beside_us(&self.job));
        output::look(&path, Kind::Pdf)?;
        if let Some(folder) = &self.pages {
            let first = page_in(folder, 0);
            // a folder that is not there yet is looked at as a file would be: the folder it stands in must be there
            output::look(if folder.exists() { &first } else { folder }, Kind::Svg)?;
        }
        let file = JobFile::read(&self.job)?;
        let job = &file.job;
        let paper = match self.paper {
            Paper::A4 => holefast_paper::Paper::A4,
            Paper::Letter => holefast_paper::Paper::Letter,
        };
        let progress = RefCell::new(None);
        let making = Making {
            paper,
            boards: self.boards,
            site: self.site,
            run: &blocks::on_all_cores,
            tell: &|stage| {
                // The last stage's line goes before the next one's comes; boards show their own.
                progress.take();
                progress.replace(match stage {
                    Stage::Planning => Some(Progress::of_some(words::PLANNING)),
                    Stage::Predicting => None,
                    Stage::Setting => Some(Progress::of_some(words::SETTING)),
                });
            },
        };
        let made = book::make(&file.alone()?, job, &making);
        progress.take();
        let Made { layout, plan, prediction, remarks, mut book } = made.map_err(|faults| file.trouble(faults))?;
        let pdf = book.pdf().map_err(|fault| file.trouble(vec![fault]))?;
        faults::show(&file.path, &file.text, &remarks);
        faults::show(&file.path, &file.text, &holefast::words::astray(job, &plan));
        if let Some(folder) = &self.pages {
            output::make_folder(folder)?;
            // all or none: what is not ours is found before anything is written
            (0..book.pages.len()).try_for_each(|page| output::look(&page_in(folder, page), Kind::Svg))?;
        }
        output::write(&path, Kind::Pdf, &pdf)?;
        if let Some(folder) = &self.pages {
            for page in 0..book.pages.len() {
                let drawing = book.svg(page).unwrap_or_default();
                output::write(&page_in(folder, page), Kind::Svg, drawing.as_bytes())?;
            }
        }

        let mut lines = vec![job.name.clone(), String::new()];
        lines.extend(holefast::words::layout::lines(job, &layout));
        lines.push(String::new());
        lines.extend(holefast::words::outline::lines(&file.job, &plan));
        lines.push(String::new());
        lines.push(holefast::words::expected::expectation(&prediction, job.accuracy.confidence));
        lines.push(String::new());
        lines.push(words::written("shop book", &path));
        if let Some(folder) = &self.pages {
            lines.push(words::written("its pages", folder));
            let older = (book.pages.len()..).take_while(|page| page_in(folder, *page).exists()).count();
            lines.extend(words::older_pages(book.pages.len() + 1, older));
        }
        output::print(&output::lines(&lines))
    }
}

/// A page's file, from 0.
fn page_in(folder: &Path, page: usize) -> PathBuf {
    folder.join(format!("page-{:02}.svg", page + 1))
}

/// The job's name with `.pdf`, in the current folder.
fn beside_us(job: &Path) -> PathBuf {
    let stem = job.file_stem().filter(|_| job != Path::new("-"));
    Path::new(stem.unwrap_or("shop-book".as_ref())).with_extension("pdf")
}
