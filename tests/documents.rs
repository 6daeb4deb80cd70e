//! Documents as text: what is written is read back, the schema and the reader agree,
//! and the stated sizes are accepted and one more is not.

#[path = "documents/answers.rs"]
mod answers;
#[path = "documents/by_hand.rs"]
mod by_hand;
#[path = "documents/numbers.rs"]
mod numbers;

use std::fs;
use std::path::{Path, PathBuf};

use proptest::prelude::*;
use serde_json::Value;
use wattberth::{
    Adapter, Aim, Appliance, Battery, BatteryKind, Cable, Charger, Converter, Device, Error, Lead,
    Load, Plan, Port, Reserve, Rota, Session, Setup, SetupDocument, Shop, Source, Span, Stop,
    TripDocument, Voltages, improve_schema, plan_schema, rank_schema, rota_schema, score_schema,
    setup_schema, sharing_rules_schema, size_schema, timeline_schema, trip_schema, wish_schema,
};

/// A trip with every field that it can have.
fn every_trip() -> TripDocument {
    let stop = Stop::new("Copenhagen", "DK")
        .nights(2)
        .session_h(7.5)
        .outlets(2)
        .voltages_v([220.0, 230.0])
        .frequencies_hz([50.0])
        .sockets(["K", "EF"]);
    let adapter = Adapter::new("world cube", ["C", "EF"], ["G", "A"])
        .count(2)
        .max_a(6.0)
        .earthed()
        .fuse_a(5.0)
        .weight_g(130.0)
        .price(32.0)
        .port(Port::pd("U1", 30.0))
        .port(Port::pd("U2", 20.0))
        .max_w(30.0)
        .pool("both", ["U1", "U2"], 30.0)
        .combination([("U1", 20.0), ("U2", 10.0)])
        .input("100-240V", "50/60Hz");
    let steamer = Appliance::new("steamer", "EF", "230V", 850.0, Load::Heating)
        .input_hz("50Hz")
        .needs_earth();
    let converter = Converter::new("step-up", "100-127V", 230.0, 300.0)
        .kinds([Load::Heating, Load::Motor, Load::Electronic])
        .plugs("B", ["EF"])
        .earthed()
        .weight_g(3200.0)
        .price(48.0);
    let mut spare = Battery::with_mah("spare cell", BatteryKind::Spare, 5000.0, 3.6);
    spare.count = Some(3);
    TripDocument::new()
        .travellers(4)
        .stop(stop)
        .adapter(adapter)
        .appliance(steamer)
        .converter(converter)
        .battery(Battery::new("bank", BatteryKind::PowerBank, 74.0))
        .battery(Battery::of_device("phone", BatteryKind::Installed))
        .battery(spare)
        .battery(Battery::with_lithium("pacer cells", BatteryKind::Bag, 0.3).medical())
}

/// A shop with something in each of its lists.
fn every_shop() -> Shop {
    Shop::new()
        .charger(
            Charger::new("cube")
                .port(Port::pd("C1", 45.0))
                .weight_g(95.0)
                .price(29.0)
                .count(3),
        )
        .cable(Cable::c_to_c("braided").weight_g(30.0).price(7.0))
        .adapter(
            Adapter::new("to Italy", ["EF"], ["L10"])
                .weight_g(35.0)
                .price(8.0),
        )
        .converter(
            Converter::new("step-down", "200-240V", 120.0, 1600.0)
                .kinds([Load::Heating])
                .plugs("EF", ["A"])
                .weight_g(400.0)
                .price(45.0),
        )
}

