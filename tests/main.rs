//! One binary for every test outside the sources.

mod harness;
mod house;
mod memory;
mod program;
mod tactics;
