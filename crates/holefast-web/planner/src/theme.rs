//! The page's colours by name, for whatever is drawn on it: its style sheet says which, light and dark.

use holefast::drawing::Theme;

/// The page's colours.
pub const PAGE: Theme = Theme {
    ground: "var(--page)",
    work: "var(--sheet)",
    ink: "var(--ink)",
    soft: "var(--soft)",
    rule: "var(--rule)",
    hair: "var(--hair)",
    accent: "var(--accent)",
    attention: "var(--attention)",
};
