//! A paragraph: runs of text shaped once, broken into lines at any width, each line's pieces with their
//! places.
//!
//! Lines are broken and measured by `parley`. A paragraph begins at the height of its first line's capitals
//! and ends on its last baseline, so that what stands round it sees ink, not leading. mm, y downwards.

use holefast::words::Run;
use parley::{Layout, PositionedLayoutItem};

use super::faces::{CAP, Faces};

/// At the end of a line where a word longer than its column is broken. Not the hyphen of keyboards, so that
/// nobody takes it for a part of the word.
pub const BROKEN: char = '\u{2010}';

/// Stands after each [`BROKEN`] while lines are broken: a line may always end here, whatever letter follows
/// (UAX #14, LB8). It has no width and no ink.
const MAY_BREAK: char = '\u{200b}';

/// What a letter may gain in width when the next one, to which it was kerned, goes to another line, in units of
/// the size (the closest pair of the faces' own tables: 466 of 2000).
const KERNING: f32 = 0.233;

const MARK_BYTES: usize = BROKEN.len_utf8() + MAY_BREAK.len_utf8();

/// Two roundings of a measured width, mm: a line that fits exactly is not broken for them.
const SLACK: f32 = 0.004;

/// How a paragraph is set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Setting {
    /// Size of the type, mm.
    pub size: f64,
    /// From baseline to baseline, mm.
    pub pitch: f64,
}

impl Setting {
    /// Type of this size with so much room between a line's baseline and the next one's capitals, mm.
    pub fn new(size: f64, leading: f64) -> Setting {
        Setting { size, pitch: CAP * size + leading }
    }
}

/// A piece of a line: letters of one weight and direction.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// Its left end from the paragraph's, mm.
    pub x: f64,
    /// Its baseline from the paragraph's upper edge, mm.
    pub y: f64,
    /// Its width without the space at its end, mm.
    pub width: f64,
    /// Its letters.
    pub text: String,
    /// Bold.
    pub bold: bool,
}

/// Where a line ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LineEnd {
    /// Its baseline from the paragraph's upper edge, mm.
    pub y: f64,
    /// Bytes of the runs' text up to there.
    pub at: usize,
    /// A word is broken there.
    pub within_word: bool,
}

/// A paragraph, shaped.
pub struct Paragraph {
    runs: Vec<Run>,
    setting: Setting,
    text: String,
    layout: Layout<bool>,
    /// Bytes of `text` at which a mark of a broken word stands, which the runs do not have.
    marks: Vec<usize>,
    least: f32,
    most: f32,
}

impl Paragraph {
    /// Shapes the runs. Control characters become spaces; line breaks stay.
    pub fn new(faces: &mut Faces, runs: &[Run], setting: Setting) -> Paragraph {
        let runs: Vec<Run> = runs.iter().map(|run| Run { text: printable(&run.text), bold: run.bold }).collect();
        let text: String = runs.iter().map(|run| run.text.as_str()).collect();
        let layout = faces.shape(&text, &runs, setting.size);
        let widths = layout.calculate_content_widths();
        Paragraph { runs, setting, text, layout, marks: Vec::new(), least: widths.min, most: widths.max }
    }

    /// Widths of its longest word and of the whole on one line, mm.
    pub fn widths(&self) -> [f32; 2] {
        [self.least, self.most]
    }

    /// Breaks it into lines of this width, mm, and returns its height, mm. Words that are wider are broken,
    /// with a mark.
    pub fn broken(&mut self, faces: &mut Faces, width: f32) -> f32 {
        if self.least > width + SLACK || !self.marks.is_empty() {
            self.mark_long_words(faces, width);
        }
        self.layout.break_all_lines(Some(width + SLACK));
        self.height()
    }

    fn height(&self) -> f32 {
        let lines = self.layout.len().max(1);
        (CAP * self.setting.size + (lines - 1) as f64 * self.setting.pitch) as f32
    }

    /// Where each line ends.
    pub fn line_ends(&self) -> Vec<LineEnd> {
        let end = |(i, line): (usize, parley::Line<'_, bool>)| {
            let end = line.text_range().end;
            let within_word = self.marks.iter().any(|&mark| mark + MARK_BYTES == end);
            LineEnd { y: self.baseline(i), at: self.unmarked(end), within_word }
        };
        self.layout.lines().enumerate().map(end).collect()
    }

    fn baseline(&self, line: usize) -> f64 {
        CAP * self.setting.size + line as f64 * self.setting.pitch
    }

