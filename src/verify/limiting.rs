//! What keeps a berth from being full sooner, found by lifting one limit at a time.

use super::negotiation::{Contract, Lifted, beyond_cap, contracts};
use super::rules::{Place, governing_lines, granted, lines_grant_with, pools_suffice, room_for};
use super::time::hours_to_full;

use crate::plan::LimitedBy;
use crate::setup::{LineSpec, Setup};
use crate::units::millionths;

/// The limit whose removal alone shortens the best time of `places[index]` on its
/// port and cable the most, the other places kept; `device` where none does. `possible` are all
/// contracts of the device there.
pub(super) fn limiting(
    setup: &Setup,
    places: &[Place],
    index: usize,
    possible: &[Contract],
) -> LimitedBy {
    let Some(own) = places.get(index) else {
        return LimitedBy::Device;
    };
    let others = places.iter().enumerate();
    let others = others.filter_map(|(other, place)| (other != index).then_some(*place));
    limit(setup, own, possible, &[others.collect()], &|_| 1)
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
    let possible = possible(setup, own, Lifted::Nothing);
    limit(setup, own, &possible, others, lasts)
}

fn limit(
    setup: &Setup,
    own: &Place,
    possible: &[Contract],
    others: &[Vec<Place>],
    lasts: &dyn Fn(f64) -> usize,
) -> LimitedBy {
    // What binds here is shared within one charger only.
    let there = |others: &Vec<Place>| {
        let on_charger = others.iter().filter(|place| place.charger == own.charger);
        Session::of(setup, own, std::iter::once(own).chain(on_charger))
    };
    let mut beside = Beside {
        setup,
        own,
        there: others.iter().map(there).collect(),
        lasts,
    };
    let as_it_is = beside.timed(possible);
    let now = beside.least(&as_it_is, &Kept::ALL);
    let without_pools = Kept {
        pools: false,
        ..Kept::ALL
    };
    let without_lines = Kept {
        lines: false,
        ..Kept::ALL
    };
    let mut answer = LimitedBy::Device;
    // A gain below the tolerance, or below a millionth of an hour, is none.
    let mut most = millionths(setup.tolerance_h).max(1) - 1;
    let mut judge = |limit: LimitedBy, then: i64| {
        let gain = now.saturating_sub(then);
        if gain > most {
            (answer, most) = (limit, gain);
        }
    };
    judge(LimitedBy::Pool, beside.least(&as_it_is, &without_pools));
    judge(
        LimitedBy::Combination,
        beside.least(&as_it_is, &without_lines),
    );
    judge(LimitedBy::Port, beside.without_port());
    judge(LimitedBy::Cable, beside.without(Lifted::Cable));
    judge(LimitedBy::Device, beside.without(Lifted::Device));
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

/// The places of one session on a charger.
struct Session<'a> {
    /// The one that is asked about first.
    places: Vec<Place>,
    /// The lines that govern them: which these are depends on the ports in use, not on the
    /// contracts.
    governing: Vec<&'a LineSpec>,
}

impl<'a> Session<'a> {
    fn of<'p>(setup: &'a Setup, own: &Place, places: impl Iterator<Item = &'p Place>) -> Self {
        let places: Vec<Place> = places.copied().collect();
        Self {
            governing: governing_lines(&setup.chargers[own.charger], &places, own.charger),
            places,
        }
    }
}

/// The rules that are kept.
struct Kept {
    pools: bool,
    lines: bool,
    /// Whether the line "it alone, at its cap" is: it says no more than the cap does.
    cap: bool,
}

impl Kept {
    const ALL: Self = Self {
        pools: true,
        lines: true,
        cap: true,
    };
}

/// A contract, and how many hours it takes.
type Timed = (f64, Contract);

/// A place and those beside it.
struct Beside<'a> {
    setup: &'a Setup,
    own: &'a Place,
    /// Session by session, the places on its charger, its own first.
    there: Vec<Session<'a>>,
    /// How many sessions so many hours to full take.
    lasts: &'a dyn Fn(f64) -> usize,
}

