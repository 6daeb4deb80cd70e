//! `--svg` and `--html`: an answer drawn, into files.

use std::io;
use std::path::{Path, PathBuf};

use super::Exit;
use super::output::{Ended, Output};
use super::whole_file::{Files, OutputFile, Wanted};
use crate::Error;
use crate::report::{self, Page};

const SVG: &str = "--svg";
const HTML: &str = "--html";

/// The arguments that ask for pictures.
#[derive(Debug, clap::Args)]
pub(super) struct PictureArgs {
    /// Also draw the answer, as one SVG.
    ///
    /// FILE is a plain file or a new name. A folder is refused, and so is what is read in the
    /// same call; a pipe or a device is written to and stays what it is. `/dev/stdout` puts it
    /// behind the answer; `-` is refused, for standard output is the answer's.
    #[arg(long, value_name = "FILE")]
    svg: Option<PathBuf>,
    /// Also draw the answer, as one HTML page that asks for nothing else; FILE is as for
    /// `--svg`.
    #[arg(long, value_name = "FILE")]
    html: Option<PathBuf>,
}

/// The argument that asks for a page, of a command whose answer is no drawing.
#[derive(Debug, clap::Args)]
pub(super) struct PageArgs {
    /// Also write the answer as one HTML page that asks for nothing else; FILE is as for
    /// `assign --svg`.
    #[arg(long, value_name = "FILE")]
    html: Option<PathBuf>,
}

impl PictureArgs {
    /// What is asked for.
    pub(super) fn wanted(&self) -> impl Iterator<Item = Wanted<'_>> {
        let svg = self.svg.iter().map(|path| wanted(SVG, path));
        svg.chain(self.html.iter().map(|path| wanted(HTML, path)))
    }

    /// Opens what is asked for, before anything is worked out, or refuses it.
    pub(super) fn open<'a>(
        &'a self,
        inputs: impl Iterator<Item = &'a PathBuf>,
        out: &Output,
        json: bool,
    ) -> Result<Files, Ended> {
        Files::open(self.wanted(), inputs).map_err(|error| out.refuse(&error, &[], json))
    }
}

impl PageArgs {
    /// As [`PictureArgs::open`].
    pub(super) fn open<'a>(
        &'a self,
        inputs: impl Iterator<Item = &'a PathBuf>,
        out: &Output,
        json: bool,
    ) -> Result<Files, Ended> {
        let wanted = self.html.iter().map(|path| wanted(HTML, path));
        Files::open(wanted, inputs).map_err(|error| out.refuse(&error, &[], json))
    }
}

fn wanted<'a>(option: &'static str, path: &'a Path) -> Wanted<'a> {
    Wanted {
        option,
        what: "a picture",
        path,
    }
}

/// Writes the pictures among the files, each whole, and says so to people.
pub(super) fn write(
    files: &mut Files,
    picture: impl FnOnce() -> Result<Page, Error>,
    out: &Output,
    json: bool,
) -> Result<(), Ended> {
    let both = || picture().map(|page| (page.clone(), page));
    write_both(files, both, out, json)
}

/// The same where the SVG shows another page than the HTML.
pub(super) fn write_both(
    files: &mut Files,
    pictures: impl FnOnce() -> Result<(Page, Page), Error>,
    out: &Output,
    json: bool,
) -> Result<(), Ended> {
    let (svg, html) = (files.take(SVG), files.take(HTML));
    if svg.is_none() && html.is_none() {
        return Ok(());
    }
    // The answer is on standard output, and is all of it there.
    let (picture, page) = pictures().map_err(|error| out.refuse(&error, &[], false))?;
    let said: String = svg.iter().chain(&html).map(said).collect();
    let drawn = [
        written(svg, |bytes| picture.write_svg(bytes)),
        written(html, |bytes| page.write_html(bytes)),
    ];
    let [Ok(()), Ok(())] = drawn else {
        let failed = drawn.into_iter().map(|drawn| drawn.map_err(Ended::from));
        return out.parts(Exit::Done, failed).map(|_| ());
    };
    if !json {
        out.aside(&format!("\n{said}"))?;
    }
    Ok(())
}

fn written(
    file: Option<OutputFile>,
    drawn: impl FnOnce(&mut Vec<u8>) -> io::Result<()>,
) -> io::Result<()> {
    let Some(file) = file else { return Ok(()) };
    let mut bytes = Vec::new();
    drawn(&mut bytes)?;
    file.write(&bytes)
}

fn said(file: &OutputFile) -> String {
    format!(
        "Picture: {}\n",
        report::printable(&file.path.display().to_string())
    )
}
