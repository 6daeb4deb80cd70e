//! A shorter or better cable that still reaches never lowers the inlet power that
//! one device gets at one port, held at one tier.

use serde_json::{Value, json};

use super::{Solve, Verdict};
use crate::random_setup::rng::Rng;

/// The setup is cut down to one port, one cable and one device. The device's
/// battery takes whatever arrives, so that more power is always sooner full and
/// the plan shows the most that the tier gives; a pool sets the tier, reserved by
/// the offer: reserved by the contract a cable that lets more through may take more
/// than the pool has.
pub(crate) fn better_cable(rng: &mut Rng, setup: &Value, solve: Solve) -> Verdict {
    let cable = setup["cables"].as_array()?.first()?;
    let ends = |field: &str| cable[field].as_str().unwrap_or("usb-c");
    let charger = setup["chargers"].as_array()?.first()?;
    let port = charger["ports"]
        .as_array()?
        .iter()
        .find(|port| port["connector"].as_str().unwrap_or("usb-c") == ends("from"))?;
    let mut device = setup["devices"]
        .as_array()?
        .iter()
        .find(|device| device["inlet"].as_str().unwrap_or("usb-c") == ends("to"))?
        .clone();
    let kept = [
        "name", "kind", "inlet", "accepts", "pd_w", "max_w", "usb_a_a",
    ];
    device
        .as_object_mut()?
        .retain(|field, _| kept.contains(&field.as_str()));
    device["battery_wh"] = json!(500.0);
    device["draw_w"] = json!([[0.0, 1000.0]]);
    let tier_w = rng.pick(&[7.5, 15.0, 20.0, 30.0, 45.0, 60.0, 100.0, 140.0, 240.0]);
    let with = |cable: &Value| {
        json!({
            "chargers": [{"name": "c", "ports": [port], "max_w": tier_w, "reserve": "offer"}],
            "cables": [cable],
            "devices": [device],
        })
    };
    let (before, after) = (solve(&with(cable)), solve(&with(&better(rng, cable)?)));
    let worse = before.berths.first()?;
    // 1e-6 h of at least 2 h stand for less than this much power.
    let tolerance = 100;
    Some(match after.berths.first() {
        Some(berth) if berth.numbers[3] >= worse.numbers[3] - tolerance => Ok(()),
        _ => Err(format!(
            "{:?} became {:?} at {tier_w} W",
            before.berths, after.berths
        )),
    })
}

/// Better in one respect.
fn better(rng: &mut Rng, cable: &Value) -> Option<Value> {
    let mut better = cable.clone();
    // Printed watts say current, voltage and marker at once.
    let respects = if cable.get("watts").is_some() { 3 } else { 5 };
    match rng.below(respects) {
        0 => better["length_m"] = json!(cable["length_m"].as_f64()? / 2.0),
        1 => better["awg"] = json!(cable["awg"].as_f64()? - 2.0),
        2 => better["ohm"] = json!(cable["ohm"].as_f64()? / 2.0),
        // No cable of USB has more.
        3 => better["max_a"] = json!((cable["max_a"].as_f64()? + 1.0).min(5.0)),
        _ => {
            better["e_marked"] = json!(true);
            better["max_v"] = json!(50.0);
        }
    }
    Some(better)
}
