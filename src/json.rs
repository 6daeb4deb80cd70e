//! JSON text to a checked setup: faults with their place, all at once.
//!
//! A text is parsed to a tree that keeps places ([`syntax`]), the tree is read into a
//! document with every fault noted ([`reader`], [`setup`]), the document is checked
//! (the files below [`setup`](crate::setup)), and what was found on the way is given
//! its line and column ([`locate`]).

mod candidate;
mod chosen;
mod faults;
pub(crate) mod fields;
mod given;
pub(crate) mod hours;
pub(crate) mod locate;
pub(crate) mod origins;
mod plain;
pub(crate) mod reader;
#[cfg(feature = "schema")]
mod schema;
pub(crate) mod setup;
mod shop;
mod syntax;
mod text;
mod values;

use jsonc_parser::ast::Value;
use serde::de::DeserializeOwned;

use crate::diagnostics::{Error, Fault, Findings, Path, Result, Source, Spot, close};
use crate::list;
use crate::setup::document::SetupDocument;
use crate::setup::{Guess, Setup, check};
#[cfg(feature = "schema")]
pub use faults::faults_schema;
pub use faults::{Faults, SetupCounts};
use fields::Part;
pub(crate) use given::text_of;
use locate::{Placed, Text};
use origins::Origins;
pub(crate) use plain::{path_after, plain};
use reader::Reader;
#[cfg(all(test, feature = "schema"))]
pub(crate) use schema::tests;
#[cfg(feature = "schema")]
pub use schema::{bag_schema, candidate_schema, setup_schema};
#[cfg(feature = "schema")]
pub(crate) use schema::{hours_or_never, list_of_hours_or_never, schema_by_hand, schema_of};
pub(crate) use syntax::{By, byte_of};
pub(crate) use text::{document, in_full_on_one_line, on_one_line, written};
pub(crate) use values::by_reader;

impl SetupDocument {
    /// The document as JSON text, indented, with a line break at its end.
    ///
    /// Numbers are written in full, so that reading it back gives an equal document.
    pub fn to_json(&self) -> String {
        written(self, |value| value)
    }
}

impl Setup {
    /// Reads and checks a setup document.
    ///
    /// The text is JSON (RFC 8259) of at most 16 MiB. What people need is passed over: a byte
    /// order mark before it, comments (`// …`, `/* … */`), a comma after the last entry.
    ///
    /// # Errors
    /// [`Error::Input`] with every fault found.
    pub fn from_json(text: &str) -> Result<Self> {
        Self::read(Source { file: "", text }, &[], &[], false)
    }

    /// Reads and checks a setup that is a list, one thing on a line, or a document: a text
    /// that begins with `{`. What may stand on a line, the guide's page on lists says; what
    /// nobody said is filled in, and [`Setup::assumed`] tells what.
    ///
    /// ```
    /// use wattberth::{Setup, assign};
    ///
    /// let setup = Setup::from_text("charger: C1 65 W; C2 30 W\nlaptop 30 % left\n2 phones")?;
    /// assert_eq!(assign(&setup)?.unserved, 1);
    /// # Ok::<(), wattberth::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`Error::Input`] with every fault found.
    pub fn from_text(text: &str) -> Result<Self> {
        Self::from_sources(Source { file: "", text }, &[])
    }

