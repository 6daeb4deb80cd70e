//! Single questions, each worked out by hand; the reasoning stands beside it.

use wattberth::{
    About, Adapter, Appliance, Battery, BatteryKind, Cable, Charger, Converter, Device, Error,
    Finding, Load, PackingKind, Port, SetupDocument, Stop, Trip, TripDocument, Verdict, trip,
};

/// A setup with one 45 W charger with plug C and a tablet, and its trip.
fn setup(route: TripDocument) -> SetupDocument {
    let cube = Charger::new("cube")
        .port(Port::pd("C1", 45.0))
        .mains("C", "100-240V")
        .input_hz("50/60Hz");
    SetupDocument::new()
        .session_h(8.0)
        .charger(cube)
        .cable(Cable::c_to_c("braided").count(3))
        .device(Device::new("tablet", 28.6).pd_w(30.0))
        .trip(route)
}

fn answered(setup: SetupDocument) -> Trip {
    trip(&setup.check().expect("a setup without faults")).expect("an answer")
}

#[track_caller]
fn found(answer: &Trip, stop: usize, thing: &str, about: About) -> Finding {
    let mut findings = answer.stops[stop].findings.iter();
    let found = findings.find(|found| found.thing == thing && found.about == about);
    found
        .unwrap_or_else(|| panic!("nothing about {thing}: {about:?}"))
        .clone()
}

/// DS 60884-2-D1: plugs of E, F and both go into K, and find no earth there.
#[test]
fn e_and_f_lose_their_earth_in_denmark() {
    for plug in ["E", "F", "EF", "K"] {
        let earthed = Appliance::new("kettle", plug, "230V", 1000.0, Load::Heating).needs_earth();
        let plain = Appliance::new("lamp", plug, "230V", 40.0, Load::Heating);
        let stop = Stop::new("Odense", "DK").sockets(["K"]);
        let route = TripDocument::new()
            .stop(stop)
            .appliance(earthed)
            .appliance(plain);
        let answer = answered(setup(route));
        let expected = if plug == "K" {
            Verdict::Direct
        } else {
            Verdict::No
        };
        assert_eq!(
            found(&answer, 0, "kettle", About::Use).verdict,
            expected,
            "{plug}"
        );
        let lamp = found(&answer, 0, "lamp", About::Use);
        assert_eq!(lamp.verdict, Verdict::Direct, "{plug}");
    }
}

/// IRAM 2073 has live where AS/NZS 3112 has neutral: an appliance with plug I may mind, a
/// charger does not, nor what comes through an adapter from plugs that go in either way.
#[test]
fn live_and_neutral_are_the_other_way_round_in_argentina() {
    for (country, plug, caution) in [("AR", "I", true), ("AR", "C", false), ("AU", "I", false)] {
        let iron = Appliance::new("iron", plug, "220-240V", 1000.0, Load::Heating);
        let route = TripDocument::new()
            .stop(Stop::new("there", country).sockets(["I"]))
            .adapter(Adapter::new("to I", ["C"], ["I"]))
            .appliance(iron);
        let mut setup = setup(route);
        setup.chargers[0].plug = Some(plug.to_owned());
        let answer = answered(setup);
        let told = |thing| {
            let found = found(&answer, 0, thing, About::Plug);
            let said = found.reason.contains("the other way round");
            assert_eq!(
                said,
                found.source.contains("letter to the IEEE"),
                "{found:?}"
            );
            (said, found.verdict == Verdict::Caution)
        };
        assert_eq!(told("iron"), (caution, caution), "{country}, {plug}");
        assert_eq!(told("cube"), (false, false), "{country}, {plug}");
    }
}

/// Two equal narrow slots, as old outlets in Japan have them: said of plugs A and B there,
/// and once as a caution.
#[test]
fn old_outlets_in_japan_do_not_take_every_plug_of_their_shape() {
    for (country, expected) in [("JP", true), ("US", false)] {
        let route = TripDocument::new()
            .stop(Stop::new("there", country))
            .adapter(Adapter::new("flat blades", ["C"], ["A"]));
        let answer = answered(setup(route));
        let plug = found(&answer, 0, "cube", About::Plug);
        assert_eq!(plug.verdict, Verdict::Adapter);
        assert_eq!(plug.reason.contains("narrow slots"), expected, "{plug:?}");
        let mut cautions = answer.cautions.iter();
        let told = cautions.any(|caution| caution.reason.contains("narrow slots"));
        assert_eq!(told, expected, "{country}");
    }
}

