//! Pages of plans written by hand: the sentences and the cells.

use super::{Block, Page, Section};
use crate::plan::bounds::{BoundedLevel, LevelBound};
use crate::plan::{Berth, Level, LimitedBy, Plan, PoolUse, Reason, Status, WithoutBerth};
use crate::setup::document::{Aim, Reserve, SetupDocument};
use crate::setup::{ChargerSpec, DeviceSpec, PortSpec, PromisedSpec, Setup};
use crate::usb::Connector;

fn port(name: &str) -> PortSpec {
    PortSpec {
        name: name.to_owned(),
        connector: Connector::UsbC,
        offers: Vec::new(),
        cap_w: 65.0,
        tiers_w: vec![65.0],
        voltages: None,
        lead: None,
    }
}

pub(super) fn charger(name: &str, ports: &[&str]) -> ChargerSpec {
    ChargerSpec {
        name: name.to_owned(),
        ports: ports.iter().map(|name| port(name)).collect(),
        pools: Vec::new(),
        lines: Vec::new(),
        reserve: Reserve::Contract,
        efficiency: None,
    }
}

pub(super) fn device(name: &str, start_pct: f64) -> DeviceSpec {
    DeviceSpec {
        name: name.to_owned(),
        inlet: Connector::UsbC,
        accepts: Vec::new(),
        usb_a: None,
        max_w: 30.0,
        min_w: 0.0,
        battery_wh: 28.0,
        start_pct,
        target_pct: 100.0,
        draw_w: vec![(0.0, 30.0)],
        default_draw: false,
        promised: PromisedSpec {
            min_w: 0.0,
            battery_wh: 28.0,
            start_pct,
            draw_w: vec![(0.0, 30.0)],
        },
        assumed: Vec::new(),
        guessed_cell: false,
        efficiency: 0.88,
        running_w: 0.0,
        ready_by_h: Some(8.0),
        priority: 2,
        at_hand: u32::MAX,
        reach_m: 0.0,
        every_nights: 1,
        pinned_port: None,
        pinned_cable: None,
        pinned_contract: None,
    }
}

pub(super) fn setup(chargers: Vec<ChargerSpec>, devices: Vec<DeviceSpec>) -> Setup {
    Setup {
        document: SetupDocument::default(),
        sessions: Vec::new(),
        start: None,
        aim: Aim::Promise,
        tolerance_h: 0.05,
        chargers,
        cables: Vec::new(),
        devices,
        trip: None,
        shop: None,
        guesses: Vec::new(),
    }
}

pub(super) fn berth(device: &str, charger: &str, port: &str, hours: f64) -> Berth {
    Berth {
        device: device.to_owned(),
        charger: charger.to_owned(),
        port: port.to_owned(),
        cable: "braided 2 m".to_owned(),
        volts: 20.0,
        amps: 3.25,
        tier_w: 65.0,
        port_w: 65.0,
        inlet_w: 62.5,
        hours,
        late: hours > 8.0,
        promised_w: Some(65.0),
        promised_h: Some(hours),
        limited_by: LimitedBy::Device,
    }
}

/// A proven plan with these berths, as many devices without one as `unserved`.
pub(super) fn plan(berths: Vec<Berth>, unserved: usize) -> Plan {
    Plan {
        moves: None,
        version: 1,
        program: None,
        setup_sha256: None,
        status: Status::Optimal,
        settled: None,
        aim: Aim::Best,
        longest_h: berths.iter().map(|berth| berth.hours).fold(0.0, f64::max),
        promised_longest_h: Some(berths.iter().map(|berth| berth.hours).fold(0.0, f64::max)),
        reshared_h: None,
        bound_h: None,
        unserved,
        bound_unserved: None,
        missing_wh: 0.0,
        late: berths.iter().filter(|berth| berth.late).count(),
        promised_late: berths.iter().filter(|berth| berth.late).count(),
        bound_late: None,
        bounds: Vec::new(),
        berths,
        assumed: Vec::new(),
        without_berth: (0..unserved)
            .map(|i| WithoutBerth {
                device: format!("phone {}", i + 1),
                reason: "no cable in the bag ends in its inlet, usb-micro-b".to_owned(),
                cause: Reason::NoCableForInlet {
                    inlet: "usb-micro-b".to_owned(),
                },
            })
            .collect(),
        pools: Vec::new(),
        cautions: Vec::new(),
        because: Vec::new(),
    }
}

