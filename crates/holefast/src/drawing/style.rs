//! How things look: inks, line weights and least sizes of signs, all in mm on the paper.
//!
//! Shape tells things apart before colour does; accent and attention are equally dark, so that in
//! grey print only the shape tells. Widths of text are those of Lato 2.007, so that labels can be
//! kept apart without a font at hand.

use super::scene::Role;

/// The inks of a drawing; a [`Theme`] gives them colours.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Ink {
    /// The ground the picture stands on.
    Ground,
    /// The work's surface.
    Work,
    /// Lines and text.
    Ink,
    /// Second text, fine lines.
    Soft,
    /// Hatching.
    Rule,
    /// Lines that only part things.
    Hair,
    /// What to do now.
    Accent,
    /// Conflict, caution.
    Attention,
}

/// Colours for the inks, as `#RRGGBB`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Theme {
    /// The ground.
    pub ground: &'static str,
    /// The work.
    pub work: &'static str,
    /// Ink.
    pub ink: &'static str,
    /// Soft ink.
    pub soft: &'static str,
    /// Hatching.
    pub rule: &'static str,
    /// Hair lines.
    pub hair: &'static str,
    /// Accent.
    pub accent: &'static str,
    /// Attention.
    pub attention: &'static str,
}

impl Theme {
    /// For print: ink on white paper.
    pub const PAPER: Theme = Theme {
        ground: "#FFFFFF",
        work: "#FFFFFF",
        ink: "#1F1C17",
        soft: "#4C453B",
        rule: "#7C7364",
        hair: "#C9C0AF",
        accent: "#184785",
        attention: "#8A2A05",
    };

    /// For files that are looked at: warm paper, the work a shade lighter.
    pub const LIGHT: Theme = Theme { ground: "#EFE9DC", work: "#FCF9F1", ..Theme::PAPER };

    /// For the evening.
    pub const DARK: Theme = Theme {
        ground: "#171512",
        work: "#24211C",
        ink: "#F2ECDF",
        soft: "#C0B7A6",
        rule: "#958B7B",
        hair: "#4A443A",
        accent: "#95C0F5",
        attention: "#FFA878",
    };

    /// The colour of an ink.
    pub fn colour(&self, ink: Ink) -> &'static str {
        match ink {
            Ink::Ground => self.ground,
            Ink::Work => self.work,
            Ink::Ink => self.ink,
            Ink::Soft => self.soft,
            Ink::Rule => self.rule,
            Ink::Hair => self.hair,
            Ink::Accent => self.accent,
            Ink::Attention => self.attention,
        }
    }
}

/// How one role looks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Style {
    /// Line: ink and weight, mm.
    pub line: Option<(Ink, f64)>,
    /// Filling and its opacity.
    pub fill: Option<(Ink, f64)>,
    /// Dash and gap, mm.
    pub dash: Option<[f64; 2]>,
    /// Text: bold.
    pub bold: bool,
}

/// Sizes of signs and text on the paper, mm.
pub mod size {
    /// Least diameter of a wanted or an opened hole.
    pub const HOLE: f64 = 1.2;
    /// Diameter of a pilot's dot.
    pub const PILOT: f64 = 1.1;
    /// Height of a helper's cross.
    pub const HELPER: f64 = 1.7;
    /// Least diameter of a hole in conflict.
    pub const CONFLICT: f64 = 1.8;
    /// Least and usual diameter of the ring round what is bored now.
    pub const RING: [f64; 2] = [3.8, 5.0];
    /// Side of a pin's square.
    pub const PIN: f64 = 2.4;
    /// Diameter of a dog's disc.
    pub const DOG: f64 = 2.4;
    /// Diameter of a clamp's pad, least.
    pub const PAD: f64 = 2.2;
    /// Diameter of a sleeve's ring.
    pub const SLEEVE: f64 = 2.6;
    /// Diameter of a bar's hole, least.
    pub const BAR_HOLE: f64 = 0.84;
    /// Side of the reference corner's triangle.
    pub const CORNER: f64 = 4.2;
    /// Names of holes.
    pub const NAME: f64 = 3.5;
    /// Numbers of bar holes: the least text there is.
    pub const NUMBER: f64 = 2.7;
    /// Other text in drawings.
    pub const NOTE: f64 = 3.2;
    /// Ground kept clear round labels (4 px on a screen).
    pub const HALO: f64 = 0.6;
    /// Distance of hatching lines.
    pub const HATCH: f64 = 1.7;
}

