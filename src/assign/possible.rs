//! Whether devices can have what is asked for them while some of a setup's limits are
//! lifted.

use std::borrow::Cow;
use std::collections::VecDeque;

use super::model::Part;
use super::options::{CableGroup, Choices, PortGroup, Ungrouped};
use crate::diagnostics::Result;
use crate::plan::sessions::Sessions;
use crate::setup::Setup;
use crate::solve::backend::ENGINE;
use crate::solve::budget::Budget;
use crate::solve::goal::{Domains, Limits};
use crate::solve::model::{Column, Model};
use crate::solve::search::{Query, Search, Verdict};
use crate::usb::Connector;

/// What is asked for a device.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Demand {
    /// Nothing: it is left out.
    Nothing,
    /// A berth.
    Berth {
        /// On which it is full by then, in whole 1e-6 h.
        by: i64,
        /// On which it is not late.
        in_time: bool,
    },
}

impl Demand {
    /// A berth, whenever it is full.
    pub(crate) const ANY: Self = Self::Berth {
        by: i64::MAX,
        in_time: false,
    };

    pub(crate) fn is_met_by(self, column: &Column) -> bool {
        match self {
            Self::Nothing => false,
            Self::Berth { by, in_time } => column.time <= by && !(in_time && column.late),
        }
    }
}

/// A limit that devices share.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Shared {
    /// A pool of a charger. Lifted, it is not there.
    Pool { charger: usize, pool: usize },
    /// A charger's table of combinations. Lifted, it is not there.
    Table { charger: usize },
    /// The number of ports with a connector. Lifted, any number of devices sits on each of
    /// them, each as if it were a port of its own.
    Ports(Connector),
    /// The number of alike cables, by the first of them. Lifted, there are as many as are
    /// wanted.
    Cables(usize),
}

/// All limits of a setup that devices share: the pools, the tables, the ports and the
/// cables, as listed. Whose port has a lead of its own shares no cable.
pub(crate) fn shared_limits(setup: &Setup, choices: &Choices) -> Vec<Shared> {
    let mut pools = Vec::new();
    let mut tables = Vec::new();
    let mut ports: Vec<Shared> = Vec::new();
    for (charger, spec) in setup.chargers.iter().enumerate() {
        pools.extend((0..spec.pools.len()).map(|pool| Shared::Pool { charger, pool }));
        if !spec.lines.is_empty() {
            tables.push(Shared::Table { charger });
        }
        for port in &spec.ports {
            let of = Shared::Ports(port.connector.clone());
            if !ports.contains(&of) {
                ports.push(of);
            }
        }
    }
    let kinds = choices.cables.iter().filter(|group| !is_lead(setup, group));
    let cables = kinds.map(|group| Shared::Cables(group.cables[0]));
    [pools, tables, ports, cables.collect()].concat()
}

fn is_lead(setup: &Setup, group: &CableGroup) -> bool {
    setup.cables[group.cables[0]].lead_of.is_some()
}

/// The ways to sit where some pools and tables are not there.
struct Frame<'a> {
    without: Vec<Shared>,
    setup: Cow<'a, Setup>,
    choices: Cow<'a, Choices>,
}

impl Frame<'_> {
    /// The program where what is lifted among ports and cables is not scarce.
    fn model(&mut self, sessions: &Sessions, lifted: &[Shared]) -> Model {
        let choices = self.choices.to_mut();
        let as_they_are = (choices.ports.clone(), choices.cables.clone());
        widen(&self.setup, choices, lifted);
        let model = Model::of(&self.setup, sessions, choices, Part::Promises);
        (choices.ports, choices.cables) = as_they_are;
        model
    }
}

/// A program, what was lifted in it, and the place of its frame.
struct Ways {
    lifted: Vec<Shared>,
    model: Model,
    frame: usize,
}

/// What devices can have in a setup of which some limits are lifted.
pub(crate) struct Possible<'a> {
    setup: &'a Setup,
    sessions: &'a Sessions,
    frames: Vec<Frame<'a>>,
    /// The programs made last: different questions often lift the same.
    ways: VecDeque<Ways>,
}

/// So many programs are kept.
const MOST_KEPT: usize = 8;

/// Of how many parts of what is left one question may take one.
const PARTS_TO_A_QUESTION: u64 = 4;

impl<'a> Possible<'a> {
    pub(crate) fn new(setup: &'a Setup, sessions: &'a Sessions) -> Self {
        Self {
            setup,
            sessions,
            frames: Vec::new(),
            ways: VecDeque::new(),
        }
    }

    /// The same where all ways to sit are known that the setup as it is has.
    pub(crate) fn knowing(mut self, choices: Cow<'a, Choices>) -> Self {
        self.frames.push(Frame {
            without: Vec::new(),
            setup: Cow::Borrowed(self.setup),
            choices,
        });
        self
    }

