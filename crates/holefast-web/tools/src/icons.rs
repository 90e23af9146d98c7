//! The page's sign as pictures for installing it: from the one drawing, in the sizes that systems ask for.

use std::fs;
use std::path::Path;

use resvg::{tiny_skia, usvg};

/// File, pixels across, and whether a system may cut it to a shape of its own.
const ICONS: [(&str, u32, bool); 3] =
    [("icon-192.png", 192, false), ("icon-512.png", 512, false), ("icon-cut.png", 512, true)];

/// What a system that cuts leaves whole is a circle of 80 % of the width (W3C, Web Application Manifest,
/// 'maskable'): a square of so much stands inside it.
const LEFT_WHOLE: f64 = 0.56;

/// Side of the drawing, its units.
const SIDE: f64 = 64.0;

/// Writes the pictures of `icon.svg` beside it.
pub fn draw(folder: &Path) -> Result<(), String> {
    let drawing = fs::read_to_string(folder.join("icon.svg")).map_err(|e| format!("icon.svg: {e}"))?;
    for (name, pixels, cut) in ICONS {
        let drawing = if cut { smaller(&drawing)? } else { drawing.clone() };
        let tree = usvg::Tree::from_str(&drawing, &usvg::Options::default()).map_err(|e| format!("icon.svg: {e}"))?;
        let mut picture = tiny_skia::Pixmap::new(pixels, pixels).ok_or("an icon of no size")?;
        let scale = pixels as f32 / tree.size().width();
        resvg::render(&tree, tiny_skia::Transform::from_scale(scale, scale), &mut picture.as_mut());
        let bytes = picture.encode_png().map_err(|e| format!("{name}: {e}"))?;
        fs::write(folder.join(name), bytes).map_err(|e| format!("{name}: {e}"))?;
    }
    Ok(())
}

/// The drawing in the middle of its ground, so small that nothing of it is cut off.
fn smaller(drawing: &str) -> Result<String, String> {
    let whole = "icon.svg has a ground of its own first";
    let (head, rest) = drawing.split_once("<rect").ok_or(whole)?;
    let (ground, signs) = rest.split_once("/>").ok_or(whole)?;
    let signs = signs.trim_end().strip_suffix("</svg>").ok_or("icon.svg does not end as one")?;
    let aside = 0.5 * (1.0 - LEFT_WHOLE) * SIDE;
    Ok(format!(
        "{head}<rect{ground}/><g transform=\"translate({aside} {aside}) scale({LEFT_WHOLE})\">{signs}</g></svg>"
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_of_the_sign_is_cut_off() {
        let folder = std::env::temp_dir().join(format!("holefast-icons-{}", std::process::id()));
        fs::create_dir_all(&folder).expect("a folder");
        let drawing = Path::new(env!("CARGO_MANIFEST_DIR")).join("../static/icon.svg");
        fs::copy(drawing, folder.join("icon.svg")).expect("the drawing");
        draw(&folder).expect("the icons are drawn");
        for (name, pixels, cut) in ICONS {
            let picture = tiny_skia::Pixmap::load_png(folder.join(name)).expect("a picture");
            assert_eq!((picture.width(), picture.height()), (pixels, pixels), "{name}");
            let ground = picture.pixel(1, 1).expect("a corner");
            assert_eq!(ground.alpha(), 255, "{name} has no ground");
            let (middle, mut signs) = (f64::from(pixels) / 2.0, 0);
            for y in 0..pixels {
                for x in 0..pixels {
                    if picture.pixel(x, y) != Some(ground) {
                        signs += 1;
                        let (dx, dy) = (f64::from(x) + 0.5 - middle, f64::from(y) + 0.5 - middle);
                        let within = 0.4 * f64::from(pixels);
                        assert!(!cut || dx * dx + dy * dy < within * within, "{name}: {x} {y}");
                    }
                }
            }
            assert!(signs > pixels * pixels / 8, "{name} is all but empty");
        }
        let _ = fs::remove_dir_all(&folder);
    }
}
