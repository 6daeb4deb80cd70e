//! A setup and its plan, worked by hand: the quartet between hall and van.

use super::negotiation::{Lifted, contracts};
use crate::plan::{Berth, LimitedBy, Plan, PoolUse, Reason, Status, WithoutBerth};
use crate::setup::document::{Aim, Reserve, SetupDocument, Voltages};
use crate::setup::ids::{CableId, PortId};
use crate::setup::{
    CableSpec, ChargerSpec, DeviceSpec, LineSpec, PoolSpec, PortSpec, PromisedSpec, Setup,
};
use crate::usb::{Accept, Connector, Demand, Offer, Supply};

fn hall() -> ChargerSpec {
    ChargerSpec {
        name: "hall".to_owned(),
        ports: vec![
            port("C1", Connector::UsbC, full_size(), &STEPS_65),
            port(
                "C2",
                Connector::UsbC,
                vec![fixed(5.0, 3.0), fixed(9.0, 2.22), pps(3.3, 11.0, 2.0)],
                &STEPS_65[..4],
            ),
            port("A1", Connector::UsbA, vec![fixed(5.0, 2.4)], &[12.0]),
        ],
        pools: vec![
            pool("total", &[0, 1, 2], 85.0),
            pool("lower bank", &[1, 2], 24.0),
        ],
        lines: Vec::new(),
        reserve: Reserve::Contract,
        efficiency: None,
    }
}

/// Two chargers with five ports, four kinds of devices, and one device too many.
pub(super) fn setup() -> Setup {
    let mut setup = nothing_open();
    // Nothing is open but what chargers make of it.
    for device in &mut setup.devices {
        device.promised = PromisedSpec {
            min_w: device.min_w,
            battery_wh: device.battery_wh,
            start_pct: device.start_pct,
            draw_w: device.draw_w.clone(),
        };
    }
    setup
}

fn nothing_open() -> Setup {
    let van = ChargerSpec {
        name: "van".to_owned(),
        ports: vec![
            port("C1", Connector::UsbC, full_size(), &STEPS_65),
            port(
                "C2",
                Connector::UsbC,
                vec![fixed(5.0, 3.0), fixed(9.0, 3.0), fixed(15.0, 2.0)],
                &STEPS_65[..6],
            ),
        ],
        pools: vec![pool("total", &[0, 1], 80.0)],
        lines: vec![
            line(&[Some(45.0), Some(20.0)]),
            line(&[Some(65.0), None]),
            line(&[None, Some(30.0)]),
        ],
        reserve: Reserve::Offer,
        efficiency: None,
    };
    Setup {
        document: SetupDocument::default(),
        sessions: Vec::new(),
        start: None,
        trip: None,
        shop: None,
        guesses: Vec::new(),
        aim: Aim::Best,
        tolerance_h: 0.0,
        chargers: vec![hall(), van],
        cables: vec![
            CableSpec {
                count: 3,
                ..cable("short", 3.0, 0.1)
            },
            CableSpec {
                e_marked: true,
                length_m: 2.0,
                ..cable("marked", 5.0, 0.05)
            },
            CableSpec {
                from: Connector::UsbA,
                to: Connector::UsbMicroB,
                ..cable("feed", 1.8, 0.2)
            },
        ],
        devices: vec![
            tablet("first violin tablet"),
            DeviceSpec {
                ready_by_h: Some(1.5),
                ..tablet("second violin tablet")
            },
            DeviceSpec {
                accepts: vec![takes(5.0, 3.0), takes(9.0, 2.22), takes_pps(3.3, 11.0, 2.5)],
                battery_wh: 15.0,
                start_pct: 10.0,
                draw_w: vec![(0.0, 25.0)],
                ..device("viola phone", 20.0)
            },
            DeviceSpec {
                inlet: Connector::UsbMicroB,
                accepts: vec![takes(5.0, 1.0)],
                battery_wh: 4.0,
                draw_w: vec![(0.0, 4.0)],
                ..device("page pedals", 5.0)
            },
            DeviceSpec {
                accepts: vec![takes(20.0, 3.25)],
                battery_wh: 60.0,
                start_pct: 25.0,
                draw_w: vec![(0.0, 60.0), (80.0, 60.0), (100.0, 6.0)],
                running_w: 2.0,
                pinned_port: Some(PortId::new(0, 0)),
                pinned_cable: Some(CableId(1)),
                ..device("cello laptop", 60.0)
            },
            DeviceSpec {
                start_pct: 100.0,
                ..tablet("full tablet")
            },
            DeviceSpec {
                battery_wh: 20.0,
                start_pct: 50.0,
                priority: 3,
                ..tablet("spare tablet")
            },
        ],
    }
}

