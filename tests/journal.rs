//! The journal on disk: appended, cut off, killed, merged, taken back, forgotten.

mod damage;
mod files;
mod fold;
mod growth;
mod identity;
mod kill;
mod merge;
