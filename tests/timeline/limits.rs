//! No limit is ever exceeded, and sharing anew never makes the last one later.

use wattberth::{Sharing, Status};

use super::nights;
use super::seated::Seated;
use crate::model::options::Choice;
use crate::model::rounding::micro;
use crate::model::rules::{lines_hold, pools_hold};

#[test]
fn no_pool_and_no_line_is_ever_exceeded() {
    nights(300, Sharing::Held, keeps);
    nights(300, Sharing::Reshared, keeps);
}

fn keeps(seated: &Seated) {
    // Between two events nothing is negotiated.
    let moments = seated.night.events.iter().map(|event| event.at_h);
    for at_h in moments.chain([0.0]) {
        let held: Vec<Choice> = seated
            .berths
            .iter()
            .map(|berth| berth.held(at_h).clone())
            .collect();
        assert!(
            pools_hold(&seated.setup, &held),
            "{at_h} h\n{}",
            seated.json
        );
        assert!(
            lines_hold(&seated.setup, &held),
            "{at_h} h\n{}",
            seated.json
        );
    }
    for (berth, series) in seated.berths.iter().zip(&seated.night.series) {
        for (&at_h, &watts) in series.at_h.iter().zip(&series.watts) {
            let most = |choice: &Choice| choice.contract.port_w();
            // At a change, the points before and after stand at one time.
            let most_w = most(berth.held(at_h)).max(if at_h > 0.0 {
                most(berth.held_before(at_h))
            } else {
                0.0
            });
            assert!(
                watts <= most_w * (1.0 + 1e-12),
                "{} at {at_h} h: {watts} of {most_w} W",
                series.device
            );
        }
        assert!(series.at_h.is_sorted() && series.soc_pct.is_sorted());
    }
}

#[test]
fn sharing_anew_is_never_later_and_proven() {
    nights(1_000, Sharing::Reshared, |seated| {
        let night = &seated.night;
        let reshared_h = night.reshared_h.expect("it was asked for");
        assert!(
            micro(reshared_h) <= micro(night.longest_h),
            "{reshared_h} > {}\n{}",
            night.longest_h,
            seated.json
        );
        assert_eq!(night.reshared_status, Some(Status::Optimal));
        assert_eq!(micro(night.longest_h), micro(seated.plan.longest_h));
    });
}
