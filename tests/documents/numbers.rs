//! Numbers without an end, and out of their range, wherever a number comes in by the typed API:
//! a fault, or no answer where a plain fact is asked.

use wattberth::facts::{
    self, AirClass, AirVerdict, Energy, MainsLabel, MetalClass, Part, Plug, Rated, Rating,
    check_current, flight, least_rating, load_a,
};
use wattberth::{
    Adapter, Appliance, Battery, BatteryKind, Cable, Candidate, Change, Charger, Converter, Device,
    Error, Lead, Load, Port, RankOptions, Session, SetupDocument, Shop, Span, Stop,
    TimelineOptions, TripDocument, Way, Wish, assign, rank_with, reshared_with, rota, score, size,
    timeline_with, verify, verify_rota, wish,
};

const BAD: [f64; 4] = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1.0];

fn bag() -> SetupDocument {
    SetupDocument::new()
        .session_h(8.0)
        .session(Session::new("night", 8.0))
        .charger(cube())
        .cable(Cable::c_to_c("braided").count(2))
        .device(phone())
}

fn cube() -> Charger {
    Charger::new("cube")
        .port(Port::pd("C1", 45.0))
        .port(Port::pd("C2", 20.0))
        .max_w(50.0)
}

fn phone() -> Device {
    Device::new("phone", 15.0).pd_w(20.0)
}

fn with_charger(charger: Charger) -> SetupDocument {
    let mut document = bag();
    document.chargers = vec![charger];
    document
}

fn with_port(port: Port) -> SetupDocument {
    with_charger(Charger::new("cube").port(port))
}

fn with_cable(cable: Cable) -> SetupDocument {
    bag().cable(cable)
}

fn with_device(device: Device) -> SetupDocument {
    let mut document = bag();
    document.devices = vec![device];
    document
}

fn on_a_trip(change: impl FnOnce(TripDocument) -> TripDocument) -> SetupDocument {
    bag().trip(change(TripDocument::new().stop(Stop::new("Oslo", "NO"))))
}

fn for_sale(charger: Charger) -> SetupDocument {
    bag().shop(Shop::new().charger(charger))
}

