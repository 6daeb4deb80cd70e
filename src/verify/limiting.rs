//! What keeps a berth from being full sooner, found by lifting one limit at a time.

use super::negotiation::{Contract, Lifted, beyond_cap, contracts};
use super::rules::{Place, governing_lines, lines_grant_by, pools_suffice, room_for};
use super::time::hours_to_full;
use std::borrow::Cow;

use crate::plan::LimitedBy;
use crate::setup::{ChargerSpec, LineSpec, Setup};
use crate::units::millionths;

/// The limit whose removal alone shortens the best time of `places[index]` on its
/// port and cable the most, the other places kept; `device` where none does.
pub(crate) fn limiting(setup: &Setup, places: &[Place], index: usize) -> LimitedBy {
    let Some(own) = places.get(index) else {
        return LimitedBy::Device;
    };
    let others = places.iter().enumerate();
    let others = others.filter_map(|(other, place)| (other != index).then_some(*place));
    limiting_beside(setup, own, &[others.collect()], &|_| 1)
}

/// As [`limiting`], of a place that lasts for several sessions: `others` are, session by
/// session from its start, the other places, and `lasts` says how many sessions so many
/// hours to full take.
pub(super) fn limiting_beside(
    setup: &Setup,
    own: &Place,
    others: &[Vec<Place>],
    lasts: &dyn Fn(f64) -> usize,
) -> LimitedBy {
    // What binds here is shared within one charger only.
    let there = |others: &Vec<Place>| {
        let on_charger = others.iter().filter(|place| place.charger == own.charger);
        std::iter::once(own).chain(on_charger).copied().collect()
    };
    let beside = Beside {
        own,
        there: others.iter().map(there).collect(),
        lasts,
    };
    let charger = &setup.chargers[own.charger];
    let as_it_is = possible(setup, own, Lifted::Nothing);
    let now = beside.least_millionths_h(setup, charger, &as_it_is, true, true);
    let lifted = |lifted| {
        let possible = possible(setup, own, lifted);
        beside.least_millionths_h(setup, charger, &possible, true, true)
    };
    let without = [
        (
            LimitedBy::Pool,
            beside.least_millionths_h(setup, charger, &as_it_is, false, true),
        ),
        (
            LimitedBy::Combination,
            beside.least_millionths_h(setup, charger, &as_it_is, true, false),
        ),
        (LimitedBy::Port, beside.without_port(setup)),
        (LimitedBy::Cable, lifted(Lifted::Cable)),
        (LimitedBy::Device, lifted(Lifted::Device)),
    ];
    let mut answer = LimitedBy::Device;
    // A gain below the tolerance, or below a millionth of an hour, is none.
    let mut most = millionths(setup.tolerance_h).max(1) - 1;
    for (limit, then) in without {
        let gain = now.saturating_sub(then);
        if gain > most {
            (answer, most) = (limit, gain);
        }
    }
    answer
}

/// Every contract of a place's device on its port, through its cable.
pub(super) fn possible(setup: &Setup, own: &Place, lifted: Lifted) -> Vec<Contract> {
    let port = &setup.chargers[own.charger].ports[own.port];
    contracts(
        port,
        &setup.cables[own.cable],
        &setup.devices[own.device],
        lifted,
    )
}

/// A place and those beside it.
struct Beside<'a> {
    own: &'a Place,
    /// Session by session, the places on its charger, its own first.
    there: Vec<Vec<Place>>,
    /// How many sessions so many hours to full take.
    lasts: &'a dyn Fn(f64) -> usize,
}

