//! Text with bold runs, kept apart from any markup: writers turn the runs into their own.

/// Where bold begins in a marked text; from the private use area, so no one types it.
const ON: char = '\u{E000}';
/// Where it ends.
const OFF: char = '\u{E001}';

/// A run of text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Run {
    /// What it says.
    pub text: String,
    /// Set in bold.
    pub bold: bool,
}

/// A text of runs.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Rich {
    /// In order of reading.
    pub runs: Vec<Run>,
}

/// Marks a text as bold, for [`Rich::new`].
pub fn bold(text: &str) -> String {
    format!("{ON}{text}{OFF}")
}

impl Rich {
    /// Splits a text into runs at the marks of [`bold`].
    pub fn new(marked: impl AsRef<str>) -> Rich {
        let mut runs: Vec<Run> = Vec::new();
        let mut is_bold = false;
        let mut text = String::new();
        for c in marked.as_ref().chars() {
            if c == ON || c == OFF {
                if !text.is_empty() {
                    runs.push(Run { text: std::mem::take(&mut text), bold: is_bold });
                }
                is_bold = c == ON;
            } else {
                text.push(c);
            }
        }
        if !text.is_empty() {
            runs.push(Run { text, bold: is_bold });
        }
        Rich { runs }
    }

    /// The words alone.
    pub fn plain(&self) -> String {
        self.runs.iter().map(|r| r.text.as_str()).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bold_runs_are_parted_from_the_rest() {
        let rich = Rich::new(format!("Pin hole 0 at {}.", bold("A1")));
        assert_eq!(rich.plain(), "Pin hole 0 at A1.");
        assert_eq!(rich.runs.iter().map(|r| r.bold).collect::<Vec<_>>(), [false, true, false]);
    }
}
