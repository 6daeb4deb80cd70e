//! The two streams: results on standard output, what went wrong on standard error.

use std::io::{self, BufWriter, Write};

use anstream::{AutoStream, ColorChoice};

use super::input::Text;
use super::{Colour, Exit, faults};
use crate::report::{Page, Palette};
use crate::{Error, Faults};

/// Why a subcommand ended without its answer.
#[derive(Debug)]
pub(super) enum Ended {
    /// The answer could not be written.
    Write(io::Error),
    /// The reason was said where it belongs.
    Said(Exit),
}

impl From<io::Error> for Ended {
    fn from(error: io::Error) -> Self {
        Self::Write(error)
    }
}

/// The streams of this process.
#[derive(Debug)]
pub(super) struct Output {
    choice: ColorChoice,
    /// Whether only what was reached is said.
    quiet: bool,
}

impl Output {
    pub(super) fn new(colour: Colour, quiet: bool) -> Self {
        let choice = match colour {
            Colour::Auto => ColorChoice::Auto,
            Colour::Always => ColorChoice::AlwaysAnsi,
            Colour::Never => ColorChoice::Never,
        };
        Self { choice, quiet }
    }

    /// Writes a result for people; its styles reach a terminal only.
    pub(super) fn text(
        &self,
        write: impl FnOnce(&mut dyn Write) -> io::Result<()>,
    ) -> io::Result<()> {
        let mut out = BufWriter::new(AutoStream::new(io::stdout(), self.choice));
        read_enough(write(&mut out).and_then(|()| out.flush()))
    }

    /// Writes an answer: its document for programs, or its page for people.
    pub(super) fn answer(
        &self,
        json: bool,
        document: impl FnOnce() -> String,
        page: impl FnOnce() -> Page,
    ) -> io::Result<()> {
        if json {
            data(&document())
        } else {
            self.page(&page())
        }
    }

    /// Writes a page for people.
    pub(super) fn page(&self, page: &Page) -> io::Result<()> {
        self.text(|mut out| {
            if self.quiet {
                page.write_headline(&Palette::COLOUR, &mut out)
            } else {
                page.write_text(&Palette::COLOUR, &mut out)
            }
        })
    }

    /// Writes lines of which the first says what was reached.
    pub(super) fn lines(&self, text: &str) -> io::Result<()> {
        let first = text.split_inclusive('\n').next().unwrap_or_default();
        let shown = if self.quiet { first } else { text };
        self.text(|out| out.write_all(shown.as_bytes()))
    }

    /// Writes what is said beside an answer: where its files are.
    pub(super) fn aside(&self, text: &str) -> io::Result<()> {
        if self.quiet {
            return Ok(());
        }
        self.text(|out| out.write_all(text.as_bytes()))
    }

    /// Whether nobody wants to see how far a call is.
    pub(super) fn is_quiet(&self) -> bool {
        self.quiet
    }

    /// Says why there is no answer, and with which code the process ends.
    pub(super) fn refuse(&self, error: &Error, texts: &[Text], json: bool) -> Ended {
        let exit = match error {
            Error::Input(_) | Error::Options { .. } => Exit::BadInput,
            Error::NoPlanInTime => Exit::Interrupted,
            Error::NoProof { .. } | Error::Internal { .. } => Exit::Failed,
        };
        let found = Faults::from(error);
        if json {
            return match data(&found.to_json()) {
                Ok(()) => Ended::Said(exit),
                Err(error) => Ended::Write(error),
            };
        }
        let mut err = BufWriter::new(AutoStream::new(io::stderr(), self.choice));
        // With standard error gone, the code alone must say it.
        let _ = faults::write(&found.errors, texts, &mut err).and_then(|()| err.flush());
        Ended::Said(exit)
    }

    /// What a call ends with whose answer has several parts, on the streams and in files:
    /// each was tried, whatever became of the others, and each that failed is said.
    pub(super) fn parts(
        &self,
        answer: Exit,
        parts: impl IntoIterator<Item = Result<(), Ended>>,
    ) -> Result<Exit, Ended> {
        let mut first = None;
        let mut said = Vec::new();
        for ended in parts.into_iter().filter_map(Result::err) {
            // A stream that is full is so for every part.
            if let Ended::Write(error) = &ended {
                let why = error.to_string();
                if said.contains(&why) {
                    continue;
                }
                said.push(why);
            }
            let exit = self.end(Err(ended));
            first.get_or_insert(exit);
        }
        match first {
            None => Ok(answer),
            Some(exit) => Err(Ended::Said(exit)),
        }
    }

    /// The code for what a subcommand returned.
    pub(super) fn end(&self, ended: Result<Exit, Ended>) -> Exit {
        match ended {
            Ok(exit) | Err(Ended::Said(exit)) => exit,
            // Of a stream of answers, whose reader has seen enough.
            Err(Ended::Write(error)) if error.kind() == io::ErrorKind::BrokenPipe => Exit::Done,
            Err(Ended::Write(error)) => {
                let mut err = AutoStream::new(io::stderr(), self.choice);
                // With both streams gone there is nobody left to tell.
                let _ = writeln!(err, "error: the answer could not be written: {error}");
                Exit::Failed
            }
        }
    }
}

/// Writes a result for programs, byte for byte, with a line break at its end.
pub(super) fn data(text: &str) -> io::Result<()> {
    read_enough(through(text.as_bytes()).and_then(|()| {
        if text.ends_with('\n') {
            Ok(())
        } else {
            through(b"\n")
        }
    }))
}

/// Writes bytes to standard output.
pub(super) fn through(bytes: &[u8]) -> io::Result<()> {
    let mut out = io::stdout().lock();
    out.write_all(bytes)?;
    out.flush()
}

/// Whoever went away before the end has seen enough: that is no failure, and what else was
/// asked for, files among it, is still to be done.
pub(super) fn read_enough(written: io::Result<()>) -> io::Result<()> {
    match written {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        written => written,
    }
}
