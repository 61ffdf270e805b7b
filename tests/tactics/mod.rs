//! The tactics engines against outside values, against the laws of the game, and against another
//! solver.

mod adaptation;
mod advice;
mod cases;
mod changes;
mod detectors;
mod duels;
mod games;
mod habit;
mod intervals;
mod laws;
mod meetings;
mod published_chance;
mod published_detection;
mod published_duel;
mod published_rates;
mod published_switch;
#[path = "../support/ranges.rs"]
mod ranges;
mod season;
mod verdict;
#[path = "../support/meetings.rs"]
mod worlds;
