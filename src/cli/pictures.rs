//! `--svg` and `--html`: an answer drawn, into files.

use std::io;
use std::path::{Path, PathBuf};

use super::output::{Ended, Output};
use super::whole_file;
use crate::picture::Picture;
use crate::{Error, Fault, TimelineOptions, report};

/// The arguments that ask for pictures.
#[derive(Debug, clap::Args)]
pub(super) struct PictureArgs {
    /// Also draw the answer, as one SVG.
    #[arg(long, value_name = "FILE")]
    svg: Option<PathBuf>,
    /// Also draw the answer, as one HTML page that asks for nothing else.
    #[arg(long, value_name = "FILE")]
    html: Option<PathBuf>,
}

impl PictureArgs {
    /// Of a command whose answer is a page only.
    pub(super) fn page(html: Option<&Path>) -> Self {
        Self {
            svg: None,
            html: html.map(Path::to_owned),
        }
    }

    /// Refuses, before anything is worked out, files that cannot be written.
    pub(super) fn check(&self, out: &Output, json: bool) -> Result<(), Ended> {
        let files = self.files();
        let mut faults: Vec<Fault> = files
            .clone()
            .filter_map(|path| whole_file::refusal(path, "a picture"))
            .collect();
        if faults.is_empty() && self.svg.is_some() && self.svg == self.html {
            faults.extend(files.take(1).map(|path| Fault {
                file: path.display().to_string(),
                message: "`--svg` and `--html` name the same file".to_owned(),
                ..Fault::default()
            }));
        }
        if faults.is_empty() {
            return Ok(());
        }
        Err(out.refuse(&Error::Input(faults), &[], json))
    }

    /// Writes what is asked for, each file whole or not at all, and says so to people.
    pub(super) fn write(
        &self,
        picture: impl FnOnce() -> Result<Picture, Error>,
        out: &Output,
        json: bool,
    ) -> Result<(), Ended> {
        if self.files().next().is_none() {
            return Ok(());
        }
        let picture = picture().map_err(|error| out.refuse(&error, &[], json))?;
        if let Some(path) = &self.svg {
            write(path, |bytes| picture.write_svg(bytes))?;
        }
        if let Some(path) = &self.html {
            write(path, |bytes| picture.write_html(bytes))?;
        }
        if !json {
            let said: String = self.files().map(|path| said(path)).collect();
            out.text(|out| write!(out, "\n{said}"))?;
        }
        Ok(())
    }

    fn files(&self) -> impl Iterator<Item = &PathBuf> + Clone {
        self.svg.iter().chain(&self.html)
    }
}

/// Steps fine enough for curves, however short or long the night.
pub(super) fn fine(night_h: f64) -> TimelineOptions {
    TimelineOptions {
        step_min: Some((night_h * 60.0 / 160.0).clamp(0.05, 1440.0)),
        ..TimelineOptions::default()
    }
}

fn write(path: &Path, drawn: impl FnOnce(&mut Vec<u8>) -> io::Result<()>) -> io::Result<()> {
    let mut bytes = Vec::new();
    drawn(&mut bytes)?;
    whole_file::write(path, &bytes)
        .map_err(|error| io::Error::other(format!("`{}`: {error}", path.display())))
}

fn said(path: &Path) -> String {
    format!(
        "Picture: {}\n",
        report::printable(&path.display().to_string())
    )
}