/// In the voltages of a place: 120 V and 230 V appliances; plug A and wire are of no
/// concern here, so the sockets are those of the plug.
#[test]
fn single_voltages_suit_within_a_tenth() {
    for (label, volts, expected) in [
        ("230V", 230.0, Verdict::Fine),
        ("230V", 220.0, Verdict::Caution),
        ("220V", 240.0, Verdict::Caution),
        ("230V", 207.0, Verdict::No),
        ("230V", 120.0, Verdict::No),
        ("120V", 110.0, Verdict::Caution),
        ("110V", 127.0, Verdict::No),
        ("100-120V", 127.0, Verdict::No),
        ("100-240V", 127.0, Verdict::Fine),
        ("220-240V", 220.0, Verdict::Fine),
    ] {
        let stop = Stop::new("there", "DE").voltages_v([volts]);
        let lamp = Appliance::new("lamp", "EF", label, 40.0, Load::Heating);
        let answer = answered(setup(TripDocument::new().stop(stop).appliance(lamp)));
        let voltage = found(&answer, 0, "lamp", About::Voltage);
        assert_eq!(
            voltage.verdict, expected,
            "{label} at {volts} V: {}",
            voltage.reason
        );
    }
}

/// 1000 W are 10 A at 100 V and 4.2 A at 240 V.
#[test]
fn the_current_is_that_at_the_voltage_of_the_place() {
    for (volts, max_a, expected) in [
        (100.0, 10.0, Verdict::Adapter),
        (100.0, 9.9, Verdict::No),
        (240.0, 4.2, Verdict::Adapter),
        (240.0, 4.1, Verdict::No),
    ] {
        let kettle = Appliance::new("kettle", "EF", "100-240V", 1000.0, Load::Heating);
        let stop = Stop::new("there", "GB").voltages_v([volts]);
        let to_uk = Adapter::new("to the UK", ["EF"], ["G"]).max_a(max_a);
        let route = TripDocument::new()
            .stop(stop)
            .adapter(to_uk)
            .appliance(kettle);
        let answer = answered(setup(route));
        let verdict = found(&answer, 0, "kettle", About::Use).verdict;
        assert_eq!(verdict, expected, "{volts} V, {max_a} A");
    }
}

/// What passes through an adapter and what its own ports draw come through one plug: 2.4 A
/// at 230 V are in C's 2.5 A; with 20 W of its own at the legal 87 % or so they are not.
#[test]
fn an_adapter_s_plug_carries_its_own_ports_too() {
    let heater = Appliance::new("heater", "EF", "230V", 560.0, Load::Heating);
    for (ports, expected) in [(false, Verdict::Adapter), (true, Verdict::No)] {
        let mut through = Adapter::new("through", ["EF"], ["C"]);
        if ports {
            through = through
                .port(Port::pd("U1", 20.0))
                .input("100-240V", "50/60Hz");
        }
        let stop = Stop::new("Bern", "CH").sockets(["J"]);
        let route = TripDocument::new()
            .stop(stop)
            .adapter(through)
            .appliance(heater.clone());
        let answer = answered(setup(route));
        assert_eq!(
            found(&answer, 0, "heater", About::Use).verdict,
            expected,
            "{ports}"
        );
    }
}

