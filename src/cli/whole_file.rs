//! The one door for output files: looked at all together and opened before anything is
//! worked out, written at the end.
//!
//! Only a plain file or a new name is written to, and no name is ever replaced: a file
//! keeps its owner, its rights and its other names, a link stays a link. What has no
//! bytes of its own, a device or a pipe, is written through. Until there is something to
//! write, a file that is there keeps its bytes, and a new name does not exist.

mod identity;

use std::fs::{File, FileType, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use self::identity::Identity;
use super::output::{read_enough, through};
use crate::{Error, Fault, Result};

/// A file that is to be written.
#[derive(Debug, Clone, Copy)]
pub(super) struct Wanted<'a> {
    /// The option that names it: `--svg`.
    pub(super) option: &'static str,
    /// What goes into it: `a picture`.
    pub(super) what: &'static str,
    pub(super) path: &'a Path,
}

/// The files of a call.
#[derive(Debug, Default)]
pub(super) struct Files(Vec<OutputFile>);

/// A file that may be written, and has not been yet.
#[derive(Debug)]
pub(super) struct OutputFile {
    option: &'static str,
    /// As it was named.
    pub(super) path: PathBuf,
    at: At,
}

/// Where the bytes go.
#[derive(Debug)]
enum At {
    /// Behind the answer, on standard output.
    Answer,
    /// A device or a pipe.
    Through(File),
    /// A plain file that is there, its bytes untouched so far.
    There(File),
    /// A name that nothing has yet.
    New(PathBuf),
}

impl Files {
    /// Opens every file that is wanted, or refuses all that cannot be written: those that
    /// are read in the same call, too, and those that are named twice.
    pub(super) fn open<'a>(
        wanted: impl Iterator<Item = Wanted<'a>>,
        inputs: impl Iterator<Item = &'a PathBuf>,
    ) -> Result<Self> {
        let wanted: Vec<Wanted<'_>> = wanted.collect();
        let inputs: Vec<Identity> = if wanted.is_empty() {
            Vec::new()
        } else {
            inputs.filter_map(|path| identity::of_input(path)).collect()
        };
        let mut looked_at: Vec<(Wanted<'_>, Place)> = Vec::new();
        let mut faults = Vec::new();
        for wanted in wanted {
            match place(&wanted).and_then(|place| alone(&wanted, place, &inputs, &looked_at)) {
                Ok(place) => looked_at.push((wanted, place)),
                Err(message) => faults.push(fault(&wanted, message)),
            }
        }
        let mut files = Vec::new();
        // A pipe waits for its reader, so it comes last, and only where all else is well.
        looked_at.sort_by_key(|(_, place)| place.waits);
        for (wanted, place) in looked_at {
            if place.waits && !faults.is_empty() {
                continue;
            }
            match place.open(wanted.path) {
                Ok(at) => files.push(OutputFile {
                    option: wanted.option,
                    path: wanted.path.to_owned(),
                    at,
                }),
                Err(message) => faults.push(fault(&wanted, message)),
            }
        }
        if faults.is_empty() {
            Ok(Self(files))
        } else {
            Err(Error::Input(faults))
        }
    }

    /// The file that an option named.
    pub(super) fn take(&mut self, option: &str) -> Option<OutputFile> {
        let at = self.0.iter().position(|file| file.option == option)?;
        Some(self.0.remove(at))
    }
}

impl OutputFile {
    /// Writes it whole. Where that fails, nothing is left of a new name, and a file that
    /// was there is left empty rather than in part.
    pub(super) fn write(self, bytes: &[u8]) -> io::Result<()> {
        let written = match self.at {
            At::Answer => read_enough(through(bytes)),
            At::Through(mut file) => file.write_all(bytes),
            At::There(mut file) => {
                let written = file.set_len(0).and_then(|()| file.write_all(bytes));
                written.map_err(|error| match file.set_len(0) {
                    Ok(()) => io::Error::other(format!("{error}; it is left empty")),
                    Err(_) => error,
                })
            }
            At::New(path) => write_new(&path, bytes),
        };
        // Not the kind: to the answer's stream this is no broken pipe.
        written.map_err(|error| io::Error::other(format!("`{}`: {error}", self.path.display())))
    }
}

fn write_new(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = match created(path) {
        Ok(file) => file,
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {
            let message = "somebody else has made this file meanwhile; it is left as it is";
            return Err(io::Error::other(message));
        }
        Err(error) => return Err(error),
    };
    file.write_all(bytes).inspect_err(|_| {
        // What is there in part must go; the reason is told in any case.
        let _ = std::fs::remove_file(path);
    })
}

