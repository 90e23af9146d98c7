//! Pages as a PDF: lines, circles and texts as they stand in the scenes, tagged for those who hear it.
//!
//! Written by `krilla`, which embeds of each face what is used. No date and nothing of the machine: the same
//! pages give the same bytes. Scenes are mm; a PDF's points are 1/72 in, its own numbers single precision,
//! which on a page of 300 mm is within 0.00002 mm.

mod tags;

use std::collections::BTreeMap;

use holefast::drawing::{Item, Scene, Shape, Style, Theme, View};
use holefast::math;
use krilla::annotation::{Annotation, LinkAnnotation, Target};
use krilla::color::rgb;
use krilla::destination::XyzDestination;
use krilla::geom::{Path, PathBuilder, Point, Rect, Transform};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::tagging::{Artifact, ArtifactType, ContentTag, Identifier, SpanTag};
use krilla::text::{Font, GlyphId, KrillaGlyph};
use krilla::{Document, SerializeSettings};

use crate::page::{DESCENT, FACES, Faces, Kind, Link, Page, Passage};
use crate::svg;

/// Points to a millimetre.
const PT: f64 = 72.0 / 25.4;

/// Where the handles of a quarter circle lie, in radii, so that it is nowhere 0.03 % of the radius off (from
/// memory): 4 (√2 - 1) / 3.
const QUARTER: f64 = 0.552_284_749_8;

/// What a PDF says of itself.
#[derive(Clone, Copy, Debug)]
pub struct About<'a> {
    /// Title.
    pub title: &'a str,
    /// Language, as BCP 47 names it.
    pub language: &'a str,
    /// The program.
    pub creator: &'a str,
    /// What tells it from every other.
    pub identity: &'a str,
    /// What it is held against as it is written.
    pub check: Check,
}

/// What a PDF is held against as it is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Check {
    /// Nothing.
    #[default]
    None,
    /// ISO 14289-1, PDF for universal access: as far as a program can tell.
    Access,
}

/// Writes pages as a PDF.
///
/// Errors: the writer's own words; not met unless a page is not what it should be.
pub fn pdf(pages: &[Page], about: &About<'_>, faces: &mut Faces) -> Result<Vec<u8>, String> {
    let configuration = tags::configuration(about.check)?;
    let settings = SerializeSettings { configuration, ..SerializeSettings::default() };
    let mut document = Document::new_with(settings);
    let fonts = FACES.map(|face| Font::new(face.into(), 0));
    let [Some(regular), Some(bold)] = fonts else { return Err("a face cannot be read".to_owned()) };
    let cards = places_of_cards(pages);
    let mut writer = Writer { faces, fonts: [regular, bold] };
    let mut tree = tags::Tree::default();
    for page in pages {
        let view = &page.scene.view;
        let size = [view.width(), view.height()].map(|mm| (mm * PT) as f32);
        let settings = PageSettings::from_wh(size[0], size[1]).ok_or("a page has no size")?;
        let mut sheet = document.start_page_with(settings);
        // what a passage's texts are called in the tree, and its links
        let links = page.reading.iter().map(|passage| link(&mut sheet, page, passage, &cards)).collect::<Vec<_>>();
        let mut surface = sheet.surface();
        let mut at = 0;
        for (passage, link) in page.reading.iter().zip(links) {
            writer.ornament(&mut surface, &page.scene, at..passage.items.start);
            let leaves = writer.passage(&mut surface, &page.scene, passage);
            tree.add(page, passage, leaves, link);
            at = passage.items.end;
        }
        writer.ornament(&mut surface, &page.scene, at..page.scene.items.len());
        surface.finish();
        sheet.finish();
    }
    document.set_metadata(
        Metadata::new()
            .title(about.title.to_owned())
            .language(about.language.to_owned())
            .creator(about.creator.to_owned())
            .document_id(about.identity.to_owned()),
    );
    document.set_outline(outline(pages));
    document.set_tag_tree(tree.finish());
    document.finish().map_err(|error| format!("{error:?}"))
}