#[test]
fn converters_must_suit_the_place_the_load_and_the_watts() {
    let converter = |from: &str, to_v: f64, max_w: f64, kinds: &[Load]| {
        let made = Converter::new("transformer", from, to_v, max_w);
        made.kinds(kinds.iter().copied()).plugs("B", ["EF"])
    };
    let any = [Load::Heating, Load::Motor, Load::Electronic];
    let earthed = converter("120V", 230.0, 300.0, &any).earthed();
    for (needs_earth, converter, expected) in [
        (
            false,
            converter("120V", 230.0, 300.0, &any),
            Verdict::Converter,
        ),
        (
            false,
            converter("100-127V", 230.0, 200.0, &any),
            Verdict::Converter,
        ),
        (false, converter("120V", 230.0, 199.9, &any), Verdict::No),
        (
            false,
            converter("120V", 230.0, 300.0, &[Load::Heating]),
            Verdict::No,
        ),
        (false, converter("100V", 230.0, 300.0, &any), Verdict::No),
        (false, converter("120V", 110.0, 300.0, &any), Verdict::No),
        (true, converter("120V", 230.0, 300.0, &any), Verdict::No),
        (true, earthed, Verdict::Converter),
    ] {
        let mut radio = Appliance::new("radio", "EF", "230V", 200.0, Load::Electronic);
        radio.needs_earth = Some(needs_earth);
        let route = TripDocument::new()
            .stop(Stop::new("Boston", "US"))
            .converter(converter.clone())
            .appliance(radio);
        let answer = answered(setup(route));
        let verdict = found(&answer, 0, "radio", About::Use).verdict;
        assert_eq!(verdict, expected, "{needs_earth} {converter:?}");
    }
}

/// Who made it for 50 Hz made the motor turn by 50 Hz.
#[test]
fn motors_ask_for_the_frequency_and_heat_does_not() {
    for (kind, frequency, all) in [
        (Load::Motor, Verdict::No, Verdict::No),
        (Load::Electronic, Verdict::Caution, Verdict::Direct),
        (Load::Heating, Verdict::Fine, Verdict::Direct),
    ] {
        let fan = Appliance::new("fan", "C", "220V", 40.0, kind).input_hz("50Hz");
        let route = TripDocument::new()
            .stop(Stop::new("Busan", "KR"))
            .appliance(fan);
        let answer = answered(setup(route));
        assert_eq!(
            found(&answer, 0, "fan", About::Frequency).verdict,
            frequency
        );
        assert_eq!(
            found(&answer, 0, "fan", About::Use).verdict,
            all,
            "{kind:?}"
        );
    }
}

#[test]
fn what_is_not_known_is_said_and_not_guessed() {
    // No mains are listed for Antarctica; and nothing is said of the charger.
    let mut silent = setup(TripDocument::new().stop(Stop::new("the ice", "AQ")));
    let answer = answered(silent.clone());
    for about in [About::Voltage, About::Frequency, About::Plug, About::Use] {
        let found = found(&answer, 0, "cube", about);
        assert_eq!(found.verdict, Verdict::Unknown, "{about:?}");
        assert!(
            found.reason.contains("missing from the table"),
            "{}",
            found.reason
        );
    }
    assert_eq!(
        answer.stops[0].plan.as_ref().map(|plan| plan.unserved),
        Some(1)
    );
    silent.chargers[0].plug = None;
    silent.chargers[0].input_v = None;
    silent.trip = Some(TripDocument::new().stop(Stop::new("Kiel", "DE")));
    let answer = answered(silent);
    let plug = found(&answer, 0, "cube", About::Plug);
    assert_eq!(plug.verdict, Verdict::Unknown);
    assert!(plug.reason.contains("`plug`"), "{}", plug.reason);
    assert_eq!(
        found(&answer, 0, "cube", About::Use).verdict,
        Verdict::Unknown
    );
    assert!(!answer.all_served());
}

/// A plug that is listed nowhere for a socket, and that its pins do not keep out, is not
/// said to fit: an outlet with two round holes may be flat or shaped for C alone.
#[test]
fn a_pair_that_is_not_listed_is_not_known_to_fit() {
    let lamp = Appliance::new("lamp", "EF", "230V", 40.0, Load::Heating);
    let route = TripDocument::new()
        .stop(Stop::new("Asunción", "PY"))
        .appliance(lamp);
    let answer = answered(setup(route));
    let plug = found(&answer, 0, "lamp", About::Plug);
    assert_eq!(plug.verdict, Verdict::Unknown, "{}", plug.reason);
    assert!(plug.reason.contains("not known to fit"), "{}", plug.reason);
}

