//! Writing a file so that it is either whole or not there: beside, then renamed.
//!
//! ```no_run
//! use pullrank::files::write::{Existing, Target};
//!
//! // Opened before the long computation, so that a bad path fails at once.
//! let target = Target::open("report.html".as_ref(), Existing::Keep)?;
//! target.write(b"<!doctype html>")?;
//! # Ok::<(), pullrank::files::write::WriteError>(())
//! ```

use std::fs::{self, File, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};

use super::finding::{Finding, Position};
use super::opened::Opened;

/// What to do with a file that is there already.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Existing {
    /// Leave it and refuse.
    Keep,
    /// Put the new one in its place.
    Replace,
}

/// Why a file was not written; nothing has changed then.
#[derive(Debug, thiserror::Error)]
#[error("{}: {cause}", path.display())]
pub struct WriteError {
    /// The file.
    pub path: PathBuf,
    /// What stood in the way.
    #[source]
    pub cause: Cause,
}

/// What stands in the way of writing.
#[derive(Debug, thiserror::Error)]
pub enum Cause {
    /// It exists and is to be kept.
    #[error("this file exists already")]
    Exists,
    /// It was read for what is to be written.
    #[error("this file was read for the answer and is not written over")]
    Read,
    /// The path has no file name, or names a folder, a device or a pipe.
    #[error("this is no ordinary file and cannot be written over")]
    NotOrdinary,
    /// The folder to make is there and holds something, or is no folder.
    #[error("this is there already, and not an empty folder")]
    NotEmpty,
    /// The path of a folder to make has no name of its own, as `.` or `..`.
    #[error("this folder has no name of its own to be made by")]
    NotNamed,
    /// Its folder is missing.
    #[error("there is no folder {}", .0.display())]
    NoFolder(PathBuf),
    /// The system refused.
    #[error("it cannot be written: {}", in_words(.0))]
    System(#[from] io::Error),
}

/// What the system says, in words where they are usual ones.
fn in_words(error: &io::Error) -> String {
    use io::ErrorKind as E;
    let words = match error.kind() {
        // The folder is there, or another fault had been found.
        E::NotFound | E::Unsupported => "its folder takes no new files",
        E::PermissionDenied => "permission denied",
        E::ReadOnlyFilesystem => "its disk may only be read",
        E::StorageFull => "its disk is full",
        E::QuotaExceeded => "there is no room left for this user",
        E::FileTooLarge => "larger than the system lets a file be",
        E::InvalidFilename => "the system takes no such name",
        _ => return error.to_string(),
    };
    words.to_owned()
}

impl WriteError {
    /// The finding for people.
    pub fn finding(&self) -> Finding {
        let finding = Finding::error(self.cause.to_string()).at(Position::file(&self.path));
        match &self.cause {
            Cause::Exists => finding.remedy("give another name, or say --force to write over it"),
            Cause::NoFolder(_) => finding.remedy("make the folder first"),
            Cause::NotEmpty => finding.remedy("give the name of a folder that is not there yet"),
            Cause::NotNamed => finding.remedy("give a name, as in `pullrank new my-study`"),
            Cause::Read => finding.remedy("give another name"),
            Cause::NotOrdinary => finding.remedy("give the name of a file"),
            Cause::System(_) => finding.remedy("give a place in a folder of yours"),
        }
    }
}

/// A file about to be written. Until then nothing of it is on the disk, so that a program that is
/// stopped on the way leaves nothing.
#[derive(Debug)]
pub struct Target {
    path: PathBuf,
    existing: Existing,
}

/// The unfinished file; removed unless it is renamed.
#[derive(Debug)]
struct Beside {
    path: PathBuf,
    file: File,
}

impl Drop for Beside {
    fn drop(&mut self) {
        // After a rename there is nothing left to remove.
        let _ = fs::remove_file(&self.path);
    }
}

impl Target {
    /// Makes sure that `path` can be written, without touching it.
    ///
    /// # Errors
    /// It exists and is to be kept, is no ordinary file, its folder is missing, or the system
    /// refuses.
    pub fn open(path: &Path, existing: Existing) -> Result<Self, WriteError> {
        let opened = || -> Result<Self, Cause> {
            let target = resolved(path);
            check(&target, existing)?;
            let folder = folder_of(&target);
            if !folder.is_dir() {
                return Err(Cause::NoFolder(folder.to_owned()));
            }
            // Made and removed again: the folder can be written to.
            drop(beside(folder)?);
            Ok(Self {
                path: target,
                existing,
            })
        };
        opened().map_err(|cause| WriteError {
            path: path.to_owned(),
            cause,
        })
    }

    /// Makes sure that it is none of the files that were read, by whatever path or link.
    ///
    /// # Errors
    /// It is one of them.
    pub fn spare(&self, read: &[Opened]) -> Result<(), WriteError> {
        let Ok(own) = fs::canonicalize(&self.path) else {
            return Ok(());
        };
        let is_own = |file: &Opened| fs::canonicalize(&file.path).is_ok_and(|path| path == own);
        match read.iter().any(is_own) {
            true => Err(WriteError {
                path: self.path.clone(),
                cause: Cause::Read,
            }),
            false => Ok(()),
        }
    }

