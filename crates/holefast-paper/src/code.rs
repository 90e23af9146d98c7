//! A link as a QR code: which modules are dark, and that as SVG. Codes too fine to be read from a phone's
//! screen or from paper are not made.

use std::fmt::Write as _;

use holefast::drawing::{Margin, Role, Scene, View};
use holefast::top::Point;
use kurbo::Rect;
use qrcode::types::{Color, EcLevel, Version};
use qrcode::{QrCode, bits};

/// Modules left light on every side. ISO/IEC 18004 asks for four (from memory).
pub const QUIET: usize = 4;

/// Size of a module on paper, mm, and the least on a screen. A camera that sees 19 cm across from 15 cm
/// away, with the 1280 pixels across of a running picture, has 2.7 pixels on it; under two it reads
/// nothing (common practice, no source).
pub const MODULE: f64 = 0.4;

/// Finest code: 117 modules across, with their quiet zone 50 mm at [`MODULE`]; a phone of 360 px shows it
/// 52 mm wide.
const FINEST: i16 = 25;

/// A code: square, its modules row by row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Code {
    side: usize,
    dark: Vec<bool>,
}

impl Code {
    /// The code of a text; `None` if it would be finer than reads well. Where there is room it carries 15 %
    /// to be lost to dust or glare, else 7 %.
    pub fn of(text: &str) -> Option<Code> {
        let encoded = [EcLevel::M, EcLevel::L].into_iter().find_map(|level| {
            let bits = bits::encode_auto(text.as_bytes(), level).ok()?;
            let fine = matches!(bits.version(), Version::Normal(n) if n <= FINEST);
            fine.then(|| QrCode::with_bits(bits, level).ok()).flatten()
        })?;
        let dark = encoded.to_colors().into_iter().map(|c| c == Color::Dark).collect();
        Some(Code { side: encoded.width(), dark })
    }

    /// Modules across, without the quiet zone.
    pub fn side(&self) -> usize {
        self.side
    }

    /// Modules across, with it.
    pub fn across(&self) -> usize {
        self.side + 2 * QUIET
    }

    /// True if this module is dark; column and row from the upper left one.
    pub fn is_dark(&self, column: usize, row: usize) -> bool {
        column < self.side && row < self.side && self.dark[row * self.side + column]
    }

    /// The code as a scene, `side` mm wide with its quiet zone. `about` is what those hear who do not see it.
    pub fn scene(&self, side: f64, about: &str) -> Scene {
        let across = self.across() as f64;
        let view = View { clip: Rect::new(0.0, 0.0, across, across), ratio: across / side, margin: Margin::default() };
        let mut scene = Scene::new(view);
        about.clone_into(&mut scene.about);
        for (column, row, run) in self.runs() {
            let (x, y) = ((column + QUIET) as f64, across - (row + QUIET) as f64);
            let corners = [(x, y), (x + run as f64, y), (x + run as f64, y - 1.0), (x, y - 1.0)];
            scene.polygon(Role::Module, &corners.map(Point::from));
        }
        scene
    }

    /// Dark modules side by side: column and row of the first, and how many.
    fn runs(&self) -> Vec<(usize, usize, usize)> {
        let mut runs = Vec::new();
        for row in 0..self.side {
            let mut column = 0;
            while column < self.side {
                let run = (column..self.side).take_while(|&c| self.is_dark(c, row)).count();
                if run > 0 {
                    runs.push((column, row, run));
                }
                column += run.max(1);
            }
        }
        runs
    }

    /// The code as SVG, one unit to a module, dark on light whatever the page's colours: not every reader
    /// takes it the other way round. `about` is what those hear who do not see it.
    pub fn svg(&self, about: &str) -> String {
        let across = self.across();
        let about = crate::svg::escaped(about);
        let mut out = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {across} {across}\" role=\"img\" \
             aria-label=\"{about}\" shape-rendering=\"crispEdges\"><rect width=\"{across}\" height=\"{across}\" \
             fill=\"#fff\"/><path fill=\"#000\" d=\""
        );
        for (column, row, run) in self.runs() {
            // Writing to a string cannot fail.
            let _ = write!(out, "M{} {}h{run}v1h-{run}z", column + QUIET, row + QUIET);
        }
        out.push_str("\"/></svg>\n");
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_has_its_finders_in_three_corners() {
        let code = Code::of("https://bench.example/#job1n.0123456789").expect("short");
        let last = code.side() - 7;
        for (x, y) in [(0, 0), (last, 0), (0, last)] {
            for i in 0..7 {
                assert!(code.is_dark(x + i, y) && code.is_dark(x + i, y + 6), "{x} {y}");
                assert!(code.is_dark(x, y + i) && code.is_dark(x + 6, y + i), "{x} {y}");
            }
            assert!(!code.is_dark(x + 1, y + 1) && code.is_dark(x + 3, y + 3));
        }
        assert!(!code.is_dark(code.side(), 0));
    }

    #[test]
    fn figures_make_a_coarser_code_than_letters_do() {
        let job = include_str!("../../../examples/press-bench.toml").replace("0.", "0.1").replace("in\"", " in\"");
        let page = "https://bench.example/";
        let letters = Code::of(&crate::link::link(page, &job).expect("short")).expect("coarse enough");
        let figures = Code::of(&crate::link::link_in_figures(page, &job).expect("short")).expect("coarse enough");
        assert!(figures.side() < letters.side(), "{} {}", figures.side(), letters.side());
    }

    #[test]
    fn a_code_too_fine_to_read_is_not_made() {
        // Version 25 holds 3057 figures at 7 % (ISO/IEC 18004, table of capacities, from memory).
        assert_eq!(Code::of(&"7".repeat(3057)).map(|c| c.side()), Some(117));
        assert_eq!(Code::of(&"7".repeat(3058)), None);
    }

    #[test]
    fn the_picture_has_every_dark_module_once() {
        let code = Code::of("holefast").expect("short");
        let svg = code.svg("<what it carries>");
        assert!(svg.contains("aria-label=\"&lt;what it carries&gt;\""), "{svg}");
        let path = svg.split(" d=\"").nth(1).and_then(|rest| rest.split('"').next()).expect("a path");
        let drawn: usize = path
            .split('M')
            .filter(|run| !run.is_empty())
            .map(|run| {
                run.split('h').nth(1).and_then(|n| n.split('v').next()).and_then(|n| n.parse().ok()).unwrap_or(0)
            })
            .sum();
        let dark = (0..code.side()).flat_map(|r| (0..code.side()).map(move |c| (c, r)));
        assert_eq!(drawn, dark.filter(|&(c, r)| code.is_dark(c, r)).count());
    }
}
