//! Files outside a home: pages and lists the player asks for, and a throw-away home to look around
//! in.

use std::fs::File;
use std::io::{self, ErrorKind, Read};
use std::path::{Path, PathBuf};

use crate::base::Finding;
use crate::store::disk::Over;
use crate::store::home::PLAYER;
use crate::store::{Trouble, disk};

/// Writes a page where the player wants it, whole or not at all; an older one is replaced.
///
/// # Errors
/// A finding when the player named a place where nothing can be written; the machine's own trouble
/// otherwise.
pub fn write_page(file: &Path, text: &str) -> Result<(), Trouble> {
    use std::io::ErrorKind::{IsADirectory, NotADirectory, NotFound, PermissionDenied};
    disk::sweep(file.parent().unwrap_or(file));
    disk::write_whole(file, text.as_bytes()).map_err(|trouble| match trouble {
        Trouble::Machine { source, .. }
            if matches!(
                source.kind(),
                NotFound | PermissionDenied | NotADirectory | IsADirectory
            ) =>
        {
            let why = match source.kind() {
                NotFound => "its folder is not there",
                PermissionDenied => "that is not allowed",
                IsADirectory => "a folder is called so",
                _ => "a part of the path is no folder",
            };
            let shown = file.display();
            Trouble::finding(
                Finding::error(format!("`{shown}` cannot be written: {why}"))
                    .hint("name a file in a folder that is there and yours"),
            )
        }
        other => other,
    })
}

/// The homes in a folder, by name: its folders in which there is a player file.
///
/// # Errors
/// The machine's own trouble with the folder.
pub fn homes_in(folder: &Path) -> Result<Vec<PathBuf>, Trouble> {
    let read = std::fs::read_dir(folder).map_err(Trouble::reading(folder))?;
    let inside = read.filter_map(|entry| Some(entry.ok()?.path()));
    let mut homes: Vec<PathBuf> = inside.filter(|path| path.join(PLAYER).exists()).collect();
    homes.sort();
    Ok(homes)
}

/// Largest text a player may name, bytes; the answers of a year on a phone are far below it.
const LARGEST: u64 = 8 * 1024 * 1024;

/// Reads a text the player names, for example the answers of a phone.
///
/// # Errors
/// A finding when it is not there, no text or too large; the machine's own trouble otherwise.
pub fn read_page(file: &Path) -> Result<String, Trouble> {
    let shown = format!("`{}`", file.display());
    let opened = File::open(file).map_err(|error| match error.kind() {
        ErrorKind::NotFound => Trouble::finding(
            Finding::error(format!("there is no file {shown}"))
                .hint("name it with its folder, as it was saved"),
        ),
        _ => Trouble::machine("cannot read", file, error),
    })?;
    read_whole(opened, &shown)
}

/// Reads the standard input to its end, as a text the player names.
///
/// # Errors
/// As [`read_page`].
pub fn read_input(input: impl Read) -> Result<String, Trouble> {
    read_whole(input, INPUT)
}

/// How the standard input is called.
const INPUT: &str = "the standard input";

/// What reading the standard input ran into.
pub fn input_trouble(error: io::Error) -> Trouble {
    if error.kind() == ErrorKind::InvalidData {
        return no_text(INPUT);
    }
    Trouble::Machine { what: format!("cannot read {INPUT}"), source: error }
}

fn read_whole(from: impl Read, shown: &str) -> Result<String, Trouble> {
    let mut bytes = Vec::new();
    from.take(LARGEST + 1).read_to_end(&mut bytes).map_err(|source| {
        let what = format!("cannot read {shown}");
        Trouble::Machine { what, source }
    })?;
    if bytes.len() as u64 > LARGEST {
        let most = LARGEST / (1024 * 1024);
        return Err(Trouble::finding(
            Finding::error(format!("{shown} is larger than {most} MB"))
                .hint("is it the right one? No text meant for this is as large"),
        ));
    }
    String::from_utf8(bytes).map_err(|_| no_text(shown))
}

fn no_text(shown: &str) -> Trouble {
    Trouble::finding(
        Finding::error(format!("{shown} is not text")).hint("save it as plain text (UTF-8)"),
    )
}

/// A new empty folder among the system's temporary ones; nobody deletes it but the system.
///
/// # Errors
/// [`Trouble::Machine`] when there is no room for it.
pub fn throw_away_folder() -> Result<PathBuf, Trouble> {
    tempfile::Builder::new()
        .prefix("secondball-demo-")
        .tempdir()
        .map(tempfile::TempDir::keep)
        .map_err(|error| Trouble::machine("no temporary folder", &std::env::temp_dir(), error))
}

/// Writes files into a folder, making the folders they name.
///
/// # Errors
/// [`Trouble::Machine`] when one cannot be written.
pub fn unpack(root: &Path, files: &[(&str, &str)]) -> Result<(), Trouble> {
    files.iter().try_for_each(|(file, text)| {
        disk::write_inside(root, file, text.as_bytes(), Over::Anything).map(drop)
    })
}
