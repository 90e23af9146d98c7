//! `holefast show`: the layout in words, as data, or as a drawing.

use std::path::{Path, PathBuf};

use clap::Args;
use holefast::drawing::{Theme, top_view};

use crate::exit::Trouble;
use crate::job_file::JobFile;
use crate::output::{self, Kind};
use crate::stages::Bench;
use crate::{faults, words};

/// Shows the layout: which holes fit, margins, conflicts, weight, sag, movement
///
/// Holes that are wanted and cannot be are left out, each with what it comes too near to and by how
/// much. Without an option the layout is printed in words.
#[derive(Args)]
pub struct Show {
    /// The job file; - reads it from standard input
    job: PathBuf,
    /// Print the layout as data, and nothing else
    #[arg(long)]
    json: bool,
    /// Write the drawing to this file as SVG, to fit an A4 sheet on its side; - prints it
    #[arg(long, value_name = "FILE", conflicts_with = "json")]
    svg: Option<PathBuf>,
}

/// Room for the drawing, mm: A4 on its side less margins that every printer can do.
const ROOM: [f64; 2] = [277.0, 190.0];

impl Show {
    pub fn run(self) -> Result<(), Trouble> {
        let to_file = self.svg.as_deref().filter(|path| *path != Path::new("-"));
        if let Some(path) = to_file {
            output::look(path, Kind::Svg)?;
        }
        let file = JobFile::read(&self.job)?;
        let bench = Bench::new(&file);
        let layout = bench.layout()?;
        if self.json {
            return output::print(&holefast::top::show::to_json(&file.job, layout));
        }
        if self.svg.is_none() {
            return output::print(&output::lines(&holefast::words::layout::lines(&file.job, layout)));
        }
        let svg = holefast_paper::svg(&top_view(&file.job, layout, ROOM), &Theme::PAPER);
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
