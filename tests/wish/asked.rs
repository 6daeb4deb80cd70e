//! A wish worked out once more: what is asked of each device of a changed document, whether
//! there is room for it, and whether the best plan holds it.

use std::collections::BTreeMap;

use serde_json::Value;
use wattberth::{Aim, Change, SetupDocument, assign, rota};

use crate::model::rounding::micro;
use crate::model::search::is_there_a_plan;

/// What a device has in a plan, by the aim: when it is full, none where never; whether it is
/// late.
pub(super) type Has = (Option<i64>, bool);

/// A wish, worked out here once more.
pub(super) struct Asked {
    /// With the wish as deadlines, counts written out.
    pub(super) document: SetupDocument,
    pub(super) wished: Vec<String>,
    pub(super) by_h: Option<f64>,
    pub(super) now: BTreeMap<String, Has>,
}

/// Counts written out: one entry for each device.
fn expanded(document: &SetupDocument) -> SetupDocument {
    let mut changed = document.clone();
    changed.devices.clear();
    for device in &document.devices {
        let count = device.count.unwrap_or(1);
        for number in 1..=count {
            let mut one = device.clone();
            one.count = None;
            if count > 1 {
                one.name = format!("{} {number}", device.name);
            }
            changed.devices.push(one);
        }
    }
    changed
}

fn deadline(document: &SetupDocument, device: &str) -> Option<i64> {
    let of = document.devices.iter().find(|of| of.name == device);
    of.and_then(|of| of.ready_by_h)
        .or(document.session_h)
        .map(micro)
}

/// What all have in the best plan, or the best rota.
fn best(document: &SetupDocument) -> BTreeMap<String, Has> {
    let setup = document.clone().check().expect("it is valid");
    let promised = document.aim != Some(Aim::Best);
    let has = |device: &str, hours: Option<f64>, upto: Option<i64>| {
        let time = hours.map(micro);
        let late = upto.is_some_and(|upto| time.is_none_or(|time| time > upto));
        (device.to_owned(), (time, late))
    };
    if document.sessions.is_empty() {
        let plan = assign(&setup).expect("there is a plan");
        let berths = plan.berths.iter();
        return berths
            .map(|berth| {
                let hours = if promised {
                    berth.promised_h
                } else {
                    Some(berth.hours)
                };
                has(&berth.device, hours, deadline(document, &berth.device))
            })
            .collect();
    }
    let rota = rota(&setup).expect("there is a rota");
    let end = |name: &str| {
        let session = rota.sessions.iter().find(|of| of.name == name);
        micro(session.expect("it is one of them").end_h)
    };
    let night = end(&rota.sessions[rota.sessions.len() - 1].name);
    let berths = rota.berths.iter();
    berths
        .map(|of| {
            let name = &of.berth.device;
            let hours = if promised {
                of.promised_finish_h
            } else {
                Some(of.finish_h)
            };
            let upto = deadline(document, name).unwrap_or(night);
            has(name, hours, Some(upto.min(end(&of.until_session))))
        })
        .collect()
}

impl Asked {
    pub(super) fn of(document: &SetupDocument, wished: &[String], by_h: Option<f64>) -> Self {
        let mut document = expanded(document);
        let now = best(&document);
        for device in &mut document.devices {
            if by_h.is_some() && wished.contains(&device.name) {
                device.ready_by_h = by_h;
            }
        }
        Self {
            document,
            wished: wished.to_vec(),
            by_h,
            now,
        }
    }

    fn changed(&self, set: &[Change], first: bool) -> Option<SetupDocument> {
        let mut document = self.document.clone();
        for change in set {
            document = change.applied(&document)?;
        }
        for device in &mut document.devices {
            if first && self.wished.contains(&device.name) {
                device.priority = Some(1);
            }
        }
        document.clone().check().ok()?;
        Some(document)
    }

