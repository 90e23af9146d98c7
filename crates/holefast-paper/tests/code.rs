//! QR codes read back by another program (zbar), from the modules as pixels. Skipped plainly where it is
//! absent, a failure with CI=true.

use std::path::{Path, PathBuf};
use std::process::Command;

use holefast_paper::Code;
use holefast_paper::link::{link_in_figures, read};

/// Pixels to a module: about what a camera has of it.
const PIXELS: usize = 4;

/// The code as a portable greymap, the plainest of pictures.
fn picture(code: &Code, name: &str) -> PathBuf {
    let across = code.across();
    let mut bytes = format!("P5 {0} {0} 255\n", PIXELS * across).into_bytes();
    let quiet = (across - code.side()) / 2;
    for y in 0..PIXELS * across {
        for x in 0..PIXELS * across {
            let (column, row) = ((x / PIXELS).wrapping_sub(quiet), (y / PIXELS).wrapping_sub(quiet));
            bytes.push(if code.is_dark(column, row) { 0 } else { 255 });
        }
    }
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}.pgm"));
    std::fs::write(&path, bytes).expect("the picture is written");
    path
}

/// What the other program reads; `None` (after saying so) where it is absent.
fn read_back(picture: &Path) -> Option<String> {
    let Ok(output) = Command::new("zbarimg").args(["--raw", "--quiet"]).arg(picture).output() else {
        let required = std::env::var("CI").is_ok_and(|v| v == "true");
        assert!(!required, "zbar-tools is not installed, and with CI=true reading codes back may not be skipped");
        println!("skipped: zbar-tools is not installed");
        return None;
    };
    Some(String::from_utf8(output.stdout).expect("text").trim_end().to_owned())
}

#[test]
fn every_example_is_read_back_from_its_code() {
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let mut read_so_far = 0;
    for name in ["trailer-top", "press-bench", "first-top"] {
        let text = std::fs::read_to_string(examples.join(format!("{name}.toml"))).expect("an example");
        // Other words and other sizes than the example's own, as anybody's job has.
        let text = text.replace("top", "Tischplatte").replace("00", "23").replace(" 2", " 37").replace("0.0", "0.04");
        let link = link_in_figures("https://bench.example/holefast/", &text).expect("short enough");
        let code = Code::of(&link).expect("coarse enough");
        let Some(found) = read_back(&picture(&code, name)) else { return };
        assert_eq!(found, link, "{name}");
        assert_eq!(read(found.split_once('#').expect("a #").1).as_deref(), Ok(text.as_str()), "{name}");
        read_so_far += 1;
    }
    assert_eq!(read_so_far, 3);
}

#[test]
fn the_finest_code_that_is_made_is_read() {
    let text: String = std::iter::repeat_n("3141592653589793", 191).collect();
    let code = Code::of(&text).expect("just coarse enough");
    assert_eq!(code.side(), 117);
    let Some(found) = read_back(&picture(&code, "finest")) else { return };
    assert_eq!(found, text);
}
