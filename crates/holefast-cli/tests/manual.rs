//! `holefast manual`, and that the help is complete offline.

use crate::common::{Bench, subcommands};

#[test]
fn the_page_of_the_whole_names_those_of_the_parts() {
    let bench = Bench::new();
    let whole = bench.run(&["manual"]).went_well().out();
    for command in &subcommands() {
        assert!(whole.contains(&format!("holefast\\-{command}(1)")), "{command}");
        let part = bench.run(&["manual", command]).went_well().out();
        assert!(part.contains(&format!(".TH holefast-{command} 1")), "{part}");
    }
    assert_eq!(
        whole.matches("holefast\\-").count(),
        subcommands().len() + 1,
        "one page each, and that of help\n{whole}"
    );
    bench.run(&["manual", "nothing"]).ended_with(2, &["possible values: new, show, plan"]);
}

#[test]
fn help_is_complete_offline_short_and_long() {
    let bench = Bench::new();
    for command in &subcommands() {
        let short = bench.run(&[command, "-h"]).went_well().out();
        let long = bench.run(&["help", command]).went_well().out();
        assert!(short.contains("Usage: holefast"), "{short}");
        assert!(long.lines().count() > short.lines().count(), "{command}: the long help says no more\n{long}");
    }
    let long = bench.run(&["--help"]).went_well().out();
    assert!(long.contains("Exit codes"), "{long}");
}
