//! `holefast book`: the whole way, and what may happen to the file. What stands on the pages is
//! looked at by the tests of `holefast-paper`.

use crate::common::{Bench, EXAMPLES};

#[test]
fn every_example_becomes_a_book_and_says_what_to_expect() {
    for example in EXAMPLES {
        let bench = Bench::with(example);
        let said = bench.run(&["book", "job.toml", "--boards", "2000"]).went_well().out();
        assert!(bench.read("job.pdf").starts_with(b"%PDF-"), "{example}");
        for words in ["rows x", "datum row", "Expect this top to come out square within", "written to job.pdf"] {
            assert!(said.contains(words), "{example}: {words:?} is not in\n{said}");
        }
        assert_eq!(bench.all(), ["job.pdf", "job.toml"], "{example}: something was left lying about");
    }
}

#[test]
fn the_same_job_gives_the_same_bytes_and_an_older_book_is_replaced() {
    let bench = Bench::with("first-top.toml");
    bench.run(&["book", "job.toml", "-o", "a.pdf"]).went_well();
    let first = bench.read("a.pdf");
    bench.run(&["book", "job.toml", "-o", "a.pdf"]).went_well();
    assert!(bench.read("a.pdf") == first);
    bench.run(&["book", "job.toml", "-o", "a.pdf", "--paper", "letter"]).went_well();
    assert!(bench.read("a.pdf") != first);
}

#[test]
fn pages_are_written_as_drawings_beside_the_book() {
    let bench = Bench::with("first-top.toml");
    let args = ["book", "job.toml", "--boards", "0", "--pages", "."];
    bench.run(&args).went_well();
    let pages: Vec<String> = bench.all().into_iter().filter(|name| name.ends_with(".svg")).collect();
    assert!(pages.len() > 15 && pages[0] == "page-01.svg", "{pages:?}");
    let cover = bench.text("page-01.svg");
    assert!(cover.contains("width=\"210mm\" height=\"297mm\"") && cover.contains("How to use this"), "{cover}");
    bench
        .run(&["book", "job.toml", "--boards", "0", "--pages", "nowhere/pages"])
        .ended_with(4, &["there is no folder nowhere"]);
    // A folder that is not there is made; pages of an earlier, longer book are named; what is no page stays.
    bench.run(&["book", "job.toml", "--boards", "0", "--pages", "pages"]).went_well();
    let [next, after] = [pages.len() + 1, pages.len() + 2];
    bench.put(&format!("pages/page-{next}.svg"), cover.as_bytes());
    bench.put(&format!("pages/page-{after}.svg"), cover.as_bytes());
    let said = bench.run(&["book", "job.toml", "--boards", "0", "--pages", "pages"]).went_well().out();
    assert!(said.contains(&format!("pages {next} to {after} in that folder are left over")), "{said}");
    bench.put("pages/page-03.svg", b"a letter");
    bench.put("job.pdf", b"%PDF-1.7 an older book");
    bench
        .run(&["book", "job.toml", "--boards", "0", "--pages", "pages"])
        .ended_with(4, &["page-03.svg", "it is no SVG"]);
    assert_eq!(bench.read("job.pdf"), b"%PDF-1.7 an older book");
    assert_eq!(bench.text("pages/page-03.svg"), "a letter");
}

#[test]
fn a_file_of_another_kind_is_left_alone_before_any_work() {
    let bench = Bench::with("first-top.toml");
    let before = bench.text("job.toml");
    bench.run(&["book", "job.toml", "-o", "job.toml"]).ended_with(4, &["it is no PDF", "choose another name"]);
    assert_eq!(bench.text("job.toml"), before);
    bench.run(&["book", "job.toml", "-o", "nowhere/a.pdf"]).ended_with(4, &["there is no folder nowhere"]);
    bench.run(&["book", "job.toml", "-o", "."]).ended_with(4, &["not an ordinary file"]);
    assert_eq!(bench.all(), ["job.toml"]);
}

#[test]
fn a_slip_in_the_job_leaves_an_older_book_as_it_was() {
    let bench = Bench::with("first-top.toml");
    bench.put("job.pdf", b"%PDF-1.7 an older book");
    bench.change("units = \"mm\"", "units = \"ells\"");
    bench.run(&["book", "job.toml"]).ended_with(1, &["job.toml:", "ells"]);
    assert_eq!(bench.read("job.pdf"), b"%PDF-1.7 an older book");
}

#[test]
fn an_address_that_no_phone_can_go_to_is_refused_before_any_work() {
    let bench = Bench::with("first-top.toml");
    bench
        .run(&["book", "job.toml", "--site", "bench.example"])
        .ended_with(2, &["begins with https://", "as in https://"]);
    assert_eq!(bench.all(), ["job.toml"]);
    bench.run(&["book", "job.toml", "--boards", "0", "--site", "https://bench.example/"]).went_well();
    let with = bench.read("job.pdf");
    bench.run(&["book", "job.toml", "--boards", "0"]).went_well();
    assert!(bench.read("job.pdf") != with, "the code changes the book");
}

#[test]
fn from_standard_input_the_book_gets_a_name_of_its_own() {
    let bench = Bench::with("first-top.toml");
    let job = bench.text("job.toml");
    bench.run_with(&["book", "-", "--boards", "0"], &job).went_well();
    assert_eq!(bench.all(), ["job.toml", "shop-book.pdf"]);
}

#[cfg(unix)]
#[test]
fn a_link_is_followed_and_stays_a_link() {
    let bench = Bench::with("first-top.toml");
    std::fs::create_dir(bench.path("books")).unwrap();
    bench.put("books/real.pdf", b"%PDF-1.7 an older book");
    std::os::unix::fs::symlink("books/real.pdf", bench.path("job.pdf")).unwrap();
    bench.run(&["book", "job.toml", "--boards", "0"]).went_well();
    assert!(std::fs::symlink_metadata(bench.path("job.pdf")).unwrap().is_symlink());
    assert!(bench.read("books/real.pdf").len() > 1000);
}

#[test]
fn a_list_of_parts_has_its_pages_and_one_that_cannot_be_cut_is_told() {
    let list = "\n[[stock]]\nname = \"half sheet\"\nlength = 1200\nwidth = 500\nquantity = 3\ntrim = 5\nkerf = 2.2\n\
                [[part]]\nname = \"shelf\"\nlength = 500\nwidth = 240\nquantity = 4\n";
    let bench = Bench::with("trailer-top.toml");
    bench.run(&["book", "job.toml", "--boards", "0", "-o", "without.pdf"]).went_well();
    bench.put("list.toml", bench.text("job.toml") + list);
    bench.run(&["book", "list.toml", "--boards", "0"]).went_well();
    assert!(bench.read("list.pdf").len() > bench.read("without.pdf").len() + 5_000);
    bench.put("list.toml", bench.text("job.toml") + &list.replace("quantity = 4", "quantity = 40"));
    let said = ["no page of the list of parts: ", "of 40 parts find no place in this stock"];
    bench.run(&["book", "list.toml", "--boards", "0"]).went_well().said(&said);
}
