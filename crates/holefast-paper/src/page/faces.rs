//! The papers' two faces, embedded: texts shaped into glyphs, and what characters they lack.
//!
//! Nothing of the machine's fonts is looked at, so that a paper is the same everywhere. Breaking lines is
//! `text`'s work, writing glyphs `pdf`'s.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use std::rc::Rc;

use holefast::drawing::{Scene, Shape, Style};
use holefast::words::Run;
use parley::fontique::{Blob, Collection, CollectionOptions, SourceCache};
use parley::{
    BaseDirection, FontContext, FontFamily, FontFamilyName, FontWeight, Layout, LayoutContext, StyleProperty,
};

/// Lato 2.007 by Łukasz Dziedzic, OFL 1.1 (see `fonts/OFL.txt`), with the letters that papers need and under
/// another name (`fonts/subset.py`): regular, bold. One place in the program: a constant would be copied to
/// each that uses it.
pub static FACES: [&[u8]; 2] =
    [include_bytes!("../../fonts/HolefastSans-Regular.ttf"), include_bytes!("../../fonts/HolefastSans-Bold.ttf")];

/// The family both belong to.
pub const FAMILY: &str = "Holefast Sans";

/// Height of capitals and figures, in units of the size (the font's own: 1433 of 2000 in regular, 1446 in bold).
pub const CAP: f64 = 0.7165;

/// Stands for a character that the faces lack. Its ink is as wide as that of the faces' own sign, so that it
/// keeps to the room that was measured for that.
const SQUARE: &str = "\u{25a1}";

/// How far letters go below the baseline, in units of the size, rounded up (the font's own outlines: `g` 365 of
/// 2000).
pub const DESCENT: f64 = 0.2;

/// A glyph of a line, all lengths in units of the size.
#[derive(Clone, Debug, PartialEq)]
pub struct Glyph {
    /// Which, in its face.
    pub id: u32,
    /// How far the next one stands.
    pub advance: f32,
    /// Shift from its place, to the right and upwards.
    pub shift: [f32; 2],
    /// The letters it stands for, as bytes of the text.
    pub letters: Range<usize>,
}

/// A text that was asked for: its letters, where each of its runs ends and whether that is bold, its size's bits.
type Asked = (String, Vec<(usize, bool)>, u64);

/// So many shaped texts are kept: a card's are asked for again while it is tried in several ways, and a foot's on
/// every page; a long table's are not, and would fill the memory.
const KEPT: usize = 1000;

/// Both faces, ready to shape texts.
pub struct Faces {
    fonts: FontContext,
    scratch: LayoutContext<bool>,
    lines: BTreeMap<(bool, String), Rc<Vec<Glyph>>>,
    shaped: BTreeMap<Asked, Layout<bool>>,
    lacking: BTreeSet<char>,
}

impl Default for Faces {
    fn default() -> Faces {
        Faces::new()
    }
}

impl Faces {
    /// Reads the faces.
    pub fn new() -> Faces {
        let mut collection = Collection::new(CollectionOptions { shared: false, system_fonts: false });
        for face in FACES {
            collection.register_fonts(Blob::from(face.to_vec()), None);
        }
        Faces {
            fonts: FontContext { collection, source_cache: SourceCache::default() },
            scratch: LayoutContext::new(),
            lines: BTreeMap::new(),
            shaped: BTreeMap::new(),
            lacking: BTreeSet::new(),
        }
    }

    /// Characters that were asked for and that the faces do not have; each is shown as a square.
    pub fn lacking(&self) -> &BTreeSet<char> {
        &self.lacking
    }

    /// Shapes a text of runs at a size, each of its own lines on one; the runs' texts follow one another.
    pub(super) fn shape(&mut self, text: &str, runs: &[Run], size: f64) -> Layout<bool> {
        let ends = runs.iter().scan(0, |at, run| {
            *at += run.text.len();
            Some((*at, run.bold))
        });
        let asked: Asked = (text.to_owned(), ends.collect(), size.to_bits());
        if let Some(known) = self.shaped.get(&asked) {
            return known.clone();
        }
        let layout = self.shape_anew(text, runs, size);
        if self.shaped.len() >= KEPT {
            self.shaped.clear();
        }
        self.shaped.insert(asked, layout.clone());
        layout
    }

