//! One binary for every test outside the sources.
mod memory;