    /// All pieces, line by line, in a column of this width; `share` of what a line leaves free stands before
    /// it: 0 at the left, ½ in the middle, 1 at the right.
    pub fn pieces(&self, width: f64, share: f64) -> Vec<Piece> {
        let mut pieces = Vec::new();
        for (i, line) in self.layout.lines().enumerate() {
            let metrics = line.metrics();
            let before = (share * (width - f64::from(metrics.advance - metrics.hanging_advance))).max(0.0);
            let mut runs: Vec<_> = line
                .items()
                .filter_map(|item| match item {
                    PositionedLayoutItem::GlyphRun(glyphs) => Some(glyphs),
                    PositionedLayoutItem::InlineBox(_) => None,
                })
                .collect();
            // in order of reading: letters from the right to the left stand in another
            runs.sort_by_key(|glyphs| glyphs.run().text_range().start);
            for glyphs in runs {
                let run = glyphs.run();
                let text = self.text[run.text_range()].trim_end_matches(['\n', MAY_BREAK]);
                let trimmed = text.trim_end().len();
                if trimmed == 0 {
                    continue;
                }
                let start = run.text_range().start;
                let hanging: f32 = run
                    .clusters()
                    .filter(|cluster| cluster.text_range().start >= start + trimmed)
                    .map(|cluster| cluster.advance())
                    .sum();
                pieces.push(Piece {
                    x: before + f64::from(glyphs.offset()),
                    y: self.baseline(i),
                    width: f64::from(glyphs.advance() - hanging),
                    text: text.to_owned(),
                    bold: glyphs.style().brush,
                });
            }
        }
        pieces
    }

    /// The longest beginning that has room on one line with an ellipsis, or the whole.
    pub fn shortened(&self, faces: &mut Faces, width: f64) -> Option<Vec<Run>> {
        if f64::from(self.most) <= width + f64::from(SLACK) {
            return None;
        }
        let dots = Paragraph::new(faces, &[Run { text: "…".to_owned(), bold: false }], self.setting);
        let room = width - f64::from(dots.most);
        let (mut used, mut end) = (0.0, 0);
        for cluster in
            self.layout.lines().flat_map(|line| line.runs()).flat_map(|run| run.clusters().collect::<Vec<_>>())
        {
            used += f64::from(cluster.advance());
            if used > room {
                break;
            }
            end = cluster.text_range().end;
        }
        let [mut runs, _] = parted(&self.runs, end, false);
        match runs.last_mut() {
            Some(last) => last.text = format!("{}…", last.text.trim_end()),
            None => runs.push(Run { text: "…".to_owned(), bold: false }),
        }
        Some(runs)
    }

    /// Puts a mark, after which a line may be broken, wherever a word that is wider than a line has gone as far
    /// as the width allows.
    fn mark_long_words(&mut self, faces: &mut Faces, width: f32) {
        let plain: String = self.runs.iter().map(|run| run.text.as_str()).collect();
        let mut layout = faces.shape(&plain, &self.runs, self.setting.size);
        let mark = Paragraph::new(faces, &[Run { text: BROKEN.to_string(), bold: true }], self.setting).most;
        let most = width - mark - KERNING * self.setting.size as f32;
        // lines of no width: what may not be broken stands together
        layout.break_all_lines(Some(0.0));
        let breaks: Vec<usize> = layout.lines().flat_map(|word| breaks_within(&word, &plain, width, most)).collect();
        let (mut marked, mut marks, mut at, mut text) = (Vec::new(), Vec::new(), 0, String::new());
        let mut pending = breaks.into_iter().peekable();
        for run in &self.runs {
            let mut own = String::new();
            for (i, c) in run.text.char_indices() {
                if pending.next_if_eq(&(at + i)).is_some() {
                    marks.push(text.len() + own.len());
                    own.extend([BROKEN, MAY_BREAK]);
                }
                own.push(c);
            }
            at += run.text.len();
            text.push_str(&own);
            marked.push(Run { text: own, bold: run.bold });
        }
        self.layout = faces.shape(&text, &marked, self.setting.size);
        self.text = text;
        self.marks = marks;
    }

    /// A byte of the marked text as one of the runs' text.
    fn unmarked(&self, at: usize) -> usize {
        at - self.marks.iter().filter(|&&mark| mark < at).count() * MARK_BYTES
    }
}

