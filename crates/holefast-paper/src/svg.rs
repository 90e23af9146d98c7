//! A scene as an SVG file: mm, standalone, the same bytes for the same scene.
//!
//! Places, sizes and looks come from the scene; this file only writes them down. Text is set in
//! Lato where the viewer has it; labels carry a halo of the ground, so that lines do not cut them.

use std::fmt::Write as _;

use holefast::drawing::{Anchor, CLIP_BLEED, Item, Scene, Shape, Style, Theme, View, text_width};

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
    let clip = clip_box(view);
    let _ = writeln!(out, "<defs><clipPath id=\"part\"><rect {clip}/></clipPath></defs>");
    if theme.ground != Theme::PAPER.ground {
        let _ = writeln!(out, "<rect width=\"{w}\" height=\"{h}\" fill=\"{}\"/>", theme.ground);
    }
    let mut items = scene.items.as_slice();
    while let Some(first) = items.first() {
        let run = items.iter().take_while(|i| i.role == first.role && i.clipped == first.clipped).count();
        let (group, rest) = items.split_at(run);
        items = rest;
        group_of(&mut out, view, group, theme);
    }
    out.push_str("</svg>\n");
    out
}

/// A run of items that look alike, as one group.
fn group_of(out: &mut String, view: &View, items: &[Item], theme: &Theme) {
    let Some(first) = items.first() else { return };
    let style = Style::of(first.role);
    let clip = if first.clipped { " clip-path=\"url(#part)\"" } else { "" };
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
    }
}

/// A text with ground of the work behind it, so that lines do not cut it. (A stroke in the ground's
/// colour would be finer, but some viewers stroke letter by letter and eat the neighbours.)
fn words(out: &mut String, view: &View, item: &Item, theme: &Theme) {
    let Shape::Text { at, text, size_paper_mm, anchor, turn_deg } = &item.shape else { return };
    let [x, y] = view.to_paper(*at);
    let width = text_width(text, Style::of(item.role).bold) * size_paper_mm;
    let (x0, anchor) = match anchor {
        Anchor::Start => (x, ""),
        Anchor::Middle => (x - 0.5 * width, " text-anchor=\"middle\""),
        Anchor::End => (x - width, " text-anchor=\"end\""),
    };
    let (tx, ty) = (number(x), number(y));
    let turn = if turn_deg.abs() > 1e-9 {
        format!(" transform=\"rotate({} {tx} {ty})\"", number(-turn_deg))
    } else {
        String::new()
    };
    let height = CAP * size_paper_mm;
    let _ = writeln!(
        out,
        "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"{}\" fill-opacity=\"0.85\"{turn}/>",
        number(x0 - GROUND),
        number(y - height - GROUND),
        number(width + 2.0 * GROUND),
        number(height + 2.0 * GROUND),
        if item.clipped { theme.work } else { ground_at(view, [x0 + 0.5 * width, y], theme) }
    );
    let _ = writeln!(
        out,
        "<text x=\"{tx}\" y=\"{ty}\" font-size=\"{}\"{anchor}{turn}>{}</text>",
        number(*size_paper_mm),
        escaped(text)
    );
}

/// What lies under a label: the work in the clip, the ground beside it.
fn ground_at(view: &View, [x, y]: [f64; 2], theme: &Theme) -> &'static str {
    let inside = x > view.margin.left
        && x < view.width() - view.margin.right
        && y > view.margin.above
        && y < view.height() - view.margin.below;
    if inside { theme.work } else { theme.ground }
}

fn clip_box(view: &View) -> String {
    format!(
        "x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"",
        number(view.margin.left - CLIP_BLEED),
        number(view.margin.above - CLIP_BLEED),
        number(view.paper(view.clip.width()) + 2.0 * CLIP_BLEED),
        number(view.paper(view.clip.height()) + 2.0 * CLIP_BLEED)
    )
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_text_is_safe() {
        assert_eq!([number(1.0), number(-0.0001), number(2.3456), number(10.0)], ["1", "0", "2.346", "10"]);
        assert_eq!(escaped("a<b & \u{1}c"), "a&lt;b &amp;  c");
    }
}