/// What stands at a path, or would.
#[derive(Debug)]
struct Place {
    identity: Identity,
    kind: Kind,
    /// Whether opening it waits for somebody at its other end.
    waits: bool,
}

#[derive(Debug)]
enum Kind {
    Answer,
    Through,
    There,
    New(PathBuf),
}

/// Looks at what a path names, through links, without opening it.
fn place(wanted: &Wanted<'_>) -> Result<Place, String> {
    let path = wanted.path;
    if path == Path::new("-") {
        return Err(format!(
            "{} is written to a file: standard output is the answer's",
            wanted.what
        ));
    }
    let is = |identity, kind| Place {
        identity,
        kind,
        waits: false,
    };
    if identity::names_stdout(path) {
        return Ok(is(Identity::Stream, Kind::Answer));
    }
    let about = match std::fs::metadata(path) {
        Ok(about) => about,
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            let path = identity::end_of_links(path);
            let identity = Identity::new_name(&path)?;
            return Ok(is(identity, Kind::New(path)));
        }
        Err(error) => return Err(cannot_write(&error)),
    };
    let identity = Identity::of(path, &about).map_err(|error| cannot_write(&error))?;
    if about.is_dir() {
        return Err("this is a directory, not a file".to_owned());
    }
    let is_stdout = identity::of_stdout().is_some_and(|stdout| stdout == identity);
    if about.is_file() {
        if is_stdout {
            return Err("the answer goes into this file: standard output does".to_owned());
        }
        return Ok(is(identity, Kind::There));
    }
    if is_stdout {
        return Ok(is(Identity::Stream, Kind::Answer));
    }
    match other(about.file_type()) {
        Other::Device => Ok(is(Identity::Stream, Kind::Through)),
        Other::Pipe => Ok(Place {
            identity,
            kind: Kind::Through,
            waits: true,
        }),
        Other::Refused(what) => Err(format!("this is {what}, not a file")),
    }
}

/// What is neither a file nor a directory.
enum Other {
    Device,
    Pipe,
    Refused(&'static str),
}

#[cfg(unix)]
fn other(file_type: FileType) -> Other {
    use std::os::unix::fs::FileTypeExt;
    if file_type.is_char_device() {
        Other::Device
    } else if file_type.is_fifo() {
        Other::Pipe
    } else if file_type.is_block_device() {
        // What stands on it would be lost.
        Other::Refused("a disk")
    } else {
        Other::Refused("a socket")
    }
}

#[cfg(not(unix))]
fn other(_: FileType) -> Other {
    Other::Device
}

/// That a place is neither read in the same call nor written twice. Streams have no bytes
/// that could be lost: they take one thing after the other.
fn alone(
    wanted: &Wanted<'_>,
    place: Place,
    inputs: &[Identity],
    others: &[(Wanted<'_>, Place)],
) -> Result<Place, String> {
    if inputs.contains(&place.identity) {
        return Err(format!(
            "this is read in the same call; `{}` needs another file",
            wanted.option
        ));
    }
    let same = |(_, other): &&(Wanted<'_>, Place)| {
        other.identity == place.identity && place.identity != Identity::Stream
    };
    match others.iter().find(same) {
        Some((other, _)) => Err(format!(
            "`{}` and `{}` name the same file",
            other.option, wanted.option
        )),
        None => Ok(place),
    }
}

impl Place {
    fn open(self, named: &Path) -> Result<At, String> {
        match self.kind {
            Kind::Answer => Ok(At::Answer),
            Kind::Through => opened(named).map(At::Through),
            Kind::There => opened(named).map(At::There),
            Kind::New(path) => tried(path),
        }
        .map_err(|error| cannot_write(&error))
    }
}

/// For writing, its bytes as they are.
fn opened(path: &Path) -> io::Result<File> {
    OpenOptions::new().write(true).open(path)
}

fn created(path: &Path) -> io::Result<File> {
    OpenOptions::new().write(true).create_new(true).open(path)
}

/// Makes a new file and takes it away again: then it can be made, and however the run
/// ends, no empty one is left behind.
fn tried(path: PathBuf) -> io::Result<At> {
    let file = created(&path)?;
    Ok(match std::fs::remove_file(&path) {
        Ok(()) => At::New(path),
        // In a folder where names only ever come.
        Err(_) => At::There(file),
    })
}

fn fault(wanted: &Wanted<'_>, message: String) -> Fault {
    Fault {
        file: wanted.path.display().to_string(),
        message,
        ..Fault::default()
    }
}

fn cannot_write(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::PermissionDenied => "this file may not be written".to_owned(),
        _ => format!("this cannot be written: {error}"),
    }
}
