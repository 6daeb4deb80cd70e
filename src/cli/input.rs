//! The texts that the arguments name: read whole, refused in one sentence.

use std::ffi::OsString;
use std::fs::File;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use clap::ValueHint;
use clap::builder::{OsStringValueParser, TypedValueParser};

use super::output::{Ended, Output};
use crate::{Bag, Error, Fault, Result, Setup, Source};

/// Larger than any document within the library's limits; a device file has no end.
const MAX_BYTES: u64 = 64 << 20;

/// The arguments that make a setup.
#[derive(Debug, clap::Args)]
pub(super) struct SetupArgs {
    /// The setup, as a list or as a JSON document; `-` reads standard input.
    #[arg(value_name = "SETUP")]
    pub(super) setup: PathBuf,
    /// A document whose chargers replace the setup's; may be given several times. Of several
    /// in it, or of candidates on lines of their own, NAME takes one, as it is called there.
    #[arg(
        long = "charger",
        value_name = "FILE[:NAME]",
        value_hint = ValueHint::FilePath,
        value_parser = OsStringValueParser::new().map(ChargerArg::of)
    )]
    chargers: Vec<ChargerArg>,
}

impl SetupArgs {
    /// The documents named, the setup's first.
    pub(super) fn paths(&self) -> impl Iterator<Item = &PathBuf> {
        let chargers = self.chargers.iter().map(|charger| &charger.path);
        std::iter::once(&self.setup).chain(chargers)
    }

    /// The setup, and the texts that it was read from.
    pub(super) fn read(&self, out: &Output, json: bool) -> Result<(Vec<Text>, Setup), Ended> {
        self.read_with(&[], out, json)
    }

    /// The setup with the shops of these files in the place of its own, and the texts.
    pub(super) fn read_with(
        &self,
        shops: &[PathBuf],
        out: &Output,
        json: bool,
    ) -> Result<(Vec<Text>, Setup), Ended> {
        let texts =
            read_all(self.paths().chain(shops)).map_err(|error| out.refuse(&error, &[], json))?;
        let setup = self
            .setup_of(&texts)
            .map_err(|error| out.refuse(&error, &texts, json))?;
        Ok((texts, setup))
    }

    /// The setup of the texts of its documents; those behind its chargers are shops.
    pub(super) fn setup_of(&self, texts: &[Text]) -> Result<Setup> {
        let Some((bag, others)) = texts.split_first() else {
            return Err(Error::Options {
                message: "no setup was named".to_owned(),
            });
        };
        let sources: Vec<Source<'_>> = others.iter().map(Text::source).collect();
        let (chargers, shops) = sources.split_at(self.chargers.len().min(sources.len()));
        let names = self.chargers.iter().map(|charger| charger.name.as_deref());
        let chargers: Vec<_> = chargers.iter().copied().zip(names).collect();
        Setup::with_shops(bag.source(), &chargers, shops)
    }
}

/// A file of chargers, and which of them is meant.
#[derive(Debug, Clone)]
struct ChargerArg {
    path: PathBuf,
    name: Option<String>,
}

impl ChargerArg {
    /// Of `FILE`, or `FILE:NAME`. What exists as a whole is a file; or else the name begins
    /// behind the first colon before which a file is named.
    fn of(arg: OsString) -> Self {
        let whole = |arg: OsString| Self {
            path: arg.into(),
            name: None,
        };
        let Some(text) = arg.to_str().filter(|text| !Path::new(text).exists()) else {
            return whole(arg);
        };
        let is_file = |(file, _): &(&str, &str)| *file == "-" || Path::new(file).exists();
        let mut colons = text.match_indices(':');
        let parts = colons.find_map(|(at, _)| {
            let parts = (&text[..at], &text[at + 1..]);
            Some(parts).filter(is_file)
        });
        match parts {
            Some((file, name)) => Self {
                path: file.into(),
                name: Some(name.to_owned()),
            },
            None => whole(arg),
        }
    }
}

/// One text with its name, kept so that faults can show the line they mean.
#[derive(Debug)]
pub(super) struct Text {
    pub(super) file: String,
    pub(super) text: String,
}

impl Text {
    pub(super) fn source(&self) -> Source<'_> {
        Source {
            file: &self.file,
            text: &self.text,
        }
    }
}

/// Reads the texts that `paths` name, in order; every one that cannot be read is a
/// fault.
pub(super) fn read_all<'a>(paths: impl Iterator<Item = &'a PathBuf>) -> Result<Vec<Text>> {
    let mut texts = Vec::new();
    let mut faults = Vec::new();
    let mut stdin_taken = false;
    for path in paths {
        let from_stdin = path == Path::new("-");
        let file = if from_stdin {
            "<stdin>".to_owned()
        } else {
            path.display().to_string()
        };
        let read = if from_stdin && stdin_taken {
            Err("standard input can be read only once".to_owned())
        } else if from_stdin {
            stdin_taken = true;
            read_text(io::stdin().lock())
        } else {
            read_file(path)
        };
        match read {
            Ok(text) => texts.push(Text { file, text }),
            Err(message) => faults.push(Fault {
                file,
                message,
                ..Fault::default()
            }),
        }
    }
    if faults.is_empty() {
        Ok(texts)
    } else {
        Err(Error::Input(faults))
    }
}

/// The bag of the first text.
pub(super) fn bag(texts: &[Text]) -> Result<Bag> {
    match texts.first() {
        Some(bag) => Bag::from_source(bag.source()),
        None => Err(Error::Options {
            message: "no setup was named".to_owned(),
        }),
    }
}

fn read_file(path: &Path) -> Result<String, String> {
    if path.is_dir() {
        return Err("this is a directory, not a document".to_owned());
    }
    read_text(File::open(path).map_err(|error| cannot_read(&error))?)
}

fn read_text(from: impl Read) -> Result<String, String> {
    let mut bytes = Vec::new();
    from.take(MAX_BYTES + 1)
        .read_to_end(&mut bytes)
        .map_err(|error| cannot_read(&error))?;
    if u64::try_from(bytes.len()).is_ok_and(|length| length > MAX_BYTES) {
        return Err(format!("this is larger than {} MiB", MAX_BYTES >> 20));
    }
    String::from_utf8(bytes).map_err(|error| {
        format!(
            "this is not UTF-8 text: byte {} is wrong",
            error.utf8_error().valid_up_to() + 1
        )
    })
}

pub(super) fn cannot_read(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "there is no such file".to_owned(),
        io::ErrorKind::PermissionDenied => "this file may not be read".to_owned(),
        _ => format!("this cannot be read: {error}"),
    }
}

#[cfg(test)]
mod tests {
    use super::read_text;

    #[test]
    fn texts_are_read_whole_or_refused() {
        for (bytes, read) in [
            (&b"{}"[..], Ok("{}".to_owned())),
            (b"", Ok(String::new())),
            (
                b"ab\xffc",
                Err("this is not UTF-8 text: byte 3 is wrong".to_owned()),
            ),
        ] {
            assert_eq!(read_text(bytes), read);
        }
        let endless = std::io::repeat(b' ');
        assert_eq!(
            read_text(endless),
            Err("this is larger than 64 MiB".to_owned())
        );
    }
}
