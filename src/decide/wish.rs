//! What would have to change, for a wish: the least sets of changes that grant it.
//!
//! The best plan as it is says what every device has now. A set of changes grants a wish
//! where the changed setup has a plan in which the wished devices have what is wished, every
//! other device with a berth keeps one, and every other device that is in time stays so;
//! whether there is such a plan is one question to the search. What a set is told to reach
//! comes from the best plan of the changed setup, with the wish as its deadlines.

mod changes;
mod grants;
mod said;
mod sets;

use serde::{Deserialize, Serialize};

use crate::assign::reached_within;
use crate::decide::improve::Change;
use crate::diagnostics::Result;
use crate::json::document;
use crate::plan::because::Because;
use crate::plan::cautions::sessions_unused;
use crate::plan::objective::Reached;
use crate::plan::origin::Program;
use crate::plan::proof::setup_digest;
use crate::setup::Setup;
use crate::setup::document::Aim;
use crate::solve::options::SolveOptions;
use grants::Granting;
use said::Asked;

/// What somebody wishes: that devices have a berth, or are full by a time. [`Wish::parse`]
/// reads it as people say it.
///
/// ```
/// use wattberth::Wish;
///
/// let early = Wish::device("laptop").and("phone").by_h(3.5);
/// let all = Wish::everything();
/// # let _ = (early, all);
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Wish {
    /// By name; all where absent.
    devices: Option<Vec<String>>,
    by_h: Option<f64>,
    promised: bool,
}

impl Wish {
    /// That everything has a berth.
    pub fn everything() -> Self {
        Self {
            devices: None,
            by_h: None,
            promised: false,
        }
    }

    /// That a device has a berth; a name that stands for several means all of them.
    pub fn device(name: impl Into<String>) -> Self {
        Self {
            devices: Some(vec![name.into()]),
            ..Self::everything()
        }
    }

    /// The same of another device, too.
    #[must_use]
    pub fn and(mut self, name: impl Into<String>) -> Self {
        self.devices.get_or_insert_default().push(name.into());
        self
    }

    /// That they are full after so many hours from the start.
    #[must_use]
    pub fn by_h(self, hours: f64) -> Self {
        Self {
            by_h: Some(hours),
            ..self
        }
    }

    /// That it is certain, whatever the setup's `aim` is.
    #[must_use]
    pub fn promised(self) -> Self {
        Self {
            promised: true,
            ..self
        }
    }
}

/// What grants a wish. Serialises to the document of `wish`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Wishes {
    /// Version of the document's form.
    pub version: u32,
    /// The program that wrote it.
    pub program: Program,
    /// SHA-256 of the setup's document, defaults and chargers from other files as they were
    /// read, white space aside.
    pub setup_sha256: String,
    /// By which of the two readings it is wished, and all times are told.
    pub aim: Aim,
    /// By when the devices are to be full, in hours from the start; absent where a berth is
    /// all that is wished.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub by_h: Option<f64>,
    /// Who is wished for, and what the best plan gives them now.
    pub devices: Vec<Wished>,
    /// What the best plan reaches as it is.
    pub now: Reached,
    /// Whether it is so in the best plan already.
    pub had: bool,
    /// The least sets of changes that grant it, at most five, the fewest changes first, then
    /// those that cost least. None contains another. One without changes: it can be had as it
    /// is.
    pub granted: Vec<Granted>,
    /// How many sets of changes are not known to grant it or not: a limit stopped the search
    /// before that.
    pub undecided: u64,
    /// How many sets would leave room for it, while the best plan with them, though the
    /// wished devices come first, is better for others.
    pub for_others: u64,
    /// Where no set grants it: what is in the way, as it is now.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub because: Option<Because>,
    /// What to keep in mind, each once: that the setup has sessions, of which this is one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<String>,
}

document!(Wishes, "document that `wish` gives", wish_schema);

/// What a device has in a plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Wished {
    /// Its name.
    pub device: String,
    /// Whether it has a berth, or needs none.
    pub served: bool,
    /// When it is full, by the aim, in hours from the start; infinite, in a document null,
    /// where that is never.
    #[serde(deserialize_with = "crate::json::hours::or_never")]
    #[cfg_attr(
        feature = "schema",
        schemars(schema_with = "crate::json::hours_or_never")
    )]
    pub full_h: f64,
}