    /// Writes the whole file and puts it in its place.
    ///
    /// # Errors
    /// The system refuses, or somebody else has written the file meanwhile and it is to be kept.
    pub fn write(self, bytes: &[u8]) -> Result<(), WriteError> {
        let written = || -> Result<(), Cause> {
            let mut beside = beside(folder_of(&self.path))?;
            beside.file.write_all(bytes)?;
            beside.file.sync_all()?;
            check(&self.path, self.existing)?;
            self.put(&beside.path)
        };
        written().map_err(|cause| WriteError {
            path: self.path.clone(),
            cause,
        })
    }

    /// Gives a finished file its name.
    fn put(&self, finished: &Path) -> Result<(), Cause> {
        if let Ok(old) = fs::metadata(&self.path) {
            fs::set_permissions(finished, old.permissions())?;
        }
        match self.existing {
            Existing::Replace => fs::rename(finished, &self.path)?,
            // A link, unlike a rename, fails where the name is taken; some file systems have none.
            Existing::Keep => match fs::hard_link(finished, &self.path) {
                Err(e) if e.kind() == io::ErrorKind::AlreadyExists => return Err(Cause::Exists),
                Err(_) => fs::rename(finished, &self.path)?,
                Ok(()) => {}
            },
        }
        // Makes the new name last through a power cut; not every system allows it.
        if let Ok(folder) = File::open(folder_of(&self.path)) {
            let _ = folder.sync_all();
        }
        Ok(())
    }
}

/// Opens, writes and puts a file in one go.
///
/// # Errors
/// See [`Target::open`] and [`Target::write`].
pub fn write(path: &Path, bytes: &[u8], existing: Existing) -> Result<(), WriteError> {
    Target::open(path, existing)?.write(bytes)
}

/// Writes files, each with its path from the folder, as a new folder that is either whole or not
/// there; `check` looks at them where they wait before the folder gets its name.
///
/// # Errors
/// `path` is there and not an empty folder, its own folder is missing, the system refuses, or what
/// `check` gives.
pub fn folder<E: From<WriteError>>(
    path: &Path,
    files: &[(PathBuf, Vec<u8>)],
    check: impl FnOnce(&Path) -> Result<(), E>,
) -> Result<(), E> {
    let refused = |cause: Cause| WriteError {
        path: path.to_owned(),
        cause,
    };
    let unfinished = unfinished(path).map_err(refused)?;
    for (name, bytes) in files {
        part(&unfinished.0.join(name), bytes).map_err(|e| refused(e.into()))?;
    }
    check(&unfinished.0)?;
    // An empty folder gives way; one that was filled meanwhile does not.
    let _ = fs::remove_dir(path);
    fs::rename(&unfinished.0, path).map_err(|error| match fs::symlink_metadata(path) {
        Ok(_) => refused(Cause::NotEmpty),
        Err(_) => refused(error.into()),
    })?;
    if let Ok(folder) = File::open(folder_of(path)) {
        let _ = folder.sync_all();
    }
    Ok(())
}

/// A folder that is being filled; removed unless it is renamed.
struct Unfinished(PathBuf);

impl Drop for Unfinished {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// A new folder beside the one that is wanted, where that can be.
fn unfinished(path: &Path) -> Result<Unfinished, Cause> {
    if path.file_name().is_none() {
        return Err(Cause::NotNamed);
    }
    match fs::symlink_metadata(path) {
        Ok(about) if !about.is_dir() => return Err(Cause::NotEmpty),
        Ok(_) if fs::read_dir(path)?.next().is_some() => return Err(Cause::NotEmpty),
        _ => {}
    }
    let outer = folder_of(path);
    if !outer.is_dir() {
        return Err(Cause::NoFolder(outer.to_owned()));
    }
    loop {
        let path = outer.join(unfinished_name());
        match fs::create_dir(&path) {
            Ok(()) => return Ok(Unfinished(path)),
            Err(e) if e.kind() == io::ErrorKind::AlreadyExists => {}
            Err(e) => return Err(e.into()),
        }
    }
}

/// Writes one file of an unfinished folder.
fn part(path: &Path, bytes: &[u8]) -> io::Result<()> {
    fs::create_dir_all(folder_of(path))?;
    let mut file = OpenOptions::new().write(true).create_new(true).open(path)?;
    file.write_all(bytes)?;
    file.sync_all()
}

/// The file that a link stands for, so that the link stays a link.
fn resolved(path: &Path) -> PathBuf {
    match fs::symlink_metadata(path) {
        Ok(about) if about.is_symlink() => {
            fs::canonicalize(path).unwrap_or_else(|_| path.to_owned())
        }
        _ => path.to_owned(),
    }
}

fn check(path: &Path, existing: Existing) -> Result<(), Cause> {
    if path.file_name().is_none() {
        return Err(Cause::NotOrdinary);
    }
    match fs::metadata(path) {
        Ok(about) if !about.is_file() => Err(Cause::NotOrdinary),
        Ok(_) if existing == Existing::Keep => Err(Cause::Exists),
        _ => Ok(()),
    }
}

fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

/// A name that no other run and no other file of this one uses.
fn unfinished_name() -> String {
    static NEXT: AtomicU32 = AtomicU32::new(0);
    let number = NEXT.fetch_add(1, Ordering::Relaxed);
    format!(".pullrank-{}-{number}.part", std::process::id())
}

/// A new file in `folder` that nobody else is writing.
fn beside(folder: &Path) -> io::Result<Beside> {
    loop {
        let path = folder.join(unfinished_name());
        match OpenOptions::new().write(true).create_new(true).open(&path) {
            Ok(file) => return Ok(Beside { path, file }),
            Err(e) if e.kind() == io::ErrorKind::AlreadyExists => {}
            Err(e) => return Err(e),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A folder of its own for each test, removed afterwards.
    struct Folder(PathBuf);

    impl Folder {
        fn new(name: &str) -> Self {
            let path =
                std::env::temp_dir().join(format!("pullrank-write-{name}-{}", std::process::id()));
            let _ = fs::remove_dir_all(&path);
            fs::create_dir_all(&path).unwrap();
            Self(path)
        }

        fn names(&self) -> Vec<String> {
            let listing = fs::read_dir(&self.0).unwrap();
            let mut names: Vec<String> = listing
                .map(|e| e.unwrap().file_name().into_string().unwrap())
                .collect();
            names.sort();
            names
        }
    }

    impl Drop for Folder {
        fn drop(&mut self) {
            let _ = fs::remove_dir_all(&self.0);
        }
    }

    #[test]
    fn writes_whole_files_and_leaves_nothing_beside() {
        let folder = Folder::new("whole");
        let path = folder.0.join("a.html");
        write(&path, b"one", Existing::Keep).unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"one");
        write(&path, b"two", Existing::Replace).unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"two");
        assert_eq!(folder.names(), ["a.html"]);
    }

    #[test]
    fn keeps_what_is_there() {
        let folder = Folder::new("keeps");
        let path = folder.0.join("a.html");
        fs::write(&path, "old").unwrap();
        let error = write(&path, b"new", Existing::Keep).unwrap_err();
        assert!(matches!(error.cause, Cause::Exists));
        assert_eq!(fs::read(&path).unwrap(), b"old");
        assert_eq!(folder.names(), ["a.html"]);
    }

    #[test]
    fn keeps_what_came_meanwhile() {
        let folder = Folder::new("meanwhile");
        let path = folder.0.join("a.html");
        let target = Target::open(&path, Existing::Keep).unwrap();
        fs::write(&path, "theirs").unwrap();
        let error = target.write(b"ours").unwrap_err();
        assert!(matches!(error.cause, Cause::Exists));
        assert_eq!(fs::read(&path).unwrap(), b"theirs");
        assert_eq!(folder.names(), ["a.html"]);
    }

    #[test]
    fn given_up_leaves_nothing() {
        let folder = Folder::new("dropped");
        let path = folder.0.join("a.html");
        drop(Target::open(&path, Existing::Keep).unwrap());
        assert!(folder.names().is_empty());
    }

    #[test]
    fn names_the_path_and_the_cause() {
        let folder = Folder::new("causes");
        let missing = folder.0.join("none").join("a.html");
        let error = write(&missing, b"x", Existing::Keep).unwrap_err();
        assert!(matches!(error.cause, Cause::NoFolder(_)));
        assert!(
            error
                .to_string()
                .starts_with(&missing.display().to_string())
        );
        let error = write(&folder.0, b"x", Existing::Replace).unwrap_err();
        assert!(matches!(error.cause, Cause::NotOrdinary));
        let error = write(Path::new("/"), b"x", Existing::Replace).unwrap_err();
        assert!(matches!(error.cause, Cause::NotOrdinary));
        let said = error.finding().to_string();
        assert_eq!(
            said,
            "/: error: this is no ordinary file and cannot be written over\n  give the name of a file"
        );
    }

    #[cfg(unix)]
    #[test]
    fn follows_a_link_and_keeps_permissions() {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let folder = Folder::new("link");
        let (path, link) = (folder.0.join("a.html"), folder.0.join("link.html"));
        fs::write(&path, "old").unwrap();
        fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
        symlink(&path, &link).unwrap();
        write(&link, b"new", Existing::Replace).unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"new");
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        assert_eq!(
            fs::metadata(&path).unwrap().permissions().mode() & 0o777,
            0o640
        );
        assert_eq!(folder.names(), ["a.html", "link.html"]);
    }
}
