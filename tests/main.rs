//! One binary for every test outside the sources.

mod decks;
mod drill;
mod flight;
mod harness;
mod house;
mod journal;
mod memory;
mod plan;
mod phone;
mod program;
mod rehearsal;
mod scout;
mod store;
mod tactics;
