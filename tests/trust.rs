//! Nothing acknowledged is lost, nothing damaged is passed over in silence.

mod copies;
mod corpus;
mod files;
mod signs;
mod words;

#[cfg(target_os = "linux")]
mod acts;
#[cfg(target_os = "linux")]
#[path = "support/injecting.rs"]
mod injecting;
