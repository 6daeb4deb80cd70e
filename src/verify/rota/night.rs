//! The sessions one after the other, in whole 1e-6 h: when each begins and ends, and how
//! long a berth lasts.

use super::super::Findings;
use crate::plan::rota::Rota;
use crate::setup::{DeviceSpec, Setup};
use crate::units::{from_millionths, millionths};

/// When sessions begin and end, in whole 1e-6 h from the start of the first. The length of
/// each is rounded before it is summed.
pub(in crate::verify) struct Night {
    pub(in crate::verify) starts: Vec<i64>,
    pub(in crate::verify) ends: Vec<i64>,
}

/// How long a berth lasts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::verify) struct Stay {
    pub(in crate::verify) first: usize,
    pub(in crate::verify) last: usize,
    /// When it starts, in whole 1e-6 h from the start of the first session.
    pub(in crate::verify) start: i64,
    /// When the device is full, or would be if it could stay.
    pub(in crate::verify) finish: i64,
    /// Whether it is full before the berth ends.
    pub(in crate::verify) full: bool,
}

impl Night {
    pub(in crate::verify) fn of(setup: &Setup) -> Self {
        let mut night = Self {
            starts: Vec::with_capacity(setup.sessions.len()),
            ends: Vec::with_capacity(setup.sessions.len()),
        };
        let mut now = 0;
        for session in &setup.sessions {
            night.starts.push(now);
            now += millionths(session.hours);
            night.ends.push(now);
        }
        night
    }

    /// When the last session ends.
    pub(in crate::verify) fn end(&self) -> i64 {
        self.ends.last().copied().unwrap_or(0)
    }

    /// How long a berth lasts that starts with session `first`, where the device is full
    /// after `hours`: to the end of the session in which it is full, else to the end of
    /// the last session of the unbroken run in which the device is at hand.
    pub(in crate::verify) fn stay(&self, device: &DeviceSpec, first: usize, hours: f64) -> Stay {
        let finish = self.starts[first].saturating_add(millionths(hours));
        let run_ends = (first + 1..self.ends.len()).find(|&session| !device.is_at_hand(session));
        let run = first..run_ends.unwrap_or(self.ends.len());
        let full_in = run.clone().find(|&session| self.ends[session] >= finish);
        Stay {
            first,
            start: self.starts[first],
            last: full_in.unwrap_or(run.end - 1),
            finish,
            full: full_in.is_some(),
        }
    }

    /// Compares the rota's list of sessions, and its time of day.
    pub(in crate::verify) fn check(&self, setup: &Setup, rota: &Rota, findings: &mut Findings) {
        let start = setup.start.map(|start| start.to_string());
        if rota.start != start {
            let shown = |start: &Option<String>| match start {
                Some(start) => format!("`{start}`"),
                None => "absent".to_owned(),
            };
            let message = format!("is {}, must be {}", shown(&rota.start), shown(&start));
            findings.add("start", message);
        }
        let (listed, there_are) = (rota.sessions.len(), setup.sessions.len());
        if listed != there_are {
            let message = format!("lists {listed}, but the setup has {there_are}");
            findings.add("sessions", message);
        }
        for (index, (printed, spec)) in rota.sessions.iter().zip(&setup.sessions).enumerate() {
            let path = format!("sessions[{index}]");
            if printed.name != spec.name {
                let message = format!("is `{}`, must be `{}`", printed.name, spec.name);
                findings.add(format!("{path}.name"), message);
            }
            let exact = [
                ("start_h", printed.start_h, self.starts[index]),
                ("end_h", printed.end_h, self.ends[index]),
            ];
            for (field, printed, exact) in exact {
                findings.compare(
                    format_args!("{path}.{field}"),
                    printed,
                    from_millionths(exact),
                );
            }
        }
    }
}
