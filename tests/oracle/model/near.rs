//! Staying near a plan at hand: who moves, and which names those keep who do not.

use serde_json::{Value, json};

use super::json::{list, text};
use super::options::Choice;
use super::plan::Plan;
use super::setup::{self, Cable, Setup};

/// Where a device is in the plan at hand.
#[derive(Debug, Clone)]
pub(crate) struct Former {
    /// As the plan names it.
    place: Value,
    /// Charger and port, where the setup has them.
    port: Option<(usize, usize)>,
    cable: Option<usize>,
}

/// By device of the setup.
pub(crate) fn former(setup: &Setup, plan: &Value) -> Vec<Option<Former>> {
    let of_device = |name: &str| {
        let mut berths = list(plan, "berths").iter();
        berths.find(|berth| berth["device"] == name)
    };
    let devices = setup.devices.iter();
    devices
        .map(|device| of_device(&device.name).map(|berth| former_place(setup, berth)))
        .collect()
}

fn former_place(setup: &Setup, berth: &Value) -> Former {
    let (charger, port, cable) = (
        text(berth, "charger"),
        text(berth, "port"),
        text(berth, "cable"),
    );
    let place = json!({"charger": charger, "port": port, "cable": cable});
    let c = setup.chargers.iter().position(|c| c.name == charger);
    let port = c.and_then(|c| {
        let p = setup.chargers[c]
            .ports
            .iter()
            .position(|p| p.name == port)?;
        Some((c, p))
    });
    let is_own = |of: &Cable| match (&of.lead_of, port) {
        (None, _) => true,
        (Some((charger, name)), Some((c, p))) => {
            let port = &setup.chargers[c].ports[p];
            *charger == setup.chargers[c].name && *name == port.name
        }
        (Some(_), None) => false,
    };
    let named = |of: &Cable| of.name == cable && is_own(of);
    // A lead may be called as a cable of the bag is, and then it is the lead.
    let lead = setup.cables.iter().rposition(named);
    Former {
        place,
        port,
        cable: lead,
    }
}

/// Whether nothing but their names and their order tells two ports apart.
fn ports_alike(setup: &Setup, a: (usize, usize), b: (usize, usize)) -> bool {
    if a == b || a.0 != b.0 {
        return a == b;
    }
    let charger = &setup.chargers[a.0];
    let (one, other) = (&charger.ports[a.1], &charger.ports[b.1]);
    let pinned = |port: &str| {
        let full = format!("{}/{port}", charger.name);
        let mut pins = setup.devices.iter().filter_map(|d| d.port_pin.as_ref());
        pins.any(|pin| pin == port || *pin == full)
    };
    let apart = [one, other]
        .iter()
        .any(|port| port.has_lead || pinned(&port.name));
    let same_pools = charger
        .pools
        .iter()
        .all(|pool| pool.ports.contains(&a.1) == pool.ports.contains(&b.1));
    let mut lines = charger.lines.iter().flatten();
    let same_lines = lines.all(|line| line.watts[a.1] == line.watts[b.1]);
    !apart
        && same_pools
        && same_lines
        && one.connector == other.connector
        && one.offers == other.offers
        && one.tiers_w == other.tiers_w
}

/// The same of two cables.
fn cables_alike(setup: &Setup, a: usize, b: usize) -> bool {
    let (one, other) = (&setup.cables[a], &setup.cables[b]);
    let pinned = |cable: &Cable| {
        let mut pins = setup.devices.iter().filter_map(|d| d.cable_pin.as_ref());
        pins.any(|pin| *pin == cable.name)
    };
    let apart = [one, other]
        .iter()
        .any(|cable| cable.lead_of.is_some() || pinned(cable));
    let usb = one.from.starts_with("usb-") || one.to.starts_with("usb-");
    let reach_the_same = setup
        .devices
        .iter()
        .all(|d| (one.length_m >= d.reach_m) == (other.length_m >= d.reach_m));
    let same = (&one.from, &one.to) == (&other.from, &other.to)
        && (one.carries_a, one.carries_v, one.ohm) == (other.carries_a, other.carries_v, other.ohm)
        && (!usb || one.ohm == 0.0 || one.e_marked == other.e_marked);
    a == b || (!apart && same && reach_the_same)
}