/// Every field that a document can have, at least once.
fn everything() -> SetupDocument {
    let mut phone = Device::with_mah("phone", 5000.0)
        .battery_v(3.85)
        .inlet("usb-micro-b");
    phone.cable = Some("micro".into());
    let mut lead = Lead::default()
        .to("usb-c")
        .max_a(5.0)
        .max_v(50.0)
        .length_m(1.5)
        .awg(22.0)
        .ohm(0.2);
    lead.e_marked = Some(true);
    SetupDocument::new()
        .name("quartet, second night")
        .session_h(8.0)
        .aim(Aim::Best)
        .tolerance_h(0.1)
        .start("22:30")
        .session(Session::new("evening", 3.5))
        .session(Session::new("night", 8.0).swap(false))
        .charger(
            Charger::new("dressing room")
                .port(Port::pd("C1", 65.0).offers("PPS 3.3-21V 3A").lead(lead))
                .port(
                    Port::usb_c("C2", ["5V 3A", "9V 2.22A"])
                        .max_w(20.0)
                        .lead(Lead::default().watts(60.0)),
                )
                .port(Port::usb_a("A1", "5V 2.4A"))
                .max_w(75.0)
                .pool("lower bank", ["C2", "A1"], 24.0)
                .pool_of_all("fuse", 80.0)
                .combination([("C1", 45.0), ("C2", 20.0)])
                .combination([("C1", 65.0)])
                .tiers_w([15.0, 30.0, 45.0, 65.0])
                .reserve(Reserve::Contract)
                .voltages(Voltages::Kept)
                .efficiency(0.9)
                .weight_g(180.0)
                .price(39.9)
                .efficiency(0.9)
                .mains("EF", "100-240V")
                .input_hz("50/60Hz"),
        )
        .cable(Cable::c_to_c("long").epr().length_m(2.0).awg(22.0).count(2))
        .cable(Cable::c_to_c("short").watts(60.0).weight_g(22.0).price(5.0))
        .cable(
            Cable::new("micro", "usb-a", "usb-micro-b")
                .ohm(0.3)
                .max_a(1.5),
        )
        .device(
            Device::of_kind("score tablet", "tablet")
                .battery_wh(Span::Between(26.0, 30.0))
                .accepts("5V 3A, 9V 3A")
                .usb_a_a(2.4)
                .pd_w(45.0)
                .max_w(40.0)
                .min_w(2.5)
                .count(4)
                .start_pct(Span::Between(10.0, 20.0))
                .target_pct(95.0)
                .draw_w([(0.0, 40.0), (80.0, 40.0), (80.0, 20.0), (100.0, 5.0)])
                .efficiency(0.9)
                .running_w(1.5)
                .ready_by_h(7.0)
                .priority(1)
                .sessions(["night"])
                .reach_m(1.5)
                .every_nights(2)
                .port("dressing room/C1"),
        )
        .device(phone.accepts("5V 2A"))
        .trip(every_trip())
        .nights(6)
        .shop(every_shop())
}

fn faults(setup: Result<Setup, Error>) -> Vec<String> {
    match setup {
        Ok(_) => Vec::new(),
        Err(Error::Input(faults)) => faults.iter().map(ToString::to_string).collect(),
        Err(other) => panic!("{other}"),
    }
}

fn validator(schema: &Value) -> jsonschema::Validator {
    jsonschema::validator_for(schema).expect("the schema is a schema")
}

fn fixtures() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures")
}

/// Whether a schema takes null anywhere but for a time that is never, which JSON has no
/// number for.
fn takes_null(schema: &Value) -> bool {
    match schema {
        Value::String(text) => text == "null",
        Value::Array(list) => list.iter().any(takes_null),
        Value::Object(fields) => fields.iter().any(|(name, field)| {
            !["longest_h", "times_h"].contains(&name.as_str()) && takes_null(field)
        }),
        _ => false,
    }
}

#[test]
fn no_schema_takes_null_or_names_an_item_of_the_library() {
    for schema in [
        setup_schema(),
        plan_schema(),
        score_schema(),
        improve_schema(),
        wish_schema(),
        size_schema(),
        rank_schema(),
        rota_schema(),
        timeline_schema(),
        sharing_rules_schema(),
        trip_schema(),
    ] {
        let text = schema.to_string();
        assert!(!takes_null(&schema), "{schema:#}");
        assert!(!text.contains("crate::"), "{schema:#}");
    }
}

