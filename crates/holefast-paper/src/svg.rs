//! A scene as an SVG file: mm, standalone, the same bytes for the same scene.
//!
//! Places, sizes and looks come from the scene; this file only writes them down. Text is set in
//! Lato where the viewer has it; labels carry a halo of the ground, so that lines do not cut them.
//! A measured text states its width, so that it keeps to its box in any other face.

use std::fmt::Write as _;

use holefast::drawing::{Anchor, CLIP_BLEED, Ink, Item, Scene, Shape, Style, Theme, View, text_width};

/// Ground kept clear round a label, mm.
const GROUND: f64 = 0.35;

/// Height of capitals and figures, in units of the size.
const CAP: f64 = 0.72;

/// Faces to try in order.
const FACES: &str = "Lato, 'Open Sans', 'Noto Sans', system-ui, sans-serif";

/// Writes a scene as SVG.
pub fn svg(scene: &Scene, theme: &Theme) -> String {
    let view = &scene.view;
    let (w, h) = (number(view.width()), number(view.height()));
    let mut out = String::new();
    let _ = writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"0 0 {w} {h}\" \
         font-family=\"{FACES}\">"
    );
    if !scene.about.is_empty() {
        let _ = writeln!(out, "<title>{}</title>", escaped(&scene.about));
    }
    let ground = (theme.ground != Theme::PAPER.ground).then_some(theme.ground);
    let ground =
        ground.map_or_else(String::new, |fill| format!("<rect width=\"{w}\" height=\"{h}\" fill=\"{fill}\"/>\n"));
    let mut writer = Writer { theme, scenes: 0 };
    writer.scene(&mut out, scene, &ground);
    out.push_str("</svg>\n");
    out
}

struct Writer<'a> {
    theme: &'a Theme,
    /// Scenes written so far: each has a clip of its own.
    scenes: usize,
}

impl Writer<'_> {
    /// A scene's items; `ground` stands under them.
    fn scene(&mut self, out: &mut String, scene: &Scene, ground: &str) {
        let view = &scene.view;
        let clip = if self.scenes == 0 { "part".to_owned() } else { format!("part-{}", self.scenes) };
        self.scenes += 1;
        let [x, y, width, height] = clip_box(view).map(number);
        let _ = writeln!(
            out,
            "<defs><clipPath id=\"{clip}\"><rect x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\"/></clipPath></defs>"
        );
        out.push_str(ground);
        let mut items = scene.items.as_slice();
        while let Some(first) = items.first() {
            let run = items.iter().take_while(|i| i.role == first.role && i.clipped == first.clipped).count();
            let (group, rest) = items.split_at(run);
            items = rest;
            match &first.shape {
                Shape::Inset { .. } => self.insets(out, view, group),
                _ => group_of(out, view, group, self.theme, &clip),
            }
        }
    }

    fn insets(&mut self, out: &mut String, view: &View, group: &[Item]) {
        for item in group {
            let Shape::Inset { at, scene } = &item.shape else { continue };
            let [x, y] = view.to_paper(*at).map(number);
            let _ = writeln!(
                out,
                "<g transform=\"translate({x} {y})\" role=\"img\" aria-label=\"{}\">",
                quoted(&scene.about)
            );
            self.scene(out, scene, "");
            out.push_str("</g>\n");
        }
    }
}

/// A run of items that look alike, as one group.
fn group_of(out: &mut String, view: &View, items: &[Item], theme: &Theme, clip: &str) {
    let Some(first) = items.first() else { return };
    let style = Style::of(first.role);
    let clip = if first.clipped { format!(" clip-path=\"url(#{clip})\"") } else { String::new() };
    let _ = write!(out, "<g class=\"{}\"{clip}", class_name(first));
    match style.fill {
        Some((ink, opacity)) => {
            let _ = write!(out, " fill=\"{}\"", theme.colour(ink));
            if opacity < 1.0 {
                let _ = write!(out, " fill-opacity=\"{}\"", number(opacity));
            }
        }
        None => out.push_str(" fill=\"none\""),
    }
    if let Some((ink, weight)) = style.line {
        let _ = write!(out, " stroke=\"{}\" stroke-width=\"{}\"", theme.colour(ink), number(weight));
    }
    if let Some([dash, gap]) = style.dash {
        let _ = write!(out, " stroke-dasharray=\"{} {}\"", number(dash), number(gap));
    }
    if style.bold {
        out.push_str(" font-weight=\"700\"");
    }
    out.push_str(">\n");
    for item in items {
        shape(out, view, item, theme);
    }
    out.push_str("</g>\n");
}

fn shape(out: &mut String, view: &View, item: &Item, theme: &Theme) {
    match &item.shape {
        Shape::Path { points, closed } => {
            out.push_str("<path d=\"");
            for (i, point) in points.iter().enumerate() {
                let [x, y] = view.to_paper(*point);
                let _ = write!(out, "{}{} {}", if i == 0 { "M" } else { "L" }, number(x), number(y));
            }
            out.push_str(if *closed { "Z\"/>\n" } else { "\"/>\n" });
        }
        Shape::Circle { centre, radius_mm, least_paper_mm } => {
            let [x, y] = view.to_paper(*centre);
            let r = view.paper(*radius_mm).max(*least_paper_mm);
            let _ = writeln!(out, "<circle cx=\"{}\" cy=\"{}\" r=\"{}\"/>", number(x), number(y), number(r));
        }
        Shape::Square { centre, side_paper_mm } => {
            let [x, y] = view.to_paper(*centre);
            let (half, side) = (0.5 * side_paper_mm, number(*side_paper_mm));
            let _ = writeln!(
                out,
                "<rect x=\"{}\" y=\"{}\" width=\"{side}\" height=\"{side}\"/>",
                number(x - half),
                number(y - half)
            );
        }
        Shape::Text { .. } => words(out, view, item, theme),
        Shape::Measured { at, text, size_paper_mm, width_paper_mm } => {
            let [x, y] = view.to_paper(*at).map(number);
            // a viewer would drop the space before a piece and all but one of several within it, and stretch the rest
            let space = if text.starts_with(' ') || text.contains("  ") { " xml:space=\"preserve\"" } else { "" };
            let _ = writeln!(
                out,
                "<text x=\"{x}\" y=\"{y}\" font-size=\"{}\" textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\"{space}>{}</text>",
                number(*size_paper_mm),
                number(*width_paper_mm),
                escaped(text.trim_end())
            );
        }
        // a scene has its own groups
        Shape::Inset { .. } => {}
    }
}

