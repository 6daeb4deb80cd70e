//! Batteries all k times as large take k times as long.

use serde_json::{Value, json};

use super::{Solve, Verdict};
use crate::model::promise::NEVER;
use crate::random_setup::rng::Rng;

/// Not with deadlines: they do not grow with the batteries. Times are compared in
/// whole microhours, so a scaled time may be off by the scale of one of those; the
/// powers and places do not change, since no contract asks for the battery.
pub(crate) fn larger_batteries(rng: &mut Rng, setup: &Value, solve: Solve) -> Verdict {
    let mut unhurried = setup.clone();
    unhurried.as_object_mut()?.remove("session_h");
    for device in unhurried["devices"].as_array_mut()? {
        let device = device.as_object_mut()?;
        device.remove("ready_by_h");
        // Where it does not say, the curve is one of the battery's size.
        device.entry("draw_w").or_insert_with(|| json!([[0, 300]]));
        if !["battery_wh", "battery_mah"]
            .iter()
            .any(|field| device.contains_key(*field))
        {
            device.insert("battery_wh".to_owned(), json!([20, 30]));
        }
    }
    let scale = rng.pick(&[2_i32, 3, 5]);
    let mut larger = unhurried.clone();
    for device in larger["devices"].as_array_mut()? {
        for field in ["battery_wh", "battery_mah"] {
            if let Some(size) = device.get_mut(field) {
                let larger = |size: &Value| size.as_f64().map(|wh| wh * f64::from(scale));
                *size = match &*size {
                    Value::Array(ends) => ends.iter().map(larger).collect(),
                    one => json!(larger(one)?),
                };
            }
        }
    }
    let (before, after) = (solve(&unhurried).levels, solve(&larger).levels);
    // What never ends has no scale.
    let scaled = |a: i64, b: i64| {
        (a == NEVER && b == NEVER) || (a * i64::from(scale) - b).abs() <= i64::from(scale)
    };
    let all_scaled = |a: &[i64], b: &[i64]| a.iter().zip(b).all(|(&a, &b)| scaled(a, b));
    let times = all_scaled(&before.times, &after.times)
        && all_scaled(&before.times_of_3, &after.times_of_3);
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