/// A document with one number, which `f64` it is, where it goes, under which path it is told.
type Place = (&'static str, fn(f64) -> SetupDocument);

/// Every number of a setup document that a method or a field takes.
const PLACES: &[Place] = &[
    ("session_h", |n| bag().session_h(n)),
    ("tolerance_h", |n| bag().tolerance_h(n)),
    ("sessions[1].hours", |n| {
        bag().session(Session::new("morning", n))
    }),
    ("chargers[0].max_w", |n| with_charger(cube().max_w(n))),
    ("chargers[0].tiers_w[0]", |n| {
        with_charger(cube().tiers_w([n]))
    }),
    ("chargers[0].efficiency", |n| {
        with_charger(cube().efficiency(n))
    }),
    ("chargers[0].weight_g", |n| with_charger(cube().weight_g(n))),
    ("chargers[0].price", |n| with_charger(cube().price(n))),
    ("chargers[0].pools[0].max_w", |n| {
        with_charger(cube().pool("both", ["C1", "C2"], n))
    }),
    ("chargers[0].pools[0].max_w", |n| {
        with_charger(cube().pool_of_all("all", n))
    }),
    ("chargers[0].combinations[0].C1", |n| {
        with_charger(cube().combination([("C1", n)]))
    }),
    ("chargers[0].ports[0].pd_w", |n| {
        with_port(Port::pd("C1", n))
    }),
    ("chargers[0].ports[0].max_w", |n| {
        with_port(Port::pd("C1", 20.0).max_w(n))
    }),
    ("chargers[0].ports[0].lead.max_a", |n| {
        with_port(Port::pd("C1", 20.0).lead(Lead::default().max_a(n)))
    }),
    ("chargers[0].ports[0].lead.watts", |n| {
        with_port(Port::pd("C1", 20.0).lead(Lead::default().watts(n)))
    }),
    ("chargers[0].ports[0].lead.max_v", |n| {
        with_port(Port::pd("C1", 20.0).lead(Lead::default().max_v(n)))
    }),
    ("chargers[0].ports[0].lead.length_m", |n| {
        with_port(Port::pd("C1", 20.0).lead(Lead::default().length_m(n)))
    }),
    ("chargers[0].ports[0].lead.awg", |n| {
        with_port(Port::pd("C1", 20.0).lead(Lead::default().awg(n)))
    }),
    ("chargers[0].ports[0].lead.ohm", |n| {
        with_port(Port::pd("C1", 20.0).lead(Lead::default().ohm(n)))
    }),
    ("cables[1].watts", |n| {
        with_cable(Cable::c_to_c("new").watts(n))
    }),
    ("cables[1].max_a", |n| {
        with_cable(Cable::c_to_c("new").max_a(n))
    }),
    ("cables[1].max_v", |n| {
        with_cable(Cable::c_to_c("new").max_v(n))
    }),
    ("cables[1].length_m", |n| {
        with_cable(Cable::c_to_c("new").length_m(n))
    }),
    ("cables[1].awg", |n| with_cable(Cable::c_to_c("new").awg(n))),
    ("cables[1].ohm", |n| with_cable(Cable::c_to_c("new").ohm(n))),
    ("cables[1].weight_g", |n| {
        with_cable(Cable::c_to_c("new").weight_g(n))
    }),
    ("cables[1].price", |n| {
        with_cable(Cable::c_to_c("new").price(n))
    }),
    ("devices[0].pd_w", |n| {
        with_device(Device::new("phone", 15.0).pd_w(n))
    }),
    ("devices[0].usb_a_a", |n| with_device(phone().usb_a_a(n))),
    ("devices[0].max_w", |n| with_device(phone().max_w(n))),
    ("devices[0].min_w", |n| with_device(phone().min_w(n))),
    ("devices[0].battery_wh", |n| {
        with_device(Device::new("phone", n).pd_w(20.0))
    }),
    ("devices[0].battery_wh[0]", |n| {
        with_device(phone().battery_wh(Span::Between(n, 20.0)))
    }),
    ("devices[0].battery_wh[1]", |n| {
        with_device(phone().battery_wh(Span::Between(1.0, n)))
    }),
    ("devices[0].battery_mah", |n| {
        with_device(Device::with_mah("phone", n).pd_w(20.0))
    }),
    ("devices[0].battery_v", |n| {
        with_device(Device::with_mah("phone", 4000.0).battery_v(n).pd_w(20.0))
    }),
    ("devices[0].start_pct", |n| {
        with_device(phone().start_pct(n))
    }),
    ("devices[0].start_pct[1]", |n| {
        with_device(phone().start_pct(Span::Between(0.0, n)))
    }),
    ("devices[0].target_pct", |n| {
        with_device(phone().target_pct(n))
    }),
    ("devices[0].draw_w[0][0]", |n| {
        with_device(phone().draw_w([(n, 20.0)]))
    }),
    ("devices[0].draw_w[0][1]", |n| {
        with_device(phone().draw_w([(0.0, n)]))
    }),
    ("devices[0].efficiency", |n| {
        with_device(phone().efficiency(n))
    }),
    ("devices[0].running_w", |n| {
        with_device(phone().running_w(n))
    }),
    ("devices[0].ready_by_h", |n| {
        with_device(phone().ready_by_h(n))
    }),
    ("devices[0].reach_m", |n| with_device(phone().reach_m(n))),
    ("trip.stops[1].session_h", |n| {
        on_a_trip(|trip| trip.stop(Stop::new("Riga", "LV").session_h(n)))
    }),
    ("trip.stops[1].voltages_v[0]", |n| {
        on_a_trip(|trip| trip.stop(Stop::new("Riga", "LV").voltages_v([n])))
    }),
    ("trip.stops[1].frequencies_hz[0]", |n| {
        on_a_trip(|trip| trip.stop(Stop::new("Riga", "LV").frequencies_hz([n])))
    }),
    ("trip.adapters[0].max_a", |n| {
        on_a_trip(|trip| trip.adapter(Adapter::new("to UK", ["C"], ["G"]).max_a(n)))
    }),
    ("trip.adapters[0].fuse_a", |n| {
        on_a_trip(|trip| trip.adapter(Adapter::new("to UK", ["C"], ["G"]).fuse_a(n)))
    }),
    ("trip.adapters[0].weight_g", |n| {
        on_a_trip(|trip| trip.adapter(Adapter::new("to UK", ["C"], ["G"]).weight_g(n)))
    }),
    ("trip.adapters[0].price", |n| {
        on_a_trip(|trip| trip.adapter(Adapter::new("to UK", ["C"], ["G"]).price(n)))
    }),
    ("trip.adapters[0].max_w", |n| {
        let adapter = Adapter::new("to UK", ["C"], ["G"]).port(Port::pd("U1", 20.0));
        on_a_trip(|trip| trip.adapter(adapter.max_w(n)))
    }),
    ("trip.appliances[0].max_w", |n| {
        on_a_trip(|trip| trip.appliance(Appliance::new("iron", "C", "230V", n, Load::Heating)))
    }),
    ("trip.converters[0].to_v", |n| {
        let converter = Converter::new("step-up", "100V", n, 300.0);
        on_a_trip(|trip| trip.converter(converter.kinds([Load::Heating]).plugs("B", ["EF"])))
    }),
    ("trip.converters[0].max_w", |n| {
        let converter = Converter::new("step-up", "100V", 230.0, n);
        on_a_trip(|trip| trip.converter(converter.kinds([Load::Heating]).plugs("B", ["EF"])))
    }),
    ("trip.converters[0].weight_g", |n| {
        let converter = Converter::new("step-up", "100V", 230.0, 300.0).weight_g(n);
        on_a_trip(|trip| trip.converter(converter.kinds([Load::Heating]).plugs("B", ["EF"])))
    }),
    ("trip.converters[0].price", |n| {
        let converter = Converter::new("step-up", "100V", 230.0, 300.0).price(n);
        on_a_trip(|trip| trip.converter(converter.kinds([Load::Heating]).plugs("B", ["EF"])))
    }),
    ("trip.batteries[0].battery_wh", |n| {
        on_a_trip(|trip| trip.battery(Battery::new("bank", BatteryKind::PowerBank, n)))
    }),
    ("trip.batteries[0].battery_mah", |n| {
        on_a_trip(|trip| trip.battery(Battery::with_mah("bank", BatteryKind::PowerBank, n, 3.7)))
    }),
    ("trip.batteries[0].battery_v", |n| {
        on_a_trip(|trip| trip.battery(Battery::with_mah("bank", BatteryKind::PowerBank, 9.0, n)))
    }),
    ("trip.batteries[0].lithium_g", |n| {
        on_a_trip(|trip| trip.battery(Battery::with_lithium("cells", BatteryKind::Spare, n)))
    }),
    ("shop.chargers[0].weight_g", |n| {
        for_sale(cube().weight_g(n).price(9.0))
    }),
    ("shop.chargers[0].price", |n| {
        for_sale(cube().weight_g(90.0).price(n))
    }),
];

#[test]
fn no_number_of_a_setup_is_without_an_end_or_out_of_its_range() {
    for (path, with) in PLACES {
        for number in BAD {
            let told = match with(number).check() {
                Err(Error::Input(faults)) => faults,
                other => panic!("{path} {number}: {other:?}"),
            };
            assert!(
                told.iter().any(|fault| fault.path == *path),
                "{path} {number}: {told:?}"
            );
            let text = with(number).to_json();
            assert!(!text.contains("inf") && !text.contains("NaN"), "{text}");
        }
    }
    let schema = super::setup_schema();
    let mut fields = std::collections::BTreeSet::new();
    numbers_of(&schema, &mut fields);
    assert!(fields.len() > 30, "{fields:?}");
    for field in fields {
        let has = |path: &str| path.split(['.', '[']).any(|part| part == field);
        assert!(
            PLACES.iter().any(|(path, _)| has(path)),
            "`{field}` is not tried"
        );
    }
}

/// The fields of a schema that are numbers, pairs or lists of them.
fn numbers_of<'v>(schema: &'v serde_json::Value, found: &mut std::collections::BTreeSet<&'v str>) {
    let is_number = |field: &serde_json::Value| {
        let item = &field["items"];
        let point = item["prefixItems"].is_array();
        field["type"] == "number"
            || field["$ref"] == "#/$defs/Span"
            || item["type"] == "number"
            || point
    };
    match schema {
        serde_json::Value::Object(parts) => {
            if let Some(fields) = parts
                .get("properties")
                .and_then(|fields| fields.as_object())
            {
                found.extend(
                    fields
                        .iter()
                        .filter(|(_, f)| is_number(f))
                        .map(|(name, _)| name.as_str()),
                );
            }
            parts.values().for_each(|part| numbers_of(part, found));
        }
        serde_json::Value::Array(parts) => parts.iter().for_each(|part| numbers_of(part, found)),
        _ => {}
    }
}