/// 28.6 Wh at 20 W with 88 % are full in less than 3 h: the adapter's own port is enough.
#[test]
fn a_charger_stays_at_home_where_ports_alone_are_enough() {
    let to_uk = Adapter::new("to the UK", ["C"], ["G"])
        .port(Port::pd("U1", 20.0))
        .input("100-240V", "50/60Hz");
    for (second, at_home) in [(false, true), (true, false)] {
        let route = TripDocument::new()
            .stop(Stop::new("Leeds", "GB").outlets(1))
            .adapter(to_uk.clone());
        let mut setup = setup(route);
        if second {
            setup = setup.device(Device::new("phone", 15.0).pd_w(18.0));
        }
        let answer = answered(setup);
        let left = answer
            .bag
            .leave
            .iter()
            .any(|packing| packing.thing == "cube");
        assert_eq!(left, at_home, "second device: {second}");
        let alone = found(&answer, 0, "to the UK", About::PortsAlone);
        assert_eq!(alone.verdict == Verdict::Fine, at_home, "{}", alone.reason);
        // Both go through one outlet where both are needed.
        assert_eq!(answer.stops[0].outlets_used, 1);
        assert!(answer.all_served());
    }
}

/// Two per person since 27 March 2026, and two above 100 Wh.
#[test]
fn batteries_are_counted_per_person() {
    for (travellers, count, wh, verdict) in [
        (1, 2, 74.0, Verdict::Fine),
        (1, 3, 74.0, Verdict::No),
        (2, 3, 74.0, Verdict::Fine),
        (1, 1, 160.0, Verdict::Approval),
        (1, 1, 160.1, Verdict::No),
    ] {
        let bank = Battery::new("bank", BatteryKind::PowerBank, wh).count(count);
        let route = TripDocument::new()
            .travellers(travellers)
            .stop(Stop::new("Kiel", "DE"));
        let answer = answered(setup(route.battery(bank)));
        let worst = answer
            .air
            .iter()
            .filter(|found| matches!(found.about, About::Battery | About::Count))
            .map(|found| found.verdict)
            .max();
        assert_eq!(worst, Some(verdict), "{travellers} with {count} of {wh} Wh");
    }
}

/// 20 000 mAh at 3.7 V are 74 Wh; at the 5 V of the output they would be 100.
#[test]
fn the_voltage_of_an_output_is_refused_with_the_reason() {
    let bank = Battery::with_mah("bank", BatteryKind::PowerBank, 20_000.0, 5.0);
    let route = TripDocument::new()
        .stop(Stop::new("Kiel", "DE"))
        .battery(bank);
    let Err(Error::Input(faults)) = setup(route).check() else {
        panic!("5 V is no cell's voltage")
    };
    assert_eq!(faults[0].path, "trip.batteries[0].battery_v");
    assert!(faults[0].message.contains("output"), "{}", faults[0]);
    let cells = Battery::with_mah("bank", BatteryKind::PowerBank, 20_000.0, 3.7);
    let route = TripDocument::new()
        .stop(Stop::new("Kiel", "DE"))
        .battery(cells);
    let answer = answered(setup(route));
    let class = answer.air.iter().find(|found| found.thing == "bank");
    assert!(
        class.is_some_and(|found| found.reason.starts_with("74 Wh")),
        "{class:?}"
    );
}

#[test]
fn a_setup_without_a_trip_says_so() {
    let mut none = setup(TripDocument::new());
    none.trip = None;
    let checked = none.check().expect("a setup without faults");
    let Err(Error::Input(faults)) = trip(&checked) else {
        panic!("there is no trip")
    };
    assert_eq!(faults[0].path, "trip");
}

