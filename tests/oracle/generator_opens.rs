//! A meta-test: what labels leave open is left open by the generator often enough, in every
//! way that a comparison is for. Runs on the oracle alone.

use super::generator_reaches::enough;
use super::model::label::Kind;
use super::model::limited_by::Limit;
use super::model::plan::{Berth, Plan, best_of, plan, rota};
use super::model::promise::{self, Grant, Promises};
use super::model::rounding::{micro, watts};
use super::model::rules::governing;
use super::model::setup::{Aim, Cable, Device, Port, Setup, Voltages};
use super::random_setup::open::{night_setup, small_setup};

/// The least number of setups in 2 000 that must show each case.
const WANTED: [(&str, usize); 43] = [
    ("chosen at best", 300),
    ("the aim matters", 100),
    ("the tolerance matters", 30),
    ("a tolerance of 0", 150),
    ("promised all that it has", 500),
    ("promised less", 400),
    ("promised more", 20),
    ("promised no contract", 40),
    ("promised never, with a contract", 5),
    ("late by promise alone", 40),
    ("never, and a deadline", 15),
    ("never, and no deadline", 15),
    ("granted all", 700),
    ("granted what others leave", 150),
    ("granted the floor", 90),
    ("granted its share below 7.5 W", 10),
    ("granted by a line", 120),
    ("granted the less of several lines", 30),
    ("granted between two steps", 120),
    ("a floor that is no step", 8),
    ("another plug without a floor", 3),
    ("loads of held back offers", 40),
    ("asks more than its contract", 200),
    ("volts that may fall away", 30),
    ("volts that do fall away", 30),
    ("volts that are kept", 100),
    ("programmable, promised at 9 V", 15),
    ("1.5 A from usb-a", 50),
    ("known amperes from usb-a", 15),
    ("too much drop to be promised", 60),
    ("half of the volts lost", 1),
    ("a kind served", 300),
    ("a kind without a battery of its own", 200),
    ("a kind that surely needs watts", 60),
    ("a kind below its watts", 5),
    ("a battery between two sizes", 100),
    ("a start between two charges", 150),
    ("full at best, not surely", 5),
    ("a lead served", 60),
    ("a printed cable", 200),
    ("micro-B or mini-B by default", 100),
    ("two of priority 3", 60),
    ("limited by nothing that one notices", 400),
];

#[test]
fn every_open_case_is_reached() {
    let mut most_visited = 0;
    enough(
        &WANTED,
        (0..2_000).flat_map(|seed| {
            let json = small_setup(seed);
            let plan = plan(&json);
            most_visited = most_visited.max(plan.visited);
            cases(&json, &plan)
        }),
    );
    assert!(most_visited < 5_000_000, "not small: {most_visited}");
}

/// The same of rotas, in 600.
const WANTED_OF_ROTAS: [(&str, usize); 5] = [
    ("a grant that is less in another session", 8),
    ("full at best, promised later than its berth lasts", 80),
    ("late by promise alone", 30),
    ("the aim matters", 10),
    ("the tolerance matters", 5),
];

#[test]
fn every_open_case_of_a_rota_is_reached() {
    let rotas = (0..600).map(|seed| rota(&night_setup(seed)));
    enough(&WANTED_OF_ROTAS, rotas.flat_map(|rota| rota_cases(&rota)));
}

