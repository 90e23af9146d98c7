//! A job as a link: the whole of it stands behind the # of an address, the part that a browser keeps to
//! itself. Nothing is sent anywhere but by the person who hands the link on.
//!
//! `job1.` and the job in letters, or `job1n.` and the job in figures alone: the same bytes, longer to
//! the eye and shorter as a QR code, which packs three figures into ten bits. The bytes are four of the
//! SHA-256 of the text, so that a link that was cut short or changed on its way is told from a whole one,
//! and the text deflated. What jobs have in common (keys, the comments of a new job and of the examples)
//! is put before the text on both sides and does not travel: `before-1.txt`, which belongs to format 1 and
//! never changes.

mod figures;
mod packed;

use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use holefast::Fault;

use packed::{Unpacked, pack, unpack};

/// Format of links made here.
pub const FORMAT: u32 = 1;

/// Most letters of a link behind the #. RFC 9110, section 4.1, recommends that everybody who handles an
/// address cope with 8000 octets; longer ones are cut off by some on their way. Some 25 kB of job text.
pub const MOST_LETTERS: usize = 8_000;

/// Most bytes of a job that comes by link, unpacked: ten times a long job. A link of a few hundred letters
/// could otherwise unpack to as much as the device has.
pub const MOST_BYTES: usize = 256 << 10;

/// What a link opens with, behind the #.
const MARK: &str = "job";

/// What it closes with. Programs that turn addresses in a text into links leave a hyphen or an underscore
/// at the end out of them; a letter they keep.
const END: char = 'z';

/// The address of a page with a job behind its #, in letters: to be sent.
///
/// Errors: the job is too long for a link.
pub fn link(page: &str, job_text: &str) -> Result<String, Fault> {
    let packed = pack(job_text.as_bytes());
    checked(page, &format!("{MARK}{FORMAT}.{}{END}", URL_SAFE_NO_PAD.encode(packed)))
}

/// The same in figures: to be drawn as a QR code.
///
/// Errors: the job is too long for a link.
pub fn link_in_figures(page: &str, job_text: &str) -> Result<String, Fault> {
    let packed = pack(job_text.as_bytes());
    checked(page, &format!("{MARK}{FORMAT}n.{}", figures::write(&packed)))
}

/// The address of a page that opens jobs, looked at: it must be one that a phone can go to.
///
/// Errors: no http or https, or letters that no address has, or too long.
pub fn page_address(typed: &str) -> Result<String, Fault> {
    /// Leaves the code to the job.
    const MOST: usize = 200;
    let hint = "as in https://bench.example/holefast/";
    let host = typed.strip_prefix("https://").or_else(|| typed.strip_prefix("http://"));
    let host = host.map(|rest| rest.split(['/', '?', '#']).next().unwrap_or_default());
    if host.is_none_or(str::is_empty) {
        return Err(Fault::input("an address of a page begins with https:// and the name of its host").hint(hint));
    }
    let in_addresses = |c: char| c.is_ascii_graphic() && !"\"<>\\^`{|}".contains(c);
    if let Some(other) = typed.chars().find(|&c| !in_addresses(c)) {
        return Err(Fault::input(format!("an address has no {other:?} in it")).hint(hint));
    }
    if typed.len() > MOST {
        return Err(Fault::input(format!("the address has {} letters; {MOST} at most", typed.len())));
    }
    Ok(typed.split('#').next().unwrap_or_default().to_owned())
}

fn checked(page: &str, behind: &str) -> Result<String, Fault> {
    if behind.len() > MOST_LETTERS {
        return Err(Fault::impossible(format!(
            "the job is too long for a link: {} letters, {MOST_LETTERS} at most",
            behind.len()
        ))
        .hint("hand it on as a file"));
    }
    let page = page.split('#').next().unwrap_or_default();
    Ok(format!("{page}#{behind}"))
}

/// True if what stands behind the # of an address is meant as a job.
pub fn is_job(behind: &str) -> bool {
    behind.strip_prefix(MARK).is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()))
}

