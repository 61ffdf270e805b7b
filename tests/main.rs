//! One binary for every test outside the sources.

#![allow(
    clippy::assigning_clones,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::disallowed_methods,
    clippy::panic,
    reason = "tests count small things, wait in real time, and fail by panicking"
)]

mod advice;
mod calibrate;
mod decks;
mod drill;
#[path = "support/entrances.rs"]
mod entrances;
mod flight;
mod group;
mod growth;
mod harness;
mod hints;
mod house;
mod journal;
mod launcher;
mod memory;
mod packaging;
mod phone;
mod plan;
mod points;
mod program;
mod progress;
mod receives;
mod rehearsal;
mod scout;
mod screens;
mod store;
mod tactics;
mod trust;