    /// By device: nothing, a berth, or one on which it is in time.
    fn demands(&self, document: &SetupDocument) -> Vec<Option<bool>> {
        let is_first = |name: &str| {
            let of = document.devices.iter().find(|of| of.name == name);
            of.is_none_or(|of| of.priority == Some(1))
        };
        let all_first = self.wished.iter().all(|name| is_first(name));
        let setup = document.clone().check().expect("it is valid");
        let text = serde_json::to_string(setup.document()).expect("JSON");
        let read = crate::model::setup::read(&without_sessions(&text));
        let each = read.devices.iter().map(|device| {
            let has = self.now.get(&device.name);
            let stays = has.is_some_and(|&(time, late)| time.is_some() && !late);
            if !device.needs_berth() {
                None
            } else if self.wished.contains(&device.name) {
                Some(self.by_h.is_some() || stays)
            } else {
                has.map(|_| stays && (!all_first || is_first(&device.name)))
            }
        });
        each.collect()
    }

    /// Whether a set leaves room, by the exhaustive implementation.
    pub(super) fn leaves_room(&self, set: &[Change]) -> bool {
        let Some(document) = self.changed(set, false) else {
            return false;
        };
        let text = serde_json::to_string(&document).expect("JSON");
        let setup = if document.sessions.is_empty() {
            crate::model::setup::read(&text)
        } else {
            crate::model::setup::read_for_rota(&text)
        };
        is_there_a_plan(&setup, &self.demands(&document))
    }

    /// Whether the best plan holds it, where the wished devices come first if need be.
    pub(super) fn is_held(&self, set: &[Change]) -> bool {
        let demands = self
            .changed(set, false)
            .map(|document| self.demands(&document));
        let Some(demands) = demands else {
            return false;
        };
        [false, true].into_iter().any(|first| {
            let document = self.changed(set, first).expect("it is valid");
            let have = best(&document);
            let devices = document.devices.iter().zip(&demands);
            devices.into_iter().all(|(device, demand)| match demand {
                None => true,
                Some(in_time) => {
                    let has = have.get(&device.name);
                    has.is_some_and(|(_, late)| !(*in_time && *late))
                }
            })
        })
    }

    /// The set with the least of each of its changes.
    pub(super) fn least(&self, set: &[Change]) -> Vec<Change> {
        let mut least = set.to_vec();
        for at in 0..set.len() {
            let Some((mut low, mut high)) = ends(&set[at]) else {
                continue;
            };
            while high > low + 1 {
                let middle = low + (high - low) / 2;
                least[at] = turned(&set[at], middle);
                if self.leaves_room(&least) {
                    high = middle;
                } else {
                    low = middle;
                }
            }
            least[at] = turned(&set[at], high);
        }
        least
    }
}

fn without_sessions(text: &str) -> String {
    let mut document: Value = serde_json::from_str(text).expect("JSON");
    document
        .as_object_mut()
        .expect("an object")
        .remove("sessions");
    document.to_string()
}

/// From what to what a change can be turned, in whole steps.
pub(super) fn ends(change: &Change) -> Option<(i64, i64)> {
    match change {
        Change::Pool { from_w, .. } => Some((micro(*from_w), 10_000_000_000)),
        Change::Start { .. } => Some((0, 48)),
        _ => None,
    }
}

pub(super) fn turned(change: &Change, steps: i64) -> Change {
    let mut turned = change.clone();
    match &mut turned {
        Change::Pool { to_w, .. } => {
            #[expect(clippy::cast_precision_loss, reason = "watts in millionths")]
            let watts = steps as f64 / 1e6;
            *to_w = Some(watts);
        }
        Change::Start { earlier_h, to, .. } => {
            let minutes = 22 * 60 - 5 * steps;
            *to = format!("{:02}:{:02}", minutes / 60, minutes % 60);
            #[expect(clippy::cast_precision_loss, reason = "a few minutes")]
            let hours = (5 * steps) as f64 / 60.0;
            *earlier_h = (hours * 1e6).round() / 1e6;
        }
        _ => {}
    }
    turned
}