#[test]
fn a_candidate_with_such_a_number_is_refused() -> Result<(), Error> {
    let bag = bag().check_bag()?;
    for number in BAD {
        let mut priced = Candidate::from(cube());
        priced.price = Some(number);
        for candidate in [priced, Candidate::from(cube().weight_g(number))] {
            let refused = rank_with(&bag, &[candidate], &RankOptions::default(), |_| ());
            assert!(
                matches!(refused, Err(Error::Input(_))),
                "{number}: {refused:?}"
            );
        }
    }
    Ok(())
}

#[test]
fn no_option_of_a_question_is_such_a_number() -> Result<(), Error> {
    let setup = bag().check()?;
    let plan = assign(&setup)?;
    let bag = setup.bag();
    for number in BAD {
        assert!(size(&bag, Some(number)).is_err(), "{number}");
        let asked = Wish::everything().by_h(number);
        assert!(wish(&setup, &asked).is_err(), "{number}");
        let mut options = TimelineOptions::default();
        options.step_min = Some(number);
        assert!(timeline_with(&setup, &plan, &options).is_err(), "{number}");
        let _ = reshared_with(&setup, &plan, &TimelineOptions::default())?;
        for contract in [(number, 1.0), (5.0, number)] {
            let mut way = Way::from(&plan);
            way.plugs[0].contract = Some(contract);
            let refused = score(&setup, &way);
            assert!(
                matches!(refused, Err(Error::Input(_))),
                "{contract:?}: {refused:?}"
            );
        }
        let name = "cube".to_owned();
        let change = Change::Pool {
            charger: name,
            name: "total".to_owned(),
            from_w: 50.0,
            to_w: Some(number),
        };
        let changed = change.applied(setup.document()).expect("it has that pool");
        assert!(changed.check().is_err(), "{number}");
    }
    Ok(())
}