impl Beside<'_> {
    /// Those contracts with which the device gets full, the fastest first.
    fn timed(&self, possible: &[Contract]) -> Vec<Timed> {
        let device = &self.setup.devices[self.own.device];
        let hours = |contract: &Contract| hours_to_full(device, contract.inlet_w);
        let each = possible.iter();
        let timed = each.filter_map(|contract| Some((hours(contract)?, *contract)));
        let mut timed: Vec<Timed> = timed.collect();
        timed.sort_by(|a, b| a.0.total_cmp(&b.0));
        timed
    }

    /// The least time with one limit of the negotiation lifted.
    fn without(&mut self, lifted: Lifted) -> i64 {
        let timed = self.timed(&possible(self.setup, self.own, lifted));
        self.least(&timed, &Kept::ALL)
    }

    /// The least time without the port's own limit.
    fn without_port(&mut self) -> i64 {
        let (setup, own) = (self.setup, self.own);
        let mut possible = possible(setup, own, Lifted::Port);
        let charger = &setup.chargers[own.charger];
        let port = &charger.ports[own.port];
        let (cable, device) = (&setup.cables[own.cable], &setup.devices[own.device]);
        let granted = |line: &LineSpec, port: usize| granted_but_cap(line, port, own.port);
        for there in &self.there {
            let others = &there.places[1..];
            let room = room_for(charger, others, own.charger, own.port, granted);
            let above = room.into_iter().filter(|&room_w| room_w > port.cap_w);
            possible.extend(above.filter_map(|room_w| beyond_cap(port, cable, device, room_w)));
        }
        let timed = self.timed(&possible);
        let without_cap = Kept {
            cap: false,
            ..Kept::ALL
        };
        self.least(&timed, &without_cap)
    }

    /// The least time over the contracts that the others leave room for in every session that
    /// they last, in whole 1e-6 h; the largest number where there is none.
    fn least(&mut self, timed: &[Timed], kept: &Kept) -> i64 {
        let (index, port) = (self.own.charger, self.own.port);
        let charger = &self.setup.chargers[index];
        let grants = |line: &LineSpec, of: usize| {
            if kept.cap {
                granted(line, of)
            } else {
                granted_but_cap(line, of, port)
            }
        };
        let fastest = timed.iter().find(|(hours, contract)| {
            let mut lasting = self.there.iter_mut().take((self.lasts)(*hours));
            lasting.all(|there| {
                there.places[0].contract = *contract;
                let Session { places, governing } = there;
                (!kept.pools || pools_suffice(charger, places, index))
                    && (!kept.lines || lines_grant_with(governing, charger, places, index, grants))
            })
        });
        fastest.map_or(i64::MAX, |(hours, _)| millionths(*hours))
    }
}

/// What a line grants a port where the line "it alone, at its cap" of the port `own` is not kept.
fn granted_but_cap(line: &LineSpec, port: usize, own: usize) -> Option<f64> {
    let says_the_cap = port == own && line.implied;
    granted(line, port).map(|watts| if says_the_cap { f64::INFINITY } else { watts })
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
        let possible = contracts(
            &setup.chargers[0].ports[0],
            &setup.cables[0],
            &setup.devices[0],
            Lifted::Nothing,
        );
        let chosen = possible
            .iter()
            .map(|&contract| {
                [Place {
                    device: 0,
                    charger: 0,
                    port: 0,
                    cable: 0,
                    contract,
                }]
            })
            .rfind(|place| {
                pools_suffice(&setup.chargers[0], place, 0)
                    && lines_grant(&setup.chargers[0], place, 0)
            });
        limiting(setup, &chosen.expect("something is left"), 0, &possible)
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
        assert_eq!(limiting(&single(), &[], 3, &[]), LimitedBy::Device);
    }
}
