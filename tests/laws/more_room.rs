//! What leaves every plan legal, and none of them worse, cannot make the best
//! worse.
//!
//! Where a change only adds plans (a larger pool, another cable, no pin), the best
//! of more plans is at least as good in all levels. Where it makes times shorter,
//! levels 1 to 3 hold; the watts may rise, since they come after the times.

use serde_json::{Value, json};

use super::{Answer, Solve, Verdict};
use crate::random_setup::rng::Rng;

fn never_worse(before: &Answer, after: &Answer) -> Result<(), String> {
    if after.levels <= before.levels {
        Ok(())
    } else {
        Err(format!("{:?} became {:?}", before.levels, after.levels))
    }
}

pub(crate) fn larger_pool(rng: &mut Rng, setup: &Value, solve: Solve) -> Verdict {
    let mut changed = setup.clone();
    let mut limits: Vec<&mut Value> = Vec::new();
    for charger in changed["chargers"].as_array_mut()? {
        for (field, value) in charger.as_object_mut()? {
            match field.as_str() {
                "max_w" => limits.push(value),
                "pools" => {
                    limits.extend(
                        value
                            .as_array_mut()?
                            .iter_mut()
                            .map(|pool| &mut pool["max_w"]),
                    );
                }
                _ => {}
            }
        }
    }
    if limits.is_empty() {
        return None;
    }
    let chosen = rng.below(limits.len());
    let watts = limits[chosen].as_f64()?;
    *limits[chosen] = json!(watts + rng.pick(&[0.5, 3.0, 10.0, 40.0]));
    Some(never_worse(&solve(setup), &solve(&changed)))
}

pub(crate) fn more_cables(rng: &mut Rng, setup: &Value, solve: Solve) -> Verdict {
    let mut changed = setup.clone();
    let cable = pick(rng, &mut changed["cables"])?;
    cable["count"] = json!(cable["count"].as_u64().unwrap_or(1) + 1);
    Some(never_worse(&solve(setup), &solve(&changed)))
}

/// Every option's time is an integral over a part of what it was, so it is no
/// longer, what never ended may now end, and less is missing without a berth. One
/// that thereby needs no berth leaves the list of times, which is then a prefix or
/// smaller at the first difference.
pub(crate) fn fuller_at_the_start(rng: &mut Rng, setup: &Value, solve: Solve) -> Verdict {
    let mut changed = setup.clone();
    let device = pick(rng, &mut changed["devices"])?;
    let more = rng.pick(&[0.5, 5.0, 20.0, 60.0]);
    let fuller = |start: &Value| json!((start.as_f64().unwrap_or(0.0) + more).min(100.0));
    device["start_pct"] = match &device["start_pct"] {
        Value::Array(ends) => ends.iter().map(fuller).collect(),
        one => fuller(one),
    };
    let (before, after) = (solve(setup), solve(&changed));
    Some(if after.levels.no_later_than(&before.levels) {
        Ok(())
    } else {
        Err(format!("{:?} became {:?}", before.levels, after.levels))
    })
}

pub(crate) fn more_time(rng: &mut Rng, setup: &Value, solve: Solve) -> Verdict {
    let mut changed = setup.clone();
    let hours = rng.pick(&[0.25, 1.0, 4.0]);
    let mut deadlines = 0;
    let devices = changed["devices"].as_array_mut()?.iter_mut();
    for field in devices.filter_map(|device| device.get_mut("ready_by_h")) {
        *field = json!(field.as_f64()? + hours);
        deadlines += 1;
    }
    if let Some(field) = changed.get_mut("session_h") {
        *field = json!(field.as_f64()? + hours);
        deadlines += 1;
    }
    (deadlines > 0).then(|| never_worse(&solve(setup), &solve(&changed)))
}

/// One that lies nearer is reached by more cables.
pub(crate) fn nearer(_: &mut Rng, setup: &Value, solve: Solve) -> Verdict {
    let mut changed = setup.clone();
    let mut farther = 0;
    let devices = changed["devices"].as_array_mut()?.iter_mut();
    for field in devices.filter_map(|device| device.get_mut("reach_m")) {
        *field = json!(field.as_f64()? / 2.0);
        farther += 1;
    }
    if farther == 0 {
        // Also where nothing says how far: then it lies at the charger already.
        let device = &mut changed["devices"][0];
        device["reach_m"] = json!(1.0);
        return Some(never_worse(&solve(&changed), &solve(setup)));
    }
    Some(never_worse(&solve(setup), &solve(&changed)))
}

/// `min_w` decides only whether a contract counts, not which one it is. (Where a kind
/// stands in for it, to say it is to need less.)
pub(crate) fn easier_to_please(rng: &mut Rng, setup: &Value, solve: Solve) -> Verdict {
    let mut demanding = setup.clone();
    let device = pick(rng, &mut demanding["devices"])?;
    if device.get("kind").is_some() {
        return None;
    }
    let min_w = device["min_w"].as_f64().unwrap_or(0.0);
    device["min_w"] = json!(min_w + rng.pick(&[1.0, 6.0, 14.0]));
    Some(never_worse(&solve(&demanding), &solve(setup)))
}

pub(crate) fn unpinned(_: &mut Rng, setup: &Value, solve: Solve) -> Verdict {
    let mut changed = setup.clone();
    for device in changed["devices"].as_array_mut()? {
        device.as_object_mut()?.remove("port");
        device.as_object_mut()?.remove("cable");
    }
    Some(never_worse(&solve(setup), &solve(&changed)))
}

/// One of a list at random.
pub(crate) fn pick<'a>(rng: &mut Rng, list: &'a mut Value) -> Option<&'a mut Value> {
    let list = list.as_array_mut().filter(|list| !list.is_empty())?;
    let chosen = rng.below(list.len());
    list.get_mut(chosen)
}
