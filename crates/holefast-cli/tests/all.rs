//! Every test of the command line, in one program: a file for each command.

mod common;

mod angle;
mod book;
mod complete;
mod cut;
mod manual;
mod new;
mod next;
mod parts;
mod plan;
mod predict;
mod prove;
mod show;
