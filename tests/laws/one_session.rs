//! One session: a rota of a single session that is `session_h` long is the plan, wherever
//! no device is late.

use serde_json::{Value, json};
use wattberth::{Setup, assign, rota};

use crate::random_setup::crowd::crowded_setup;
use crate::random_setup::small_setup;

const SETUPS: u64 = 600;

#[test]
fn a_rota_of_one_session_is_the_plan() {
    let mut compared = 0;
    for seed in 0..SETUPS {
        let text = if seed % 3 == 0 {
            crowded_setup(seed)
        } else {
            small_setup(seed)
        };
        let mut setup: Value = serde_json::from_str(&text).expect("the generator writes JSON");
        // Long enough for most, and one that is no whole number.
        let session_h = [4.0, 12.0, 30.1][usize::try_from(seed % 7 % 3).expect("small")];
        setup["session_h"] = json!(session_h);
        let mut plan = assign(&read(&setup)).expect("a generated setup has a plan");
        setup["sessions"] = json!([{"name": "night", "hours": session_h}]);
        let setup = read(&setup);
        let rota = rota(&setup).expect("a generated setup has a rota");
        if rota.late > 0 {
            continue;
        }
        // The setups are two, and a plan without its sessions names none.
        (plan.program, plan.setup_sha256) = (None, None);
        let as_plan = rota.without_sessions();
        assert_eq!(as_plan.to_json(), plan.to_json(), "seed {seed}: {text}");
        let same = |berth: &wattberth::RotaBerth| {
            berth.session == "night" && berth.until_session == "night"
        };
        assert!(rota.berths.iter().all(same), "seed {seed}");
        assert_eq!(rota.swaps, 0, "seed {seed}");
        compared += usize::from(!rota.berths.is_empty());
    }
    assert!(compared >= 350, "only {compared} were compared");
}

fn read(setup: &Value) -> Setup {
    Setup::from_json(&setup.to_string()).expect("generated setups are valid")
}
