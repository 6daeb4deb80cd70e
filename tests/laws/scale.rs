//! Batteries all k times as large take k times as long.

use serde_json::{Value, json};

use super::{Solve, Verdict};
use crate::random_setup::rng::Rng;

/// Not with deadlines: they do not grow with the batteries. Times are compared in
/// whole microhours, so a scaled time may be off by the scale of one of those; the
/// powers and places do not change, since no contract asks for the battery.
pub(crate) fn larger_batteries(rng: &mut Rng, setup: &Value, solve: Solve) -> Verdict {
    let mut unhurried = setup.clone();
    unhurried.as_object_mut()?.remove("session_h");
    for device in unhurried["devices"].as_array_mut()? {
        device.as_object_mut()?.remove("ready_by_h");
    }
    let scale = rng.pick(&[2_i32, 3, 5]);
    let mut larger = unhurried.clone();
    for device in larger["devices"].as_array_mut()? {
        for field in ["battery_wh", "battery_mah"] {
            if let Some(size) = device.get_mut(field) {
                *size = json!(size.as_f64()? * f64::from(scale));
            }
        }
    }
    let (before, after) = (solve(&unhurried).levels, solve(&larger).levels);
    let scaled = |a: i64, b: i64| (a * i64::from(scale) - b).abs() <= i64::from(scale);
    let times = before
        .times
        .iter()
        .zip(&after.times)
        .all(|(&a, &b)| scaled(a, b));
    let same = before.unserved == after.unserved
        && before.times.len() == after.times.len()
        && (before.missing * i64::from(scale) - after.missing).abs() <= 100
        && before.watts == after.watts;
    Some(if same && times {
        Ok(())
    } else {
        Err(format!("× {scale}: {before:?}, {after:?}"))
    })
}