/// Where each card begins: page and place, pt.
fn places_of_cards(pages: &[Page]) -> BTreeMap<String, XyzDestination> {
    let mut cards = BTreeMap::new();
    for (number, page) in pages.iter().enumerate() {
        for place in &page.places {
            if let Some(card) = &place.card {
                cards.entry(card.clone()).or_insert_with(|| destination(number, place.y));
            }
        }
    }
    cards
}

fn destination(page: usize, y: f64) -> XyzDestination {
    XyzDestination::new(page, Point::from_xy(0.0, (y * PT) as f32))
}

/// The list of places beside the pages.
fn outline(pages: &[Page]) -> Outline {
    let mut outline = Outline::new();
    for (number, page) in pages.iter().enumerate() {
        for place in &page.places {
            outline.push_child(OutlineNode::new(place.title.clone(), destination(number, place.y)));
        }
    }
    outline
}

/// Makes a passage's link, over the box of its texts and drawings.
fn link(
    sheet: &mut krilla::page::Page<'_>,
    page: &Page,
    passage: &Passage,
    cards: &BTreeMap<String, XyzDestination>,
) -> Option<Identifier> {
    let (target, said) = match passage.link.as_ref()? {
        Link::Card(number) => (Target::Destination(cards.get(number)?.clone().into()), format!("card {number}")),
        Link::Address(address) => {
            (Target::Action(krilla::action::LinkAction::new(address.clone()).into()), address.clone())
        }
    };
    let boxes: Vec<[f64; 4]> = page.scene.items[passage.items.clone()]
        .iter()
        .filter_map(|item| match &item.shape {
            Shape::Measured { at, size_paper_mm, width_paper_mm, .. } => {
                let [x, y] = page.scene.view.to_paper(*at);
                Some([x, y - size_paper_mm, x + width_paper_mm, y + DESCENT * size_paper_mm])
            }
            Shape::Inset { at, scene } => {
                let [x, y] = page.scene.view.to_paper(*at);
                Some([x, y, x + scene.view.width(), y + scene.view.height()])
            }
            _ => None,
        })
        .collect();
    let [x0, y0, x1, y1] =
        boxes.into_iter().reduce(|a, b| [a[0].min(b[0]), a[1].min(b[1]), a[2].max(b[2]), a[3].max(b[3])])?;
    let rect = Rect::from_ltrb((x0 * PT) as f32, (y0 * PT) as f32, (x1 * PT) as f32, (y1 * PT) as f32)?;
    Some(sheet.add_tagged_annotation(Annotation::new_link(LinkAnnotation::new(rect, target), Some(said))))
}

struct Writer<'a> {
    faces: &'a mut Faces,
    fonts: [Font; 2],
}

/// Where a scene stands on its page: mm from the page's upper left corner.
type Origin = [f64; 2];

