//! Whether a night goes well with what is in the bag: who would be without a port, and who
//! late, as promised. Asked for thousands of bags, so each question is answered once.

use std::collections::BTreeMap;

use super::goods::Goods;
use crate::assign::counts::{Counts, counts_within};
use crate::assign::options::{Listing, Memory};
use crate::decide::calendar::nights::Now;
use crate::diagnostics::Result;
use crate::setup::ids::PortId;
use crate::setup::{ChargerSpec, Setup};
use crate::solve::budget::Budget;
use crate::units::millionths;

/// What the answers depend on beside the bag.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Night {
    /// The night's length at the stop, in whole 1e-6 h.
    pub(super) session: Option<i64>,
    /// What is charged beside the things of every night.
    pub(super) charged: Vec<usize>,
}

/// A question: the sources that are plugged in, the night, and how many there are of each
/// cable.
type Question = (Vec<usize>, Night, Vec<usize>);

/// What is known, and how to find out.
pub(super) struct Oracle<'a> {
    pub(super) setup: &'a Setup,
    pub(super) goods: &'a Goods,
    pub(super) now: &'a [Now],
    /// Everything is to be full by then, in whole 1e-6 h, whatever its own time.
    by: Option<i64>,
    /// By night: the setup without chargers, and what is known of its ways.
    nights: BTreeMap<(Night, Option<i64>), (Setup, Memory)>,
    known: BTreeMap<(Question, Option<i64>), (Counts, bool)>,
}

/// Steps that one question may take: mostly a few hundred are enough.
const STEPS: u64 = 20_000;

/// What a question costs beside its search.
const STEPS_EACH: u64 = 16;

impl<'a> Oracle<'a> {
    pub(super) fn new(setup: &'a Setup, goods: &'a Goods, now: &'a [Now]) -> Self {
        Self {
            setup,
            goods,
            now,
            by: None,
            nights: BTreeMap::new(),
            known: BTreeMap::new(),
        }
    }

    /// From here on everything is to be full by then, too.
    pub(super) fn by(&mut self, by: Option<i64>) {
        self.by = by;
    }

    /// The least counts with these sources, and whether they are proven.
    pub(super) fn counts(
        &mut self,
        sources: &[usize],
        night: &Night,
        cables: &[usize],
        budget: &mut Budget,
    ) -> Result<(Counts, bool)> {
        let question = ((sources.to_vec(), night.clone(), cables.to_vec()), self.by);
        if let Some(known) = self.known.get(&question) {
            return Ok(*known);
        }
        budget.spend(STEPS_EACH);
        let mut part = budget.with_steps(STEPS.min(budget.left()));
        let chargers = self.goods.chargers(sources);
        let (base, memory) = self.night(night);
        let setup = with(base, &chargers, cables);
        let answer = counts_within(&setup, Listing::among_many(Some(memory)), &mut part)?;
        budget.spend(part.spent());
        self.known.insert(question, answer);
        Ok(answer)
    }

    /// The setup of a night with all goods' cables and these chargers.
    pub(super) fn setup_with(&mut self, sources: &[usize], night: &Night) -> Setup {
        self.setup_of(sources, night, &self.goods.every_cable())
    }

    /// The setup of a night with these chargers and so many of each cable.
    pub(super) fn setup_of(&mut self, sources: &[usize], night: &Night, cables: &[usize]) -> Setup {
        let chargers = self.goods.chargers(sources);
        with(&self.night(night).0, &chargers, cables)
    }

    /// The setup of a night with one source and every cable, on which only these devices
    /// charge.
    pub(super) fn setup_of_these(
        &mut self,
        source: usize,
        session: Option<i64>,
        devices: &[usize],
    ) -> Setup {
        let night = Night {
            session,
            charged: self.now.iter().map(|now| now.device).collect(),
        };
        let setup = self.setup_with(&[source], &night);
        let others = 0..setup.devices.len();
        let others: Vec<usize> = others.filter(|device| !devices.contains(device)).collect();
        setup.resting(&others)
    }

    fn night(&mut self, night: &Night) -> &(Setup, Memory) {
        let (setup, goods, now, by) = (self.setup, self.goods, self.now, self.by);
        self.nights
            .entry((night.clone(), by))
            .or_insert_with(|| (base(setup, goods, now, night, by), Memory::default()))
    }
}

/// The setup of a night, without chargers and with every kind of cable.
fn base(setup: &Setup, goods: &Goods, now: &[Now], night: &Night, by: Option<i64>) -> Setup {
    let mut base = setup.with_rest(now, &night.charged);
    // What no plan asks for need not be copied each time.
    base.document.shop = None;
    base.document.trip = None;
    base.shop = None;
    base.trip = None;
    base.sessions.clear();
    base.replace_chargers(Vec::new());
    base.cables = goods
        .cables
        .iter()
        .map(|cable| cable.spec.clone())
        .collect();
    let hours = |millionths: i64| crate::units::from_millionths(millionths);
    let own: Vec<Option<f64>> = setup.own_deadlines().collect();
    for (device, own) in base.devices.iter_mut().zip(own) {
        let ready = own.map(millionths).or(night.session);
        let ready = match (ready, by) {
            (Some(ready), Some(by)) => Some(ready.min(by)),
            (ready, by) => ready.or(by),
        };
        device.ready_by_h = ready.map(hours);
    }
    base
}

/// The setup with so many of each cable, and chargers.
fn with(base: &Setup, chargers: &[(ChargerSpec, Option<usize>)], cables: &[usize]) -> Setup {
    let mut setup = base.clone();
    for (cable, &count) in setup.cables.iter_mut().zip(cables) {
        cable.count = u32::try_from(count.min(1_000)).unwrap_or(1_000);
    }
    let place = |own: usize| chargers.iter().position(|(_, from)| *from == Some(own));
    for device in &mut setup.devices {
        device.pinned_port = device
            .pinned_port
            .and_then(|port| Some(PortId::new(place(port.charger.0)?, port.index)));
    }
    setup.replace_chargers(chargers.iter().map(|(spec, _)| spec.clone()).collect());
    setup
}

impl Goods {
    /// The chargers of some sources, by names that are theirs alone, with the place of each
    /// that is the setup's own.
    pub(super) fn chargers(&self, sources: &[usize]) -> Vec<(ChargerSpec, Option<usize>)> {
        use super::goods::From;

        let named = sources.iter().enumerate().map(|(at, &source)| {
            let good = &self.sources[source];
            let mut spec = good.spec.charger.clone();
            let own = if let (From::Bag(own), None) = (good.from, &good.spec.adapter) {
                Some(own)
            } else {
                spec.name = format!("{at} {}", spec.name);
                None
            };
            (spec, own)
        });
        named.collect()
    }
}