#[test]
fn a_document_with_every_field_is_read_back_and_fits_the_schema() {
    let mut document = everything();
    document.version = Some(1);
    let json = document.to_json();
    let setup = Setup::from_json(&json).unwrap_or_else(|error| panic!("{error}\n{json}"));
    assert_eq!(setup.document(), &document);
    let mut value: Value = serde_json::from_str(&json).expect("it is JSON");
    value["$schema"] = setup_schema()["$id"].clone();
    let found: Vec<String> = validator(&setup_schema())
        .iter_errors(&value)
        .map(|e| e.to_string())
        .collect();
    assert_eq!(found, Vec::<String>::new());
    let schema = setup_schema();
    let known = |part: &Value| part["properties"].as_object().expect("an object").len();
    let (ports, trip) = (&value["chargers"][0]["ports"], &value["trip"]);
    let leads: Value = ports
        .as_array()
        .expect("a list")
        .iter()
        .map(|port| port["lead"].clone())
        .collect();
    // Several of each, because a battery and a rating are given in one way only.
    for (list, part) in [
        (&value["devices"], "Device"),
        (&value["cables"], "Cable"),
        (ports, "Port"),
        (&leads, "Lead"),
        (&trip["stops"], "Stop"),
        (&trip["adapters"], "Adapter"),
        (&trip["appliances"], "Appliance"),
        (&trip["converters"], "Converter"),
        (&trip["batteries"], "Battery"),
    ] {
        let tried: std::collections::BTreeSet<&String> = list
            .as_array()
            .expect("a list")
            .iter()
            .filter_map(Value::as_object)
            .flat_map(|thing| thing.keys())
            .collect();
        assert_eq!(
            tried.len(),
            known(&schema["$defs"][part]),
            "a field of {part} is not tried: {tried:?}"
        );
    }
    let charger = value["chargers"][0].as_object().expect("an object");
    // A `label` stands for `ports`, and is tried by itself; a `count` is of a shop.
    assert!(value["shop"]["chargers"][0]["count"].is_number());
    assert_eq!(
        charger.len() + 2,
        known(&schema["$defs"]["Charger"]),
        "a field is not tried"
    );
    assert_eq!(
        value.as_object().map(serde_json::Map::len),
        Some(known(&schema))
    );
}

#[test]
fn the_label_of_a_charger_is_written_out() {
    let label = [
        "Input: 100-240V~ 50/60Hz",
        "C1 65W; A 12W; C1+A: 45W+12W; Total 65W",
    ];
    let lamp = Device::new("lamp", 20.0).pd_w(18.0);
    let document = bag()
        .charger(Charger::new("desk").label(label))
        .device(lamp);
    let json = document.to_json();
    let value: Value = serde_json::from_str(&json).expect("it is JSON");
    assert_eq!(value["chargers"][0]["label"][0], label[0]);
    assert!(validator(&setup_schema()).is_valid(&value));
    let setup = Setup::from_json(&json).unwrap_or_else(|error| panic!("{error}\n{json}"));
    let by_hand = Charger::new("desk")
        .port(Port::pd("C1", 65.0))
        .port(Port::usb_a("A", "5V 2.4A"))
        .combination([("C1", 45.0), ("A", 12.0)])
        .max_w(65.0);
    assert_eq!(setup.document().chargers, [by_hand]);
    let again = Setup::from_json(&setup.document().to_json());
    assert_eq!(again.expect("it is sound").document(), setup.document());
}

#[test]
fn the_schema_refuses_what_has_the_wrong_shape() {
    let validator = validator(&setup_schema());
    let mut refused = 0;
    for entry in fs::read_dir(fixtures().join("faults")).expect("the folder is there") {
        let path = entry.expect("it can be listed").path();
        let name = path
            .file_name()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned();
        // Of a field given twice a JSON value keeps one; numbers without end are none.
        let of_shape = ["type_", "field_", "missing_", "top_"]
            .iter()
            .any(|p| name.starts_with(p));
        if !of_shape
            || path.extension().is_none_or(|end| end != "json")
            || name == "field_twice.json"
        {
            continue;
        }
        let text = fs::read_to_string(&path).expect("it can be read");
        let value: Value = serde_json::from_str(&text).expect("it is JSON");
        assert!(!validator.is_valid(&value), "{name}");
        refused += 1;
    }
    assert!(refused >= 10, "only {refused} fixtures were tried");
}

