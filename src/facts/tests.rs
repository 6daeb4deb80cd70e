//! The tables against each other and against values from outside.

use std::collections::BTreeSet;

use super::*;

/// Country, nominal voltages, frequencies, sockets.
type Published = (
    &'static str,
    &'static [f64],
    &'static [f64],
    &'static [&'static str],
);

/// World Standards' lists of voltages, frequencies and plug types by country, as copied in
/// a public data set (read 2026-11-25). The table's own rows for these are from elsewhere.
#[rustfmt::skip]
const PUBLISHED: [Published; 31] = [
    ("AR", &[220.0], &[50.0], &["C", "I"]),
    ("AT", &[230.0], &[50.0], &["C", "F"]),
    ("AU", &[230.0], &[50.0], &["I"]),
    ("BE", &[230.0], &[50.0], &["C", "E"]),
    ("BR", &[127.0, 220.0], &[60.0], &["C", "N"]),
    ("CA", &[120.0], &[60.0], &["A", "B"]),
    ("CH", &[230.0], &[50.0], &["C", "J"]),
    ("CL", &[220.0], &[50.0], &["C", "L"]),
    ("CN", &[220.0], &[50.0], &["A", "C", "I"]),
    ("DE", &[230.0], &[50.0], &["C", "F"]),
    ("ES", &[230.0], &[50.0], &["C", "F"]),
    ("FI", &[230.0], &[50.0], &["C", "F"]),
    ("FR", &[230.0], &[50.0], &["C", "E"]),
    ("GB", &[230.0], &[50.0], &["G"]),
    ("GR", &[230.0], &[50.0], &["C", "F"]),
    ("HU", &[230.0], &[50.0], &["C", "F"]),
    ("IE", &[230.0], &[50.0], &["G"]),
    ("IN", &[230.0], &[50.0], &["C", "D", "M"]),
    ("IT", &[230.0], &[50.0], &["C", "F", "L"]),
    ("JP", &[100.0], &[50.0, 60.0], &["A", "B"]),
    ("KR", &[220.0], &[60.0], &["C", "F"]),
    ("MX", &[127.0], &[60.0], &["A", "B"]),
    ("NL", &[230.0], &[50.0], &["C", "F"]),
    ("NO", &[230.0], &[50.0], &["C", "F"]),
    ("NZ", &[230.0], &[50.0], &["I"]),
    ("PE", &[220.0], &[60.0], &["A", "B", "C"]),
    ("PL", &[230.0], &[50.0], &["C", "E"]),
    ("PT", &[230.0], &[50.0], &["C", "F"]),
    ("SE", &[230.0], &[50.0], &["C", "F"]),
    ("TW", &[110.0], &[60.0], &["A", "B"]),
    ("US", &[120.0], &[60.0], &["A", "B"]),
];

#[test]
fn well_known_countries_have_their_published_mains() {
    for (code, volts, hertz, letters) in PUBLISHED {
        let mains = Mains::of(code).expect("the country is in the table");
        assert_eq!(mains.nominal_v, volts, "{code}");
        assert_eq!(mains.frequency_hz, hertz, "{code}");
        let found: Vec<&str> = mains.sockets.iter().map(|s| s.letter()).collect();
        assert_eq!(found, letters, "{code}");
    }
}

/// World Standards, type K: Denmark's outlets and the plugs that go into them; type O
/// (2024-01-23): all outlets on sale in Thailand take A, B, C and O.
#[test]
fn countries_with_systems_of_their_own_have_them() {
    for (code, letters) in [
        ("DK", &["C", "E", "F", "K"][..]),
        ("TH", &["A", "B", "C", "O"]),
    ] {
        let mains = Mains::of(code).expect("the country is in the table");
        let found: Vec<&str> = mains.sockets.iter().map(|s| s.letter()).collect();
        assert_eq!(found, letters, "{code}");
    }
}

/// US World Factbook, travel facts (PF, SX); a list after World Standards (BQ, PS, SX, VA);
/// the tourist office of the Northern Marianas (MP). Morocco has no 127 V.
#[test]
#[rustfmt::skip]
fn countries_that_the_lists_lack_have_their_mains() {
    let expected: [Published; 7] = [
        ("BQ", &[110.0, 127.0, 220.0], &[50.0, 60.0], &["A", "B", "C", "F"]),
        ("MA", &[220.0], &[50.0], &["C", "E"]),
        ("MP", &[110.0, 120.0], &[60.0], &["A", "B"]),
        ("PF", &[220.0], &[60.0], &["C", "E"]),
        ("PS", &[230.0], &[50.0], &["C", "H"]),
        ("SX", &[110.0, 120.0], &[50.0, 60.0], &["A", "B"]),
        ("VA", &[230.0], &[50.0], &["C", "F", "L"]),
    ];
    for (code, volts, hertz, letters) in expected {
        let mains = Mains::of(code).expect("the country is in the table");
        assert_eq!((mains.nominal_v, mains.frequency_hz), (volts, hertz), "{code}");
        let found: Vec<&str> = mains.sockets.iter().map(|s| s.letter()).collect();
        assert_eq!(found, letters, "{code}");
    }
}