#[test]
fn the_first_line_says_what_was_reached_and_proven() {
    let on_time = |n: usize| {
        (0..n)
            .map(|i| berth(&format!("d{i}"), "a", "C1", 3.0))
            .collect()
    };
    let mut late: Vec<Berth> = on_time(1);
    late.push(berth("late one", "a", "C2", 9.5));
    for (plan, line) in [
        (
            plan(Vec::new(), 0),
            "nothing to charge: every device is full as it is",
        ),
        (
            plan(Vec::new(), 1),
            "the only device has no port; proven: no plan is better",
        ),
        (
            plan(Vec::new(), 3),
            "none of the 3 devices has a port; proven: no plan is better",
        ),
        (
            plan(on_time(1), 0),
            "the only device full after 3 h 00 min; proven: no plan is better",
        ),
        (
            plan(on_time(2), 0),
            "all 2 devices full after 3 h 00 min at the latest; proven: no plan is better",
        ),
        (
            plan(on_time(2), 2),
            "2 of 4 devices full after 3 h 00 min at the latest, 2 without a port; proven: no \
             plan is better",
        ),
        (
            plan(late, 0),
            "all 2 devices full after 9 h 30 min at the latest, 1 late; proven: no plan is better",
        ),
    ] {
        assert_eq!(
            Page::of_plan(&setup(Vec::new(), Vec::new()), &plan).headline,
            line
        );
    }
}

#[test]
fn a_stopped_search_says_what_it_knows() {
    let mut stopped = plan(vec![berth("laptop", "a", "C1", 3.0)], 0);
    stopped.status = Status::Feasible;
    let empty = setup(Vec::new(), Vec::new());
    let page = Page::of_plan(&empty, &stopped);
    assert_eq!(
        page.headline,
        "the only device full after 3 h 00 min; not proven: a limit stopped the search"
    );
    assert_eq!(page.lead, ["proven so far of the best plan: nothing"]);

    stopped.bound_unserved = Some(0);
    stopped.bound_late = Some(0);
    stopped.bound_h = Some(2.999);
    assert_eq!(
        Page::of_plan(&empty, &stopped).lead,
        ["proven so far of the best plan: the last one full after at least 2 h 59 min"]
    );
}

#[test]
fn what_is_open_after_the_times_is_told_with_what_it_may_come_to() {
    let mut stopped = plan(vec![berth("laptop", "a", "C1", 3.0)], 0);
    stopped.status = Status::Feasible;
    stopped.settled = Some(Level::Times);
    let empty = setup(Vec::new(), Vec::new());
    let said = |plan: &Plan| Page::of_plan(&empty, plan).lead.join("; ");
    assert_eq!(
        said(&stopped),
        "not proven: that no plan as good has fewer hours at best"
    );
    let open = |level, value, bound| LevelBound {
        level,
        priority: None,
        place: None,
        value: Some(value),
        bound,
    };
    stopped.bounds = vec![open(BoundedLevel::Hours, 6.0, 5.9)];
    assert_eq!(
        said(&stopped),
        "not proven: that no plan as good has fewer hours at best; none has over 1.7 % fewer"
    );
    stopped.bounds = vec![open(BoundedLevel::Watts, 80.0, 60.0)];
    assert_eq!(
        said(&stopped),
        "not proven: that no plan as good takes fewer watts; none takes over 25 % fewer"
    );
    stopped.settled = Some(Level::Longest);
    stopped.bound_h = Some(3.0);
    stopped.bounds = vec![LevelBound {
        place: Some(3),
        ..open(BoundedLevel::Time, 1.0, 0.5)
    }];
    assert_eq!(
        said(&stopped),
        "proven so far of the best plan: the last one full after at least 3 h 00 min, the last \
         but 2 after at least 30 min"
    );
}

#[test]
fn rows_stand_in_the_order_of_the_ports() {
    let setup = setup(
        vec![
            charger("bank", &["C1", "C2", "C3"]),
            charger("cube", &["C1"]),
        ],
        vec![
            device("laptop", 20.0),
            device("phone", 20.0),
            device("spare", 100.0),
        ],
    );
    let mut plan = plan(
        vec![
            berth("laptop", "bank", "C3", 2.0),
            berth("phone", "bank", "C1", 1.0),
        ],
        0,
    );
    plan.pools = vec![PoolUse {
        charger: "bank".to_owned(),
        pool: "total".to_owned(),
        used_w: 130.0,
        max_w: 150.0,
    }];
    let page = Page::of_plan(&setup, &plan);
    let [Block::Table(table), Block::Line(pools), Block::Line(free)] =
        page.sections[0].blocks.as_slice()
    else {
        panic!("{:?}", page.sections[0])
    };
    let ports: Vec<&str> = table.rows.iter().map(|row| row.cells[0].as_str()).collect();
    assert_eq!(ports, ["C1", "C3"]);
    assert_eq!((free.label.as_str(), free.text.as_str()), ("free", "C2"));
    assert_eq!(pools.label, "shared");
    assert_eq!(pools.text, "total 130 of 150 W");
    assert_eq!(said(&page.sections[1]), ["not used"]);
    let full = page.sections.iter().find(|s| s.title == "Full as they are");
    assert_eq!(full.map(said), Some(vec!["spare"]));
}

/// The lines of a section.
fn said(section: &Section) -> Vec<&str> {
    let lines = section.blocks.iter().filter_map(|block| match block {
        Block::Line(line) => Some(line.text.as_str()),
        Block::Table(_) => None,
    });
    lines.collect()
}