#[test]
fn good_fixtures_fit_the_schemas() {
    let (setups, plans) = (validator(&setup_schema()), validator(&plan_schema()));
    let rotas = validator(&rota_schema());
    let mut folders = vec![fixtures()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).expect("it can be listed") {
            let path = entry.expect("it can be listed").path();
            if path.is_dir() {
                if !path.ends_with("faults") && !path.ends_with("fuzz") {
                    folders.push(path);
                }
                continue;
            }
            let Ok(text) = fs::read_to_string(&path) else {
                continue;
            };
            let Ok(value) = serde_json::from_str::<Value>(&text) else {
                continue;
            };
            let whole = value.get("chargers").is_some();
            if value.get("devices").is_some() && whole {
                assert!(setups.is_valid(&value), "{}", path.display());
            } else if value["berths"][0].get("session").is_some() {
                assert!(rotas.is_valid(&value), "{}", path.display());
                assert!(Rota::from_json(&text).is_ok(), "{}", path.display());
            } else if value.get("berths").is_some() {
                assert!(plans.is_valid(&value), "{}", path.display());
                assert!(Plan::from_json(&text).is_ok(), "{}", path.display());
            }
        }
    }
}

fn bag() -> SetupDocument {
    SetupDocument::new().cable(Cable::c_to_c("short"))
}

fn small() -> SetupDocument {
    bag().charger(Charger::new("desk").port(Port::pd("C1", 65.0)))
}

/// Each stated size is accepted, and one more refused with the limit named.
#[test]
fn stated_sizes_are_accepted_and_one_more_is_refused() {
    type Build = fn(usize) -> SetupDocument;
    let tablet = || Device::new("tablet", 28.6).pd_w(45.0);
    let devices: Build = |n| {
        (0..n).fold(small(), |s, i| {
            s.device(Device::new(format!("d{i}"), 9.0).pd_w(15.0))
        })
    };
    let counted: Build = |n| {
        let count = u32::try_from(n - 1).expect("it is small");
        small()
            .device(Device::new("tablet", 28.6).pd_w(45.0).count(count))
            .device(Device::new("laptop", 60.0).pd_w(65.0))
    };
    let ports: Build = |n| {
        let full = |name: &str, n: usize| {
            (0..n).fold(Charger::new(name), |c, i| {
                c.port(Port::pd(format!("C{i}"), 20.0))
            })
        };
        bag()
            .charger(full("left", 100))
            .charger(full("right", n - 100))
            .device(Device::new("tablet", 28.6).pd_w(45.0))
    };
    let entries: Build = |n| {
        let text = vec!["5V 1A"; n].join(", ");
        small().device(Device::new("tablet", 28.6).accepts(text))
    };
    let lines: Build =
        |n| small().device(Device::new("tablet", 28.6).accepts(vec!["5V 1A".to_owned(); n]));
    let chargers: Build = |n| {
        (0..n)
            .fold(bag(), |s, i| {
                s.charger(Charger::new(format!("c{i}")).port(Port::pd("C1", 20.0)))
            })
            .device(Device::new("tablet", 28.6).pd_w(45.0))
    };
    let cables: Build = |n| {
        (0..n)
            .fold(SetupDocument::new(), |s, i| {
                s.cable(Cable::c_to_c(format!("c{i}")))
            })
            .charger(Charger::new("desk").port(Port::pd("C1", 65.0)))
            .device(Device::new("tablet", 28.6).pd_w(45.0))
    };
    let points: Build = |n| {
        #[expect(clippy::cast_precision_loss, reason = "a thousand points")]
        let points = (0..n).map(|i| (i as f64 / 20.0, 20.0));
        small().device(Device::new("tablet", 28.6).pd_w(45.0).draw_w(points))
    };
    for (what, build, most) in [
        ("devices", devices, 256),
        ("devices, counted", counted, 256),
        ("ports", ports, 256),
        ("label entries", entries, 1024),
        ("label lines", lines, 1024),
        ("chargers", chargers, 64),
        ("cables", cables, 256),
        ("points", points, 1000),
    ] {
        let good = build(most);
        assert_eq!(faults(good.clone().check()), Vec::<String>::new(), "{what}");
        assert_eq!(
            faults(Setup::from_json(&good.to_json())),
            Vec::<String>::new(),
            "{what}"
        );
        let bad = build(most + 1);
        for found in [
            faults(Setup::from_json(&bad.to_json())),
            faults(bad.check()),
        ] {
            let named = found.len() == 1 && found[0].contains(&most.to_string());
            assert!(named, "{what}: {found:?}");
        }
    }
    let found = faults(small().device(tablet().count(10_000)).check());
    assert!(
        found.len() == 1 && found[0].contains("from 1 to 256, not 10000"),
        "{found:?}"
    );
}