#[test]
fn rows_are_in_order_and_complete() {
    let codes: Vec<&str> = Mains::all().iter().map(|row| row.code).collect();
    assert!(codes.is_sorted(), "the table is searched by code");
    assert_eq!(codes.iter().collect::<BTreeSet<_>>().len(), codes.len());
    for row in Mains::all() {
        let code = row.code;
        assert!(
            code.len() == 2 && code.bytes().all(|b| b.is_ascii_uppercase()),
            "{code}"
        );
        assert!(!row.name.is_empty(), "{code}");
        assert!(!row.sockets.is_empty(), "{code}");
        for (values, low, high) in [
            (row.nominal_v, 100.0, 240.0),
            (row.frequency_hz, 50.0, 60.0),
        ] {
            assert!(!values.is_empty() && values.is_sorted(), "{code}");
            assert!(values.iter().all(|v| (low..=high).contains(v)), "{code}");
        }
        let letters: BTreeSet<&str> = row.sockets.iter().map(|s| s.letter()).collect();
        assert_eq!(letters.len(), row.sockets.len(), "{code}");
        for socket in row.sockets {
            assert!(!socket.systems().is_empty(), "{code}");
            for system in socket.systems() {
                assert!(Plug::ALL.contains(system), "{code}");
                assert!(system.name().starts_with(socket.letter()), "{code}");
            }
        }
    }
}

#[test]
fn codes_of_iso_3166_1_are_all_there_once() {
    let mut codes: BTreeSet<&str> = Mains::all().iter().map(|row| row.code).collect();
    // Its 249 countries (ISO 3166-1, 2026), and Kosovo's code, which it leaves to users.
    assert!(codes.remove("XK"));
    let known = codes.len();
    let names = ["AQ", "AX", "IO", "SS", "YT"];
    for name in names {
        assert!(
            !codes.contains(name) && country_name(name).is_some(),
            "{name}"
        );
    }
    assert_eq!(known + 22, 249);
}

#[test]
fn a_missing_country_is_said_to_be_missing() {
    for (code, expected) in [
        ("DE", None),
        ("de", None),
        ("AQ", Some(Missing::Unknown { name: "Antarctica" })),
        ("UK", Some(near("GB", "United Kingdom"))),
        ("USA", Some(near("US", "United States"))),
        ("Germany", Some(near("DE", "Germany"))),
        ("Germny", Some(near("DE", "Germany"))),
        ("czechia", Some(near("CZ", "Czech Republic"))),
        ("Vatican Cit", Some(near("VA", "Vatican City"))),
        ("Tahiti", Some(near("PF", "French Polynesia"))),
        ("Antarctic", Some(near("AQ", "Antarctica"))),
        ("ZZ", Some(Missing::NoSuchCode { near: None })),
        ("", Some(Missing::NoSuchCode { near: None })),
        ("DEU", Some(Missing::NoSuchCode { near: None })),
    ] {
        assert_eq!(missing(code), expected, "{code}");
        assert_eq!(Mains::of(code).is_none(), expected.is_some(), "{code}");
    }
}

fn near(code: &'static str, name: &'static str) -> Missing {
    Missing::NoSuchCode {
        near: Some((code, name)),
    }
}

#[test]
fn letters_of_several_systems_say_so() {
    let socket = |code: &str, letter: &str| {
        *Mains::of(code)
            .expect("the country is in the table")
            .sockets
            .iter()
            .find(|socket| socket.letter() == letter)
            .expect("the country has such sockets")
    };
    assert_eq!(socket("IT", "L").systems(), [Plug::L10, Plug::L16]);
    assert_eq!(socket("BR", "N").systems(), [Plug::N10, Plug::N20]);
    assert_eq!(socket("ZA", "N").systems(), [Plug::Nza]);

    let larger = SocketFit::of(Plug::N20, socket("BR", "N"));
    assert_eq!(larger.only().map(|fit| fit.socket), Some(Plug::N20));
    assert!(!larger.everywhere());
    let smaller = SocketFit::of(Plug::N10, socket("BR", "N"));
    assert!(smaller.everywhere() && smaller.only().is_none());
    let flat = SocketFit::of(Plug::C, socket("IT", "L"));
    assert_eq!(flat.only().map(|fit| fit.socket), Some(Plug::L10));
    assert!(SocketFit::of(Plug::Nza, socket("ZA", "N")).everywhere());
}