type Cases = Vec<(&'static str, bool)>;

fn cases(json: &str, plan: &Plan) -> Cases {
    let mut all = choice_cases(plan);
    all.extend(promise_cases(plan));
    all.extend(grant_cases(plan));
    all.extend(volts_cases(plan));
    all.extend(open_cases(json, plan));
    all
}

/// Where each device goes.
fn places(plan: &Plan) -> Vec<(usize, usize, usize, usize, i64, i64)> {
    let of = |b: &Berth| {
        let x = &b.choice;
        let contract = (micro(x.contract.volts), micro(x.contract.amps));
        (b.device, x.charger, x.port, x.cable, contract.0, contract.1)
    };
    plan.berths.iter().map(of).collect()
}

fn changed(plan: &Plan, change: impl Fn(&mut Setup)) -> bool {
    let mut setup = plan.setup.clone();
    change(&mut setup);
    places(&best_of(setup)) != places(plan)
}

fn aim_matters(plan: &Plan) -> bool {
    plan.setup.aim == Aim::Promise && changed(plan, |setup| setup.aim = Aim::Best)
}

fn tolerance_matters(plan: &Plan) -> bool {
    plan.setup.tolerance > 0 && changed(plan, |setup| setup.tolerance = 0)
}

fn choice_cases(plan: &Plan) -> Cases {
    vec![
        ("chosen at best", plan.setup.aim == Aim::Best),
        ("the aim matters", aim_matters(plan)),
        ("the tolerance matters", tolerance_matters(plan)),
        ("a tolerance of 0", plan.setup.tolerance == 0),
        ("two of priority 3", plan.score.times_of_3.len() > 1),
        (
            "limited by nothing that one notices",
            plan.berths.iter().any(|b| b.limited_by == Limit::Device),
        ),
    ]
}

fn promise_cases(plan: &Plan) -> Cases {
    let any = |shows: &dyn Fn(&Berth) -> bool| plan.berths.iter().any(shows);
    let more = |b: &Berth| {
        let promised = b.promised_w().map_or(-1, micro);
        promised.cmp(&micro(b.choice.contract.port_w()))
    };
    let deadline = |b: &Berth| plan.setup.devices[b.device].ready_by_h.is_some();
    vec![
        ("promised all that it has", any(&|b| more(b).is_eq())),
        (
            "promised less",
            any(&|b| more(b).is_lt() && b.promise.contract.is_some()),
        ),
        ("promised more", any(&|b| more(b).is_gt())),
        (
            "promised no contract",
            any(&|b| b.promise.contract.is_none()),
        ),
        (
            "promised never, with a contract",
            any(&|b| b.promise.contract.is_some() && b.promise.hours.is_none()),
        ),
        (
            "late by promise alone",
            any(&|b| b.promise.late && !b.choice.late),
        ),
        (
            "never, and a deadline",
            any(&|b| b.promise.hours.is_none() && deadline(b)),
        ),
        (
            "never, and no deadline",
            any(&|b| b.promise.hours.is_none() && !deadline(b)),
        ),
    ]
}

/// A berth with what it asks and what it is granted.
struct Granted<'a> {
    berth: &'a Berth,
    port: &'a Port,
    asks: i64,
    grant: Grant,
    /// What each governing line gives it.
    lines: Vec<i64>,
}

fn granted(plan: &Plan) -> Vec<Granted<'_>> {
    let promises = Promises::new(&plan.setup);
    let berths: Vec<promise::Berth<'_>> =
        plan.berths.iter().map(|b| (b.device, &b.choice)).collect();
    plan.berths
        .iter()
        .map(|berth| {
            let charger = &plan.setup.chargers[berth.choice.charger];
            let here = berths
                .iter()
                .filter(|b| b.1.charger == berth.choice.charger);
            let in_use: Vec<usize> = here.map(|b| b.1.port).collect();
            let lines = charger
                .lines
                .iter()
                .flat_map(|lines| governing(lines, &in_use));
            Granted {
                berth,
                port: &charger.ports[berth.choice.port],
                asks: promises.demand((berth.device, &berth.choice)),
                grant: promises.grant((berth.device, &berth.choice), &berths),
                lines: lines
                    .filter_map(|line| line.watts[berth.choice.port].map(micro))
                    .collect(),
            }
        })
        .collect()
}