/// Its plan. `battery / 100 / 0.8` hours per percent and watt throughout.
///
/// - First tablet: 45 W less 3² × 0.1 is more than the 40 W it draws: 36 / 40 h.
/// - Second: its line grants 20 W, so 9 V at 20 / 9 A less (20 / 9)² × 0.1: 36 / 19.506 h.
/// - Phone: 24 W of the lower bank less the pedals' 5 leave the 18 W tier: PPS to 11 V
///   at 18 / 11 A, less (18 / 11)² × 0.1: 16.875 / 17.732 h.
///   Certain are the same 18 W, 19 being left beside the pedals' 5, at no more than 9 V:
///   2 A less 2² × 0.1, 16.875 / 17.6 h.
/// - Pedals: 4.8 W arrive, 4 are drawn: 5 / 4 h.
/// - Laptop: 60 W less 9 × 0.05 less the 2 it runs on: 57.55 W up to where the taper
///   from 60 to 6 W meets it, then a logarithm (a sum of two million steps agrees).
pub(super) fn plan() -> Plan {
    let berth = |(device, charger, port, cable): (&str, &str, &str, &str),
                 [volts, amps, tier_w, port_w, inlet_w, hours]: [f64; 6],
                 [promised_w, promised_h]: [f64; 2],
                 limited_by| Berth {
        device: device.to_owned(),
        charger: charger.to_owned(),
        port: port.to_owned(),
        cable: cable.to_owned(),
        volts,
        amps,
        tier_w,
        port_w,
        inlet_w,
        hours,
        late: false,
        promised_w: Some(promised_w),
        promised_h: Some(promised_h),
        limited_by,
    };
    let mut berths = vec![
        berth(
            ("first violin tablet", "van", "C1", "short"),
            [15.0, 3.0, 45.0, 45.0, 44.1, 0.9],
            [45.0, 0.9],
            LimitedBy::Device,
        ),
        berth(
            ("second violin tablet", "van", "C2", "short"),
            [9.0, 2.222_222, 20.0, 20.0, 19.506_173, 1.845_570],
            [20.0, 1.845_570],
            LimitedBy::Combination,
        ),
        berth(
            ("viola phone", "hall", "C2", "short"),
            [11.0, 1.636_364, 18.0, 18.0, 17.732_231, 0.951_657],
            [18.0, 0.958_807],
            LimitedBy::Pool,
        ),
        berth(
            ("page pedals", "hall", "A1", "feed"),
            [5.0, 1.0, 12.0, 5.0, 4.8, 1.25],
            [5.0, 1.25],
            LimitedBy::Device,
        ),
        berth(
            ("cello laptop", "hall", "C1", "marked"),
            [20.0, 3.0, 60.0, 60.0, 59.55, 1.356_620],
            [60.0, 1.356_620],
            LimitedBy::Device,
        ),
    ];
    berths[1].late = true;
    let use_of = |charger: &str, pool: &str, used_w, max_w| PoolUse {
        charger: charger.to_owned(),
        pool: pool.to_owned(),
        used_w,
        max_w,
    };
    Plan {
        version: 1,
        program: None,
        setup_sha256: None,
        status: Status::Optimal,
        settled: None,
        aim: Aim::Best,
        moves: None,
        longest_h: 1.845_570,
        promised_longest_h: Some(1.845_570),
        reshared_h: None,
        bound_h: Some(1.845_570),
        unserved: 1,
        bound_unserved: None,
        missing_wh: 10.0,
        late: 1,
        promised_late: 1,
        bound_late: None,
        bounds: Vec::new(),
        berths,
        assumed: Vec::new(),
        without_berth: vec![WithoutBerth {
            device: "spare tablet".to_owned(),
            reason: "5 devices for 4 ports".to_owned(),
            cause: Reason::FewerPorts {
                devices: 5,
                ports: 4,
            },
        }],
        pools: vec![
            use_of("hall", "total", 83.0, 85.0),
            use_of("hall", "lower bank", 23.0, 24.0),
            use_of("van", "total", 65.0, 80.0),
        ],
        cautions: Vec::new(),
        because: Vec::new(),
    }
}

pub(super) const STEPS_65: [f64; 9] = [7.5, 15.0, 18.0, 20.0, 27.0, 30.0, 45.0, 60.0, 65.0];

fn full_size() -> Vec<Offer> {
    vec![
        fixed(5.0, 3.0),
        fixed(9.0, 3.0),
        fixed(15.0, 3.0),
        fixed(20.0, 3.25),
    ]
}

fn tablet(name: &str) -> DeviceSpec {
    DeviceSpec {
        accepts: vec![takes(5.0, 3.0), takes(9.0, 3.0), takes(15.0, 3.0)],
        battery_wh: 36.0,
        start_pct: 20.0,
        draw_w: vec![(0.0, 40.0)],
        ..device(name, 45.0)
    }
}

