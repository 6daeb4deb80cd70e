//! The plan document as JSON, for comparison with other programs (section 7).

use serde_json::{Map, Value, json};

use super::limited_by::Limit;
use super::near::moves_said;
use super::plan::{Berth, Plan};
use super::rounding::watts;
use super::setup::Aim;
use super::stay::start_of;

/// What a plan's document says; of a rota also its sessions.
pub(crate) fn document(plan: &Plan, is_rota: bool) -> Value {
    let mut document = Map::new();
    let mut put = |field: &str, value: Value| document.insert(field.to_owned(), value);
    put("version", json!(1));
    put("status", json!("optimal"));
    let aim = match plan.setup.aim {
        Aim::Promise => "promise",
        Aim::Best => "best",
    };
    put("aim", json!(aim));
    put("longest_h", number(plan.longest_h));
    if let Some(hours) = plan.promised_longest_h {
        put("promised_longest_h", number(hours));
    }
    put("unserved", json!(plan.unserved));
    put("missing_wh", number(plan.missing_wh));
    put("late", json!(plan.late));
    put("promised_late", json!(plan.promised_late));
    if is_rota {
        put("swaps", json!(plan.score.swaps));
        put("held_wh", number(watts(plan.score.watts)));
    }
    let berths = plan.berths.iter().map(|b| berth(plan, b, is_rota));
    put("berths", berths.collect());
    put("assumed", assumed(plan));
    let without = plan.without_berth.iter().map(|(device, cause)| {
        json!({"device": plan.setup.devices[*device].name, "reason": format!("{cause:?}")})
    });
    put("without_berth", without.collect());
    let pools = plan.pools.iter().map(|pool| {
        let mut said = json!({
            "charger": pool.charger, "pool": pool.pool,
            "used_w": number(pool.used_w), "max_w": number(pool.max_w),
        });
        if is_rota {
            said["session"] = json!(pool.session);
        }
        said
    });
    put("pools", pools.collect());
    if plan.setup.at_hand.is_some() {
        put("moves", moves_said(plan));
    }
    Value::Object(document)
}

fn berth(plan: &Plan, berth: &Berth, is_rota: bool) -> Value {
    let (setup, choice) = (&plan.setup, &berth.choice);
    let charger = &setup.chargers[choice.charger];
    let mut said = json!({
        "device": setup.devices[berth.device].name,
        "charger": charger.name,
        "port": charger.ports[choice.port].name,
        "cable": setup.cables[choice.cable].name,
        "volts": number(choice.contract.volts),
        "amps": number(choice.contract.amps),
        "tier_w": number(choice.tier_w),
        "port_w": number(choice.contract.port_w()),
        "inlet_w": number(choice.contract.inlet_w),
        "hours": number(choice.hours),
        "late": choice.late,
        "limited_by": name_of(berth.limited_by),
    });
    if let Some(watts) = berth.promised_w() {
        said["promised_w"] = number(watts);
    }
    if let Some(hours) = berth.promise.hours {
        said["promised_h"] = number(hours);
    }
    if is_rota {
        said["session"] = json!(setup.sessions[choice.stay.first].name);
        said["until_session"] = json!(setup.sessions[choice.stay.last].name);
        said["finish_h"] = number(watts(choice.stay.finish));
        let start_h = watts(start_of(setup, choice.stay.first));
        if let Some(hours) = berth.promise.hours {
            said["promised_finish_h"] = number(start_h + hours);
        }
    }
    said
}

fn assumed(plan: &Plan) -> Value {
    let mut all = Vec::new();
    for device in &plan.setup.devices {
        for taken in &device.assumed {
            let mut said = json!({
                "device": device.name, "field": taken.field, "source": taken.source,
                "value": taken.value.as_f64().map_or_else(|| taken.value.clone(), number),
            });
            if let (Some(low), Some(high)) = (taken.low, taken.high) {
                said["low"] = number(low);
                said["high"] = number(high);
            }
            all.push(said);
        }
    }
    Value::Array(all)
}

fn name_of(limit: Limit) -> &'static str {
    match limit {
        Limit::Pool => "pool",
        Limit::Combination => "combination",
        Limit::Port => "port",
        Limit::Cable => "cable",
        Limit::Device => "device",
    }
}

/// Rounded to whole millionths.
fn number(value: f64) -> Value {
    json!((value * 1e6).round() / 1e6)
}
