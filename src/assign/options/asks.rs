//! What a device on a port through a cable asks of the charger, and what it is promised for
//! how much of that.

use super::ways::Meeting;
use crate::plan::promise::{Asking, Step, floor};
use crate::setup::Setup;
use crate::setup::document::Aim;
use crate::setup::ids::PortId;

/// What the promise of a berth depends on beside the other berths.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Asks {
    /// What it can take from others, in whole 1e-6 W.
    pub(crate) load: i64,
    /// What its pools leave to it in any case, in whole 1e-6 W.
    pub(crate) floor: i64,
    /// The more is left to it, the sooner it is surely full; empty where a plan is not chosen
    /// by that.
    pub(crate) steps: Vec<Step>,
}

/// Those of one port after the other, each listed once.
pub(super) struct AskList<'a> {
    setup: &'a Setup,
    meeting: &'a Meeting<'a>,
    pub(super) all: Vec<Asks>,
    place: PortId,
    floor: i64,
    /// Of the device asked about last: its number, and by cable where its asks stand.
    last: (usize, Vec<(usize, usize)>),
}

impl<'a> AskList<'a> {
    pub(super) fn of(setup: &'a Setup, meeting: &'a Meeting<'a>) -> Self {
        Self {
            setup,
            meeting,
            all: vec![Asks::default()],
            place: PortId::new(0, 0),
            floor: 0,
            last: (usize::MAX, Vec::new()),
        }
    }

    /// Goes on with a port.
    pub(super) fn begin(&mut self, place: PortId) {
        self.place = place;
        self.floor = floor(&self.setup.chargers[place.charger], place.index);
        self.last = (usize::MAX, Vec::new());
    }

    /// Where the asks of a device through a kind of cable stand. Devices are asked about in
    /// order.
    pub(super) fn through(&mut self, device: usize, cable: usize) -> usize {
        if self.setup.aim == Aim::Best {
            return 0;
        }
        if self.last.0 != device {
            let twin = self.last.0.checked_add(1) == Some(device) && self.meeting.is_twin(device);
            if !twin {
                self.last.1.clear();
            }
            self.last.0 = device;
        }
        if let Some(&(_, at)) = self.last.1.iter().find(|(known, _)| *known == cable) {
            return at;
        }
        self.all.push(self.asks(device, cable));
        let at = self.all.len() - 1;
        self.last.1.push((cable, at));
        at
    }

    fn asks(&self, device: usize, cable: usize) -> Asks {
        let charger = &self.setup.chargers[self.place.charger];
        let (spec, carried) = (&self.setup.devices[device], &self.meeting.carried[cable]);
        let asking = Asking::of(self.setup, self.place, carried, spec);
        let mut steps = asking.steps(self.floor);
        let shared = charger
            .pools
            .iter()
            .any(|pool| pool.ports.contains(&self.place.index));
        if charger.lines.is_empty() {
            // What is left to it in any case is no step.
            let sure = |step: &Step| !shared || step.needs <= self.floor;
            let from = steps.iter().rposition(sure).unwrap_or(0);
            steps.drain(..from);
        }
        Asks {
            load: asking.load(charger.reserve),
            floor: if shared { self.floor } else { i64::MAX },
            steps,
        }
    }
}
