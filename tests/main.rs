//! One binary for every test outside the sources.

mod advice;
mod calibrate;
mod decks;
mod drill;
mod flight;
mod harness;
mod house;
mod journal;
mod launcher;
mod memory;
mod phone;
mod plan;
mod points;
mod program;
mod rehearsal;
mod scout;
mod store;
mod tactics;
