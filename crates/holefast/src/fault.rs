//! What is told to a person when something cannot be done: what, where, by how much, a way out.
//!
//! The core returns faults, the command line prints them and maps their kinds to exit codes, the
//! web app shows the same words beside the field. A result that is limp but true (not converged,
//! not defined) is a value, not a fault; a bug is an assertion.

/// Which sort of trouble a fault is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum FaultKind {
    /// A slip in what was written: a typing error, a unit, a value out of range.
    Input,
    /// Well written, but it cannot be made; the hint names the nearest thing that works.
    Impossible,
    /// Not a fault: an assumption or a doubtful value worth a line on the paper.
    Remark,
}

/// A stretch of the job text, in bytes from its start; `start <= end`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Span {
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

/// One trouble, located where it can be.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// Which sort it is.
    pub kind: FaultKind,
    /// What is wrong and by how much: lower case, no full stop, numbers with units.
    pub message: String,
    /// Where in the job text, if it comes from there.
    pub span: Option<Span>,
    /// The way out.
    pub hint: Option<String>,
}

impl Fault {
    /// Makes an input fault without place or hint.
    pub fn input(message: impl Into<String>) -> Fault {
        Fault { kind: FaultKind::Input, message: message.into(), span: None, hint: None }
    }

    /// Makes an impossibility without place or hint.
    pub fn impossible(message: impl Into<String>) -> Fault {
        Fault { kind: FaultKind::Impossible, ..Fault::input(message) }
    }

    /// Makes a remark without place or hint.
    pub fn remark(message: impl Into<String>) -> Fault {
        Fault { kind: FaultKind::Remark, ..Fault::input(message) }
    }

    /// Adds the place in the job text, where known.
    pub fn at(mut self, span: Option<Span>) -> Fault {
        self.span = span.or(self.span);
        self
    }

    /// Adds the way out.
    pub fn hint(mut self, hint: impl Into<String>) -> Fault {
        self.hint = Some(hint.into());
        self
    }
}

impl Span {
    /// Line and column of the start in `text`, both counted from 1; the column counts characters.
    pub fn line_and_column(self, text: &str) -> (usize, usize) {
        let mut start = self.start.min(text.len());
        while !text.is_char_boundary(start) {
            start -= 1;
        }
        let before = &text[..start];
        let line = before.matches('\n').count() + 1;
        let column = before.rsplit('\n').next().unwrap_or("").chars().count() + 1;
        (line, column)
    }
}