/// A charger alone, a list of them, and a whole setup are all charger files.
#[test]
fn charger_files_replace_the_bag_s_chargers() {
    let charger =
        |name: &str| format!(r#"{{"name": "{name}", "ports": [{{"name": "C1", "pd_w": 65}}]"#);
    let devices = r#""devices": [{"name": "laptop", "battery_wh": 60, "pd_w": 65, "port": "C1"}]"#;
    let home = format!(r#"{{"chargers": [{}}}], {devices}}}"#, charger("home"));
    let bare = format!("{{{devices}}}");
    let alone = format!(r#"{}, "version": 1}}"#, charger("hotel"));
    let list = format!(
        r#"{{"name": "bundle", "price": 40, "chargers": [{}}}]}}"#,
        charger("hotel")
    );
    let setup = format!(r#"{{"chargers": [{}}}], {devices}}}"#, charger("hotel"));
    let source = |text| Source {
        file: "x.json",
        text,
    };
    for bag in [&home, &bare] {
        for file in [&alone, &list, &setup] {
            let found = Setup::from_sources(source(bag), &[source(file)]);
            let found = found.unwrap_or_else(|error| panic!("{file}: {error}"));
            assert_eq!(
                found.charger_names().collect::<Vec<_>>(),
                ["hotel"],
                "{file}"
            );
        }
    }
    let both = charger("home") + "}";
    let device = bare.replace("\"C1\"", "\"home/C1\"");
    let found = Setup::from_sources(source(&device), &[source(&alone), source(&both)]);
    let found = found.unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(found.charger_names().collect::<Vec<_>>(), ["hotel", "home"]);
}

#[test]
fn a_text_of_nothing_but_faults_is_answered_in_a_bounded_list() {
    let zeros = vec!["0"; 5_000].join(",");
    let unknown: Vec<String> = (0..5_000).map(|i| format!("\"x{i}\":{{}}")).collect();
    for text in [
        format!("{{\"devices\":[{zeros}],{}}}", unknown.join(",")),
        format!("[{zeros}]"),
    ] {
        let found = faults(Setup::from_json(&text));
        assert!(!found.is_empty() && found.len() <= 1_001, "{}", found.len());
    }
}

#[test]
fn numbers_that_are_none_are_refused_when_a_program_gives_them() {
    let device = |device: Device| small().device(device.pd_w(45.0));
    let tablet = || Device::new("tablet", 28.6);
    for (document, path) in [
        (
            device(Device::new("tablet", f64::NAN)),
            "devices[0].battery_wh",
        ),
        (
            device(tablet().start_pct(f64::INFINITY)),
            "devices[0].start_pct",
        ),
        (
            device(tablet().draw_w([(0.0, 5.0), (f64::NAN, 5.0)])),
            "devices[0].draw_w[1][0]",
        ),
        (device(tablet()).session_h(f64::NEG_INFINITY), "session_h"),
        (
            device(tablet()).session(Session::new("night", f64::INFINITY)),
            "sessions[0].hours",
        ),
        (
            device(tablet()).cable(Cable::c_to_c("b").ohm(f64::NAN)),
            "cables[1].ohm",
        ),
        (
            device(tablet()).charger(Charger::new("b").port(Port::pd("C1", f64::NAN))),
            "chargers[1].ports[0].pd_w",
        ),
        (
            device(tablet()).charger(
                Charger::new("b")
                    .port(Port::pd("C1", 20.0))
                    .combination([("C1", f64::NAN)]),
            ),
            "chargers[1].combinations[0].C1",
        ),
    ] {
        let found = faults(document.check());
        assert!(
            found.len() == 1 && found[0].starts_with(path),
            "{path}: {found:?}"
        );
    }
}

prop_compose! {
    /// A device with some of its optional fields.
    fn any_device()(
        battery in 0.001..1000.0_f64,
        count in prop::option::of(1..9_u32),
        pd in 0.5..240.0_f64,
        start in prop::option::of(0.0..=100.0_f64),
        min in prop::option::of(0.0..1e-3_f64),
        efficiency in prop::option::of(0.3..=1.0_f64),
        priority in prop::option::of(1..=3_u8),
        draw in prop::option::of(prop::collection::vec((0.0..=100.0_f64, 0.0..200.0_f64), 1..6)),
    ) -> Device {
        let mut device = Device::new("", battery).pd_w(pd);
        device.count = count;
        device.start_pct = start.map(Span::Of);
        device.min_w = min;
        (device.efficiency, device.priority) = (efficiency, priority);
        device.draw_w = draw.map(|mut points| {
            points.sort_by(|a, b| a.0.total_cmp(&b.0));
            points
        });
        device
    }
}

prop_compose! {
    fn any_document()(
        devices in prop::collection::vec(any_device(), 1..6),
        ports in prop::collection::vec((0.5..240.0_f64, any::<bool>()), 1..6),
        granted in prop::collection::vec(0.5..240.0_f64, 0..4),
        limit in prop::option::of(1.0..500.0_f64),
        length in prop::option::of(0.0..5.0_f64),
        name in "[ -~é⎓\"\\\\]{0,12}",
    ) -> SetupDocument {
        let mut charger = Charger::new(format!("desk {name}"));
        charger.max_w = limit;
        for (i, (watts, pd)) in ports.iter().enumerate() {
            let port = if *pd {
                Port::pd(format!("C{i}"), *watts)
            } else {
                Port::usb_a(format!("C{i}"), ["5V 2.4A", "9V 2A"]).max_w(*watts)
            };
            charger = charger.port(port);
        }
        for watts in granted {
            charger = charger.combination([("C0", watts)]);
        }
        let mut cable = Cable::c_to_c(name);
        cable.name.push('x');
        cable.length_m = length;
        devices.into_iter().enumerate().fold(
            SetupDocument::new().charger(charger).cable(cable),
            |setup, (i, mut device)| {
                device.name = format!("device {i}:");
                setup.device(device)
            },
        )
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn documents_are_read_back_as_they_were_written(document in any_document()) {
        let json = document.to_json();
        let setup = Setup::from_json(&json);
        prop_assert!(setup.is_ok(), "{}\n{json}", faults(setup).join("\n"));
        let setup = setup.expect("it was looked at in the line above");
        prop_assert_eq!(setup.document(), &document);
        prop_assert_eq!(setup.document().to_json(), json);
    }

    /// Text cut, doubled and altered anywhere is read or refused, never more.
    #[test]
    fn broken_text_never_breaks_the_reader(
        cuts in prop::collection::vec((0..4_000_usize, 0..12_usize, "[\\[\\]{}:,\"'\\\\u0-9eE.+\\-/* \n\u{0}\u{a0}é😀nullNaN]{0,4}"), 1..4),
    ) {
        let mut text: Vec<char> = everything().to_json().chars().collect();
        for (at, length, new) in cuts {
            let at = at % text.len().max(1);
            let end = (at + length).min(text.len());
            text.splice(at.min(end)..end, new.chars());
        }
        let text: String = text.into_iter().collect();
        for result in [Setup::from_json(&text).map(|_| ()), Plan::from_json(&text).map(|_| ())] {
            if let Err(error) = result {
                let Error::Input(faults) = error else { panic!("{error}") };
                prop_assert!(!faults.is_empty());
                for fault in faults {
                    prop_assert!(text.get(fault.span.clone()).is_some(), "{fault}");
                    prop_assert!(fault.line > 0 && fault.column > 0, "{fault}");
                }
            } else {
                // A comma behind the last entry may be left over.
                let plain = Source { file: "", text: &text }.plain_json();
                prop_assert!(serde_json::from_str::<Value>(&plain).is_ok());
            }
        }
    }
}

/// Each size is within its limit, but their product is not: that is said, with the limit
/// named, before anything grows.
#[test]
fn too_many_ways_to_sit_are_refused() {
    let mut hall = Charger::new("hall");
    for port in 0..100 {
        hall = hall.port(Port::pd(format!("C{port}"), 60.0 + f64::from(port)));
    }
    let mut document = SetupDocument::new().charger(hall);
    for cable in 0..60 {
        document =
            document.cable(Cable::c_to_c(format!("lead {cable}")).ohm(0.01 * f64::from(cable)));
    }
    for device in 0..100 {
        let accepts = "5V 3A, 9V 3A, 15V 3A, 20V 3A";
        document = document.device(Device::new(format!("tablet {device}"), 30.0).accepts(accepts));
    }
    let setup = document.check().expect("each size is within its limit");
    let refused = wattberth::assign(&setup).expect_err("the product is not");
    assert!(
        refused.to_string().contains("1000000 ways to sit"),
        "{refused}"
    );
}