/// Cormen, Leiserson, Rivest and Stein, Introduction to Algorithms, "The set-covering
/// problem", the figure of twelve points and six sets: {S3, S4, S5} cover all, and no two
/// do; the greedy choice takes four (from memory). Here the points are appliances with
/// plugs of which none goes into what takes another, and the sets are adapters.
#[test]
fn a_textbook_s_cover_is_found_in_adapters() {
    let points = [
        "B", "D", "E", "F", "G", "H", "I", "J", "L10", "L16", "N20", "O",
    ];
    let sets: [&[usize]; 6] = [
        &[1, 2, 3, 4, 5, 6],
        &[5, 6, 8, 9],
        &[1, 4, 7, 10],
        &[2, 5, 7, 8, 11],
        &[3, 6, 9, 12],
        &[10, 11],
    ];
    let mut route = TripDocument::new().stop(Stop::new("Durban", "ZA").sockets(["M"]));
    for plug in points {
        let name = format!("lamp {plug}");
        route = route.appliance(Appliance::new(name, plug, "230V", 40.0, Load::Heating));
    }
    for (i, set) in sets.iter().enumerate() {
        let takes = set.iter().map(|&at| points[at - 1]);
        route = route.adapter(Adapter::new(format!("S{}", i + 1), takes, ["M"]));
    }
    let answer = answered(setup(route));
    let taken: Vec<&str> = answer
        .bag
        .take
        .iter()
        .filter(|packing| packing.kind == PackingKind::Adapter)
        .map(|packing| packing.thing.as_str())
        .collect();
    assert_eq!(taken, ["S3", "S4", "S5"]);
}

/// The findings of the air about a thing, by what was asked.
fn of_air<'t>(answer: &'t Trip, thing: &str, about: About) -> Vec<&'t Finding> {
    let found = answer.air.iter();
    found
        .filter(|found| found.thing == thing && found.about == about)
        .collect()
}

/// A power bank is a spare battery and never travels in the hold (49 CFR 175.10, IATA DGR
/// 2.3): where a name says one, nothing takes it for a battery in its device.
#[test]
fn what_is_called_a_power_bank_is_never_taken_for_built_in() {
    for (name, rule) in [
        ("power bank", "Power banks travel in the cabin only."),
        ("Powerbanks", "Power banks travel in the cabin only."),
        ("earbuds case", "Power banks travel in the cabin only."),
        ("suitcase scale", "Power banks travel in the cabin only."),
        ("spare battery", "Spare batteries travel in the cabin"),
        ("spare", "Spare batteries travel in the cabin"),
    ] {
        let route = TripDocument::new().stop(Stop::new("Graz", "AT"));
        let mut setup = setup(route);
        setup.devices[0].name = name.to_owned();
        let answer = answered(setup);
        let asked = of_air(&answer, name, About::BuiltIn);
        assert_eq!(asked.len(), 1, "{name}");
        assert_eq!(asked[0].verdict, Verdict::Unknown, "{name}");
        assert!(
            asked[0].reason.contains("is the battery built in?"),
            "{name}"
        );
        let carried = of_air(&answer, name, About::Carry);
        assert_eq!(carried.len(), 1, "{name}");
        assert!(
            carried[0].reason.starts_with(rule),
            "{name}: {:?}",
            carried[0]
        );
        let kept = of_air(&answer, name, About::Keep);
        assert!(
            kept.iter()
                .any(|found| found.reason.contains("short circuits"))
        );
        for found in &answer.air {
            assert!(
                !found.reason.contains("with its battery in it"),
                "{found:?}"
            );
        }
    }
}

/// The kind that the setup gives is the answer; where the name says otherwise it is doubted.
#[test]
fn a_declared_kind_stands_and_is_doubted_where_the_name_says_otherwise() {
    use BatteryKind::{Installed, PowerBank, Spare};
    for (name, kind, doubted, rule) in [
        ("power bank", PowerBank, false, "Power banks travel"),
        ("power bank", Spare, true, "Spare batteries travel"),
        ("power bank", Installed, true, "Power banks travel"),
        ("stage light pack", Spare, false, "Spare batteries travel"),
        (
            "suitcase scale",
            Installed,
            true,
            "A device with its battery in it",
        ),
        ("spare battery", Spare, false, "Spare batteries travel"),
        (
            "tablet",
            Installed,
            false,
            "A device with its battery in it",
        ),
        ("tablet", Spare, false, "Spare batteries travel"),
    ] {
        let route = TripDocument::new().stop(Stop::new("Graz", "AT"));
        let mut setup = setup(route.battery(Battery::of_device(name, kind)));
        setup.devices[0].name = name.to_owned();
        let answer = answered(setup);
        let asked = of_air(&answer, name, About::BuiltIn);
        assert_eq!(asked.len(), usize::from(doubted), "{name}, {kind:?}");
        assert!(asked.iter().all(|found| found.verdict == Verdict::Caution));
        let carried = of_air(&answer, name, About::Carry);
        assert!(
            carried[0].reason.starts_with(rule),
            "{name}: {:?}",
            carried[0]
        );
    }
}

