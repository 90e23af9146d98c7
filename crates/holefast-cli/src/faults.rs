//! Shows faults on standard error: the message, the line it is about with a caret, the way out.

use std::io::{IsTerminal, Write};
use std::path::Path;
use std::sync::Arc;

use holefast::{Fault, FaultKind};
use miette::{GraphicalReportHandler, GraphicalTheme, LabeledSpan, MietteDiagnostic, NamedSource, Report, Severity};

use crate::exit::Trouble;
use crate::words;

/// Columns of a report where standard error is no terminal.
const WIDTH: usize = 100;

/// Shows why a command ended.
pub fn show_trouble(trouble: &Trouble) {
    match trouble {
        Trouble::Faults { path, text, faults } => show(path, text, faults),
        Trouble::File { path, message, hint } => {
            let mut report = MietteDiagnostic::new(format!("{}: {message}", path.display()));
            report.help.clone_from(hint);
            print(&Report::new(report));
        }
        Trouble::Typed { fault } => {
            let mut report = MietteDiagnostic::new(fault.message.clone());
            report.help.clone_from(&fault.hint);
            print(&Report::new(report));
        }
        Trouble::ReaderGone => {}
    }
}

/// Shows faults and remarks of a text, in the order given.
pub fn show(path: &Path, text: &str, faults: &[Fault]) {
    let source = NamedSource::new(path.display().to_string(), Arc::new(text.to_owned())).with_language("toml");
    for fault in faults {
        let mut report = MietteDiagnostic::new(fault.message.clone());
        report.severity = Some(if fault.kind == FaultKind::Remark { Severity::Advice } else { Severity::Error });
        report.help.clone_from(&fault.hint);
        match fault.span {
            Some(span) => {
                let end = span.end.min(text.len()).max(span.start.min(text.len()));
                let span = span.start.min(text.len())..end;
                report.labels = Some(vec![LabeledSpan::new_with_span(None, span)]);
                print(&Report::new(report).with_source_code(source.clone()));
            }
            None => print(&Report::new(report)),
        }
    }
    let slips = faults.iter().filter(|f| f.kind != FaultKind::Remark).count();
    if slips > 1 {
        let _ = writeln!(std::io::stderr(), "{}", words::so_many_faults(slips));
    }
}

/// Tells something on standard error that is neither result nor fault.
pub fn remark(text: &str) {
    let _ = writeln!(std::io::stderr(), "{text}");
}

fn print(report: &Report) {
    let to_terminal = std::io::stderr().is_terminal();
    let coloured = to_terminal && std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty());
    let theme = if coloured { GraphicalTheme::unicode() } else { GraphicalTheme::unicode_nocolor() };
    let mut handler = GraphicalReportHandler::new_themed(theme).with_links(false).with_context_lines(1);
    if !to_terminal {
        handler = handler.with_width(WIDTH);
    }
    let mut text = String::new();
    if handler.render_report(&mut text, report.as_ref()).is_err() {
        text = report.to_string();
    }
    // with nobody to read it there is nothing left to do
    let _ = writeln!(std::io::stderr(), "{}", text.trim_end());
}
