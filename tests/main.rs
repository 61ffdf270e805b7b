//! One binary for every test outside the sources.

mod decks;
mod drill;
mod flight;
mod harness;
mod house;
mod journal;
mod memory;
mod phone;
mod plan;
mod program;
mod rehearsal;
mod scout;
mod store;
mod tactics;