impl Writer<'_> {
    /// Items that nobody reads: rules, and what stands in head and foot.
    fn ornament(&mut self, surface: &mut Surface<'_>, scene: &Scene, items: std::ops::Range<usize>) {
        if items.is_empty() {
            return;
        }
        surface.start_tagged(ContentTag::Artifact(Artifact::with_kind(ArtifactType::Other)));
        self.items(surface, &scene.view, &scene.items[items], [0.0; 2]);
        surface.end_tagged();
    }

    /// A passage: its texts in one go, or its drawing with all that is in it. Lines and frames of it are ornament.
    fn passage(&mut self, surface: &mut Surface<'_>, scene: &Scene, passage: &Passage) -> Vec<Identifier> {
        let mut leaves = Vec::new();
        let mut items = &scene.items[passage.items.clone()];
        while let Some(first) = items.first() {
            let read = is_read(first);
            let run = items.iter().take_while(|item| is_read(item) == read).count();
            let (now, rest) = items.split_at(run);
            items = rest;
            let tag = match (read, passage.kind) {
                (false, _) => ContentTag::Artifact(Artifact::with_kind(ArtifactType::Other)),
                (true, Kind::Drawing) => ContentTag::Other,
                (true, _) => ContentTag::Span(SpanTag::empty()),
            };
            let leaf = surface.start_tagged(tag);
            self.items(surface, &scene.view, now, [0.0; 2]);
            surface.end_tagged();
            if read {
                leaves.push(leaf);
            }
        }
        leaves
    }

    /// Items that look alike at once, where that is the same as one after the other.
    fn items(&mut self, surface: &mut Surface<'_>, view: &View, items: &[Item], origin: Origin) {
        let mut items = items;
        while let Some(first) = items.first() {
            let run = items.iter().take_while(|i| i.role == first.role && i.clipped == first.clipped).count();
            let (group, rest) = items.split_at(run);
            items = rest;
            if first.clipped {
                let Some(clip) = rectangle(svg::clip_box(view), origin) else { continue };
                surface.push_clip_path(&clip, &FillRule::NonZero);
            }
            self.group(surface, view, group, origin);
            if first.clipped {
                surface.pop();
            }
        }
    }

    fn group(&mut self, surface: &mut Surface<'_>, view: &View, group: &[Item], origin: Origin) {
        let Some(role) = group.first().map(|item| item.role) else { return };
        let style = Style::of(role);
        // one ink without an edge: nothing tells whether they were filled one by one
        let at_once = style.line.is_none() && style.fill.is_some_and(|(_, opacity)| opacity >= 1.0);
        let mut together = PathBuilder::new();
        for item in group {
            match &item.shape {
                Shape::Text { .. } | Shape::Measured { .. } => self.text(surface, view, item, origin),
                Shape::Inset { at, scene } => {
                    let [x, y] = view.to_paper(*at);
                    self.items(surface, &scene.view, &scene.items, [origin[0] + x, origin[1] + y]);
                }
                shape if at_once => trace(&mut together, view, shape, origin),
                shape => {
                    let mut path = PathBuilder::new();
                    trace(&mut path, view, shape, origin);
                    paint(surface, path.finish(), &style);
                }
            }
        }
        paint(surface, together.finish(), &style);
    }

    fn text(&mut self, surface: &mut Surface<'_>, view: &View, item: &Item, origin: Origin) {
        let (at, text, size, turn_deg) = match &item.shape {
            Shape::Measured { at, text, size_paper_mm, .. } => (*at, text, *size_paper_mm, 0.0),
            Shape::Text { at, text, size_paper_mm, turn_deg, .. } => (*at, text, *size_paper_mm, *turn_deg),
            _ => return,
        };
        let style = Style::of(item.role);
        let [x, y] = view.to_paper(at);
        // its own frame: from its place, turned with it
        let turned = turn_deg.abs() > 1e-9;
        let place = if turned {
            // counter-clockwise on a paper whose y goes down
            let (sin, cos) = math::sin_cos(-turn_deg.to_radians());
            let Point { x, y } = point([x + origin[0], y + origin[1]]);
            surface.push_transform(&Transform::from_row(cos as f32, sin as f32, -sin as f32, cos as f32, x, y));
            [0.0, 0.0]
        } else {
            [x + origin[0], y + origin[1]]
        };
        if let Some(ground) = svg::ground(view, item) {
            let [left, upper, width, height] = ground.flat;
            let flat = rectangle([left - x, upper - y, width, height], place);
            paint(surface, flat, &Style { line: None, fill: Some((ground.ink, ground.opacity)), ..style });
        }
        let glyphs = self.faces.glyphs(text, style.bold);
        let width: f64 = glyphs.iter().map(|glyph| f64::from(glyph.advance)).sum::<f64>() * size;
        let glyphs: Vec<KrillaGlyph> = glyphs
            .iter()
            .map(|g| {
                KrillaGlyph::new(GlyphId::new(g.id), g.advance, g.shift[0], g.shift[1], 0.0, g.letters.clone(), None)
            })
            .collect();
        surface.set_stroke(None);
        surface.set_fill(style.fill.map(|(ink, opacity)| fill(Theme::PAPER.colour(ink), opacity)));
        let font = self.fonts[usize::from(style.bold)].clone();
        let start = point([place[0] - svg::before_anchor(&item.shape) * width, place[1]]);
        surface.draw_glyphs(start, &glyphs, font, text, (size * PT) as f32, false);
        if turned {
            surface.pop();
        }
    }
}