/// ICAO Addendum No. 1, in force since 27 March 2026: two power banks per person.
#[test]
fn what_may_be_a_power_bank_counts_as_one() {
    for (count, expected) in [(2, Verdict::Fine), (3, Verdict::No)] {
        let route = TripDocument::new().stop(Stop::new("Graz", "AT"));
        let mut setup = setup(route);
        setup.devices[0].name = "lamp case".to_owned();
        setup.devices[0].count = Some(count);
        let answer = answered(setup);
        let mut counts = answer.air.iter();
        let counted = counts
            .find(|found| found.about == About::Count)
            .expect("they are counted");
        assert_eq!(counted.verdict, expected, "{counted:?}");
        assert!(
            counted.reason.contains("by the stricter reading"),
            "{counted:?}"
        );
    }
}

/// A device of the kind "power bank" is one whatever it is called: nothing is asked but its
/// watt-hours, where nobody gave them. Earbuds have a case that may count as one.
#[test]
fn the_kind_of_a_device_says_what_its_battery_is() {
    for (kind, name, asked, rule) in [
        ("power bank", "the green one", false, "Power banks travel"),
        ("battery pack", "the green one", false, "Power banks travel"),
        ("power bank", "spare battery", false, "Power banks travel"),
        ("drone battery", "wing", false, "Spare batteries travel"),
        ("drone battery", "power bank", true, "Power banks travel"),
        ("earbuds", "buds", true, "Spare batteries travel"),
        ("earbuds", "buds case", true, "Power banks travel"),
        ("speaker", "loud", false, "A device with its battery"),
    ] {
        for stated in [true, false] {
            let route = TripDocument::new().stop(Stop::new("Graz", "AT"));
            let mut setup = setup(route);
            let device = &mut setup.devices[0];
            device.name = name.to_owned();
            device.kind = Some(kind.to_owned());
            if !stated {
                device.battery_wh = None;
            }
            let answer = answered(setup);
            let questions = of_air(&answer, name, About::BuiltIn);
            assert_eq!(questions.len(), usize::from(asked), "{kind}, {name}");
            let carried = of_air(&answer, name, About::Carry);
            assert!(carried[0].reason.starts_with(rule), "{carried:?}");
            let open = !stated && !["earbuds", "speaker"].contains(&kind);
            let class = of_air(&answer, name, About::Battery);
            assert_eq!(class[0].verdict == Verdict::Unknown, open, "{class:?}");
        }
    }
}

/// Nobody's word makes a power bank part of a device.
#[test]
fn a_power_bank_is_never_built_in() {
    use BatteryKind::{Bag, BagFixed, Installed, Spare};
    for kind in [Installed, Spare, Bag, BagFixed] {
        let route = TripDocument::new().stop(Stop::new("Graz", "AT"));
        let mut setup = setup(route.battery(Battery::of_device("green", kind)));
        setup.devices[0].name = "green".to_owned();
        setup.devices[0].kind = Some("power bank".to_owned());
        let answer = answered(setup);
        let asked = of_air(&answer, "green", About::BuiltIn);
        assert_eq!(asked[0].verdict, Verdict::Caution, "{kind:?}");
        assert!(asked[0].reason.contains("counts as a power bank"));
        let carried = of_air(&answer, "green", About::Carry);
        assert!(carried[0].reason.starts_with("Power banks"), "{carried:?}");
    }
}