impl Style {
    /// How a role looks.
    pub fn of(role: Role) -> Style {
        let plain = Style { line: None, fill: None, dash: None, bold: false };
        let line = |ink, width| Style { line: Some((ink, width)), ..plain };
        let solid = |ink| Style { fill: Some((ink, 1.0)), ..plain };
        let bold = |ink| Style { fill: Some((ink, 1.0)), bold: true, ..plain };
        match role {
            Role::Work => solid(Ink::Work),
            Role::Hatching => line(Ink::Rule, 0.18),
            Role::KeepOutBelow => Style { dash: Some([0.35, 0.5]), ..line(Ink::Rule, 0.2) },
            Role::KeepOutAbove => line(Ink::Rule, 0.35),
            Role::Outline => line(Ink::Ink, 0.35),
            Role::ReferenceEdge => line(Ink::Ink, 0.7),
            Role::ReferenceCorner => solid(Ink::Ink),
            Role::HoleWanted => line(Ink::Ink, 0.22),
            Role::Pilot | Role::BoreDot => solid(Ink::Ink),
            Role::Opened => line(Ink::Ink, 0.48),
            Role::Helper => line(Ink::Ink, 0.28),
            Role::Conflict => line(Ink::Attention, 0.4),
            Role::ConflictText | Role::Caution => bold(Ink::Attention),
            Role::Bar | Role::Block => Style { fill: Some((Ink::Work, 0.88)), ..line(Ink::Ink, 0.35) },
            Role::BarHole => Style { fill: Some((Ink::Work, 1.0)), ..line(Ink::Soft, 0.2) },
            Role::Break => line(Ink::Ink, 0.35),
            Role::Bush => line(Ink::Ink, 0.25),
            Role::Clearing => solid(Ink::Work),
            Role::BoreNow => line(Ink::Accent, 0.65),
            Role::Pin => Style { line: Some((Ink::Work, 0.35)), ..solid(Ink::Ink) },
            Role::Gauge => Style { fill: Some((Ink::Work, 1.0)), ..line(Ink::Ink, 0.5) },
            Role::Dog => Style { fill: Some((Ink::Accent, 1.0)), ..line(Ink::Ink, 0.45) },
            Role::Sleeve | Role::Held => Style { fill: Some((Ink::Work, 1.0)), ..line(Ink::Ink, 0.3) },
            Role::Plugged => line(Ink::Attention, 0.4),
            Role::Piece => Style { fill: Some((Ink::Hair, 0.35)), ..line(Ink::Soft, 0.3) },
            Role::Waste => line(Ink::Soft, 0.2),
            // three weights, and the cut dashed
            Role::GuideRail => Style { fill: Some((Ink::Work, 0.7)), ..line(Ink::Ink, 0.35) },
            Role::Fence => line(Ink::Ink, 0.9),
            Role::CutLine => Style { dash: Some([2.4, 1.2]), ..line(Ink::Accent, 0.6) },
            Role::Reading => line(Ink::Hair, 0.25),
            Role::Deviation => line(Ink::Accent, 0.45),
            Role::Ellipse => line(Ink::Ink, 0.2),
            Role::EllipseUnread => Style { dash: Some([0.5, 0.5]), ..line(Ink::Soft, 0.15) },
            Role::Dimension | Role::Leader => line(Ink::Soft, 0.2),
            Role::DimensionText | Role::RowName | Role::KeepOutName | Role::BarNumber | Role::Note => solid(Ink::Soft),
            Role::Order => solid(Ink::Ink),
            Role::Name | Role::BarName => bold(Ink::Ink),
            Role::BoreName => bold(Ink::Accent),
            Role::PaperText | Role::Measured | Role::Module => solid(Ink::Ink),
            Role::PaperBold => bold(Ink::Ink),
            Role::PaperSoft => solid(Ink::Soft),
            Role::PaperSoftBold => bold(Ink::Soft),
            Role::HeadRule => line(Ink::Ink, 0.7),
            Role::FootRule | Role::TickBox => line(Ink::Ink, 0.35),
            Role::TableRule => line(Ink::Ink, 0.2),
            Role::RowRule => line(Ink::Hair, 0.18),
            Role::WriteRule => line(Ink::Rule, 0.2),
            Role::CautionFrame => line(Ink::Attention, 0.35),
            Role::CautionBar => solid(Ink::Attention),
            Role::NoteBar => solid(Ink::Accent),
            Role::CutApart => Style { dash: Some([1.0, 1.5]), ..line(Ink::Hair, 0.2) },
        }
    }
}

