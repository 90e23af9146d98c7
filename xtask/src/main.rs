//! Chores.

fn main() {}