impl Beside<'_> {
    /// The least time without the port's own limit.
    fn without_port(&self, setup: &Setup) -> i64 {
        let own = self.own;
        let mut possible = possible(setup, own, Lifted::Port);
        let mut charger = Cow::Borrowed(&setup.chargers[own.charger]);
        // The line "it alone, at its cap" says no more than the cap does.
        let says_the_cap = |line: &LineSpec| line.implied && line.watts[own.port].is_some();
        if charger.lines.iter().any(says_the_cap) {
            for line in &mut charger.to_mut().lines {
                if says_the_cap(line) {
                    line.watts[own.port] = Some(f64::INFINITY);
                }
            }
        }
        let port = &setup.chargers[own.charger].ports[own.port];
        let (cable, device) = (&setup.cables[own.cable], &setup.devices[own.device]);
        for there in &self.there {
            let room = room_for(&charger, &there[1..], own.charger, own.port);
            let above = room.into_iter().filter(|&room_w| room_w > port.cap_w);
            possible.extend(above.filter_map(|room_w| beyond_cap(port, cable, device, room_w)));
        }
        self.least_millionths_h(setup, &charger, &possible, true, true)
    }

    /// The least time over the possible contracts that the others leave room for in every
    /// session that they last, in whole 1e-6 h; the largest number where there is none.
    fn least_millionths_h(
        &self,
        setup: &Setup,
        charger: &ChargerSpec,
        possible: &[Contract],
        pools: bool,
        lines: bool,
    ) -> i64 {
        let index = self.own.charger;
        let device = &setup.devices[self.own.device];
        // Which lines govern depends on the ports in use, not on the contract.
        let mut sessions: Vec<(Vec<Place>, Vec<&LineSpec>)> = self
            .there
            .iter()
            .map(|there| (there.clone(), governing_lines(charger, there, index)))
            .collect();
        let mut least = i64::MAX;
        for contract in possible {
            let Some(hours) = hours_to_full(device, contract.inlet_w) else {
                continue;
            };
            if millionths(hours) >= least {
                continue;
            }
            let lasting = sessions.iter_mut().take((self.lasts)(hours));
            let fits = lasting.into_iter().all(|(there, governing)| {
                there[0].contract = *contract;
                (!pools || pools_suffice(charger, there, index))
                    && (!lines || lines_grant_by(governing, charger, there, index))
            });
            if fits {
                least = millionths(hours);
            }
        }
        least
    }
}

#[cfg(test)]
mod tests {
    use super::super::rules::lines_grant;
    use super::super::sample::{cable, device, fixed, line, pool, port, setup, takes};
    use super::*;
    use crate::setup::DeviceSpec;
    use crate::setup::document::Reserve;
    use crate::usb::Connector;

    /// One port with 5 and 9 V at 3 A to 27 W, one device that takes as much.
    fn single() -> Setup {
        let mut setup = setup();
        setup.chargers.truncate(1);
        let charger = &mut setup.chargers[0];
        charger.ports = vec![port(
            "C1",
            Connector::UsbC,
            vec![fixed(5.0, 3.0), fixed(9.0, 3.0)],
            &[15.0, 18.0, 20.0, 27.0],
        )];
        charger.pools.clear();
        setup.cables = vec![cable("c", 3.0, 0.0)];
        setup.devices = vec![DeviceSpec {
            accepts: vec![takes(5.0, 3.0), takes(9.0, 3.0)],
            draw_w: vec![(0.0, 100.0)],
            ..device("tablet", 27.0)
        }];
        setup
    }

    /// The answer at the fastest contract that pools and lines leave.
    fn answer(setup: &Setup) -> LimitedBy {
        let chosen = contracts(
            &setup.chargers[0].ports[0],
            &setup.cables[0],
            &setup.devices[0],
            Lifted::Nothing,
        )
        .into_iter()
        .map(|contract| {
            [Place {
                device: 0,
                charger: 0,
                port: 0,
                cable: 0,
                contract,
            }]
        })
        .rfind(|place| {
            pools_suffice(&setup.chargers[0], place, 0) && lines_grant(&setup.chargers[0], place, 0)
        });
        limiting(setup, &chosen.expect("something is left"), 0)
    }

