//! What every question has: a setup, and the limits of the search.

use std::str::FromStr;
use std::time::Duration;

use pyo3::prelude::*;
use wattberth::{Aim, Bag, Error, Level, Setup, SolveOptions, UnknownWord};

use crate::given::{Given, Reading};
use crate::raised::option;

/// What is asked, as the package's own `Ask` has it.
#[derive(FromPyObject)]
pub(crate) struct Ask<'py> {
    setup: Bound<'py, PyAny>,
    charger: Option<Bound<'py, PyAny>>,
    shop: Option<Bound<'py, PyAny>>,
    aim: Option<Bound<'py, PyAny>>,
    budget: Option<Bound<'py, PyAny>>,
    time_limit: Option<Bound<'py, PyAny>>,
    until: Option<Bound<'py, PyAny>>,
    reshared: bool,
    because: bool,
    pub(crate) progress: Option<Py<PyAny>>,
}

/// The texts of a setup, in this order: the setup, its chargers, its shops, and others.
pub(crate) struct Texts {
    pub(crate) all: Vec<Given>,
    chargers: usize,
    shops: usize,
    aim: Option<Aim>,
}

impl Texts {
    /// The setup that they make.
    pub(crate) fn setup(&self) -> Result<Setup, Error> {
        let (bag, rest) = self.split()?;
        let chargers = rest[..self.chargers].iter();
        let chargers: Vec<_> = chargers.map(|given| (given.source(), None)).collect();
        let shops = rest[self.chargers..][..self.shops].iter();
        let shops: Vec<_> = shops.map(Given::source).collect();
        let setup = Setup::with_shops(bag.source(), &chargers, &shops)?;
        Ok(match self.aim {
            Some(aim) => setup.aimed(aim),
            None => setup,
        })
    }

    /// Its devices and cables; its chargers are not looked at.
    pub(crate) fn bag(&self) -> Result<Bag, Error> {
        let bag = Bag::from_source(self.split()?.0.source())?;
        match self.aim {
            Some(aim) => bag.document().clone().aim(aim).check_bag(),
            None => Ok(bag),
        }
    }

    /// The texts that are no part of the setup.
    pub(crate) fn others(&self) -> &[Given] {
        &self.all[1 + self.chargers + self.shops..]
    }

    fn split(&self) -> Result<(&Given, &[Given]), Error> {
        self.all.split_first().ok_or(Error::Options {
            message: "no setup was given".to_owned(),
        })
    }
}

impl<'py> Ask<'py> {
    pub(crate) fn py(&self) -> Python<'py> {
        self.setup.py()
    }

    /// The setup's texts alone.
    pub(crate) fn texts(&self) -> PyResult<Texts> {
        self.texts_and(|_| Ok(Vec::new()))
    }

    /// The setup's texts, and that of a document beside it, which faults call by its name.
    pub(crate) fn texts_with(
        &self,
        other: Option<&Bound<'py, PyAny>>,
        name: &str,
    ) -> PyResult<Texts> {
        self.texts_and(|reading| {
            let read = other.map(|other| reading.read(other, &format!("a {name}"), name));
            Ok(read.transpose()?.flatten().into_iter().collect())
        })
    }

    /// The setup's texts, and others beside it.
    pub(crate) fn texts_and(
        &self,
        others: impl FnOnce(&mut Reading) -> PyResult<Vec<Given>>,
    ) -> PyResult<Texts> {
        let mut reading = Reading::default();
        let mut all = Vec::new();
        all.extend(reading.read(&self.setup, "a setup", "")?);
        let chargers = reading.several(self.charger.as_ref(), "charger")?;
        let shops = reading.several(self.shop.as_ref(), "shop")?;
        let counts = (chargers.len(), shops.len());
        all.extend(chargers);
        all.extend(shops);
        all.extend(others(&mut reading)?);
        reading.end(self.py())?;
        Ok(Texts {
            all,
            chargers: counts.0,
            shops: counts.1,
            aim: self.aim()?,
        })
    }

    /// The limits as the library takes them.
    pub(crate) fn options(&self, default_budget: u64) -> PyResult<SolveOptions> {
        let mut options = SolveOptions::default();
        options.budget = self.budget(default_budget)?;
        options.time_limit = self.time_limit()?;
        options.until = self.until()?;
        options.reshared = self.reshared;
        options.because = self.because;
        Ok(options)
    }

    fn budget(&self, default: u64) -> PyResult<u64> {
        let Some(given) = &self.budget else {
            return Ok(default);
        };
        let steps = given.extract::<u64>().ok().filter(|steps| *steps > 0);
        steps.ok_or_else(|| {
            let most = u64::MAX;
            option(
                self.py(),
                format!("`budget` is a whole number of steps from 1 to {most}"),
            )
        })
    }

    fn time_limit(&self) -> PyResult<Option<Duration>> {
        let Some(given) = &self.time_limit else {
            return Ok(None);
        };
        let seconds = given.extract::<f64>().ok();
        let limit = seconds.and_then(|seconds| Duration::try_from_secs_f64(seconds).ok());
        limit
            .map(Some)
            .ok_or_else(|| option(self.py(), "`time_limit` is a number of seconds from 0"))
    }

    fn until(&self) -> PyResult<Level> {
        let level = self.until.as_ref();
        let level = level.map(|given| self.one_of("until", given)).transpose()?;
        Ok(level.unwrap_or(Level::Everything))
    }

    fn aim(&self) -> PyResult<Option<Aim>> {
        let aim = self.aim.as_ref();
        aim.map(|given| self.one_of("aim", given)).transpose()
    }

    fn one_of<T: FromStr<Err = UnknownWord>>(
        &self,
        name: &str,
        given: &Bound<'_, PyAny>,
    ) -> PyResult<T> {
        let word = given.extract::<String>().unwrap_or_default();
        self.word(name, &word)
    }

    /// What a word of an option means.
    pub(crate) fn word<T: FromStr<Err = UnknownWord>>(
        &self,
        name: &str,
        word: &str,
    ) -> PyResult<T> {
        word.parse().map_err(|unknown: UnknownWord| {
            let known = unknown.words.join(", ");
            option(self.py(), format!("`{name}` is one of: {known}"))
        })
    }
}
