//! Published makespans, posed as whole setups with a session for every hour.
//!
//! Jobs of whole hours on equal machines: a device of so many hours for each job, a port
//! for each machine, and plugs can be swapped on the hour. The rota's longest finishing
//! time is then the least makespan.
//!
//! Source: R. L. Graham, "Bounds on multiprocessing timing anomalies", SIAM Journal on
//! Applied Mathematics 17 (1969) 416-429: longest-first takes at most 4/3 - 1/(3 m) times
//! the least makespan on m machines, and on these jobs just that (*memory*; the greedy
//! times are computed below).

use serde_json::{Value, json};
use wattberth::{Setup, Status, rota};

/// Every device draws 10 W of its 5 V 2 A.
fn posed(machines: usize, jobs: &[u32]) -> Value {
    let port = |i: usize| json!({"name": format!("M{i}"), "connector": "usb-a", "offers": "5V 2A"});
    let device = |(i, hours): (usize, &u32)| {
        json!({
            "name": format!("job {i}"), "accepts": "5V 2A", "battery_wh": 10 * hours,
            "draw_w": [[0, 10]], "efficiency": 1
        })
    };
    json!({
        "aim": "best", "tolerance_h": 0,
        "sessions": (0..16).map(|h| json!({"name": format!("{h}"), "hours": 1})).collect::<Vec<_>>(),
        "chargers": [{"name": "shop", "ports": (0..machines).map(port).collect::<Vec<_>>()}],
        "cables": [{"name": "feed", "from": "usb-a", "ohm": 0, "count": machines}],
        "devices": jobs.iter().enumerate().map(device).collect::<Vec<_>>()
    })
}

/// The longest job first, each on the machine that is free first.
fn longest_first(machines: usize, jobs: &[u32]) -> u32 {
    let mut jobs = jobs.to_vec();
    jobs.sort_unstable_by(|a, b| b.cmp(a));
    let mut busy = vec![0; machines];
    for job in jobs {
        *busy.iter_mut().min().expect("a machine") += job;
    }
    busy.into_iter().max().expect("a machine")
}

/// Two jobs each of 2 m - 1, …, m + 1 hours, and three of m: they just fill 3 m hours.
fn worst(machines: u32) -> Vec<u32> {
    let pairs = (machines + 1..2 * machines).rev();
    let mut jobs: Vec<u32> = pairs.flat_map(|hours| [hours, hours]).collect();
    jobs.extend([machines; 3]);
    jobs
}

#[test]
fn the_least_makespan_is_found_where_longest_first_does_worst() {
    assert_eq!(worst(2), [3, 3, 2, 2, 2]);
    assert_eq!(worst(3), [5, 5, 4, 4, 3, 3, 3]);
    for machines in 2..=5_u32 {
        let (jobs, ports) = (worst(machines), machines as usize);
        assert_eq!(longest_first(ports, &jobs), 4 * machines - 1, "greedy");
        let setup = Setup::from_json(&posed(ports, &jobs).to_string()).expect("a valid setup");
        let rota = rota(&setup).expect("a rota");
        assert_eq!(rota.status, Status::Optimal);
        assert_eq!((rota.unserved, rota.late), (0, 0));
        assert_eq!(
            rota.longest_h,
            f64::from(3 * machines),
            "{machines} machines"
        );
    }
}