/// Where to break a word that is wider than a line, in bytes of the text: after so many letters as have room in
/// `most`; what has room in `width` at its end stays whole.
fn breaks_within(word: &parley::Line<'_, bool>, text: &str, width: f32, most: f32) -> Vec<usize> {
    // spaces at its end hang over the line's end; one within it, where no line may end, takes room
    let range = word.text_range();
    let end = range.start + text[range].trim_end_matches(|c: char| c.is_whitespace() && c != '\u{a0}').len();
    let mut letters: Vec<(usize, f32)> = word
        .runs()
        .flat_map(|run| run.clusters().map(|c| (c.text_range().start, c.advance())).collect::<Vec<_>>())
        .filter(|(start, _)| *start < end)
        .collect();
    letters.sort_by_key(|(start, _)| *start);
    let mut left: f32 = letters.iter().map(|(_, advance)| advance).sum();
    let (mut breaks, mut used) = (Vec::new(), 0.0);
    for (start, advance) in letters {
        if used > 0.0 && used + advance > most && used + left > width + SLACK {
            breaks.push(start);
            used = 0.0;
        }
        used += advance;
        left -= advance;
    }
    breaks
}

/// Parts runs at a byte of their text; the rest begins with a letter. Within a word the first part ends with the
/// mark of a broken one.
pub(super) fn parted(runs: &[Run], at: usize, within_word: bool) -> [Vec<Run>; 2] {
    let (mut first, mut rest) = (Vec::new(), Vec::new());
    let mut begin = 0;
    for run in runs {
        let cut = at.saturating_sub(begin).min(run.text.len());
        let (a, b) = run.text.split_at(cut);
        begin += run.text.len();
        for (part, text) in [(&mut first, a), (&mut rest, b)] {
            if !text.is_empty() {
                part.push(Run { text: text.to_owned(), bold: run.bold });
            }
        }
    }
    if let Some(run) = first.last_mut().filter(|_| within_word) {
        run.text.push(BROKEN);
    }
    if let Some(run) = rest.first_mut() {
        run.text = run.text.trim_start().to_owned();
    }
    rest.retain(|run: &Run| !run.text.is_empty());
    [first, rest]
}

