//! The `holefast` command.

fn main() {}