/// Advance widths of Lato 2.007 from space to tilde, thousandths of the size: regular, bold.
const WIDTHS: [[u16; 95]; 2] = [
    [
        256, 269, 370, 580, 580, 802, 712, 204, 267, 267, 425, 580, 227, 372, 236, 452, 580, 580, 580, 580, 580, 580,
        580, 580, 580, 580, 250, 262, 580, 580, 580, 448, 836, 677, 646, 668, 760, 578, 566, 730, 764, 280, 422, 662,
        514, 928, 764, 800, 600, 800, 626, 542, 590, 736, 677, 1036, 649, 624, 602, 306, 452, 306, 580, 459, 400, 497,
        560, 478, 560, 528, 350, 520, 558, 240, 240, 508, 236, 822, 558, 567, 560, 560, 364, 433, 358, 558, 516, 786,
        498, 516, 452, 301, 250, 301, 580,
    ],
    [
        243, 281, 396, 580, 580, 820, 724, 212, 274, 274, 425, 580, 234, 373, 238, 466, 580, 580, 580, 580, 580, 580,
        580, 580, 580, 580, 258, 270, 580, 580, 580, 460, 844, 694, 658, 662, 760, 575, 566, 726, 770, 296, 430, 686,
        520, 945, 770, 808, 619, 808, 643, 548, 600, 742, 694, 1051, 670, 648, 606, 314, 466, 314, 580, 466, 400, 508,
        568, 482, 568, 534, 358, 528, 564, 254, 254, 534, 248, 838, 564, 574, 568, 568, 373, 440, 372, 564, 528, 802,
        522, 528, 460, 306, 261, 306, 580,
    ],
];

/// Width of a text in Lato, in units of its size; other characters count as a broad one.
pub fn text_width(text: &str, bold: bool) -> f64 {
    text.chars()
        .map(|c| {
            let c = if c == '\u{a0}' { ' ' } else { c };
            let i = (c as usize).wrapping_sub(32);
            f64::from(WIDTHS[usize::from(bold)].get(i).copied().unwrap_or(600)) / 1000.0
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn luminance(hex: &str) -> f64 {
        let channel = |i: usize| {
            let v = f64::from(u8::from_str_radix(&hex[i..i + 2], 16).unwrap()) / 255.0;
            // WCAG 2.2, definition of relative luminance.
            if v <= 0.04045 { v / 12.92 } else { crate::math::pow((v + 0.055) / 1.055, 2.4) }
        };
        0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
    }

    #[test]
    fn text_is_readable_in_every_theme() {
        for theme in [Theme::PAPER, Theme::LIGHT, Theme::DARK] {
            for ground in [theme.ground, theme.work] {
                for (ink, least) in [
                    (theme.ink, 7.0),
                    (theme.soft, 7.0),
                    (theme.accent, 7.0),
                    (theme.attention, 7.0),
                    (theme.rule, 3.0),
                ] {
                    let (a, b) = (luminance(ground), luminance(ink));
                    let contrast = (a.max(b) + 0.05) / (a.min(b) + 0.05);
                    assert!(contrast >= least, "{ink} on {ground}: {contrast:.1}, {least} wanted");
                }
            }
        }
    }

    #[test]
    fn figures_are_tabular_and_bold_is_wider() {
        assert_eq!(text_width("1111", false), text_width("0000", false));
        assert!(text_width("A14", true) > text_width("A14", false));
        assert!((text_width("A14", true) - 1.854).abs() < 1e-12);
    }
}
