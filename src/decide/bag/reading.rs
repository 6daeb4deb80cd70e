//! JSON text, and documents, to a [`Bag`].

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::decide::bag::Bag;
use crate::diagnostics::{Error, Findings, Result, Source, faults_of};
use crate::json::origins::Origins;
use crate::json::{bag_of, by_reader, gather, setup_without_chargers};
use crate::setup::check_bag;
use crate::setup::document::SetupDocument;

impl Bag {
    /// Reads and checks a setup document of which the devices and cables are taken; it
    /// may lack chargers, and those that it has are not used.
    ///
    /// # Errors
    /// [`Error::Input`] with every fault found.
    pub fn from_json(text: &str) -> Result<Self> {
        Self::from_source(Source { file: "", text })
    }

    /// As [`Bag::from_json`], with a name under which faults speak of the text.
    ///
    /// # Errors
    /// As [`Bag::from_json`].
    pub fn from_source(source: Source<'_>) -> Result<Self> {
        let (mut texts, mut readers) = (Vec::new(), Vec::new());
        let (mut document, mut guesses) = bag_of(source, &mut texts, &mut readers, true);
        document.chargers.clear();
        let mut findings = Findings::new();
        let setup = check_bag(document.clone(), &mut findings);
        let faults = gather(&texts, readers, findings, &Origins::without_chargers());
        match setup {
            Some(mut setup) if faults.is_empty() => {
                guesses.retain(|guess| !guess.is_of("chargers"));
                setup.guesses = guesses;
                Ok(Self::of(document, setup))
            }
            _ => Err(Error::Input(faults)),
        }
    }
}

/// As the document that it is of.
impl Serialize for Bag {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        self.document().serialize(to)
    }
}

impl<'de> Deserialize<'de> for Bag {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let document = by_reader(from, setup_without_chargers)?;
        document.check_bag().map_err(serde::de::Error::custom)
    }
}

impl SetupDocument {
    /// Checks the document as a bag: its devices and cables. Chargers that it has are
    /// left out.
    ///
    /// # Errors
    /// [`Error::Input`] with every fault found, by path.
    pub fn check_bag(mut self) -> Result<Bag> {
        self.chargers.clear();
        let mut findings = Findings::new();
        match check_bag(self.clone(), &mut findings) {
            Some(setup) if findings.is_empty() => Ok(Bag::of(self, setup)),
            _ => Err(Error::Input(faults_of(findings))),
        }
    }
}
