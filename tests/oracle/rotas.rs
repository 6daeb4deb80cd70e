//! Rotas: the library and the oracle on the same random setups with sessions.

use wattberth::{Plan, Rota, Setup, rota_with, verify_rota};

use super::against_library::{Compare, compare_all, patient};
use super::generator_reaches::enough;
use super::model;
use super::model::causes::Cause;
use super::model::rounding::watts;
use super::model::stay::{end_of, start_of};
use super::random_setup::night::night_setup;
use super::random_setup::open;

/// How many setups are compared where `WATTBERTH_CASES` does not say.
const CASES: u64 = 400;

#[test]
fn same_rota_as_the_oracle() {
    compare_all(night_setup, CASES, differences);
}

#[test]
fn same_rota_as_the_oracle_where_much_is_open() {
    compare_all(open::night_setup, CASES, differences);
}

/// Every field in which the library's rota is not the oracle's.
fn differences(json: &str) -> Vec<String> {
    let setup = match Setup::from_json(json) {
        Ok(setup) => setup,
        Err(error) => return vec![format!("a valid setup is refused: {error}")],
    };
    let found = match rota_with(&setup, &patient()) {
        Ok(found) => found,
        Err(error) => return vec![format!("no rota: {error}")],
    };
    let wanted = model::plan::rota(json);
    let mut compare = Compare::default();
    let violations = verify_rota(&setup, &found).violations;
    compare.same("violations", &violations, &Vec::new());
    let document = found.to_json();
    let read_back = Rota::from_json(&document).map(|rota| rota.to_json());
    compare.same("read back", &read_back.as_ref(), &Ok(&document));
    let as_plan = found.without_sessions().to_json();
    match Plan::from_json(&as_plan) {
        Ok(plan) => compare.plan(&plan, &wanted),
        Err(error) => compare.differences.push(error.to_string()),
    }
    let oracle = &wanted.setup;
    compare.same("sessions", &found.sessions.len(), &oracle.sessions.len());
    for (s, (session, wanted)) in found.sessions.iter().zip(&oracle.sessions).enumerate() {
        compare.same("a session's name", &session.name, &wanted.name);
        compare.near("start_h", session.start_h, watts(start_of(oracle, s)));
        compare.near("end_h", session.end_h, watts(end_of(oracle, s)));
    }
    for (found, wanted) in found.berths.iter().zip(&wanted.berths) {
        let at = |field: &str| format!("{} {field}", found.berth.device);
        let stay = wanted.choice.stay;
        compare.same(
            &at("session"),
            &found.session,
            &oracle.sessions[stay.first].name,
        );
        compare.same(
            &at("until"),
            &found.until_session,
            &oracle.sessions[stay.last].name,
        );
        compare.near(&at("finish_h"), found.finish_h, watts(stay.finish));
    }
    for (found, wanted) in found.pools.iter().zip(&wanted.pools) {
        compare.same("a pool's session", &found.session, &wanted.session);
    }
    compare.same(
        "swaps",
        &i64::try_from(found.swaps).ok(),
        &Some(wanted.score.swaps),
    );
    compare.near("held_wh", found.held_wh, watts(wanted.score.watts));
    compare.differences
}

/// The least number of setups in 600 that must show each case.
const WANTED: [(&str, usize); 15] = [
    ("all served and in time", 15),
    ("unserved", 300),
    ("late", 200),
    ("leaves before it is full", 180),
    ("starts after the first session", 170),
    ("lasts for several sessions", 140),
    ("two after each other on one port", 120),
    ("two after each other on one cable", 110),
    ("a start passed over, since nothing can be swapped", 40),
    ("at hand later than at the start", 30),
    ("never at hand where plugs can be swapped", 45),
    ("comes again after it was away", 12),
    ("a pool filled after the first session", 18),
    ("a table in use after the first session", 45),
    ("tie of whole rotas", 100),
];

/// A comparison on setups in which nobody swaps shows nothing. Runs on the oracle alone.
#[test]
fn every_case_of_a_rota_is_reached() {
    let rotas = (0..600).map(|seed| model::plan::rota(&night_setup(seed)));
    enough(&WANTED, rotas.flat_map(|rota| cases(&rota)));
}

fn cases(rota: &model::plan::Plan) -> Vec<(&'static str, bool)> {
    let setup = &rota.setup;
    let berths = &rota.berths;
    let stays: Vec<_> = berths.iter().map(|berth| berth.choice.stay).collect();
    let pairs = |same: &dyn Fn(usize, usize) -> bool| {
        (0..berths.len())
            .any(|a| (0..berths.len()).any(|b| stays[a].last < stays[b].first && same(a, b)))
    };
    let at_hand = |berth: &model::plan::Berth| &setup.devices[berth.device].at_hand;
    let without = |shown: &dyn Fn(usize, Cause) -> bool| {
        rota.without_berth
            .iter()
            .any(|&(device, cause)| shown(device, cause))
    };
    vec![
        (
            "all served and in time",
            rota.unserved == 0 && rota.late == 0 && berths.len() > 1,
        ),
        ("unserved", rota.unserved > 0),
        ("late", rota.late > 0),
        ("leaves before it is full", stays.iter().any(|s| !s.full)),
        ("starts after the first session", rota.score.swaps > 0),
        (
            "lasts for several sessions",
            stays.iter().any(|s| s.last > s.first),
        ),
        (
            "two after each other on one port",
            pairs(&|a, b| {
                let (a, b) = (&berths[a].choice, &berths[b].choice);
                (a.charger, a.port) == (b.charger, b.port)
            }),
        ),
        (
            "two after each other on one cable",
            pairs(&|a, b| berths[a].choice.cable == berths[b].choice.cable),
        ),
        (
            "a start passed over, since nothing can be swapped",
            berths.iter().zip(&stays).any(|(berth, stay)| {
                let first = at_hand(berth).iter().position(|&there| there);
                first.is_some_and(|first| first < stay.first && !setup.sessions[first].swap)
            }),
        ),
        (
            "at hand later than at the start",
            berths.iter().any(|berth| !at_hand(berth)[0]),
        ),
        (
            "never at hand where plugs can be swapped",
            without(&|_, cause| cause == Cause::NeverAtHand),
        ),
        (
            "comes again after it was away",
            berths.iter().any(|berth| {
                at_hand(berth)
                    .windows(3)
                    .any(|three| three == [true, false, true])
            }),
        ),
        (
            "a pool filled after the first session",
            rota.pools.iter().any(|pool| {
                pool.session != setup.sessions[0].name
                    && pool.used_w > 0.0
                    && pool.used_w >= pool.max_w - 1e-6
            }),
        ),
        (
            "a table in use after the first session",
            berths.iter().zip(&stays).any(|(berth, stay)| {
                stay.last > 0 && setup.chargers[berth.choice.charger].lines.is_some()
            }),
        ),
        ("tie of whole rotas", rota.ties > 0),
    ]
}
