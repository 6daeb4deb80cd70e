//! Which file a path means, however it is spelled.

use std::ffi::OsString;
use std::fs::Metadata;
use std::io;
use std::path::{Path, PathBuf};

/// Links that are followed at most, as the system does.
const MOST_LINKS: usize = 40;

/// What two paths have in common that mean the same file.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Identity {
    /// A device, or standard output: there is nothing that a second one could overwrite.
    Stream,
    There(Id),
    /// A name that nothing has, in a folder.
    New(Id, OsString),
}

#[cfg(unix)]
type Id = (u64, u64);
#[cfg(not(unix))]
type Id = PathBuf;

#[cfg(unix)]
#[expect(clippy::unnecessary_wraps, reason = "elsewhere the path is asked")]
fn id(_: &Path, about: &Metadata) -> io::Result<Id> {
    use std::os::unix::fs::MetadataExt;
    Ok((about.dev(), about.ino()))
}

#[cfg(not(unix))]
fn id(path: &Path, _: &Metadata) -> io::Result<Id> {
    path.canonicalize()
}

impl Identity {
    /// Of what is there.
    pub(super) fn of(path: &Path, about: &Metadata) -> io::Result<Self> {
        id(path, about).map(Self::There)
    }

    /// Of a name that nothing has yet, in a folder that must be there.
    pub(super) fn new_name(path: &Path) -> Result<Self, String> {
        let folder = match path.parent() {
            Some(parent) if parent != Path::new("") => parent,
            _ => Path::new("."),
        };
        let none = || format!("there is no directory `{}`", folder.display());
        let about = std::fs::metadata(folder).map_err(|_| none())?;
        let name = path.file_name().filter(|_| about.is_dir());
        let name = name.ok_or_else(none)?.to_owned();
        let id = id(folder, &about).map_err(|_| none())?;
        Ok(Self::New(id, name))
    }
}

/// Of a file that is read; `None` where it cannot be, and of a device.
pub(super) fn of_input(path: &Path) -> Option<Identity> {
    if path == Path::new("-") {
        return of_stream(io::stdin());
    }
    let about = std::fs::metadata(path).ok()?;
    has_bytes(&about)
        .then(|| Identity::of(path, &about).ok())
        .flatten()
}

/// Of what standard output goes to.
pub(super) fn of_stdout() -> Option<Identity> {
    #[cfg(unix)]
    {
        let about = about(io::stdout()).ok()?;
        Identity::of(Path::new(""), &about).ok()
    }
    #[cfg(not(unix))]
    None
}

#[cfg(unix)]
fn of_stream(stream: impl std::os::fd::AsFd) -> Option<Identity> {
    let about = about(stream).ok().filter(has_bytes)?;
    Identity::of(Path::new(""), &about).ok()
}

#[cfg(not(unix))]
fn of_stream<T>(_: T) -> Option<Identity> {
    None
}

#[cfg(unix)]
fn about(stream: impl std::os::fd::AsFd) -> io::Result<Metadata> {
    std::fs::File::from(stream.as_fd().try_clone_to_owned()?).metadata()
}

/// A terminal may well be read from and written to.
#[cfg(unix)]
fn has_bytes(about: &Metadata) -> bool {
    use std::os::unix::fs::FileTypeExt;
    about.is_file() || about.file_type().is_fifo()
}

#[cfg(not(unix))]
fn has_bytes(about: &Metadata) -> bool {
    about.is_file()
}

/// Whether a path means standard output by its name, through links or not: then what
/// standard output goes to is written behind what is there, not from its start.
pub(super) fn names_stdout(path: &Path) -> bool {
    const NAMES: [&str; 3] = ["/dev/stdout", "/dev/fd/1", "/proc/self/fd/1"];
    hops(path).any(|path| NAMES.iter().any(|name| path == Path::new(name)))
}

/// Where links that lead to nothing lead.
pub(super) fn end_of_links(path: &Path) -> PathBuf {
    hops(path).last().unwrap_or_else(|| path.to_owned())
}

/// A path, and where it leads link by link.
fn hops(path: &Path) -> impl Iterator<Item = PathBuf> {
    let next = |path: &PathBuf| {
        let target = std::fs::read_link(path).ok()?;
        Some(match path.parent() {
            Some(folder) => folder.join(target),
            None => target,
        })
    };
    std::iter::successors(Some(path.to_owned()), next).take(MOST_LINKS)
}