/// The text without what no paper can show: control characters become spaces, line breaks stay.
fn printable(text: &str) -> String {
    text.replace("\r\n", "\n").chars().map(|c| if c.is_control() && c != '\n' { ' ' } else { c }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const SETTING: Setting = Setting { size: 4.0, pitch: 5.0 };

    fn plain(text: &str) -> Vec<Run> {
        vec![Run { text: text.to_owned(), bold: false }]
    }

    fn lines(paragraph: &Paragraph) -> Vec<String> {
        let mut lines: Vec<(f64, String)> = Vec::new();
        for piece in paragraph.pieces(1000.0, 0.0) {
            match lines.last_mut().filter(|(y, _)| *y == piece.y) {
                Some((_, line)) => line.push_str(&piece.text),
                None => lines.push((piece.y, piece.text)),
            }
        }
        lines.into_iter().map(|(_, line)| line.trim_end().to_owned()).collect()
    }

    #[test]
    fn a_line_is_as_wide_as_the_table_of_widths_says() {
        // The core's table has no kerning; neither have figures.
        let mut faces = Faces::new();
        for bold in [false, true] {
            let runs = [Run { text: "1450 780 21".to_owned(), bold }];
            let [_, width] = Paragraph::new(&mut faces, &runs, SETTING).widths();
            let wanted = 4.0 * holefast::drawing::text_width(&runs[0].text, bold);
            assert!((f64::from(width) - wanted).abs() < 0.02, "{width} {wanted}");
        }
    }

    #[test]
    fn lines_are_broken_at_spaces_and_long_words_with_a_mark() {
        let mut faces = Faces::new();
        let mut paragraph = Paragraph::new(&mut faces, &plain("one two three four five six seven"), SETTING);
        let height = paragraph.broken(&mut faces, 30.0);
        let found = lines(&paragraph);
        assert!(found.len() > 1 && found.join(" ") == "one two three four five six seven", "{found:?}");
        assert!((f64::from(height) - (CAP * 4.0 + (found.len() - 1) as f64 * 5.0)).abs() < 1e-5);

        let word = "abcdefghijklmnopqrstuvwxyz".repeat(3);
        let mut paragraph = Paragraph::new(&mut faces, &plain(&format!("so {word} end")), SETTING);
        paragraph.broken(&mut faces, 30.0);
        let found = lines(&paragraph);
        assert!(found.len() > 4, "{found:?}");
        for line in &found {
            let [_, width] = Paragraph::new(&mut faces, &plain(line), SETTING).widths();
            assert!(width <= 30.0 + SLACK, "{line}: {width}");
        }
        let tied = format!("{}\u{a0}{}", "x".repeat(18), "y".repeat(18));
        let mut paragraph = Paragraph::new(&mut faces, &plain(&tied), SETTING);
        paragraph.broken(&mut faces, 30.0);
        for piece in paragraph.pieces(30.0, 0.0) {
            assert!(piece.x + piece.width <= 30.01, "{piece:?}");
        }
        let joined = found.join("");
        assert_eq!(joined.replace([BROKEN, ' '], ""), format!("so{word}end"));
        assert!(found[1..found.len() - 1].iter().all(|line| line.ends_with(BROKEN)), "{found:?}");
    }

    /// Letters before which the Unicode rules allow no break after a hyphen among them, and words with
    /// opportunities of their own: every line keeps to its width, marks stand at ends of lines alone.
    #[test]
    fn no_line_is_too_wide_and_no_mark_stands_within_one() {
        let mut faces = Faces::new();
        for word in [
            "----------------------------------------",
            "0.000,000:000;000!000?000/000)000]000}000\"000",
            "https://example.org/a/very-long/path?of=words&and=more-words-than-a-line-has-room-for/index.html",
            "\u{4e00}\u{4e01}\u{4e02}\u{4e03}\u{4e04}\u{4e05}\u{4e06}\u{4e07}\u{4e08}\u{4e09}\u{4e0a}\u{4e0b}",
            "unbelievably-long-words-that-may-be-broken-at-their-hyphens",
            "AVAVAVAVAVAVAVAVAVAVAVAVAVAVAVAVAVAV",
            "))))))))))))))))))))))))))))))))))))))))",
        ] {
            for width in [9.0, 14.0, 20.0, 30.0] {
                let mut paragraph = Paragraph::new(&mut faces, &plain(&format!("i {word} end")), SETTING);
                paragraph.broken(&mut faces, width);
                for piece in paragraph.pieces(f64::from(width), 0.0) {
                    assert!(piece.x + piece.width <= f64::from(width) + 0.01, "{word}: {piece:?} at {width}");
                }
                let found = lines(&paragraph);
                assert_eq!(found.join("").replace([BROKEN, ' '], ""), format!("i{word}end"));
                let within = found.iter().any(|line| line.trim_end_matches(BROKEN).contains(BROKEN));
                assert!(!within, "{width}: {found:?}");
            }
        }
    }

    #[test]
    fn a_word_parted_by_a_columns_end_keeps_its_mark() {
        let mut faces = Faces::new();
        let runs = plain(&"abcdefghij".repeat(6));
        let mut paragraph = Paragraph::new(&mut faces, &runs, SETTING);
        paragraph.broken(&mut faces, 30.0);
        let whole = lines(&paragraph);
        let end = paragraph.line_ends()[1];
        assert!(end.within_word);
        let [first, rest] = parted(&runs, end.at, end.within_word);
        let mut set = |runs: &[Run]| {
            let mut paragraph = Paragraph::new(&mut faces, runs, SETTING);
            paragraph.broken(&mut faces, 30.0);
            lines(&paragraph)
        };
        assert_eq!([set(&first), set(&rest)].concat(), whole);
    }

    #[test]
    fn a_text_is_parted_at_a_line_and_nothing_is_lost() {
        let mut faces = Faces::new();
        let runs = [
            Run { text: "Before G1: ".to_owned(), bold: true },
            Run { text: "draw the pin, see it in your hand, then drill.".to_owned(), bold: false },
        ];
        let mut paragraph = Paragraph::new(&mut faces, &runs, SETTING);
        paragraph.broken(&mut faces, 25.0);
        let ends = paragraph.line_ends();
        let [first, rest] = parted(&runs, ends[1].at, ends[1].within_word);
        let text = |runs: &[Run]| runs.iter().map(|run| run.text.as_str()).collect::<String>();
        assert_eq!(text(&first) + &text(&rest), text(&runs));
        assert!(text(&rest).starts_with(|c: char| !c.is_whitespace()) && !first.is_empty());
    }

    #[test]
    fn what_the_faces_lack_is_noted_and_takes_room() {
        let mut faces = Faces::new();
        let paragraph = Paragraph::new(&mut faces, &plain("top שלום ok"), SETTING);
        assert_eq!(faces.lacking().iter().collect::<String>(), "ולםש");
        let [_, width] = paragraph.widths();
        let [_, without] = Paragraph::new(&mut faces, &plain("top  ok"), SETTING).widths();
        assert!(width > without + 4.0, "{width} {without}");
    }

    #[test]
    fn what_has_no_room_on_a_line_is_shortened() {
        let mut faces = Faces::new();
        let paragraph = Paragraph::new(&mut faces, &plain("A bench for two by the window"), SETTING);
        assert_eq!(paragraph.shortened(&mut faces, 200.0), None);
        let short = paragraph.shortened(&mut faces, 30.0).expect("too long");
        assert!(short[0].text.ends_with('…') && short[0].text.starts_with("A bench"), "{short:?}");
        assert!(Paragraph::new(&mut faces, &short, SETTING).widths()[1] <= 30.0);
    }
}
