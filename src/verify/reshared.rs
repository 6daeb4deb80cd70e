//! The longest time if the chargers renegotiate: between what must hold, not recomputed.
//!
//! It is no longer than the plan's own, and no device is full sooner than at the best
//! contract of its own port and cable, kept from the start.

use super::limiting::possible;
use super::negotiation::Lifted;
use super::rules::Place;
use super::time::hours_to_full;
use super::{Findings, same, shown};
use crate::setup::Setup;

/// `places` with the hours from the start to that of their berths; `None` where not all
/// could be recomputed.
pub(super) fn check(
    setup: &Setup,
    reshared_h: Option<f64>,
    longest_h: f64,
    places: Option<Vec<(f64, Place)>>,
    findings: &mut Findings,
) {
    let (Some(reshared_h), Some(places)) = (reshared_h, places) else {
        return;
    };
    let least_h = places
        .iter()
        .map(|(start_h, place)| start_h + alone_h(setup, place))
        .fold(0.0, f64::max);
    let within = |value: f64| value >= least_h && value <= longest_h;
    if !within(reshared_h) && !same(reshared_h, least_h) && !same(reshared_h, longest_h) {
        findings.add(
            "reshared_h",
            format!(
                "is {}, must be from {}, the best contracts alone, to longest_h, {}",
                shown(reshared_h),
                shown(least_h),
                shown(longest_h)
            ),
        );
    }
}

/// The least time of a device on its port and cable, whatever the others do.
fn alone_h(setup: &Setup, place: &Place) -> f64 {
    let device = &setup.devices[place.device];
    possible(setup, place, Lifted::Nothing)
        .iter()
        .filter_map(|contract| hours_to_full(device, contract.inlet_w))
        .fold(f64::INFINITY, f64::min)
}

#[cfg(test)]
mod tests {
    use super::super::sample::{plan, setup};
    use super::super::verify;

    #[test]
    fn it_lies_between_the_best_alone_and_the_plan() {
        let (setup, plan) = (setup(), plan());
        for (reshared_h, sound) in [
            (None, true),
            (Some(plan.longest_h), true),
            (Some(plan.longest_h + 2e-6), false),
            (Some(0.5), false),
            (Some(f64::NAN), false),
            (Some(-1.0), false),
        ] {
            let told = crate::Plan {
                reshared_h,
                ..plan.clone()
            };
            let found = verify(&setup, &told).violations;
            let paths: Vec<&str> = found.iter().map(|v| v.path.as_str()).collect();
            let expected: &[&str] = if sound { &[] } else { &["reshared_h"] };
            assert_eq!(paths, expected, "{reshared_h:?}");
        }
    }
}
