//! Every test of the core that stands outside it, in one program. A file is one matter, as everywhere.

mod by_hand;
#[path = "../src/testing/files.rs"]
mod files;
mod plain_board;

mod any_bytes;
mod bad_jobs;
mod breakdown_published;
mod cards_at_the_bench;
mod every_message;
mod example_jobs;
mod golden;
mod list_drawings;
mod part_bored;
mod predict_boards;
mod predict_checks;
mod predict_examples;
mod predict_made;
mod predict_naive;
mod predict_quick;
mod proof_bad_input;
mod proof_by_count;
mod proof_table;
mod proof_workshop;
mod random_kits;
mod random_sheets;
mod random_tops;
