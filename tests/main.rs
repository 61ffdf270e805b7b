//! One binary for every test outside the sources.

mod drill;
mod harness;
mod house;
mod memory;
mod program;
