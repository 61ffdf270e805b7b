//! Files as wholes: read as text, written so that a power cut leaves the old file or the new one.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::Path;

use crate::base::Finding;
use crate::base::finding::Place;
use crate::store::Trouble;

/// Largest file of words accepted, bytes; a deck of a thousand serves is far below it.
const LARGEST: u64 = 8 * 1024 * 1024;

/// The text of a file; nothing when it is not there.
///
/// # Errors
/// A finding for a file that is not text; the machine's own trouble otherwise.
pub(crate) fn read_text(path: &Path, shown: &str) -> Result<Option<String>, Trouble> {
    let length = match fs::metadata(path) {
        Ok(about) => about.len(),
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(Trouble::machine("cannot read", path, error)),
    };
    if length > LARGEST {
        return Err(Trouble::finding(
            Finding::error(format!("{length} bytes are no deck; allowed is {LARGEST} bytes"))
                .at(Place::file(shown)),
        ));
    }
    let bytes = fs::read(path).map_err(Trouble::reading(path))?;
    String::from_utf8(bytes).map(Some).map_err(|_| {
        Trouble::finding(
            Finding::error("this is not a text file")
                .at(Place::file(shown))
                .hint("save it as plain text (UTF-8), or bring it back from a copy"),
        )
    })
}

/// Writes a whole file: beside it first, then in its place, so that it is never half written.
///
/// # Errors
/// The machine's own trouble.
pub(crate) fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), Trouble> {
    let written = || -> io::Result<()> {
        // A link to a file elsewhere keeps being a link.
        let path = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
        // A bare name has an empty parent, which is no folder that could be opened.
        let folder =
            path.parent().filter(|folder| *folder != Path::new("")).unwrap_or(Path::new("."));
        let mut beside = tempfile::Builder::new().prefix(".writing-").tempfile_in(folder)?;
        beside.write_all(bytes)?;
        if let Ok(about) = fs::metadata(&path) {
            beside.as_file().set_permissions(about.permissions())?;
        } else {
            set_usual_permissions(beside.as_file())?;
        }
        beside.as_file().sync_all()?;
        beside.persist(&path).map_err(|error| error.error)?;
        sync_folder(folder)
    };
    written().map_err(|error| Trouble::machine("cannot write", path, error))
}

/// The same for a file inside a folder, with the folders it names.
///
/// # Errors
/// The machine's own trouble.
pub(crate) fn write_inside(root: &Path, file: &str, bytes: &[u8]) -> Result<(), Trouble> {
    let path = root.join(file);
    if let Some(folder) = path.parent() {
        make_folder(folder)?;
    }
    write_whole(&path, bytes)
}

/// A temporary file is for its owner only; a file of the home may be read as usual.
#[cfg(unix)]
fn set_usual_permissions(file: &File) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt as _;
    file.set_permissions(fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn set_usual_permissions(_file: &File) -> io::Result<()> {
    Ok(())
}

/// Makes a new name in a folder last through a power cut.
pub(crate) fn sync_folder(folder: &Path) -> io::Result<()> {
    // Other systems cannot open a folder; their renames are journaled by the file system.
    if cfg!(unix) { File::open(folder)?.sync_all() } else { Ok(()) }
}

/// Makes a folder and those above it.
///
/// # Errors
/// The machine's own trouble.
pub(crate) fn make_folder(path: &Path) -> Result<(), Trouble> {
    fs::create_dir_all(path).map_err(|error| Trouble::machine("cannot make", path, error))
}

/// The names of the files in a folder with this ending, without it, sorted. Nothing when the folder
/// is not there.
///
/// # Errors
/// The machine's own trouble.
pub(crate) fn stems(folder: &Path, ending: &str) -> Result<Vec<String>, Trouble> {
    let read = match fs::read_dir(folder) {
        Ok(read) => read,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(error) => return Err(Trouble::machine("cannot read", folder, error)),
    };
    let mut stems = Vec::new();
    for entry in read {
        let entry = entry.map_err(Trouble::reading(folder))?;
        let name = entry.file_name();
        let Some(stem) = name.to_str().and_then(|name| name.strip_suffix(ending)) else { continue };
        // Hidden files belong to editors and to writes that were cut off.
        if !stem.is_empty() && !stem.starts_with('.') && !entry.path().is_dir() {
            stems.push(stem.to_owned());
        }
    }
    stems.sort();
    Ok(stems)
}
