//! The two streams: results on standard output, what went wrong on standard error.

use std::io::{self, BufWriter, Write};

use anstream::{AutoStream, ColorChoice};

use super::input::Text;
use super::{Colour, Exit, faults};
use crate::{Error, Fault};

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
}

impl Output {
    pub(super) fn new(colour: Colour) -> Self {
        let choice = match colour {
            Colour::Auto => ColorChoice::Auto,
            Colour::Always => ColorChoice::AlwaysAnsi,
            Colour::Never => ColorChoice::Never,
        };
        Self { choice }
    }

    /// Writes a result for people; its styles reach a terminal only.
    pub(super) fn text(
        &self,
        write: impl FnOnce(&mut dyn Write) -> io::Result<()>,
    ) -> io::Result<()> {
        let mut out = BufWriter::new(AutoStream::new(io::stdout(), self.choice));
        write(&mut out)?;
        out.flush()
    }

    /// Says why there is no answer, and with which code the process ends.
    pub(super) fn refuse(&self, error: &Error, texts: &[Text], json: bool) -> Ended {
        let exit = match error {
            Error::Input(_) | Error::Options { .. } => Exit::BadInput,
            Error::NoPlanInTime => Exit::Interrupted,
            Error::NoProof { .. } | Error::Internal { .. } => Exit::Failed,
        };
        let alone;
        let faults: &[Fault] = if let Error::Input(faults) = error {
            faults
        } else {
            alone = [Fault {
                message: error.to_string(),
                ..Fault::default()
            }];
            &alone
        };
        let said = if json {
            data(&faults::to_json(faults))
        } else {
            let mut err = BufWriter::new(AutoStream::new(io::stderr(), self.choice));
            faults::write(faults, texts, &mut err).and_then(|()| err.flush())
        };
        match said {
            Ok(()) => Ended::Said(exit),
            Err(error) => Ended::Write(error),
        }
    }

    /// The code for what a subcommand returned.
    pub(super) fn end(&self, ended: Result<Exit, Ended>) -> Exit {
        match ended {
            Ok(exit) | Err(Ended::Said(exit)) => exit,
            // Whoever read this has seen enough; that is no failure.
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
    let mut out = io::stdout().lock();
    out.write_all(text.as_bytes())?;
    if !text.ends_with('\n') {
        out.write_all(b"\n")?;
    }
    out.flush()
}