/// EN 50075 (C, 2.5 A); BS 1363 (G, 13 A); CEE 7 (E and F, 16 A); NBR 14136 (10 and 20 A);
/// SN 441011 (J, 10 A).
#[test]
fn plugs_have_their_published_ratings() {
    for (plug, amps) in [
        (Plug::C, 2.5),
        (Plug::G, 13.0),
        (Plug::E, 16.0),
        (Plug::F, 16.0),
        (Plug::EF, 16.0),
        (Plug::N10, 10.0),
        (Plug::N20, 20.0),
        (Plug::J, 10.0),
    ] {
        assert_eq!(plug.facts().rated_a, amps, "{plug}");
    }
}

/// DS 60884-2-D1; World Standards, type K.
#[test]
fn german_and_french_plugs_lose_their_earth_in_denmark() {
    for plug in [Plug::E, Plug::F, Plug::EF] {
        let fit = Fit::of(plug, Plug::K);
        assert_eq!((fit.fits, fit.earth), (Fits::Yes, Earth::Lost), "{plug}");
        assert!(fit.is_usable() && !fit.is_usable_with_earth(), "{plug}");
    }
}

#[test]
fn every_plug_fits_its_own_system() {
    for plug in Plug::ALL {
        let own = Fit::of(plug, plug);
        assert_eq!(own.fits, Fits::Yes, "{plug}");
        let earth = if plug.facts().earth == EarthPin::No {
            Earth::None
        } else {
            Earth::Kept
        };
        assert_eq!(own.earth, earth, "{plug}");
    }
}

/// Ten of the 342 pairs of two systems stay open: an outlet with two round holes may be flat
/// or shaped for C alone; EF as a socket is either of E and F; of N20's recess the sources do
/// not say whether it keeps a round plug out; NBR 14136 and IEC 60906-1 have the same distances
/// and are called not compatible.
#[test]
fn ten_pairs_remain_not_known() {
    let pairs = Plug::ALL.into_iter().flat_map(|plug| {
        let others = Plug::ALL.into_iter().filter(move |socket| *socket != plug);
        others.map(move |socket| Fit::of(plug, socket))
    });
    let open: Vec<Fit> = pairs.filter(|fit| fit.fits == Fits::NotKnown).collect();
    let named: Vec<(Plug, Plug)> = open.iter().map(|fit| (fit.plug, fit.socket)).collect();
    assert_eq!(
        named,
        [
            (Plug::E, Plug::C),
            (Plug::E, Plug::EF),
            (Plug::E, Plug::N20),
            (Plug::F, Plug::C),
            (Plug::F, Plug::EF),
            (Plug::F, Plug::N20),
            (Plug::EF, Plug::C),
            (Plug::EF, Plug::N20),
            (Plug::N10, Plug::Nza),
            (Plug::Nza, Plug::N20),
        ]
    );
    for fit in open {
        assert_eq!(fit.earth, Earth::NotKnown);
        assert!(!fit.is_usable());
    }
}

/// Pins of another shape or distance, thicker than the holes, or with an earth pin that has
/// none (the summary of plug types; Digital Museum of Plugs and Sockets, configurations of
/// earthed sockets; World Standards, types D, K, M and O).
#[test]
fn pins_that_cannot_go_in_are_said_not_to() {
    use Plug::{A, B, C, D, E, EF, F, G, H, I, J, K, L10, L16, M, N10, N20, Nza, O};
    let flat = [A, B, I, G];
    let round = [C, D, E, F, EF, H, J, K, L10, L16, M, N10, N20, Nza, O];
    for own in round {
        for socket in flat {
            assert_eq!(Fit::of(own, socket).fits, Fits::No, "{own} in {socket}");
            // Thai outlets take flat blades as well.
            if (own, socket) != (O, A) && (own, socket) != (O, B) {
                assert_eq!(Fit::of(socket, own).fits, Fits::No, "{socket} in {own}");
            }
        }
    }
    for (plug, socket, note) in [
        (I, A, "shape"),
        (B, I, "shape"),
        (L16, E, "distance"),
        (E, M, "distance"),
        (J, F, "no hole"),
        (N10, C, "no hole"),
        (D, EF, "no hole"),
        (J, L10, "elsewhere"),
        (H, O, "elsewhere"),
        (O, B, "shape"),
        (E, Nza, "recess"),
    ] {
        let fit = Fit::of(plug, socket);
        assert_eq!(fit.fits, Fits::No, "{plug} in {socket}");
        assert!(fit.note.contains(note), "{plug} in {socket}: {}", fit.note);
    }
}