    #[test]
    fn each_limit_by_its_meaning() {
        type Change = fn(&mut Setup);
        let table: &[(&str, LimitedBy, Change)] = &[
            ("nothing helps alone", LimitedBy::Device, |_| {}),
            ("a pool", LimitedBy::Pool, |s| {
                s.chargers[0].pools = vec![pool("total", &[0], 18.0)];
            }),
            ("a line", LimitedBy::Combination, |s| {
                s.chargers[0].lines = vec![line(&[Some(18.0)])];
            }),
            // Either alone changes nothing where both bind: the next that does is named.
            ("a pool and a line alike", LimitedBy::Device, |s| {
                s.chargers[0].pools = vec![pool("total", &[0], 18.0)];
                s.chargers[0].lines = vec![line(&[Some(18.0)])];
            }),
            ("a pool within a line", LimitedBy::Pool, |s| {
                s.chargers[0].pools = vec![pool("total", &[0], 18.0)];
                s.chargers[0].lines = vec![line(&[Some(20.0)])];
            }),
            ("a port with less than is accepted", LimitedBy::Port, |s| {
                s.chargers[0].ports[0].offers[1].amps = 2.0;
            }),
            ("a port's cap", LimitedBy::Port, |s| {
                s.chargers[0].ports[0].cap_w = 20.0;
                s.chargers[0].ports[0].tiers_w.truncate(3);
            }),
            // Above the cap the port may have the 26 W of the pool.
            (
                "a port's cap above which the pool ends",
                LimitedBy::Port,
                |s| {
                    s.chargers[0].reserve = Reserve::Offer;
                    s.chargers[0].ports[0].cap_w = 20.0;
                    s.chargers[0].ports[0].tiers_w.truncate(3);
                    s.chargers[0].pools = vec![pool("total", &[0], 26.0)];
                },
            ),
            ("a cable's current", LimitedBy::Cable, |s| {
                s.cables[0].max_a = 2.0;
            }),
            ("a cable's resistance", LimitedBy::Cable, |s| {
                s.cables[0].ohm = 0.2;
            }),
            ("a cable's volts", LimitedBy::Cable, |s| {
                s.cables[0].max_v = 6.0;
            }),
            ("a device's current", LimitedBy::Device, |s| {
                s.devices[0].accepts[1].amps = 2.0;
            }),
            ("a device's curve", LimitedBy::Device, |s| {
                s.devices[0].draw_w[0].1 = 10.0;
            }),
            // 17.2 W arrive; without the cable's loss 18, without the port's limit 25.2.
            ("a port more than a cable", LimitedBy::Port, |s| {
                s.chargers[0].ports[0].offers[1].amps = 2.0;
                s.cables[0].ohm = 0.2;
            }),
            // 18.5 W arrive; without the cable 20, without the pool 20.6 through 2.5 A.
            ("a pool more than a cable", LimitedBy::Pool, |s| {
                s.chargers[0].pools = vec![pool("total", &[0], 20.0)];
                s.cables[0].ohm = 0.3;
            }),
            // A gain below a millionth of an hour is none.
            ("a hair of resistance", LimitedBy::Device, |s| {
                s.cables[0].ohm = 1e-7;
            }),
        ];
        for (what, expected, change) in table {
            let mut setup = single();
            change(&mut setup);
            assert_eq!(answer(&setup), *expected, "{what}");
        }
    }

    #[test]
    fn ties_go_in_order() {
        // Never more than 17.9 W are drawn, so that without the pool (25.2 W arrive) and
        // without the cable (18 W) it takes the same time.
        let mut setup = single();
        setup.devices[0].draw_w = vec![(0.0, 17.9)];
        setup.chargers[0].pools = vec![pool("total", &[0], 18.0)];
        setup.cables[0].ohm = 0.2;
        assert_eq!(answer(&setup), LimitedBy::Pool);
    }

    #[test]
    fn unknown_places_have_an_answer() {
        assert_eq!(limiting(&single(), &[], 3), LimitedBy::Device);
    }
}