/// 1 where a device moves, else 0.
pub(crate) fn moves(setup: &Setup, device: usize, choice: Option<&Choice>) -> i64 {
    let Some(Some(former)) = setup.at_hand.as_ref().map(|at_hand| &at_hand[device]) else {
        return 0;
    };
    let place = choice.map(|choice| ((choice.charger, choice.port), choice.cable));
    i64::from(!place.is_some_and(|(port, cable)| former.is_like(setup, port, cable)))
}

impl Former {
    fn is_like(&self, setup: &Setup, port: (usize, usize), cable: usize) -> bool {
        let same_port = self.port.is_some_and(|own| ports_alike(setup, own, port));
        same_port
            && self
                .cable
                .is_some_and(|own| cables_alike(setup, own, cable))
    }
}

/// How many devices of one plan document are elsewhere in another.
pub(crate) fn moves_between(json: &str, from: &Value, to: &Value) -> usize {
    let setup = setup::read(json);
    let moved = |(from, to): (Option<Former>, Option<Former>)| {
        let stays = to.is_some_and(|to| {
            let place = to.port.zip(to.cable);
            let is_like = |(port, cable)| {
                from.as_ref()
                    .is_some_and(|from| from.is_like(&setup, port, cable))
            };
            place.is_some_and(is_like)
        });
        from.is_some() && !stays
    };
    let both = former(&setup, from).into_iter().zip(former(&setup, to));
    both.filter(|both| moved(both.clone())).count()
}

/// The same plan where every device that is on a port like its own is on its own, and so with
/// cables; the others have the first of those alike that is left.
pub(crate) fn with_own_names(setup: &Setup, chosen: &[Option<Choice>]) -> Vec<Option<Choice>> {
    let at_hand = setup.at_hand.as_ref().expect("there is a plan at hand");
    let mut named = chosen.to_vec();
    let mut ports: Vec<Option<(usize, usize)>> = vec![None; chosen.len()];
    let mut cables: Vec<Option<usize>> = vec![None; chosen.len()];
    let left = |cables: &[Option<usize>], k: usize| {
        let taken = cables.iter().filter(|taken| **taken == Some(k)).count() as u64;
        taken < setup.cables[k].count
    };
    for (d, choice) in chosen.iter().enumerate() {
        let (Some(choice), Some(former)) = (choice, &at_hand[d]) else {
            continue;
        };
        ports[d] = former
            .port
            .filter(|&port| ports_alike(setup, port, (choice.charger, choice.port)));
        cables[d] = former
            .cable
            .filter(|&cable| cables_alike(setup, cable, choice.cable) && left(&cables, cable));
    }
    for (d, choice) in chosen.iter().enumerate() {
        let Some(choice) = choice else { continue };
        let here = (choice.charger, choice.port);
        if ports[d].is_none() {
            let all = 0..setup.chargers[choice.charger].ports.len();
            ports[d] = all
                .map(|p| (choice.charger, p))
                .find(|&port| ports_alike(setup, port, here) && !ports.contains(&Some(port)));
        }
        if cables[d].is_none() {
            cables[d] = (0..setup.cables.len())
                .find(|&k| cables_alike(setup, k, choice.cable) && left(&cables, k));
        }
        let named = named[d].as_mut().expect("it has a choice");
        (named.charger, named.port) = ports[d].expect("as many as there are");
        named.cable = cables[d].expect("as many as there are");
    }
    named
}

/// What the document says of moves.
pub(crate) fn moves_said(plan: &Plan) -> Value {
    let setup = &plan.setup;
    let at_hand = setup.at_hand.as_ref().expect("there is a plan at hand");
    let mut said = Vec::new();
    for (d, device) in setup.devices.iter().enumerate() {
        let berth = plan.berths.iter().find(|berth| berth.device == d);
        let choice = berth.map(|berth| &berth.choice);
        if moves(setup, d, choice) == 0 {
            continue;
        }
        let from = &at_hand[d].as_ref().expect("only such move").place;
        let to = choice.map(|choice| {
            let charger = &setup.chargers[choice.charger];
            json!({
                "charger": charger.name,
                "port": charger.ports[choice.port].name,
                "cable": setup.cables[choice.cable].name,
            })
        });
        said.push(json!({"device": device.name, "from": from, "to": to}));
    }
    Value::Array(said)
}