fn grant_cases(plan: &Plan) -> Cases {
    let granted = granted(plan);
    let any = |shows: &dyn Fn(&Granted<'_>) -> bool| granted.iter().any(shows);
    let short = |g: &Granted<'_>| g.grant.watts < g.asks;
    let floor = |g: &Granted<'_>| micro(g.grant.floor_w);
    let is_step = |g: &Granted<'_>, w: i64| g.port.tiers_w.iter().any(|&tier| micro(tier) == w);
    let least_line = |g: &Granted<'_>| g.lines.iter().min().copied();
    let other = |g: &Granted<'_>| g.port.connector.starts_with("other:");
    vec![
        ("granted all", any(&|g| !short(g))),
        (
            "granted what others leave",
            any(&|g| short(g) && g.grant.watts > floor(g) && least_line(g) != Some(g.grant.watts)),
        ),
        (
            "granted the floor",
            any(&|g| short(g) && g.grant.watts == floor(g)),
        ),
        (
            "granted its share below 7.5 W",
            any(&|g| short(g) && g.grant.watts == floor(g) && floor(g) < 7_500_000),
        ),
        (
            "granted by a line",
            any(&|g| short(g) && least_line(g) == Some(g.grant.watts)),
        ),
        (
            "granted the less of several lines",
            any(&|g| {
                let less = least_line(g) < g.lines.iter().max().copied();
                short(g) && less && least_line(g) == Some(g.grant.watts)
            }),
        ),
        (
            "granted between two steps",
            any(&|g| short(g) && !is_step(g, g.grant.watts)),
        ),
        (
            "a floor that is no step",
            any(&|g| short(g) && g.grant.watts == floor(g) && !is_step(g, floor(g))),
        ),
        (
            "another plug without a floor",
            any(&|g| other(g) && short(g) && g.berth.promise.contract.is_none()),
        ),
        (
            "loads of held back offers",
            any(&|g| {
                let charger = &plan.setup.chargers[g.berth.choice.charger];
                charger.reserves_tier && !charger.pools.is_empty() && short(g)
            }),
        ),
        (
            "asks more than its contract",
            any(&|g| g.asks > micro(g.berth.choice.contract.port_w())),
        ),
    ]
}

fn volts_cases(plan: &Plan) -> Cases {
    let setup = &plan.setup;
    let any = |shows: &dyn Fn(&Berth, &Port, &Device, &Cable) -> bool| {
        plan.berths.iter().any(|b| {
            let port = &setup.chargers[b.choice.charger].ports[b.choice.port];
            let cable = &setup.cables[b.choice.cable];
            shows(b, port, &setup.devices[b.device], cable)
        })
    };
    let promised = |b: &Berth| b.promise.contract;
    let amps_are = |b: &Berth, amps: f64| {
        promised(b).is_some_and(|contract| micro(contract.amps) == micro(amps))
    };
    let fewer_by_rules = |b: &Berth, port: &Port| {
        // The same promise if voltages were kept is another one.
        let mut kept = setup.clone();
        kept.chargers[b.choice.charger].ports[b.choice.port].voltages = Voltages::Kept;
        let berths: Vec<promise::Berth<'_>> =
            plan.berths.iter().map(|b| (b.device, &b.choice)).collect();
        let promise = Promises::new(&kept).of((b.device, &b.choice), &berths);
        port.connector == "usb-c" && promise.contract != b.promise.contract
    };
    let held = |b: &Berth, port: &Port| micro(b.choice.tier_w) < micro(port.cap_w);
    vec![
        (
            "volts that may fall away",
            any(&|b, port, _, _| port.voltages == Voltages::NotKnown && fewer_by_rules(b, port)),
        ),
        (
            "volts that do fall away",
            any(&|b, port, _, _| port.voltages == Voltages::Rules && fewer_by_rules(b, port)),
        ),
        (
            "volts that are kept",
            any(&|b, port, _, _| port.voltages == Voltages::Kept && held(b, port)),
        ),
        (
            "programmable, promised at 9 V",
            any(&|b, _, device, _| {
                let pps = device.accepts.iter().any(|entry| entry.kind == Kind::Pps);
                let nine = promised(b).is_some_and(|contract| contract.volts == 9.0);
                pps && nine && b.choice.contract.volts > 9.0
            }),
        ),
        (
            "1.5 A from usb-a",
            any(&|b, port, _, _| port.connector == "usb-a" && amps_are(b, 1.5)),
        ),
        (
            "known amperes from usb-a",
            any(&|b, port, device, _| {
                port.connector == "usb-a" && device.usb_a_a.is_some_and(|amps| amps_are(b, amps))
            }),
        ),
        (
            "too much drop to be promised",
            any(&|b, _, _, cable| {
                let drop = |volts: f64| 0.15 * volts / cable.ohm;
                promised(b).is_some_and(|contract| amps_are(b, drop(contract.volts)))
            }),
        ),
        (
            "half of the volts lost",
            any(&|b, _, _, cable| {
                let most = b.choice.contract.volts / (2.0 * cable.ohm);
                micro(b.choice.contract.amps) == micro(most)
            }),
        ),
        (
            "micro-B or mini-B by default",
            any(&|b, _, _, cable| {
                let rated = if cable.to == "usb-mini-b" { 1.0 } else { 1.8 };
                let small = cable.to == "usb-mini-b" || cable.to == "usb-micro-b";
                small && micro(b.choice.contract.amps) <= micro(rated) && cable.carries_a == rated
            }),
        ),
    ]
}

fn open_cases(json: &str, plan: &Plan) -> Cases {
    let setup = &plan.setup;
    let any = |shows: &dyn Fn(&Berth, &Device, &Cable) -> bool| {
        plan.berths
            .iter()
            .any(|b| shows(b, &setup.devices[b.device], &setup.cables[b.choice.cable]))
    };
    let assumes =
        |device: &Device, field: &str| device.assumed.iter().any(|assumed| assumed.field == field);
    vec![
        (
            "a kind served",
            any(&|_, device, _| !device.assumed.is_empty()),
        ),
        (
            "a kind without a battery of its own",
            any(&|_, device, _| assumes(device, "battery_wh")),
        ),
        (
            "a kind that surely needs watts",
            any(&|_, device, _| assumes(device, "min_w")),
        ),
        (
            "a kind below its watts",
            any(&|b, device, _| assumes(device, "min_w") && b.promise.contract.is_none()),
        ),
        (
            "a battery between two sizes",
            any(&|_, device, _| {
                !assumes(device, "battery_wh") && device.promised.battery_wh > device.battery_wh
            }),
        ),
        (
            "a start between two charges",
            any(&|_, device, _| device.promised.start_pct < device.start_pct),
        ),
        (
            "full at best, not surely",
            any(&|b, device, _| {
                b.choice.hours == 0.0 && device.promised.start_pct < device.target_pct
            }),
        ),
        ("a lead served", any(&|_, _, cable| cable.lead_of.is_some())),
        (
            "a printed cable",
            json.contains("\"watts\"") && !plan.berths.is_empty(),
        ),
    ]
}

fn rota_cases(rota: &Plan) -> Cases {
    let setup = &rota.setup;
    let promises = Promises::new(setup);
    let berths: Vec<promise::Berth<'_>> =
        rota.berths.iter().map(|b| (b.device, &b.choice)).collect();
    let any = |shows: &dyn Fn(&Berth) -> bool| rota.berths.iter().any(shows);
    let alone_in = |b: &Berth, session: usize| {
        let mut choice = b.choice.clone();
        (choice.stay.first, choice.stay.last) = (session, session);
        let others = berths.iter().filter(|other| other.0 != b.device).copied();
        let mut there: Vec<promise::Berth<'_>> = others.collect();
        there.push((b.device, &choice));
        watts(promises.grant((b.device, &choice), &there).watts)
    };
    vec![
        (
            "a grant that is less in another session",
            any(&|b| {
                let stay = b.choice.stay;
                (stay.first + 1..=stay.last).any(|s| alone_in(b, s) != alone_in(b, stay.first))
            }),
        ),
        (
            "full at best, promised later than its berth lasts",
            any(&|b| b.choice.stay.full && b.promise.late && b.promise.hours.is_some()),
        ),
        (
            "late by promise alone",
            any(&|b| b.promise.late && !b.choice.late),
        ),
        ("the aim matters", aim_matters(rota)),
        ("the tolerance matters", tolerance_matters(rota)),
    ]
}
