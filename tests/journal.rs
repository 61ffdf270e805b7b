//! The journal on disk: appended, cut off, killed, merged, taken back, forgotten.
