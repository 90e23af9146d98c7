//! `holefast complete`.

use crate::common::{Bench, subcommands};

#[test]
fn every_shell_is_told_of_every_subcommand() {
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let text = Bench::new().run(&["complete", shell]).went_well().out();
        for command in &subcommands() {
            assert!(text.contains(command), "{shell}: {command}");
        }
    }
}

#[test]
fn bash_reads_it_without_a_fault() {
    let bench = Bench::new();
    bench.put("holefast.bash", bench.run(&["complete", "bash"]).went_well().out());
    let read = std::process::Command::new("bash").arg("-n").arg(bench.path("holefast.bash")).status().unwrap();
    assert!(read.success());
}