    fn shape_anew(&mut self, text: &str, runs: &[Run], size: f64) -> Layout<bool> {
        let mut builder = self.scratch.ranged_builder(&mut self.fonts, text, 1.0, false);
        builder
            .push_default(StyleProperty::FontFamily(FontFamily::Single(FontFamilyName::Named(Cow::Borrowed(FAMILY)))));
        builder.push_default(StyleProperty::FontSize(size as f32));
        // papers are in English; names from the right to the left are turned within their line
        builder.set_base_direction(BaseDirection::Ltr);
        let mut at = 0;
        for run in runs {
            let end = at + run.text.len();
            if run.bold {
                builder.push(StyleProperty::FontWeight(FontWeight::BOLD), at..end);
                builder.push(StyleProperty::Brush(true), at..end);
            }
            at = end;
        }
        let mut layout = builder.build(text);
        // on one line for now, so that its clusters can be gone through
        layout.break_all_lines(None);
        self.note_lacking(&layout, text);
        layout
    }

    /// The glyphs of a line, in the order they stand on the paper.
    pub fn glyphs(&mut self, text: &str, bold: bool) -> Rc<Vec<Glyph>> {
        if let Some(known) = self.lines.get(&(bold, text.to_owned())) {
            return Rc::clone(known);
        }
        let layout = self.shape(text, &[Run { text: text.to_owned(), bold }], 1.0);
        let mut glyphs = glyphs_of(&layout);
        // the sign for "no such letter" is no letter to those who copy a text or search for it: a square is
        if glyphs.iter().any(|glyph| glyph.id == 0) && text != SQUARE {
            let square = self.glyphs(SQUARE, bold).first().map_or(0, |glyph| glyph.id);
            glyphs.iter_mut().filter(|glyph| glyph.id == 0).for_each(|glyph| glyph.id = square);
        }
        let glyphs = Rc::new(glyphs);
        self.lines.insert((bold, text.to_owned()), Rc::clone(&glyphs));
        glyphs
    }

    fn note_lacking(&mut self, layout: &Layout<bool>, text: &str) {
        let clusters = layout.lines().flat_map(|line| line.runs()).flat_map(|run| run.clusters().collect::<Vec<_>>());
        for cluster in clusters.filter(|cluster| cluster.glyphs().any(|glyph| glyph.id == 0)) {
            let mut letters = text[cluster.text_range()].chars();
            match (letters.next(), letters.next()) {
                (Some(one), None) => {
                    self.lacking.insert(one);
                }
                // letters shaped together: each by itself says whether it is there
                _ => {
                    for one in text[cluster.text_range()].chars() {
                        self.glyphs(one.encode_utf8(&mut [0; 4]), false);
                    }
                }
            }
        }
    }

    /// Shapes what stands in a scene's drawings, so that what their labels lack is known before they are written.
    pub(crate) fn look_over(&mut self, scene: &Scene) {
        for item in &scene.items {
            match &item.shape {
                Shape::Text { text, .. } => {
                    self.glyphs(text, Style::of(item.role).bold);
                }
                Shape::Inset { scene, .. } => self.look_over(scene),
                _ => {}
            }
        }
    }
}

fn glyphs_of(layout: &Layout<bool>) -> Vec<Glyph> {
    let mut glyphs: Vec<Glyph> = Vec::new();
    for run in layout.lines().flat_map(|line| line.runs()) {
        for cluster in run.visual_clusters() {
            if cluster.is_ligature_continuation() {
                // the ligature stands for these letters too
                if let Some(last) = glyphs.last_mut() {
                    let letters = cluster.text_range();
                    last.letters = last.letters.start.min(letters.start)..last.letters.end.max(letters.end);
                }
                continue;
            }
            glyphs.extend(cluster.glyphs().map(|glyph| Glyph {
                id: glyph.id,
                advance: glyph.advance,
                shift: [glyph.x, glyph.y],
                letters: cluster.text_range(),
            }));
        }
    }
    glyphs
}
