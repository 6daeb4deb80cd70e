//! What the best plan does not use may go, and what it does anyway may be asked
//! for: of fewer plans, with the best still among them, it is still the best.

use serde_json::{Value, json};

use super::answer::Berth;
use super::{Answer, Solve, Verdict};
use crate::random_setup::rng::Rng;

fn same_berths(before: &Answer, after: &Answer) -> Result<(), String> {
    if before.berths == after.berths {
        Ok(())
    } else {
        Err(format!("{:#?} became {:#?}", before.berths, after.berths))
    }
}

/// A berth's device as the setup lists it; not where it is one of several.
fn listed<'a>(setup: &'a mut Value, berth: &Berth) -> Option<&'a mut Value> {
    setup["devices"]
        .as_array_mut()?
        .iter_mut()
        .find(|device| device["name"] == berth.device.as_str() && device.get("count").is_none())
}

/// It stays served, and so many of each other priority: each plan without it lacks one
/// device of a higher priority more.
pub(crate) fn higher_priority_where_served(rng: &mut Rng, setup: &Value, solve: Solve) -> Verdict {
    let before = solve(setup);
    let mut changed = setup.clone();
    let served: Vec<&Berth> = before.berths.iter().collect();
    let berth = (!served.is_empty()).then(|| rng.pick(&served))?;
    let device = listed(&mut changed, berth)?;
    let priority = device["priority"].as_u64().unwrap_or(2);
    device["priority"] = json!(priority.saturating_sub(1).max(1));
    let after = solve(&changed);
    let served = after
        .berths
        .iter()
        .any(|after| after.device == berth.device);
    Some(
        if served && after.levels.unserved == before.levels.unserved {
            Ok(())
        } else {
            Err(format!("{:#?} became {:#?}", before.berths, after.berths))
        },
    )
}

pub(crate) fn without_an_unused_cable(_: &mut Rng, setup: &Value, solve: Solve) -> Verdict {
    let before = solve(setup);
    let mut changed = setup.clone();
    let pinned: Vec<Value> = setup["devices"]
        .as_array()?
        .iter()
        .filter_map(|d| d.get("cable").cloned())
        .collect();
    let cables = changed["cables"].as_array_mut()?;
    let all = cables.len();
    cables.retain(|cable| {
        let used = before
            .berths
            .iter()
            .any(|berth| cable["name"] == berth.cable.as_str());
        used || pinned.contains(&cable["name"])
    });
    let fewer = cables.len() < all;
    fewer.then(|| same_berths(&before, &solve(&changed)))
}

/// Only the plans without it are left, and all of them lack it less.
pub(crate) fn without_who_is_left_out(_: &mut Rng, setup: &Value, solve: Solve) -> Verdict {
    let before = solve(setup);
    let mut changed = setup.clone();
    let devices = changed["devices"].as_array_mut()?;
    let all = devices.len();
    devices.retain(|device| {
        let name = device["name"].as_str().unwrap_or_default();
        !before.without_berth.iter().any(|without| without == name)
    });
    let fewer = !devices.is_empty() && devices.len() < all;
    fewer.then(|| same_berths(&before, &solve(&changed)))
}

pub(crate) fn pinned_where_it_is(rng: &mut Rng, setup: &Value, solve: Solve) -> Verdict {
    let before = solve(setup);
    let mut changed = setup.clone();
    let mut pinned = 0;
    for berth in &before.berths {
        let Some(device) = listed(&mut changed, berth) else {
            continue;
        };
        device["port"] = json!(format!("{}/{}", berth.charger, berth.port));
        if rng.chance(50) {
            device["cable"] = json!(berth.cable);
        }
        pinned += 1;
    }
    (pinned > 0).then(|| same_berths(&before, &solve(&changed)))
}

/// At best; promised is less of a smaller pool.
pub(crate) fn pools_as_small_as_their_use(_: &mut Rng, setup: &Value, solve: Solve) -> Verdict {
    let mut setup = setup.clone();
    setup["aim"] = json!("best");
    let before = solve(&setup);
    let mut changed = setup;
    let mut shrunk = 0;
    for (charger, pool, used_w) in before.pools.iter().filter(|(.., used_w)| *used_w > 0.0) {
        let chargers = changed["chargers"].as_array_mut()?;
        let charger = chargers
            .iter_mut()
            .find(|c| c["name"] == charger.as_str())?;
        let limit = if pool == "total" {
            &mut charger["max_w"]
        } else {
            let pools = charger["pools"].as_array_mut()?;
            &mut pools.iter_mut().find(|p| p["name"] == pool.as_str())?["max_w"]
        };
        // Sums of decimal watts end in a stray last bit.
        *limit = json!((used_w * 1e6).round() / 1e6);
        shrunk += 1;
    }
    (shrunk > 0).then(|| same_berths(&before, &solve(&changed)))
}