/// A plan by its numbers: each in turn is made one without an end.
#[test]
fn a_plan_with_such_a_number_is_refused_by_its_check() -> Result<(), Error> {
    let setup = bag().check()?;
    let plan = assign(&setup)?;
    let swapped = rota(&setup)?;
    for number in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        macro_rules! refused {
            ($($field:tt)+) => {{
                let mut wrong = plan.clone();
                wrong.$($field)+ = number.into();
                let found = verify(&setup, &wrong);
                assert!(!found.is_ok(), "{} is {number}", stringify!($($field)+));
            }};
        }
        refused!(longest_h);
        refused!(missing_wh);
        refused!(promised_longest_h);
        refused!(reshared_h);
        refused!(bound_h);
        refused!(berths[0].volts);
        refused!(berths[0].amps);
        refused!(berths[0].tier_w);
        refused!(berths[0].port_w);
        refused!(berths[0].inlet_w);
        refused!(berths[0].hours);
        refused!(berths[0].promised_w);
        refused!(berths[0].promised_h);
        refused!(pools[0].used_w);
        refused!(pools[0].max_w);
        let mut wrong = swapped.clone();
        wrong.held_wh = number;
        assert!(!verify_rota(&setup, &wrong).is_ok(), "held_wh is {number}");
        let mut wrong = swapped.clone();
        wrong.berths[0].finish_h = number;
        assert!(!verify_rota(&setup, &wrong).is_ok(), "finish_h is {number}");
        let mut wrong = swapped.clone();
        wrong.sessions[0].end_h = number;
        assert!(!verify_rota(&setup, &wrong).is_ok(), "end_h is {number}");
    }
    Ok(())
}

#[test]
fn no_fact_is_told_of_such_a_number() {
    let label = MainsLabel::parse("230 V 50 Hz", facts::Bare::Volts).expect("as printed");
    for number in BAD {
        assert_eq!(AirClass::of(number), None, "{number}");
        assert_eq!(MetalClass::of(number), None, "{number}");
        assert!(Energy::WattHours(number).watt_hours().is_err());
        assert!(
            Energy::Charge {
                mah: number,
                cell_v: 3.7
            }
            .watt_hours()
            .is_err()
        );
        assert!(
            Energy::Charge {
                mah: 9.0,
                cell_v: number
            }
            .watt_hours()
            .is_err()
        );
        for (wh, lithium_g) in [
            (Some(number), None),
            (None, Some(number)),
            (Some(1.0), Some(number)),
        ] {
            let battery = facts::Battery {
                wh,
                lithium_g,
                medical: false,
                kind: facts::BatteryKind::Spare,
                count: 1,
            };
            let told = flight(&[battery], 1);
            assert_eq!(told[0].verdict, AirVerdict::Unknown, "{number}: {told:?}");
        }
        assert_eq!(load_a(number, 230.0), None);
        assert_eq!(load_a(10.0, number), None);
        let odd = Rating::labelled(Part::Adapter, number);
        let plug = Rating::of_plug(Plug::EF);
        assert_eq!(check_current(number, &[plug]), None);
        assert_eq!(check_current(1.0, &[plug, odd]), None);
        assert_eq!(least_rating(&[plug, odd]), None);
        for suits in [
            label.voltage_suits(&[230.0, number]),
            label.frequency_suits(&[number]),
        ] {
            assert_eq!(suits.verdict(), facts::Verdict::NotKnown, "{number}");
        }
        let mut printed = label.clone();
        printed.voltage_v = vec![Rated::single(number)];
        assert_eq!(
            printed.voltage_suits(&[230.0]).verdict(),
            facts::Verdict::NotKnown
        );
    }
}