    /// Whether all demands, one for each device of the setup, can be met together where
    /// `lifted` is lifted; `None` where that is not known.
    pub(crate) fn is_possible(
        &mut self,
        demands: &[Demand],
        lifted: &[Shared],
        budget: &mut Budget,
    ) -> Option<bool> {
        let (model, _) = self.ways(lifted, budget)?;
        if budget.is_spent() {
            return None;
        }
        let mut domains = Domains::all(model);
        for (at, &device) in model.devices.iter().enumerate() {
            domains.may_stay[at] = demands[device] == Demand::Nothing;
        }
        let demand = |at: usize| demands[model.devices[at]];
        domains.retain(|at, column| demand(at).is_met_by(model.column(column)));
        let nowhere = |at: usize| domains.columns[at].is_empty() && !domains.may_stay[at];
        if (0..model.len()).any(nowhere) {
            return Some(false);
        }
        let limits = Limits::none();
        let mut search = Search::new(model, &ENGINE, budget.clone());
        let part = budget.left() / PARTS_TO_A_QUESTION + 1;
        let verdict = search.ask_within(part, &Query::any(&limits), &domains);
        budget.go_on_after(search.budget);
        match verdict {
            Verdict::Found(_) => Some(true),
            Verdict::Impossible => Some(false),
            Verdict::Unknown(_) => None,
        }
    }

    /// The ways of each device to sit where `lifted` is lifted, and the ports that they are
    /// on.
    pub(crate) fn ways(
        &mut self,
        lifted: &[Shared],
        budget: &mut Budget,
    ) -> Option<(&Model, &[PortGroup])> {
        let known = self.ways.iter().position(|ways| ways.lifted == lifted);
        let at = if let Some(known) = known {
            known
        } else {
            let frame = self.frame(lifted, budget)?;
            let model = self.frames[frame].model(self.sessions, lifted);
            self.ways.truncate(MOST_KEPT - 1);
            self.ways.push_front(Ways {
                lifted: lifted.to_vec(),
                model,
                frame,
            });
            0
        };
        let ways = &self.ways[at];
        Some((&ways.model, &self.frames[ways.frame].choices.ports))
    }

    /// Where the ways stand without the pools and tables among `lifted`.
    fn frame(&mut self, lifted: &[Shared], budget: &mut Budget) -> Option<usize> {
        let gone = |of: &&Shared| matches!(of, Shared::Pool { .. } | Shared::Table { .. });
        let without: Vec<Shared> = lifted.iter().filter(gone).cloned().collect();
        if let Some(known) = self.frames.iter().position(|of| of.without == without) {
            return Some(known);
        }
        let setup = reduced(self.setup, &without).ok()?;
        // Too many ways are ways that nobody looks through.
        let apart = Ungrouped::default();
        let choices = Choices::over(&setup, self.sessions, &apart, budget).ok()?;
        if !choices.are_complete() {
            return None;
        }
        self.frames.push(Frame {
            without,
            setup: Cow::Owned(setup),
            choices: Cow::Owned(choices),
        });
        Some(self.frames.len() - 1)
    }
}

/// The setup without some of its pools and tables.
fn reduced(setup: &Setup, without: &[Shared]) -> Result<Setup> {
    let is_table = |of: &Shared| matches!(of, Shared::Table { .. });
    let mut reduced = if without.iter().any(is_table) {
        // Which tiers a port has depends on its table.
        let mut document = setup.document.clone();
        for of in without {
            if let Shared::Table { charger } = of {
                document.chargers[*charger].combinations.clear();
            }
        }
        document.check()?
    } else {
        setup.clone()
    };
    for (c, charger) in reduced.chargers.iter_mut().enumerate() {
        let mut at = 0;
        charger.pools.retain(|_| {
            let of = Shared::Pool {
                charger: c,
                pool: at,
            };
            at += 1;
            !without.contains(&of)
        });
    }
    Ok(reduced)
}

/// Gives as many ports and cables of what is lifted as there are devices.
fn widen(setup: &Setup, choices: &mut Choices, lifted: &[Shared]) {
    let devices = setup.devices.len();
    for group in &mut choices.ports {
        let charger = &setup.chargers[group.charger];
        let connector = charger.ports[group.ports[0]].connector.clone();
        if lifted.contains(&Shared::Ports(connector)) {
            let seats = group.ports.len().max(devices);
            group.ports = group.ports.iter().copied().cycle().take(seats).collect();
        }
    }
    for group in &mut choices.cables {
        if is_lead(setup, group) || lifted.contains(&Shared::Cables(group.cables[0])) {
            let most = u32::try_from(devices).unwrap_or(u32::MAX);
            group.count = group.count.max(most);
        }
    }
}
