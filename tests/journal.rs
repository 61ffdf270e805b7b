//! The journal on disk: appended, cut off, killed, merged, taken back, forgotten.

mod checkpoint;
mod files;
mod kill;
mod merge;
