//! One binary for every test outside the sources.

mod harness;
mod house;
mod journal;
mod memory;
mod program;
mod rehearsal;
mod store;