    /// Reads and checks a setup of several texts, documents or lists: the bag, and files
    /// whose chargers, where there are any, replace the bag's (which may then lack them).
    ///
    /// Each charger file holds one charger, or `{"name": …, "chargers": […], "price": …}`,
    /// or a whole setup of which only the chargers are taken.
    ///
    /// # Errors
    /// [`Error::Input`] with every fault found in all of them,
    /// each with its own file.
    pub fn from_sources(bag: Source<'_>, chargers: &[Source<'_>]) -> Result<Self> {
        let whole: Vec<_> = chargers.iter().map(|source| (*source, None)).collect();
        Self::from_chosen(bag, &whole)
    }

    /// As [`Setup::from_sources`]; of a file beside which a name stands only the candidate of
    /// that name, or else the charger. Such a file may hold one document on each line, too
    /// (NDJSON), as [`Candidate::from_source`](crate::Candidate::from_source) takes it.
    ///
    /// # Errors
    /// As [`Setup::from_sources`]; also where nothing in the file has the name, or several
    /// of its lines do.
    pub fn from_chosen(bag: Source<'_>, chargers: &[(Source<'_>, Option<&str>)]) -> Result<Self> {
        Self::with_shops(bag, chargers, &[])
    }

    /// As [`Setup::from_chosen`]; where shops are given, all of them together stand in the
    /// place of the bag's own. Each is a list with a line `shop` and what is for sale below
    /// it, or a document with a `shop`; whatever else stands there is not taken. What nobody
    /// named and is in the bag, too, is called `new` in the shop.
    ///
    /// ```
    /// use wattberth::{Setup, Source};
    ///
    /// let bag = Source { file: "bag.txt", text: "laptop 65 W\n" };
    /// let kiosk = Source {
    ///     file: "kiosk.txt",
    ///     text: "shop\ncharger cube: C1 65 W; 115 g; price 36\ncable C to C, 32 g, price 7\n",
    /// };
    /// let setup = Setup::with_shops(bag, &[], &[kiosk])?;
    /// assert_eq!(setup.document().shop.as_ref().map(|shop| shop.cables.len()), Some(1));
    /// # Ok::<(), wattberth::Error>(())
    /// ```
    ///
    /// # Errors
    /// As [`Setup::from_chosen`]; also where a text has no shop.
    pub fn with_shops(
        bag: Source<'_>,
        chargers: &[(Source<'_>, Option<&str>)],
        shops: &[Source<'_>],
    ) -> Result<Self> {
        Self::read(bag, chargers, shops, true)
    }

    fn read(
        bag: Source<'_>,
        chargers: &[(Source<'_>, Option<&str>)],
        shops: &[Source<'_>],
        lists: bool,
    ) -> Result<Self> {
        let elsewhere = !(chargers.is_empty() && shops.is_empty());
        let chosen: Vec<_> = chargers
            .iter()
            .map(|(source, name)| chosen::line(*source, *name))
            .collect();
        let mut texts = Vec::with_capacity(chargers.len() + 1);
        let mut readers = Vec::with_capacity(chargers.len() + 1);
        let is_list = lists && list::is_list(bag.text);
        let (mut document, mut guesses) = if is_list {
            list_of(bag, &mut texts, &mut readers, elsewhere)
        } else {
            document_of(bag, &mut texts, &mut readers, elsewhere)
        };
        let mut origins = Origins::default();
        if !chargers.is_empty() {
            origins = Origins::without_chargers();
            document.chargers.clear();
            guesses.retain(|guess| !guess.is_of("chargers"));
        }
        let mut not_there = Vec::new();
        for ((source, name), text) in chargers.iter().zip(&chosen) {
            let text = match text {
                Ok(text) => text.as_ref(),
                Err(fault) => {
                    not_there.push(Fault::clone(fault));
                    continue;
                }
            };
            let source = Source { text, ..*source };
            // What stands on a line was written by a program.
            let by = if candidate::is_lines(source) {
                By::Program
            } else {
                By::Hand
            };
            let file = candidate::read_file(source, by, &mut texts, &mut readers);
            let file = match (name, readers.last_mut()) {
                (Some(name), Some(reader)) => chosen::of(file, name, reader),
                _ => file,
            };
            for (charger, path) in file.chargers {
                let at = Path::default().field("chargers");
                origins.put(at.index(document.chargers.len()), texts.len() - 1, path);
                document.chargers.push(charger);
            }
        }
        readers[0].names_refused |= !not_there.is_empty();
        if !chargers.is_empty() && document.chargers.is_empty() {
            // The charger files were refused; that the setup has none is no news.
            readers[0].refused.insert(Path::default().field("chargers"));
            readers[0].names_refused = true;
        }
        if !shops.is_empty() {
            guesses.retain(|guess| !guess.is_of("shop"));
            let (shop, filled) = shop::together(shops, &mut texts, &mut readers, &mut origins);
            document.shop = Some(shop);
            guesses.extend(filled);
            list::tell_apart(&mut document, &mut guesses);
        }
        if is_list && readers[0].findings.is_empty() {
            list::add_cables(&mut document, &mut guesses);
        }
        let mut findings = Findings::new();
        let setup = check(document, &mut findings);
        let mut faults = gather(&texts, readers, findings, &origins);
        faults.extend(not_there);
        match setup {
            Some(mut setup) if faults.is_empty() => {
                setup.guesses = guesses;
                Ok(setup)
            }
            _ => Err(Error::Input(faults)),
        }
    }
}

/// Reads the setup that a text is, a document or a list; where `chargers_elsewhere`, it may
/// lack its own.
pub(crate) fn bag_of<'a>(
    source: Source<'a>,
    texts: &mut Vec<Text<'a>>,
    readers: &mut Vec<Reader>,
    chargers_elsewhere: bool,
) -> (SetupDocument, Vec<Guess>) {
    if list::is_list(source.text) {
        list_of(source, texts, readers, chargers_elsewhere)
    } else {
        document_of(source, texts, readers, chargers_elsewhere)
    }
}

/// What a tree holds as a setup that may lack chargers.
pub(crate) fn setup_without_chargers(reader: &mut Reader, tree: &Value<'_>) -> SetupDocument {
    setup::setup(reader, tree, true)
}

fn document_of<'a>(
    source: Source<'a>,
    texts: &mut Vec<Text<'a>>,
    readers: &mut Vec<Reader>,
    chargers_elsewhere: bool,
) -> (SetupDocument, Vec<Guess>) {
    let document = read(source, texts, readers, |reader, tree| {
        setup::setup(reader, tree, chargers_elsewhere)
    });
    (document, Vec::new())
}

/// Reads a list.
fn list_of<'a>(
    source: Source<'a>,
    texts: &mut Vec<Text<'a>>,
    readers: &mut Vec<Reader>,
    chargers_elsewhere: bool,
) -> (SetupDocument, Vec<Guess>) {
    let (mut document, mut guesses) = list_without_chargers(source, texts, readers);
    list::tell_apart(&mut document, &mut guesses);
    if !(chargers_elsewhere || document.is_route() || document.shop.is_some()) {
        require_charger(&document, readers);
    }
    (document, guesses)
}

/// That a line of the list that was read last is a charger.
fn require_charger(document: &SetupDocument, readers: &mut [Reader]) {
    let path = Path::default().field("chargers");
    if let Some(reader) = readers.last_mut()
        && document.chargers.is_empty()
        && !reader.refused.contains(&path)
    {
        let message = "no line is a charger: `charger: C1 65 W; C2 30 W; A1 12 W; total 100 W`";
        reader.findings.add(Path::default(), message);
        reader.refused.insert(path);
        reader.names_refused = true;
    }
}

/// Reads a list that needs no charger.
fn list_without_chargers<'a>(
    source: Source<'a>,
    texts: &mut Vec<Text<'a>>,
    readers: &mut Vec<Reader>,
) -> (SetupDocument, Vec<Guess>) {
    let mut reader = Reader::new();
    let list = list::read(source.text, &mut reader.findings);
    for field in &list.lacking {
        reader.refused.insert(Path::default().field(field));
        reader.names_refused = true;
    }
    texts.push(Text::of_list(source, list.places));
    readers.push(reader);
    (list.document, list.guesses)
}

/// Parses and reads one text that a person may have written. Where it is no JSON, nothing of it
/// is known.
pub(crate) fn read<'a, T: Default>(
    source: Source<'a>,
    texts: &mut Vec<Text<'a>>,
    readers: &mut Vec<Reader>,
    read: impl FnOnce(&mut Reader, &Value<'a>) -> T,
) -> T {
    read_by(By::Hand, source, texts, readers, read)
}

/// The same by who wrote it.
fn read_by<'a, T: Default>(
    by: By,
    source: Source<'a>,
    texts: &mut Vec<Text<'a>>,
    readers: &mut Vec<Reader>,
    read: impl FnOnce(&mut Reader, &Value<'a>) -> T,
) -> T {
    let (text, fault) = Text::parse(source, by);
    let mut reader = Reader::new();
    if let Some(fault) = fault {
        reader.findings.all.push(fault);
        reader.refused.insert(Path::default());
        reader.names_refused = true;
    }
    let value = text
        .tree
        .as_ref()
        .map(|tree| read(&mut reader, tree))
        .unwrap_or_default();
    texts.push(text);
    readers.push(reader);
    value
}

/// The answer that a text holds, unless anything was found.
pub(crate) fn answer<T: Part>(source: Source<'_>) -> Result<T> {
    alone(By::Program, source, |reader, tree| {
        T::object(reader, tree, &Path::default())
    })
}

/// The answer that a text holds, as `serde` reads it: the first that is wrong is named.
pub(crate) fn answer_back<T: DeserializeOwned>(source: Source<'_>) -> Result<T> {
    alone(By::Program, source, |reader, tree| {
        let fields = reader.object(tree, &Path::default(), "an answer", None)?;
        setup::version(reader, &fields);
        let text = syntax::without_mark(source.text).0;
        let said = serde_json::from_str(text).map_err(|error| {
            let at = byte_of(text, error.line(), error.column());
            let finding = reader.findings.add(path_after(text, at), plain(&error));
            finding.at(Spot::Text(at..at));
        });
        said.ok()
    })
}

/// What a text holds that needs no other, unless anything was found.
fn alone<T>(
    by: By,
    source: Source<'_>,
    read: impl FnOnce(&mut Reader, &Value<'_>) -> Option<T>,
) -> Result<T> {
    let (mut texts, mut readers) = (Vec::new(), Vec::new());
    let found = read_by(by, source, &mut texts, &mut readers, read);
    let faults = gather(&texts, readers, Findings::new(), &Origins::default());
    match found {
        Some(found) if faults.is_empty() => Ok(found),
        _ => Err(Error::Input(faults)),
    }
}

/// The faults of all texts: the readers' own, and of the checks' those that are not
/// only a consequence of something that could not be read.
pub(crate) fn gather(
    texts: &[Text<'_>],
    readers: Vec<Reader>,
    findings: Findings,
    origins: &Origins,
) -> Vec<Fault> {
    let names_refused = readers.iter().any(|reader| reader.names_refused);
    let mut more = findings.more;
    let mut placed: Vec<Placed> = Vec::new();
    for mut finding in findings.all {
        let Some((text, path)) = origins.find(&finding.path) else {
            continue;
        };
        finding.path = path;
        if !(readers[text].explains(&finding) || finding.reference && names_refused) {
            placed.push((text, finding));
        }
    }
    for (text, reader) in readers.into_iter().enumerate() {
        more += reader.findings.more;
        placed.extend(
            reader
                .findings
                .all
                .into_iter()
                .map(|finding| (text, finding)),
        );
    }
    let mut faults = locate::faults(texts, placed);
    close(&mut faults, more);
    faults
}
