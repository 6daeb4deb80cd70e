//! `wattberth pack`: the screen, the document, the shops, the exit codes.

use serde_json::{Value, json};

use super::{Ran, fits, run, run_with};

const BAG: &str = "fixtures/kiosk-bag.json";
const SHOP: &str = "fixtures/shop.txt";

fn bag() -> Value {
    let text = std::fs::read_to_string(BAG).expect("the bag");
    serde_json::from_str(&text).expect("JSON")
}

fn packed(args: &[&str], setup: &Value) -> Ran {
    run_with(&[&["pack", "-"], args].concat(), &setup.to_string())
}

fn bought(luggage: &Value) -> Vec<String> {
    let buy = luggage["buy"].as_array().expect("a list");
    let names = buy.iter().map(|piece| {
        format!(
            "{} × {}",
            piece["count"],
            piece["thing"].as_str().expect("a name")
        )
    });
    names.collect()
}

fn one_line(ran: &Ran) -> String {
    let words: Vec<&str> = ran.out.split_whitespace().collect();
    words.join(" ")
}

#[test]
fn the_document_fits_its_schema_and_the_bag_serves() {
    let ran = run(&["pack", BAG, "--json"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let luggage = ran.json();
    fits("pack", &luggage);
    fits("trip", &luggage["trip"]);
    assert_eq!(luggage["status"], "optimal");
    assert_eq!(luggage["by"], "weight");
    assert_eq!(luggage["bound"], luggage["bag"]["weight_g"]);
    assert_eq!(luggage["unserved_nights"], json!([0, 0, 0]));
    let of = |list: &str, field: &str| -> f64 {
        let pieces = luggage[list].as_array().expect("a list").iter();
        let of = |piece: &Value| {
            let count = piece["count"].as_f64().unwrap_or_default();
            count * piece[field].as_f64().unwrap_or_default()
        };
        pieces.map(of).sum()
    };
    assert_eq!(
        luggage["bag"]["weight_g"],
        of("buy", "weight_g") + of("take", "weight_g")
    );
    assert_eq!(luggage["bag"]["price"], of("buy", "price"));
    assert_eq!(luggage["unbeaten_complete"], true);
    assert_eq!(luggage["calendar"].as_array().map(Vec::len), Some(2));
}

#[test]
fn the_screen_keeps_to_its_width_and_same_bytes_come_twice() {
    let first = run(&["pack", BAG]);
    assert_eq!((first.code, first.err.as_str()), (0, ""));
    assert!(!first.out.contains('\u{1b}'), "colour in a pipe");
    let wide = first.out.lines().find(|line| line.chars().count() > 80);
    assert_eq!(wide, None);
    let document = run(&["pack", BAG, "--json"]);
    for thing in bought(&document.json()) {
        let name = thing.split(" × ").last().expect("a name");
        assert!(first.out.contains(name), "{name}: {}", first.out);
    }
    assert_eq!(run(&["pack", BAG]).out, first.out);
    assert_eq!(run(&["pack", BAG, "--json"]).out, document.out);
}

#[test]
fn what_is_least_is_what_was_asked_for() {
    let by = |by: &str| {
        let ran = run(&["pack", BAG, "--alone", "--json", "--by", by]);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{by}");
        let luggage = ran.json();
        fits("pack", &luggage);
        assert_eq!(luggage["by"], by);
        assert_eq!(
            (&luggage["costs"], &luggage["status"]),
            (&json!([]), &json!("optimal"))
        );
        assert_eq!(luggage["unbeaten"].as_array().map(Vec::len), Some(1));
        luggage["bag"].clone()
    };
    let [weight, price, pieces] = ["weight", "price", "pieces"].map(by);
    for bag in [&weight, &price, &pieces] {
        assert!(weight["weight_g"].as_f64() <= bag["weight_g"].as_f64());
        assert!(price["price"].as_f64() <= bag["price"].as_f64());
        assert!(pieces["pieces"].as_u64() <= bag["pieces"].as_u64());
    }
    let ran = run(&["pack", BAG, "--by", "colour"]);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
}

#[test]
fn the_code_is_1_where_a_device_is_left_over() {
    let mut setup = bag();
    setup["shop"]["chargers"][0]["count"] = 1.into();
    setup["shop"]["cables"][0]["count"] = 1.into();
    setup["cables"] = json!([]);
    let ran = packed(&["--alone", "--json"], &setup);
    assert_eq!((ran.code, ran.err.as_str()), (1, ""));
    let luggage = ran.json();
    fits("pack", &luggage);
    assert_eq!(luggage["status"], "feasible");
    assert_ne!(luggage["unserved_nights"], json!([0, 0, 0]));
    let ran = packed(&["--alone"], &setup);
    assert_eq!((ran.code, ran.err.as_str()), (1, ""));
}

#[test]
fn a_shop_may_stand_in_a_file_of_its_own() {
    let mut setup = bag();
    setup.as_object_mut().expect("an object").remove("shop");
    let ran = packed(&["--alone", "--json", "--shop", SHOP], &setup);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let luggage = ran.json();
    fits("pack", &luggage);
    // Of that file only the shop is taken, not its phone.
    assert!(!ran.out.contains("phone"), "{}", ran.out);
    assert!(!bought(&luggage).is_empty());
    // In the place of the setup's own.
    let ran = packed(&["--alone", "--json", "--shop", SHOP], &bag());
    assert_eq!(ran.code, 0);
    assert_eq!(bought(&ran.json()), bought(&luggage));
}

#[test]
fn shops_are_taken_together() {
    let mut setup = bag();
    setup.as_object_mut().expect("an object").remove("shop");
    let stall = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("stall.txt");
    let pebble = "shop\ncharger pebble: C1 65 W; C2 20 W; C1+C2: 45 W + 20 W; 60 g; price 50; \
                  plug C; 100-240 V; 50/60 Hz\n";
    std::fs::write(&stall, pebble).expect("it can be written");
    let stall = stall.display().to_string();
    let both = ["--alone", "--json", "--shop", BAG, "--shop", &stall];
    let ran = packed(&both, &setup);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let luggage = ran.json();
    fits("pack", &luggage);
    let bought = bought(&luggage);
    for thing in ["1 × pebble", "1 × blades", "2 × braided"] {
        assert!(bought.contains(&thing.to_owned()), "{thing}: {bought:?}");
    }
    assert_eq!(packed(&both, &setup).out, ran.out);
}

#[test]
fn a_file_that_is_no_shop_is_refused_with_its_name() {
    for (file, said) in [
        ("fixtures/table.txt", "there is no shop here"),
        ("fixtures/desk.json", "a shop file needs the field `shop`"),
        ("fixtures/candidates.ndjson", "fixtures/candidates.ndjson"),
        ("fixtures/none.txt", "there is no such file"),
        ("fixtures", "this is a directory"),
    ] {
        let ran = run(&["pack", BAG, "--shop", file]);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{file}");
        assert!(ran.err.contains(said), "{file}: {}", ran.err);
        assert!(ran.err.contains(file), "{file}: {}", ran.err);
    }
    // A name of the bag is none for what is for sale, and the line is that of the shop.
    let list = "laptop 65 W\ncable \"braided\" C to C\n";
    let ran = run_with(&["pack", "-", "--shop", BAG, "--json"], list);
    assert_eq!(ran.code, 2);
    let fault = &ran.json()["errors"][0];
    assert_eq!(fault["file"], BAG);
    assert_eq!(fault["path"], "shop.cables[0].name");
    assert!(fault["line"].as_u64() > Some(1), "{fault}");
}

#[test]
fn a_bag_without_any_charger_and_a_shop_without_weights_are_bad_input() {
    let mut setup = bag();
    setup["chargers"] = json!([]);
    setup["shop"]["chargers"] = json!([]);
    let ran = packed(&[], &setup);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    let said = "there is no charger, in the bag or in the `shop`";
    assert!(ran.err.contains(said), "{}", ran.err);
    setup = bag();
    for field in ["weight_g", "price"] {
        let braided = setup["shop"]["cables"][0].as_object_mut();
        braided.expect("an object").remove(field);
    }
    let ran = packed(&["--json"], &setup);
    assert_eq!(ran.code, 2);
    let faults = ran.json();
    let messages: Vec<&str> = faults["errors"]
        .as_array()
        .expect("faults")
        .iter()
        .filter_map(|fault| fault["message"].as_str())
        .collect();
    assert_eq!(
        messages,
        [
            "what is for sale needs its `weight_g`",
            "what is for sale needs its `price`"
        ]
    );
    let ran = run_with(&["pack", "-"], "laptop\nshop\ncharger cube: C1 65 W\n");
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    assert!(ran.err.contains("<stdin>:3:"), "{}", ran.err);
}

#[test]
fn what_is_cut_short_is_an_answer_all_the_same() {
    for budget in ["1", "10", "100", "5000"] {
        let args = ["pack", BAG, "--json", "--budget", budget];
        let ran = run(&args);
        let luggage = ran.json();
        fits("pack", &luggage);
        let served = ["unserved_nights", "late_nights"]
            .iter()
            .all(|field| luggage[field] == json!([0, 0, 0]));
        let packed = luggage["bag"]["pieces"] != 0;
        assert_eq!(ran.code == 0, served && packed, "{budget}: {}", ran.code);
        assert!(ran.code < 2, "{budget}: {}", ran.err);
        assert_eq!(run(&args).out, ran.out, "{budget}");
        let text = run(&["pack", BAG, "--budget", budget]);
        assert_eq!((text.code, text.err.as_str()), (ran.code, ""));
    }
}

#[test]
fn without_a_trip_and_without_a_shop_it_is_packed_from_what_is_owned() {
    let list = "charger big: C1 100 W; C2 30 W; 300 g\ncharger small: C1 65 W; C2 20 W; 120 g\n\
                2 cables C to C, 30 g\nlaptop 65 W, 30 % left\nphone\n";
    let ran = run_with(&["pack", "-", "--json"], list);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let luggage = ran.json();
    fits("pack", &luggage);
    assert_eq!(luggage["buy"], json!([]));
    assert_eq!(luggage["take"][0]["thing"], "small");
    assert_eq!(luggage["leave"][0]["thing"], "big");
    assert!(luggage.get("trip").is_none());
    let text = one_line(&run_with(&["pack", "-"], list));
    assert!(text.contains("Leave at home"), "{text}");
}