/// True for what is read aloud: texts and drawings.
fn is_read(item: &Item) -> bool {
    matches!(item.shape, Shape::Text { .. } | Shape::Measured { .. } | Shape::Inset { .. })
}

fn point([x, y]: [f64; 2]) -> Point {
    Point::from_xy((x * PT) as f32, (y * PT) as f32)
}

/// A rectangle (left, upper edge, width, height; mm) as a path.
fn rectangle([x, y, width, height]: [f64; 4], origin: Origin) -> Option<Path> {
    let (a, b) = (point([x + origin[0], y + origin[1]]), point([x + width + origin[0], y + height + origin[1]]));
    let mut path = PathBuilder::new();
    path.push_rect(Rect::from_ltrb(a.x, a.y, b.x, b.y)?);
    path.finish()
}

/// Adds a shape's outline to a path.
fn trace(path: &mut PathBuilder, view: &View, shape: &Shape, origin: Origin) {
    let on_page = |at| {
        let [x, y] = view.to_paper(at);
        [x + origin[0], y + origin[1]]
    };
    match shape {
        Shape::Path { points, closed } => {
            for (i, at) in points.iter().enumerate() {
                let Point { x, y } = point(on_page(*at));
                if i == 0 { path.move_to(x, y) } else { path.line_to(x, y) }
            }
            if *closed {
                path.close();
            }
        }
        Shape::Circle { centre, radius_mm, least_paper_mm } => {
            circle(path, on_page(*centre), view.paper(*radius_mm).max(*least_paper_mm));
        }
        Shape::Square { centre, side_paper_mm } => {
            let ([x, y], half) = (on_page(*centre), 0.5 * side_paper_mm);
            let (a, b) = (point([x - half, y - half]), point([x + half, y + half]));
            if let Some(square) = Rect::from_ltrb(a.x, a.y, b.x, b.y) {
                path.push_rect(square);
            }
        }
        Shape::Text { .. } | Shape::Measured { .. } | Shape::Inset { .. } => {}
    }
}

fn circle(path: &mut PathBuilder, [x, y]: [f64; 2], r: f64) {
    let k = QUARTER * r;
    let at = |dx: f64, dy: f64| point([x + dx, y + dy]);
    let start = at(r, 0.0);
    path.move_to(start.x, start.y);
    for [a, b, end] in [
        [at(r, k), at(k, r), at(0.0, r)],
        [at(-k, r), at(-r, k), at(-r, 0.0)],
        [at(-r, -k), at(-k, -r), at(0.0, -r)],
        [at(k, -r), at(r, -k), at(r, 0.0)],
    ] {
        path.cubic_to(a.x, a.y, b.x, b.y, end.x, end.y);
    }
    path.close();
}

fn paint(surface: &mut Surface<'_>, path: Option<Path>, style: &Style) {
    let Some(path) = path else { return };
    surface.set_fill(style.fill.map(|(ink, opacity)| fill(Theme::PAPER.colour(ink), opacity)));
    surface.set_stroke(style.line.map(|(ink, weight)| Stroke {
        paint: colour(Theme::PAPER.colour(ink)).into(),
        width: (weight * PT) as f32,
        dash: style.dash.map(|dash| StrokeDash { array: dash.map(|mm| (mm * PT) as f32).to_vec(), offset: 0.0 }),
        ..Stroke::default()
    }));
    if style.fill.is_some() || style.line.is_some() {
        surface.draw_path(&path);
    }
}

fn fill(hex: &str, opacity: f64) -> Fill {
    let opacity = NormalizedF32::new(opacity as f32).unwrap_or(NormalizedF32::ONE);
    Fill { paint: colour(hex).into(), opacity, rule: FillRule::NonZero }
}

/// A colour written `#RRGGBB`.
fn colour(hex: &str) -> rgb::Color {
    let part = |i: usize| hex.get(i..i + 2).and_then(|two| u8::from_str_radix(two, 16).ok()).unwrap_or(0);
    rgb::Color::new(part(1), part(3), part(5))
}
