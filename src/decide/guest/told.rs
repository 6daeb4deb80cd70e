//! What the others had, and what they have then.

use super::{GuestCost, GuestTimes};
use crate::plan::promise::promises;
use crate::plan::schedule::Schedule;
use crate::plan::{Berth, Plan};
use crate::setup::Setup;
use crate::units::{millionths, rounded};

/// The devices of the plan at hand, with their times.
pub(super) struct Before(Vec<(String, GuestTimes)>);

impl Before {
    /// As the setup has it today, whatever the plan's document says.
    pub(super) fn of(setup: &Setup, at_hand: &Schedule) -> Self {
        let each = at_hand.slots.iter().zip(promises(setup, &at_hand.slots));
        let times = each.map(|(slot, promise)| {
            let times = GuestTimes {
                hours: rounded(slot.hours),
                promised_h: promise.hours.map(rounded),
            };
            (setup.devices[slot.device].name.clone(), times)
        });
        Self(times.collect())
    }

    /// What a plan costs each of them whose time is another one.
    pub(super) fn costs(&self, plan: &Plan) -> Vec<GuestCost> {
        let each = self.0.iter().map(|(device, before)| {
            let berth = plan.berths.iter().find(|berth| berth.device == *device);
            GuestCost {
                device: device.clone(),
                before: *before,
                after: berth.map(GuestTimes::from),
            }
        });
        each.filter(|cost| cost.after.is_none_or(|after| differs(cost.before, after)))
            .collect()
    }
}

fn differs(a: GuestTimes, b: GuestTimes) -> bool {
    let whole = |times: GuestTimes| (millionths(times.hours), times.promised_h.map(millionths));
    whole(a) != whole(b)
}

impl From<&Berth> for GuestTimes {
    fn from(berth: &Berth) -> Self {
        Self {
            hours: berth.hours,
            promised_h: berth.promised_h,
        }
    }
}