#[test]
fn listed_pairs_are_consistent() {
    let mut pairs = BTreeSet::new();
    for row in Fit::all() {
        let name = format!("{} in {}", row.plug, row.socket);
        assert!(
            pairs.insert((row.plug, row.socket)),
            "{name} is listed twice"
        );
        assert_ne!(row.plug, row.socket, "{name}");
        assert_eq!(Fit::of(row.plug, row.socket), *row, "{name}");
        let earth_of_plug = row.plug.facts().earth != EarthPin::No;
        match row.earth {
            Earth::Kept => {
                assert!(earth_of_plug, "{name}");
                assert_ne!(row.socket.facts().earth, EarthPin::No, "{name}");
            }
            Earth::Lost => assert!(earth_of_plug, "{name}"),
            Earth::None => assert!(!earth_of_plug, "{name}"),
            Earth::NotKnown => assert_eq!(row.fits, Fits::No, "{name}"),
        }
        if row.fits == Fits::No {
            assert_eq!(row.earth, Earth::NotKnown, "{name}");
        }
        assert!(!row.note.is_empty(), "{name}");
    }
}

#[test]
fn every_fact_has_a_source_and_a_date() {
    let mut sources: Vec<Source> = Vec::new();
    sources.extend(Mains::all().iter().map(|row| row.source));
    sources.extend(Fit::all().iter().map(|row| row.source));
    sources.extend(all_cautions().iter().map(|caution| caution.source));
    sources.extend(Plug::ALL.map(|plug| plug.facts().source));
    sources.extend(Plug::ALL.map(|plug| Fit::of(plug, plug).source));
    let batteries = [
        BatteryKind::BuiltIn,
        BatteryKind::Spare,
        BatteryKind::PowerBank,
        BatteryKind::Bag,
        BatteryKind::BagFixed,
    ]
    .into_iter()
    .flat_map(|kind| {
        let sizes = [
            (Some(2.0), None),
            (Some(50.0), None),
            (Some(130.0), None),
            (Some(200.0), None),
            (None, None),
            (None, Some(1.0)),
            (None, Some(5.0)),
            (None, Some(9.0)),
        ];
        sizes.map(|(wh, lithium_g)| Battery {
            wh,
            lithium_g,
            medical: true,
            kind,
            count: 1,
        })
    })
    .collect::<Vec<_>>();
    sources.extend(
        flight(&batteries, 1)
            .iter()
            .map(|finding| finding.rule.source),
    );
    for code in ["CN", "HK", "IN", "JP", "KR"] {
        sources.extend(national_rules(code).map(|rule| rule.source));
    }
    for (country, plug) in [("AR", Plug::I), ("JP", Plug::A)] {
        sources.extend(local_notes(country, plug).map(|note| note.source));
    }
    sources.push(NOT_BUILT_IN.source);
    sources.extend([VOLTAGE_RULE, FREQUENCY_RULE, LEAST_RATING_RULE]);
    for source in sources {
        assert!(!source.title.is_empty());
        let date = source.date.as_str();
        let parts: Vec<&str> = date.split('-').collect();
        assert!((1..=3).contains(&parts.len()), "{date}");
        assert!(
            parts.iter().all(|part| part.parse::<u32>().is_ok()),
            "{date}"
        );
        assert!(date.starts_with("20"), "{date}");
    }
}

#[test]
fn weak_facts_say_what_to_do() {
    for (code, expected) in [
        ("DE", None),
        ("GE", Some("one source only")),
        (
            "SA",
            Some("sources differ, and all that they give is listed"),
        ),
    ] {
        let source = Mains::of(code).expect("the country is in the table").source;
        assert_eq!(source.proviso(), expected, "{code}");
    }
    let memory = all_cautions()
        .iter()
        .find(|caution| caution.id == "adapter-fuse")
        .and_then(|caution| caution.source.proviso());
    assert!(memory.is_some_and(|text| text.contains("look before you rely on it")));
}

#[test]
fn plug_names_are_read_as_people_write_them() {
    for plug in Plug::ALL {
        assert_eq!(plug.name().parse(), Ok(plug));
        assert_eq!(plug.name().to_lowercase().parse(), Ok(plug));
    }
    for (text, expected) in [("E/F", Plug::EF), ("l 10", Plug::L10), ("nza", Plug::Nza)] {
        assert_eq!(text.parse::<Plug>(), Ok(expected), "{text}");
    }
    for text in ["", "P", "AB", "L11"] {
        assert_eq!(text.parse::<Plug>(), Err(PlugNameFault::Unknown), "{text}");
    }
    let message = "L"
        .parse::<Plug>()
        .expect_err("it is two systems")
        .to_string();
    assert!(
        message.contains("L10") && message.contains("L16"),
        "{message}"
    );
    let message = "n"
        .parse::<Plug>()
        .expect_err("it is three systems")
        .to_string();
    assert!(
        message.contains("N10") && message.contains("N-ZA"),
        "{message}"
    );
}