/// Said as somebody would who looks into the bag.
#[test]
fn counts_are_said_with_what_may_be_carried() {
    use BatteryKind::{PowerBank, Spare};
    for (travellers, kind, count, wh, expected) in [
        (
            1,
            PowerBank,
            3,
            74.0,
            "you carry 3 power banks, two per person may fly",
        ),
        (
            1,
            PowerBank,
            1,
            74.0,
            "you carry 1 power bank, two per person may fly",
        ),
        (
            2,
            PowerBank,
            5,
            74.0,
            "you carry 5 power banks, two per person may fly, 4 for 2 people",
        ),
        (
            1,
            Spare,
            3,
            130.0,
            "you carry 3 spare batteries above 100 Wh or 2 g, two per person may fly, with approval",
        ),
        (
            1,
            Spare,
            21,
            20.0,
            "you carry 21 spare batteries of up to 100 Wh or 2 g, 20 per person may fly, more with approval",
        ),
    ] {
        let route = TripDocument::new()
            .travellers(travellers)
            .stop(Stop::new("Graz", "AT"))
            .battery(Battery::new("green", kind, wh).count(count));
        let answer = answered(setup(route));
        let mut counts = answer.air.iter().filter(|f| f.about == About::Count);
        let counted = counts.find(|found| found.thing.ends_with("green"));
        assert_eq!(counted.map(|found| found.reason.as_str()), Some(expected));
    }
}

/// FAA `PackSafe`: lithium metal up to 2 g; a bag's battery above 2.7 Wh comes out.
#[test]
fn lithium_metal_and_bags_are_told_by_their_own_rules() {
    use BatteryKind::{Bag, BagFixed, Spare};
    let medical = Battery::with_lithium("defibrillator cells", Spare, 5.0).medical();
    let route = TripDocument::new()
        .stop(Stop::new("Pune", "IN"))
        .battery(Battery::with_lithium("meter cells", Spare, 0.6).count(4))
        .battery(Battery::with_lithium("large cells", Spare, 5.0))
        .battery(medical)
        .battery(Battery::new("trolley", Bag, 20.0))
        .battery(Battery::new("scale trolley", BagFixed, 20.0))
        .battery(Battery::new("green", BatteryKind::PowerBank, 74.0));
    let answer = answered(setup(route));
    for (name, verdict, says) in [
        (
            "meter cells",
            Verdict::Fine,
            "0.6 g of lithium, not above 2 g",
        ),
        ("large cells", Verdict::No, "5 g of lithium, above 2"),
        ("defibrillator cells", Verdict::Approval, "medical device"),
        ("trolley", Verdict::Fine, "20 Wh"),
        ("scale trolley", Verdict::No, "does not come out"),
    ] {
        let class = of_air(&answer, name, About::Battery);
        assert_eq!(class[0].verdict, verdict, "{class:?}");
        assert!(class[0].reason.contains(says), "{class:?}");
    }
    let carried = of_air(&answer, "trolley", About::Carry);
    assert!(carried[0].reason.contains("comes out"), "{carried:?}");
    assert!(!answer.all_served());
    let kept = of_air(&answer, "green", About::Keep);
    assert!(kept.iter().any(|found| found.reason.starts_with("India: ")));
}

/// A charger or an adapter may be a power bank, too, though nobody said how large.
#[test]
fn a_charger_that_is_called_a_power_bank_is_asked_about() {
    let route = || TripDocument::new().stop(Stop::new("Graz", "AT"));
    let with_adapter = route().adapter(Adapter::new("plug-in Power Bank", ["C"], ["G"]));
    let mut as_charger = setup(route());
    as_charger.chargers[0].name = "power bank".to_owned();
    for (setup, name) in [
        (setup(with_adapter), "plug-in Power Bank"),
        (as_charger, "power bank"),
    ] {
        let answer = answered(setup.clone());
        let asked = of_air(&answer, name, About::BuiltIn);
        assert_eq!(asked.len(), 1, "{name}");
        assert!(asked[0].reason.contains("is there a battery in it?"));
        let class = of_air(&answer, name, About::Battery);
        assert_eq!(class[0].verdict, Verdict::Unknown, "{class:?}");
        let carried = of_air(&answer, name, About::Carry);
        assert_eq!(carried[0].reason, "Power banks travel in the cabin only.");
        // Once it is said, it is known.
        let mut said = setup;
        let route = said.trip.take().expect("it has one");
        let bank = Battery::new(name, BatteryKind::PowerBank, 74.0);
        let answer = answered(said.trip(route.battery(bank)));
        assert!(of_air(&answer, name, About::BuiltIn).is_empty());
        assert_eq!(of_air(&answer, name, About::Battery).len(), 1);
    }
    // A bank of ports, or a charger's case, is no power bank.
    let mut plain = setup(route());
    plain.chargers[0].name = "bank charger".to_owned();
    let answer = answered(plain);
    assert!(answer.air.iter().all(|found| found.about != About::BuiltIn));
}