/// A text with ground of the work behind it, so that lines do not cut it. (A stroke in the ground's
/// colour would be finer, but some viewers stroke letter by letter and eat the neighbours.)
fn words(out: &mut String, view: &View, item: &Item, theme: &Theme) {
    let Shape::Text { at, text, size_paper_mm, anchor, turn_deg } = &item.shape else { return };
    let [tx, ty] = view.to_paper(*at).map(number);
    let anchor = match anchor {
        Anchor::Start => "",
        Anchor::Middle => " text-anchor=\"middle\"",
        Anchor::End => " text-anchor=\"end\"",
    };
    let turn = if turn_deg.abs() > 1e-9 {
        format!(" transform=\"rotate({} {tx} {ty})\"", number(-turn_deg))
    } else {
        String::new()
    };
    if let Some(ground) = ground(view, item) {
        let [x, y, width, height] = ground.flat.map(number);
        let _ = writeln!(
            out,
            "<rect x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\" fill=\"{}\" fill-opacity=\"{}\"{turn}/>",
            theme.colour(ground.ink),
            number(ground.opacity)
        );
    }
    let _ = writeln!(
        out,
        "<text x=\"{tx}\" y=\"{ty}\" font-size=\"{}\"{anchor}{turn}>{}</text>",
        number(*size_paper_mm),
        escaped(text)
    );
}

/// Ground behind a drawing's label.
pub(crate) struct Ground {
    /// Before it is turned with the label about the label's place: left, upper edge, width, height; mm of the
    /// scene's paper.
    pub flat: [f64; 4],
    /// Its ink.
    pub ink: Ink,
    /// How much of what lies under it it covers.
    pub opacity: f64,
}

/// Share of a text's width that stands before its place.
pub(crate) fn before_anchor(shape: &Shape) -> f64 {
    match shape {
        Shape::Text { anchor: Anchor::Middle, .. } => 0.5,
        Shape::Text { anchor: Anchor::End, .. } => 1.0,
        _ => 0.0,
    }
}

/// The ground behind a label; none behind the texts of papers, over which nothing is drawn.
pub(crate) fn ground(view: &View, item: &Item) -> Option<Ground> {
    /// What lies under a label is seen through it: lines go on, but do not cut it.
    const OPACITY: f64 = 0.85;
    let Shape::Text { at, text, size_paper_mm, .. } = &item.shape else { return None };
    let [x, y] = view.to_paper(*at);
    let width = text_width(text, Style::of(item.role).bold) * size_paper_mm;
    let x0 = x - before_anchor(&item.shape) * width;
    let height = CAP * size_paper_mm;
    let flat = [x0 - GROUND, y - height - GROUND, width + 2.0 * GROUND, height + 2.0 * GROUND];
    let inside = x0 + 0.5 * width > view.margin.left
        && x0 + 0.5 * width < view.width() - view.margin.right
        && y > view.margin.above
        && y < view.height() - view.margin.below;
    // the work in the clip, the ground beside it
    let ink = if item.clipped || inside { Ink::Work } else { Ink::Ground };
    Some(Ground { flat, ink, opacity: OPACITY })
}

/// The part of a scene's paper that its clipped items keep to: left, upper edge, width, height; mm.
pub(crate) fn clip_box(view: &View) -> [f64; 4] {
    [
        view.margin.left - CLIP_BLEED,
        view.margin.above - CLIP_BLEED,
        view.paper(view.clip.width()) + 2.0 * CLIP_BLEED,
        view.paper(view.clip.height()) + 2.0 * CLIP_BLEED,
    ]
}

/// Layer of an item: its role's name in small letters.
fn class_name(item: &Item) -> String {
    let mut name = String::new();
    for c in format!("{:?}", item.role).chars() {
        if c.is_ascii_uppercase() && !name.is_empty() {
            name.push('-');
        }
        name.push(c.to_ascii_lowercase());
    }
    name
}

/// A number to a thousandth, without trailing zeros or a negative nought.
fn number(value: f64) -> String {
    let mut text = format!("{value:.3}");
    text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    if text == "-0" { "0".to_owned() } else { text }
}

pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            // XML 1.0 allows no control characters but these.
            c if c.is_control() && !matches!(c, '\n' | '\t') => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

/// The same for an attribute.
fn quoted(text: &str) -> String {
    escaped(text).replace('"', "&quot;")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_text_is_safe() {
        assert_eq!([number(1.0), number(-0.0001), number(2.3456), number(10.0)], ["1", "0", "2.346", "10"]);
        assert_eq!(escaped("a<b & \u{1}c"), "a&lt;b &amp;  c");
    }
}