pub(super) fn port(
    name: &str,
    connector: Connector,
    offers: Vec<Offer>,
    tiers_w: &[f64],
) -> PortSpec {
    PortSpec {
        name: name.to_owned(),
        connector,
        offers,
        cap_w: tiers_w[tiers_w.len() - 1],
        tiers_w: tiers_w.to_vec(),
        voltages: Some(Voltages::Rules),
        lead: None,
    }
}

pub(super) fn pool(name: &str, ports: &[usize], max_w: f64) -> PoolSpec {
    PoolSpec {
        name: name.to_owned(),
        ports: ports.to_vec(),
        max_w,
    }
}

pub(super) fn line(watts: &[Option<f64>]) -> LineSpec {
    LineSpec {
        implied: false,
        watts: watts.to_vec(),
    }
}

pub(super) fn cable(name: &str, max_a: f64, ohm: f64) -> CableSpec {
    CableSpec {
        name: name.to_owned(),
        from: Connector::UsbC,
        to: Connector::UsbC,
        max_a,
        max_v: 21.0,
        e_marked: false,
        length_m: 1.0,
        ohm,
        count: 1,
        lead_of: None,
    }
}

pub(super) fn device(name: &str, max_w: f64) -> DeviceSpec {
    DeviceSpec {
        name: name.to_owned(),
        inlet: Connector::UsbC,
        accepts: Vec::new(),
        usb_a: None,
        max_w,
        min_w: 0.0,
        battery_wh: 10.0,
        start_pct: 0.0,
        target_pct: 100.0,
        draw_w: vec![(0.0, max_w)],
        default_draw: false,
        promised: PromisedSpec {
            min_w: 0.0,
            battery_wh: 10.0,
            start_pct: 0.0,
            draw_w: vec![(0.0, max_w)],
        },
        assumed: Vec::new(),
        guessed_cell: false,
        efficiency: 0.8,
        running_w: 0.0,
        ready_by_h: None,
        priority: 2,
        at_hand: u32::MAX,
        reach_m: 0.0,
        every_nights: 1,
        pinned_port: None,
        pinned_cable: None,
        pinned_contract: None,
    }
}

pub(super) fn fixed(volts: f64, amps: f64) -> Offer {
    Offer {
        supply: Supply::Fixed { volts },
        amps,
        watts: f64::INFINITY,
    }
}

pub(super) fn pps(low_v: f64, high_v: f64, amps: f64) -> Offer {
    Offer {
        supply: Supply::Pps { low_v, high_v },
        amps,
        watts: f64::INFINITY,
    }
}

pub(super) fn avs(low_v: f64, high_v: f64, amps: f64) -> Offer {
    Offer {
        supply: Supply::Avs { low_v, high_v },
        amps,
        watts: f64::INFINITY,
    }
}

pub(super) fn takes(volts: f64, amps: f64) -> Accept {
    Accept {
        demand: Demand::Fixed { volts },
        amps,
        watts: f64::INFINITY,
    }
}

pub(super) fn takes_pps(low_v: f64, high_v: f64, amps: f64) -> Accept {
    Accept {
        demand: Demand::Pps { low_v, high_v },
        amps,
        watts: f64::INFINITY,
    }
}

pub(super) fn takes_avs(low_v: f64, high_v: f64, amps: f64) -> Accept {
    Accept {
        demand: Demand::Avs { low_v, high_v },
        amps,
        watts: f64::INFINITY,
    }
}

pub(super) fn takes_wide(low_v: f64, high_v: f64, amps: f64) -> Accept {
    Accept {
        demand: Demand::Wide { low_v, high_v },
        amps,
        watts: f64::INFINITY,
    }
}

/// (tier, volts, amps) of every contract, amps to a thousandth.
pub(super) fn possible(
    offers: &[Offer],
    tiers_w: &[f64],
    accepts: &[Accept],
    cable: &CableSpec,
    lifted: Lifted,
) -> Vec<(f64, f64, f64)> {
    let port = port("C1", cable.from.clone(), offers.to_vec(), tiers_w);
    let device = DeviceSpec {
        inlet: cable.to.clone(),
        accepts: accepts.to_vec(),
        ..device("tablet", 240.0)
    };
    let thousandths = |value: f64| (value * 1e3).round() / 1e3;
    contracts(&port, cable, &device, lifted)
        .iter()
        .map(|c| (c.tier_w, c.volts, thousandths(c.amps)))
        .collect()
}

/// A cable for everything, without resistance.
pub(super) fn epr() -> CableSpec {
    CableSpec {
        max_v: 50.0,
        e_marked: true,
        ..cable("epr", 5.0, 0.0)
    }
}

/// The contracts of a port with these offers and tiers, as (tier, volts, amps).
#[track_caller]
pub(super) fn settles(
    offers: &[Offer],
    tiers_w: &[f64],
    accepts: &[Accept],
    cable: &CableSpec,
    expected: &[(f64, f64, f64)],
) {
    assert_eq!(
        possible(offers, tiers_w, accepts, cable, Lifted::Nothing),
        expected
    );
}
