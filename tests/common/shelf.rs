//! Chargers as a shop has them, from a seed: candidates for `rank`, all invented. Weight and
//! price grow with watts and ports, more or less; of some nobody knows them.

use serde_json::{Value, json};

use super::random_setup::rng::Rng;

const WATTS: [u32; 10] = [20, 30, 45, 65, 75, 100, 120, 140, 200, 240];

const NAMES: [&str; 12] = [
    "adagio", "allegro", "andante", "ballad", "cadenza", "fugue", "gigue", "largo", "minuet",
    "rondo", "scherzo", "vivace",
];

/// So many candidates, one on each line.
pub(crate) fn shelf(seed: u64, candidates: usize) -> String {
    let mut rng = Rng::new(seed ^ 0x7368_656C_6600_0001);
    let lines = (0..candidates).map(|number| {
        let name = format!(
            "{} {}",
            NAMES[number % NAMES.len()],
            1 + number / NAMES.len()
        );
        charger(&mut rng, &name).to_string() + "\n"
    });
    lines.collect()
}

/// A charger of up to six ports, the first of them for laptops.
fn charger(rng: &mut Rng, name: &str) -> Value {
    let watts = rng.pick(&WATTS);
    let most = if watts < 45 { 2 } else { 6 };
    let ports = rng.weighted(&[(2, 1), (4, 2), (5, 3), (5, 4), (2, 5), (2, 6)]);
    let ports = usize::min(ports, most);
    let mut names = Vec::new();
    let mut caps = Vec::new();
    let mut made = Vec::new();
    for at in 0..ports {
        let plain = at > 0 && rng.chance(35);
        let name = format!("{}{}", if plain { "A" } else { "C" }, at + 1);
        let cap = if plain {
            18
        } else {
            watts / [1, 1, 2, 3, 4, 5][at]
        };
        let cap = WATTS.iter().copied().filter(|&sold| sold <= cap).max();
        let cap = if plain { 18 } else { cap.unwrap_or(20) };
        made.push(if plain {
            let offers = rng.pick(&["5V 2.4A", "5V 3A, 9V 2A, 12V 1.5A"]);
            json!({"name": name, "connector": "usb-a", "offers": offers})
        } else if cap < 100 && rng.chance(40) {
            json!({"name": name, "pd_w": cap, "offers": "PPS 3.3-11V 3A", "max_w": cap})
        } else {
            json!({"name": name, "pd_w": cap})
        });
        names.push(name);
        caps.push(cap);
    }
    let mut charger = json!({"name": name, "ports": made});
    if ports > 1 && rng.chance(60) {
        charger["max_w"] = json!(watts);
    } else if ports > 1 {
        charger["combinations"] = lines(watts, &names, &caps);
    }
    let count = u32::try_from(ports).expect("a few");
    if rng.chance(96) {
        let grams = (watts * 8 / 5 + 14 * count + 15) * (70 + small(rng, 60)) / 100;
        charger["weight_g"] = json!(grams);
    }
    if rng.chance(96) {
        let price = (watts * 3 / 10 + 4 * count + 5) * (60 + small(rng, 80)) / 100;
        charger["price"] = json!(price);
    }
    charger
}

fn small(rng: &mut Rng, below: usize) -> u32 {
    u32::try_from(rng.below(below)).expect("below a small number")
}

/// A table: each port alone, the first with each other, and all together.
fn lines(watts: u32, names: &[String], caps: &[u32]) -> Value {
    let share = |of: u32, cap: u32| of.min(cap).max(5);
    let mut table = Vec::new();
    for at in 0..names.len() {
        table.push(json!({ names[at].clone(): caps[at] }));
        if at > 0 {
            let (large, rest) = (watts * 2 / 3, watts / 3);
            table.push(json!({
                names[0].clone(): share(large, caps[0]), names[at].clone(): share(rest, caps[at]),
            }));
        }
    }
    if names.len() > 2 {
        let each = watts / u32::try_from(names.len()).expect("a few");
        let all = names.iter().zip(caps);
        let all = all.map(|(name, cap)| (name.clone(), json!(share(each, *cap))));
        table.push(Value::Object(all.collect()));
    }
    Value::Array(table)
}