/// The job's text from what stands behind the # of an address. It is text and no more: whether it is a job
/// is for [`holefast::job::parse`] to say.
///
/// Errors: no job link, another format, too long, cut short or changed on its way.
pub fn read(behind: &str) -> Result<String, Fault> {
    let damaged = || {
        Fault::input("the link was cut short or changed on its way: what it carries is not what was sent")
            .hint("ask for it again, or for the job as a file")
    };
    if !is_job(behind) {
        return Err(Fault::input("the link carries no job"));
    }
    if behind.len() > MOST_LETTERS {
        return Err(Fault::input(format!("the link is too long: {} letters, {MOST_LETTERS} at most", behind.len()))
            .hint("ask for the job as a file"));
    }
    let (format, carried) = behind[MARK.len()..].split_once('.').ok_or_else(damaged)?;
    let in_figures = format.ends_with('n');
    let format = format.strip_suffix('n').unwrap_or(format);
    if format.is_empty() || !format.bytes().all(|b| b.is_ascii_digit()) {
        return Err(damaged());
    }
    if format != FORMAT.to_string() {
        let shown: String = format.chars().take(8).collect();
        return Err(Fault::input(format!("the link is of format {shown}; this page reads format {FORMAT}"))
            .hint("take the newer version of the page, or ask for the job as a file"));
    }
    let bytes = if in_figures {
        figures::read(carried)
    } else {
        carried.strip_suffix(END).and_then(|letters| URL_SAFE_NO_PAD.decode(letters).ok())
    };
    match unpack(&bytes.ok_or_else(damaged)?) {
        Unpacked::Whole(text) => String::from_utf8(text).map_err(|_| damaged()),
        Unpacked::Damaged => Err(damaged()),
        Unpacked::TooLong => Err(Fault::input(format!(
            "the link unpacks to more than {} kB, more than any job comes to",
            MOST_BYTES >> 10
        ))
        .hint("ask for the job as a file")),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const TRAILER: &str = include_str!("../../../../examples/trailer-top.toml");
    const PAGE: &str = "https://bench.example/holefast/";

    fn behind(link: &str) -> &str {
        link.split_once('#').map(|(_, behind)| behind).expect("a link has a #")
    }

    /// A job with no word of the examples left as it was.
    fn own_job() -> String {
        TRAILER.replace("Trailer top for stage flats", "Werkbank für Hülya \u{1fa9a}").replace("00", "17")
    }

    #[test]
    fn both_spellings_give_the_same_text_back() {
        for text in [TRAILER, &own_job(), "", "a", "name = \"<script>alert(1)</script>\"\r\n"] {
            let letters = link(PAGE, text).expect("short enough");
            let figures = link_in_figures(PAGE, text).expect("short enough");
            assert_eq!(read(behind(&letters)).as_deref(), Ok(text));
            assert_eq!(read(behind(&figures)).as_deref(), Ok(text));
            assert!(letters.starts_with("https://bench.example/holefast/#job1."));
            let plain = |c: char| c.is_ascii_alphanumeric() || "-_.".contains(c);
            assert!(behind(&letters).chars().all(plain), "{letters}");
            assert!(behind(&letters).ends_with(|c: char| c.is_ascii_alphanumeric()), "{letters}");
            assert!(behind(&figures)["job1n.".len()..].bytes().all(|b| b.is_ascii_digit()), "{figures}");
        }
    }

    /// Made on the day that format 1 came about. If this fails, links that people have are broken: what
    /// changed belongs into a format 2, and format 1 goes on being read.
    #[test]
    fn a_link_of_format_1_is_read_for_ever() {
        let made = include_str!("made-1.txt").trim();
        let text = read(made).expect("it reads");
        assert!(text.contains("name  = \"Bench by the window\""), "{text}");
        assert_eq!(crate::digest(&text), "13d8 af7b");
    }

    #[test]
    fn the_address_of_the_page_loses_what_stood_behind_its_own_mark() {
        let one = link("https://bench.example/#job1.abcz", "a").expect("short");
        assert_eq!(one, link("https://bench.example/", "a").expect("short"));
    }

    #[test]
    fn an_address_is_one_that_a_phone_can_go_to() {
        assert_eq!(page_address("https://bench.example/a?b=c#d").as_deref(), Ok("https://bench.example/a?b=c"));
        assert_eq!(page_address("http://127.0.0.1:8096/").as_deref(), Ok("http://127.0.0.1:8096/"));
        let long = format!("https://bench.example/{}", "a".repeat(200));
        for (typed, told) in [
            ("bench.example", "an address of a page begins with https:// and the name of its host"),
            ("javascript:alert(1)", "an address of a page begins with https:// and the name of its host"),
            ("https:///x", "an address of a page begins with https:// and the name of its host"),
            ("https://bench example/", "an address has no ' ' in it"),
            ("https://bench.example/\"><script>", "an address has no '\"' in it"),
            (long.as_str(), "the address has 222 letters; 200 at most"),
        ] {
            assert_eq!(page_address(typed).expect_err(typed).message, told);
        }
    }

    #[test]
    fn a_job_made_from_an_example_is_short() {
        // Measured when format 1 was made: 188 letters, 81 for the example itself.
        let letters = behind(&link(PAGE, &own_job()).expect("short enough")).len();
        assert!(letters < 500, "{letters} letters");
        assert!(behind(&link(PAGE, TRAILER).expect("short enough")).len() < 500);
    }

    #[test]
    fn a_long_job_is_refused_with_its_length() {
        // Nothing repeats: counter-based noise from the digest itself.
        let noise: String = (0..3000).map(|i| crate::digest(&i.to_string())).collect();
        let fault = link(PAGE, &noise).expect_err("too long");
        assert!(fault.message.starts_with("the job is too long for a link: "), "{}", fault.message);
        assert!(fault.message.ends_with(" letters, 8000 at most"), "{}", fault.message);
        assert!(link_in_figures(PAGE, &noise).is_err());
    }

    #[test]
    fn a_small_link_that_unpacks_to_very_much_is_refused() {
        // A million times the same letter is a link of some 1400 letters.
        let bomb = link(PAGE, &"#".repeat(1 << 20)).expect("short itself");
        let fault = read(behind(&bomb)).expect_err("too much");
        assert_eq!(fault.message, "the link unpacks to more than 256 kB, more than any job comes to");
        // As much as is allowed goes through.
        let most = "#".repeat(MOST_BYTES);
        assert_eq!(read(behind(&link(PAGE, &most).expect("short"))).as_deref(), Ok(most.as_str()));
    }

    #[test]
    fn every_cut_and_every_changed_letter_is_noticed() {
        for made in [link(PAGE, &own_job()), link_in_figures(PAGE, &own_job())] {
            let made = made.expect("short enough");
            let whole = behind(&made);
            for end in 0..whole.len() {
                assert!(read(&whole[..end]).is_err(), "cut to {end} of {}", whole.len());
            }
            for at in "job1n.".len()..whole.len() {
                let mut changed = whole.to_owned();
                let other = if &whole[at..=at] == "7" { "3" } else { "7" };
                changed.replace_range(at..=at, other);
                // Some bits of the last letter carry nothing.
                assert!(read(&changed).is_err() || read(&changed) == read(whole), "letter {at} changed");
            }
        }
    }

    #[test]
    fn what_is_no_job_link_is_told_as_what_it_is() {
        assert!(!is_job("top") && !is_job("") && !is_job("jobs") && is_job("job1.x") && is_job("job27n.1"));
        let told = |behind: &str| read(behind).expect_err("no job").message;
        assert_eq!(told("top"), "the link carries no job");
        assert_eq!(told("job2.AAAA"), "the link is of format 2; this page reads format 1");
        let damaged = "the link was cut short or changed on its way: what it carries is not what was sent";
        for behind in ["job1", "job1.", "job1.z", "job1.*z", "job1n.", "job1n.12x", "job1n.99999", "job1é.AAAAz"] {
            assert_eq!(told(behind), damaged, "{behind}");
        }
        assert_eq!(told(&format!("job1.{}", "A".repeat(9000))), "the link is too long: 9005 letters, 8000 at most");
        // Bytes that are no text.
        let packed = pack(&[0xff, 0xfe, 0x00]);
        assert_eq!(told(&format!("job1.{}z", URL_SAFE_NO_PAD.encode(packed))), damaged);
    }

    proptest! {
        #[test]
        fn any_text_comes_back(text in "\\PC{0,400}") {
            prop_assert_eq!(read(behind(&link(PAGE, &text).expect("short"))), Ok(text.clone()));
            prop_assert_eq!(read(behind(&link_in_figures(PAGE, &text).expect("short"))), Ok(text));
        }

        #[test]
        fn nothing_behind_the_mark_makes_it_panic(behind in "job[0-9n.]{0,3}\\PC{0,300}") {
            let _ = read(&behind);
        }

        #[test]
        fn bytes_that_nobody_packed_are_refused(bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
            // Four bytes of a digest hold by chance once in four thousand million times.
            let letters = format!("job1.{}z", URL_SAFE_NO_PAD.encode(&bytes));
            let figures = format!("job1n.{}", figures::write(&bytes));
            prop_assert!(read(&letters).is_err());
            prop_assert!(read(&figures).is_err());
        }
    }
}