/// How many of a thing are taken, with the note on it, and how many are left.
fn packed(answer: &Trip, thing: &str) -> (u32, Option<String>, u32) {
    let of = |list: &[wattberth::Packing]| {
        let mut list = list.iter().filter(|packing| packing.thing == thing);
        list.next()
            .map(|packing| (packing.count, packing.note.clone()))
    };
    let (taken, note) = of(&answer.bag.take).unwrap_or_default();
    let (left, _) = of(&answer.bag.leave).unwrap_or_default();
    (taken, note, left)
}

/// One port for three devices: who has no berth still needs its cable, in the hall or in a
/// café; a cable that fits nothing stays at home.
#[test]
fn the_cables_of_devices_without_a_berth_are_taken() {
    let route = TripDocument::new().stop(Stop::new("Graz", "AT"));
    let setup = setup(route)
        .device(
            Device::new("pedals", 5.0)
                .accepts("5V 1A")
                .inlet("usb-micro-b"),
        )
        .device(Device::new("lamp", 5.0).pd_w(15.0))
        .cable(Cable::c_to_c("lead").count(2))
        .cable(Cable::new("to micro", "usb-c", "usb-micro-b").count(2))
        .cable(Cable::new("to mini", "usb-c", "usb-mini-b"));
    let answer = answered(setup);
    let plan = answer.stops[0]
        .plan
        .as_ref()
        .expect("a night is spent there");
    assert_eq!(plan.unserved, 2);
    let (taken, note, left) = packed(&answer, "to micro");
    assert_eq!((taken, left), (1, 1));
    let note = note.expect("the plan does not use it");
    assert_eq!(note, "for pedals, without a port on some night");
    assert_eq!(packed(&answer, "to mini"), (0, None, 1));
    // The tablet's, and one for the lamp, of either kind.
    let (braided, lead) = (packed(&answer, "braided"), packed(&answer, "lead"));
    assert_eq!(braided.0 + lead.0, 2, "{braided:?} {lead:?}");
}

/// Two devices of which each could take the only cable of the other's: both get one.
#[test]
fn cables_are_shared_out_among_those_without_a_berth() {
    let route = TripDocument::new().stop(Stop::new("Graz", "AT"));
    let mut setup = setup(route)
        .device(Device::new("near", 5.0).pd_w(15.0))
        .device(Device::new("far", 5.0).pd_w(15.0).reach_m(2.0))
        .cable(Cable::c_to_c("long").length_m(2.5));
    setup.cables[0].count = Some(2);
    let answer = answered(setup);
    assert_eq!(packed(&answer, "braided").0, 2);
    let (taken, note, left) = packed(&answer, "long");
    assert_eq!((taken, left), (1, 0));
    assert_eq!(
        note.as_deref(),
        Some("for far, without a port on some night")
    );
}

/// Without an adapter the charger is of no use in Bath, and yet what is needed there: it is
/// not told to stay at home. One for another voltage stays.
#[test]
fn a_charger_that_lacks_only_an_adapter_is_not_left_at_home() {
    let route = || TripDocument::new().stop(Stop::new("Bath", "GB"));
    let answer = answered(setup(route()));
    let (taken, note, left) = packed(&answer, "cube");
    assert_eq!((taken, left), (1, 0));
    assert_eq!(note.as_deref(), Some("lacks an adapter in Bath"));
    let missing = &answer.bag.missing;
    assert_eq!(missing.len(), 1, "{missing:?}");
    assert!(
        missing[0].reason.contains("an adapter from C to G"),
        "{missing:?}"
    );
    assert_eq!(packed(&answer, "braided").0, 1);

    let mut other = setup(route());
    other.chargers[0].input_v = Some("100-120V".into());
    let answer = answered(other);
    assert_eq!(packed(&answer, "cube"), (0, None, 1));

    // With the adapter it is used, and nothing is to be noted.
    let adapter = Adapter::new("to the UK", ["C", "EF"], ["G"]);
    let answer = answered(setup(route().adapter(adapter)));
    assert_eq!(packed(&answer, "cube"), (1, None, 0));
}
