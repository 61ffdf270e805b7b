//! The home on disk: files of people read, refused, written and edited.

mod bad_files;
mod editing;
mod home;
