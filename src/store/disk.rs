//! Files as wholes: read as text, written so that a power cut leaves the old file or the new one.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::Path;
use std::time::Duration;

use crate::base::Finding;
use crate::base::finding::Place;
use crate::store::Trouble;

/// Largest file of words accepted, bytes; a deck of a thousand serves is far below it.
const LARGEST: u64 = 8 * 1024 * 1024;

/// How long a file is; nothing when it is not there.
///
/// # Errors
/// A finding for what is no file; the machine's own trouble otherwise.
pub(crate) fn length_of(path: &Path, shown: &str) -> Result<Option<u64>, Trouble> {
    let (what, hint) = match fs::metadata(path) {
        Ok(about) if about.is_file() => return Ok(Some(about.len())),
        Ok(_) => ("a folder or a device is called so", "give it another name"),
        Err(error) if error.kind() == io::ErrorKind::NotFound => match fs::symlink_metadata(path) {
            Ok(_) => (
                "this is a link to a file that is not there",
                "bring that file back, or delete the link",
            ),
            Err(_) => return Ok(None),
        },
        Err(error) => return Err(Trouble::machine("cannot read", path, error)),
    };
    Err(refused(shown, what, hint))
}

fn refused(shown: &str, what: &str, hint: &str) -> Trouble {
    Trouble::finding(Finding::error(what).at(Place::file(shown)).hint(hint))
}

/// The text of a file; nothing when it is not there.
///
/// # Errors
/// A finding for a file that is not text; the machine's own trouble otherwise.
pub(crate) fn read_text(path: &Path, shown: &str) -> Result<Option<String>, Trouble> {
    let Some(length) = length_of(path, shown)? else { return Ok(None) };
    if length > LARGEST {
        return Err(Trouble::finding(
            Finding::error(format!("{length} bytes are no deck; allowed is {LARGEST} bytes"))
                .at(Place::file(shown)),
        ));
    }
    let bytes = match fs::read(path) {
        Err(error) if error.kind() == io::ErrorKind::PermissionDenied => {
            let hint = "it may belong to somebody else: give yourself the right to read it";
            return Err(refused(shown, "this may not be read", hint));
        }
        bytes => bytes.map_err(Trouble::reading(path))?,
    };
    String::from_utf8(bytes).map(Some).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        Trouble::finding(no_text(shown, &String::from_utf8_lossy(error.as_bytes()), at))
    })
}

/// A file of which the byte at this place is no text.
pub(crate) fn no_text(file: &str, text: &str, at: usize) -> Finding {
    Finding::error("this is not a text file")
        .at(Place::within(file, text, at, at + 1))
        .hint("save it as plain text (UTF-8), or bring it back from a copy")
}

/// What a write that was cut off leaves behind begins so; the id of its process follows.
const WRITING: &str = ".writing-";
/// The age at which such a file belongs to nobody, whatever process it names.
const LEFT_BEHIND: Duration = Duration::from_hours(1);

/// What may stand where a file is put; editors and sync programs take no lock.
#[derive(Clone, Copy)]
pub(crate) enum Over<'b> {
    Anything,
    Nothing,
    /// The bytes that were read.
    These(&'b [u8]),
}

/// Writes a whole file: beside it first, then in its place, so that it is never half written.
///
/// # Errors
/// The machine's own trouble.
pub(crate) fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), Trouble> {
    write_over(path, bytes, Over::Anything).map(drop)
}

/// The same where nothing else than this stands; false, and nothing written, where something does.
///
/// # Errors
/// The machine's own trouble.
pub(crate) fn write_over(path: &Path, bytes: &[u8], over: Over<'_>) -> Result<bool, Trouble> {
    let written = || -> io::Result<bool> {
        // A link to a file elsewhere keeps being a link.
        let path = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
        // A bare name has an empty parent, which is no folder that could be opened.
        let folder =
            path.parent().filter(|folder| *folder != Path::new("")).unwrap_or(Path::new("."));
        let prefix = format!("{WRITING}{}-", std::process::id());
        let mut beside = tempfile::Builder::new().prefix(&prefix).tempfile_in(folder)?;
        beside.write_all(bytes)?;
        if let Ok(about) = fs::metadata(&path) {
            beside.as_file().set_permissions(about.permissions())?;
        } else {
            set_usual_permissions(beside.as_file())?;
        }
        beside.as_file().sync_all()?;
        let put = match over {
            Over::Nothing => beside.persist_noclobber(&path),
            Over::These(read) if fs::read(&path).ok().as_deref() != Some(read) => return Ok(false),
            Over::These(_) | Over::Anything => beside.persist(&path),
        };
        match put {
            Err(error) if error.error.kind() == io::ErrorKind::AlreadyExists => return Ok(false),
            put => put.map_err(|error| error.error)?,
        };
        sync_folder(folder).map(|()| true)
    };
    written().map_err(|error| Trouble::machine("cannot write", path, error))
}

/// The same for a file inside a folder, with the folders it names.
///
/// # Errors
/// The machine's own trouble.
pub(crate) fn write_inside(
    root: &Path,
    file: &str,
    bytes: &[u8],
    over: Over<'_>,
) -> Result<bool, Trouble> {
    let path = root.join(file);
    if let Some(folder) = path.parent() {
        make_folder(folder)?;
    }
    write_over(&path, bytes, over)
}

/// Deletes what writes that were cut off have left in a folder: those of processes that are gone,
/// where the system tells, and all that are old.
pub(crate) fn sweep(folder: &Path) {
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let name = entry.file_name();
        let Some(of) = name.to_str().and_then(|name| name.strip_prefix(WRITING)) else { continue };
        let written = entry.metadata().and_then(|about| about.modified());
        let age = written.ok().and_then(|written| written.elapsed().ok());
        let processes = Path::new("/proc");
        let is_gone = of.split_once('-').is_some_and(|(process, _)| {
            processes.join("self").exists() && !processes.join(process).exists()
        });
        if is_gone || age.is_some_and(|age| age > LEFT_BEHIND) {
            // What cannot be deleted now is tried again at the next write.
            let _ = fs::remove_file(entry.path());
        }
    }
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