/// Changes that together grant the wish, and what comes of them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Granted {
    /// The changes, in the order in which they are made.
    pub changes: Vec<Change>,
    /// Whether the best plan holds the wish only where the wished devices get priority 1, as
    /// it has them here. That is needed where the plan would rather be good to others.
    pub at_priority_1: bool,
    /// What the wished devices then have. All times are counted from the start, where that is
    /// changed from the other one.
    pub devices: Vec<Wished>,
    /// The others that are then full later than now, beyond the tolerance, or late.
    pub later: Vec<Later>,
    /// What the plan reaches.
    #[serde(flatten)]
    pub reached: Reached,
}

/// A device that is full later than it would be without the wish.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Later {
    /// Its name.
    pub device: String,
    /// When it is full now, in hours.
    pub from_h: f64,
    /// When it is full then; infinite, in a document null, where that is never.
    #[serde(deserialize_with = "crate::json::hours::or_never")]
    #[cfg_attr(
        feature = "schema",
        schemars(schema_with = "crate::json::hours_or_never")
    )]
    pub to_h: f64,
    /// Whether it was in time and is late then.
    pub late: bool,
}

/// What would have to change for a wish, with the default [`SolveOptions`].
///
/// # Errors
/// As [`wish_with`].
///
/// ```
/// use wattberth::{Cable, Change, Charger, Device, Port, SetupDocument, Wish, wish};
///
/// let cube = Charger::new("cube").port(Port::pd("C1", 45.0)).port(Port::pd("C2", 45.0));
/// let setup = SetupDocument::new()
///     .charger(cube.max_w(60.0))
///     .cable(Cable::c_to_c("braided").count(2))
///     .device(Device::new("laptop", 56.0).pd_w(65.0))
///     .device(Device::new("score tablet", 28.6).pd_w(30.0))
///     .check()?;
/// let found = wish(&setup, &Wish::parse("everything by 1 h 45 min", &setup)?)?;
/// assert!(matches!(&found.granted[0].changes[..], [Change::Pool { .. }]));
/// assert!(found.granted[0].reached.value.longest_h <= 1.75);
/// # Ok::<(), wattberth::Error>(())
/// ```
pub fn wish(setup: &Setup, wish: &Wish) -> Result<Wishes> {
    wish_with(setup, wish, &SolveOptions::default())
}

/// What would have to change for a wish, within limits.
///
/// # Errors
/// As [`assign_with`](crate::assign_with); [`Error::Input`](crate::Error::Input) where the
/// wish names what is not there, or a time outside the range.
pub fn wish_with(setup: &Setup, wish: &Wish, options: &SolveOptions) -> Result<Wishes> {
    options.check()?;
    setup.check_plannable()?;
    let asked = Asked::of(wish, setup)?;
    let aimed = if asked.aim == setup.aim {
        setup.clone()
    } else {
        setup.document().clone().aim(asked.aim).check()?
    };
    let (mut budget, wanted) = options.begin();
    let (plan, now) = budget.share_first(|part| reached_within(&aimed, wanted, part))?;
    let granting = Granting::of(&aimed, &asked, &plan, wanted);
    let had = granting.is_had();
    let found = if had {
        sets::Found::had(granting.as_it_is(&now))
    } else {
        // What is in the way has the rest.
        budget.leave(PARTS_TO_REASONS, |part| {
            sets::least(&granting, &now.value, part)
        })?
    };
    let because = if found.granted.is_empty() {
        granting.because(&mut budget)?
    } else {
        None
    };
    Ok(Wishes {
        version: 1,
        program: Program::this(),
        setup_sha256: setup_digest(setup),
        aim: asked.aim,
        by_h: asked.by_h,
        devices: granting.have_now(),
        now,
        had,
        granted: found.granted,
        undecided: found.undecided,
        for_others: found.for_others,
        because,
        cautions: sessions_unused(setup).into_iter().collect(),
    })
}

/// Of what the sets may take, one of so many parts is left for what is in the way.
const PARTS_TO_REASONS: usize = 4;
