//! Invented lines as people write them on packing lists, good and bad, each with what must
//! come of it.

use super::{List, read, write::written};
use crate::diagnostics::{Findings, Spot};

fn list(text: &str) -> (List, Findings) {
    let mut findings = Findings::new();
    let mut list = read(text, &mut findings);
    super::tell_apart(&mut list.document, &mut list.guesses);
    (list, findings)
}

/// The lines that are read, with the same as it is written back; where that is empty, it
/// is the line itself.
const GOOD: &[(&str, &str)] = &[
    // Devices: a kind alone, in several forms.
    ("phone", ""),
    ("Phone", ""),
    ("laptop", ""),
    ("- phone", "phone"),
    ("* laptop", "laptop"),
    ("• e-reader", "e-reader"),
    ("[ ] tablet", "tablet"),
    ("- [x] tablet", "tablet"),
    ("1. phone", "phone"),
    ("2) phone", "phone"),
    ("phone # Anna's", "phone"),
    ("viola's phone", ""),
    // How many.
    ("2 phones", "phone: x2"),
    ("2x phone", "phone: x2"),
    ("2 x phone", "phone: x2"),
    ("2× phone", "phone: x2"),
    ("phone x2", "phone: x2"),
    ("phone ×2", "phone: x2"),
    ("phones, 2 pcs", "phone: x2"),
    ("4x score tablet 30 W", "score tablet: x4, 30 W"),
    ("4 score tablets, 30W", "score tablet: x4, 30 W"),
    ("score tablets 30W x4", "score tablet: x4, 30 W"),
    ("1 laptop", "laptop"),
    // Watts and batteries, in any order.
    ("laptop 65 W", "laptop: 65 W"),
    ("laptop 65W", "laptop: 65 W"),
    ("laptop, 65 watts", "laptop: 65 W"),
    ("65 W laptop", "laptop: 65 W"),
    ("65W laptop 56Wh", "laptop: 65 W, 56 Wh"),
    ("laptop 56 Wh 65 W", "laptop: 65 W, 56 Wh"),
    ("laptop: 56 Wh; 65 W", "laptop: 65 W, 56 Wh"),
    ("laptop max 65 W", "laptop: 65 W"),
    ("laptop 65 W max", "laptop: 65 W"),
    ("laptop up to 65 W", "laptop: 65 W"),
    ("laptop charges at 65 W", "laptop: 65 W"),
    ("laptop 65 W, at least 27 W", "laptop: 65 W, at least 27 W"),
    ("laptop needs at least 27 W", "laptop: at least 27 W"),
    ("laptop 27 W minimum", "laptop: at least 27 W"),
    ("laptop 0.065 kW", "laptop: 65 W"),
    ("power bank 10000 mAh", "power bank: 10000 mAh"),
    ("power bank 10 000 mAh", "power bank: 10000 mAh"),
    ("power bank 10 Ah", "power bank: 10000 mAh"),
    ("power bank 10000 mAh 3.7 V", "power bank: 10000 mAh, 3.7 V"),
    ("battery pack, 37 Wh", "battery pack: 37 Wh"),
    ("laptop 50-60 Wh", "laptop: 50 to 60 Wh"),
    ("laptop 50 to 60 Wh", "laptop: 50 to 60 Wh"),
    ("laptop 50–60 Wh", "laptop: 50 to 60 Wh"),
    ("phone 18,5 W", "phone: 18.5 W"),
    ("phone 18.5 W", "phone: 18.5 W"),
    ("laptop uses 8 W", "laptop: uses 8 W"),
    // How full.
    ("laptop 30 % left", "laptop: 30 % left"),
    ("laptop 30% full", "laptop: 30 % left"),
    ("laptop at 30 %", "laptop: 30 % left"),
    ("laptop, 30 percent left", "laptop: 30 % left"),
    ("laptop 70 % empty", "laptop: 30 % left"),
    ("laptop 20-40 % left", "laptop: 20 to 40 % left"),
    ("laptop 20 to 40 % left", "laptop: 20 to 40 % left"),
    ("laptop from 20 to 80 %", "laptop: 20 % left, to 80 %"),
    ("laptop lacks 20 %", "laptop: 80 % left"),
    ("laptop limit 80 %", "laptop: to 80 %"),
    ("laptop empty", "laptop: 0 % left"),
    ("laptop, half full", "laptop: 50 % left"),
    ("laptop from 20 % to 80 %", "laptop: 20 % left, to 80 %"),
    ("laptop until 80 %", "laptop: to 80 %"),
    ("laptop 80 % is enough", "laptop: to 80 %"),
    // By when.
    ("laptop within 3 h", "laptop: within 3 h"),
    ("laptop within 1 h 30 min", "laptop: within 1.5 h"),
    ("laptop within 1h30", "laptop: within 1.5 h"),
    ("laptop 65 W at least 30 W", "laptop: 65 W, at least 30 W"),
    ("laptop max 65 W min 30 W", "laptop: 65 W, at least 30 W"),
    ("two phones", "phone: x2"),
    ("a pair of phones", "phone: x2"),
    ("phone 25 W x 2", "phone: x2, 25 W"),
    ("● phone", "phone"),
    ("✔ phone", "phone"),
    ("powerbank 30000 mAh", "powerbank: 30000 mAh"),
    ("power-bank 30000 mAh", "power-bank: 30000 mAh"),
    ("power bank 20 000 mAh 74 Wh", "power bank: 74 Wh"),
    ("laptop first", "laptop: priority 1"),
    ("tablet every other night", "tablet: every 2 nights"),
    ("phone (25 W)", "phone: 25 W"),
    ("C to C 100 W", "cable C to C, 100 W"),
    ("USB-A to C 1 m", "cable A to C, 1 m"),
    ("cable A to puck", "cable A to other:puck"),
    ("cable C-C 6 ft", "cable C to C, 1.8288 m"),
    (
        "charger hub: C1 65 W;\n  C2 30 W\n  total 80 W\nphone",
        "charger hub: C1 65 W; C2 30 W; total 80 W\nphone",
    ),
    (
        "charger 80 W: C1 65 W; C2 30 W",
        "charger \"charger\": C1 65 W; C2 30 W; total 80 W",
    ),
    (
        "charger hub: C1 65 W; British plug",
        "charger hub: C1 65 W; plug G",
    ),
    (
        "charger hub: C1 65 W; plug: type F",
        "charger hub: C1 65 W; plug F",
    ),
    ("cables:\nC-C 60 W\n\nphone", "cable C to C, 60 W\nphone"),
    ("stop London, UK", "stop London: GB"),
    ("night 7 h 30 min", "night 7.5 h"),
    ("phone 2:", "phone 2:"),
    ("phone....25 W", "phone: 25 W"),
    ("laptop ready in 90 min", "laptop: within 1.5 h"),
    ("laptop by 9:00", "start 22:00\nlaptop: within 11 h"),
    ("laptop by 9 am", "start 22:00\nlaptop: within 11 h"),
    ("laptop, by 9h30", "start 22:00\nlaptop: within 11.5 h"),
    (
        "laptop ready by 6:30 am",
        "start 22:00\nlaptop: within 8.5 h",
    ),
    ("laptop by noon", "start 22:00\nlaptop: within 14 h"),
    // The rest of what is said of devices.
    ("laptop priority 1", "laptop: priority 1"),
    ("laptop, must be charged", "laptop: priority 1"),
    ("headphones, if there is room", "headphones: priority 3"),
    ("laptop 2 m away", "laptop: 2 m away"),
    ("laptop on C1", "laptop: on C1"),
    (
        "recorder micro-USB 7.5 W 6 Wh",
        "recorder: usb-micro-b, 7.5 W, 6 Wh",
    ),
    (
        "recorder, micro usb, 7.5 W, 6 Wh",
        "recorder: usb-micro-b, 7.5 W, 6 Wh",
    ),
    ("pedals 5V 500mA 2 Wh", "pedals: 5V 500mA, 2 Wh"),
    (
        "score tablet 5V⎓3A, 9V⎓2.77A, 28 Wh",
        "score tablet: 5V⎓3A, 9V⎓2.77A, 28 Wh",
    ),
    (
        "score tablet: 5V 3A, 9V 2.77A; 20 % left",
        "score tablet: 5V 3A, 9V 2.77A, 20 % left",
    ),
    ("old thing (tablet)", "old thing: (tablet)"),
    ("e-drum (power bank) 20 W", "e-drum: (power bank), 20 W"),
    ("phone 2: 25 W", "phone 2: 25 W"),
    ("\"phone 2\" 25 W", "phone 2: 25 W"),
    ("metronome 2 W 1 Wh", "metronome: 2 W, 1 Wh"),
    (
        "stage light 27 W, at least 20 W",
        "stage light: 27 W, at least 20 W, 10.8 to 111 Wh",
    ),
    (
        "metronome, every 3 nights",
        "metronome: 2.5 W, 1 to 10.3 Wh, every 3 nights",
    ),
    ("phone, every other night", "phone: every 2 nights"),
    ("phone every night", "phone: every night"),
    ("phone every second night", "phone: every 2 nights"),
    (
        "tuner (tablet) every third night",
        "tuner: (tablet), every 3 nights",
    ),
    ("camera once a week", "camera: every 7 nights"),
    ("camera weekly, 20 W", "camera: 20 W, every 7 nights"),
    ("camera, once every 4 nights", "camera: every 4 nights"),
    ("camera every 3 days", "camera: every 3 nights"),
    ("camera every 14 nights", "camera: every 14 nights"),
    ("\"phone weekly\"", "\"phone weekly\""),
    // Other scripts' digits and signs.
    ("phone，25W，30％ left", "phone: 25 W, 30 % left"),
    ("phone ２５ W、３０％ left", "phone: 25 W, 30 % left"),
    ("phone ٢٥ W، ٣٠٪ left", "phone: 25 W, 30 % left"),
    ("phone\u{a0}25\u{202f}W", "phone: 25 W"),
    // Cables.
    ("cable C-C 60 W 2 m x4", "cable C to C, 60 W, 2 m, x4"),
    ("4 cables C to C 60W 2m", "cable C to C, 60 W, 2 m, x4"),
    ("cable USB-C to USB-C 100 W", "cable C to C, 100 W"),
    ("USB-C to USB-C cable, 100W, 2m", "cable C to C, 100 W, 2 m"),
    ("100 W cable", "cable C to C, 100 W"),
    ("2 m cable 240 W", "cable C to C, 240 W, 2 m"),
    ("cable A-micro 1 m", "cable A to micro, 1 m"),
    ("cable micro-A", "cable A to micro"),
    ("cable A to C", ""),
    ("cable C to A 1 m", "cable A to C, 1 m"),
    ("cable A→C", "cable A to C"),
    ("micro-usb cable", "cable A to micro"),
    ("cable C", "cable C to C"),
    ("cable", "cable C to C"),
    ("white cable C-C 1 m", "cable white: C to C, 1 m"),
    (
        "cable white 2 m: C-C 100 W",
        "cable white 2 m: C to C, 100 W",
    ),
    ("cable C-C 5 A e-marked", "cable C to C, 5 A, e-marked"),
    ("cable C-C 50 cm", "cable C to C, 0.5 m"),
    ("cable C-C 28 AWG 1 m", "cable C to C, 1 m, 28 AWG"),
    ("cable A-other:puck", "cable A to other:puck"),
    ("cord A to mini", "cable A to mini"),
    ("cable C-C 60 W\ncable C-C 60 W", "cable C to C, 60 W, x2"),
    // Chargers.
    (
        "charger cube: C1 45 W | C2 20 W | C1+C2 30 W + 15 W",
        "charger cube: C1 45 W; C2 20 W; C1+C2: 30 W + 15 W",
    ),
    (
        "charger green room: 160 W; C1 C2 65 W; C3-C5 30 W; A1 A2 12 W",
        "charger green room: C1 65 W; C2 65 W; C3 30 W; C4 30 W; C5 30 W; A1: 5V 2.4A; A2: 5V 2.4A; total 160 W",
    ),
    ("charger 65 W", "charger \"charger\": C1 65 W"),
    ("65 W charger", "charger \"charger\": C1 65 W"),
    (
        "hotel charger C1 65 W; C2 30 W; total 80 W; 210 g; price 39",
        "charger hotel: C1 65 W; C2 30 W; total 80 W; 210 g; price 39",
    ),
    (
        "charger hub: C1 65 W; plug EF; 100-240 V; 50/60 Hz",
        "charger hub: C1 65 W; plug EF; 100-240 V; 50/60 Hz",
    ),
    // What things weigh and cost, in any currency.
    (
        "cable C-C 100 W 2 m, 48 g, price 12",
        "cable C to C, 100 W, 2 m, 48 g, price 12",
    ),
    ("2 cables A to C 25g €4", "cable A to C, 25 g, price 4, x2"),
    ("cable C-C 29.50 EUR", "cable C to C, price 29.5"),
    ("cable C-C costs 7,50", "cable C to C, price 7.5"),
    ("cable C-C 1 m at 6", "cable C to C, 1 m, price 6"),
    ("cable C-C, $6, 30 g", "cable C to C, 30 g, price 6"),
    (
        "charger cube: C1 45 W; €29; 0.11 kg",
        "charger cube: C1 45 W; 110 g; price 29",
    ),
    (
        "charger cube: C1 45 W, price: 29.50 €",
        "charger cube: C1 45 W; price 29.5",
    ),
    ("1x charger cube: C1 45 W", "charger cube: C1 45 W"),
    (
        "adapter EF to J, 40 g, 7 CHF",
        "adapter EF to J: takes EF; makes J; 40 g; price 7",
    ),
    // Adapters with USB ports of their own, and converters.
    (
        "adapter world cube: makes A, C, G, I; takes A, B, C, EF, G, I; C1 20 W, A1 12 W; 100-240 V; 150 g",
        "adapter world cube: takes A, B, C, EF, G, I; makes A, C, G, I; C1 20 W; A1: 5V 2.4A; 100-240 V; 150 g",
    ),
    (
        "adapter mini: makes C; C1 30 W; C2 20 W; C1+C2: 15 W + 15 W; total 30 W; 100-240V; 50/60 Hz; 6 A; 90 g",
        "adapter mini: makes C; C1 30 W; C2 20 W; C1+C2: 15 W + 15 W; total 30 W; 100-240V; 50/60 Hz; 6 A; 90 g",
    ),
    (
        "adapter duo: makes G; C1: 5V 3A, 9V 2.22A; 60 g",
        "adapter duo: makes G; C1: 5V 3A, 9V 2.22A; 60 g",
    ),
    (
        "adapter world: makes G; USB-C 20 W; USB-A 12 W; 100-240V",
        "adapter world: makes G; C 20 W; A: 5V 2.4A; 100-240V",
    ),
    (
        "adapter duo: makes G\n  C1 20 W\nphone",
        "phone\nadapter duo: makes G; C1 20 W",
    ),
    (
        "converter step-down: 200-240 V to 120 V, 1600 W, heating, plug EF, takes A, B; 400 g",
        "converter step-down: 200-240 V to 120 V; 1600 W; heating; plug EF; takes A, B; 400 g",
    ),
    (
        "step-up transformer 100-127 V → 230 V, max 200 W, for motors and electronics, plug B, takes C, EF, earthed",
        "converter step-up: 100-127 V to 230 V; 200 W; motor; electronic; plug B; takes C, EF; earthed",
    ),
    (
        "converter 120 V to 230 V, 50 W, electronic, plug A, takes C",
        "converter \"120 V to 230 V\": 120 V to 230 V; 50 W; electronic; plug A; takes C",
    ),
    // The shop, to its end.
    (
        "phone\nshop\ncharger cube: C1 45 W; 110 g; price 29\ncharger plug: C1 20 W; 40 g; price 9; x1",
        "phone\n\nshop\ncharger cube: C1 45 W; 110 g; price 29\ncharger \"plug\": C1 20 W; 40 g; price 9; x1",
    ),
    (
        "Shop:\n\n2x charger cube: C1 45 W; 110 g; price 29\n\nC-C 1 m, 20 g, €5\n\nbag\nphone",
        "phone\n\nshop\ncharger cube: C1 45 W; 110 g; price 29; x2\ncable C to C, 1 m, 20 g, price 5",
    ),
    (
        "for sale\ncables:\nC-C 1 m, 20 g, 5 EUR, x4\nadapters:\nEF to G, 45 g, 9 EUR\ndevices\nphone",
        "phone\n\nshop\ncable C to C, 1 m, 20 g, price 5, x4\nadapter EF to G: takes EF; makes G; 45 g; price 9",
    ),
    (
        "cable C-C 1 m\nshop\ncable C-C 1 m, 20 g, price 5",
        "cable C to C, 1 m\n\nshop\ncable new C-C 1 m: C to C, 1 m, 20 g, price 5",
    ),
    (
        "shop\nadapter C to G, 30 g, price 5\nbag\nadapter C to G",
        "adapter C to G: takes C; makes G\n\nshop\nadapter new C to G: takes C; makes G; 30 g; price 5",
    ),
    (
        "shop\nconverter: 200-240 V to 110 V, 50 W, electronic, plug EF, takes A, 300 g, price 35",
        "\nshop\nconverter \"200-240 V to 110 V\": 200-240 V to 110 V; 50 W; electronic; plug EF; takes A; 300 g; price 35",
    ),
    (
        "shop\n65 W charger, 110 g, price 29",
        "\nshop\ncharger \"new charger\": C1 65 W; 110 g; price 29",
    ),
    // The journey and the night.
    ("nights 6", ""),
    ("6 nights", "nights 6"),
    ("nights: 14", "nights 14"),
    ("night 8 h, 6 nights", "night 8 h\nnights 6"),
    (
        "stop Edinburgh GB 3 nights, 2 outlets",
        "stop Edinburgh: GB, 3 nights, 2 outlets",
    ),
    (
        "stop Vienna, Austria, 2 nights",
        "stop Vienna: AT, 2 nights",
    ),
    (
        "stop Japan 1 night 100 V 50 Hz sockets A, B",
        "stop Japan: JP, 1 night, 100 V, 50 Hz, sockets A, B",
    ),
    ("adapter C to G", "adapter C to G: takes C; makes G"),
    (
        "adapter EF → G, 10 A, earthed, 45 g",
        "adapter EF to G: takes EF; makes G; 10 A; 45 g; earthed",
    ),
    (
        "adapter world: takes C, EF, G; makes A, G, I; fuse 10 A; x2",
        "adapter world: takes C, EF, G; makes A, G, I; fuse 10 A; x2",
    ),
    (
        "garment steamer: 850 W 230 V, plug EF",
        "appliance garment steamer: 850 W; 230 V; plug EF; heating",
    ),
    (
        "appliance fan 30 W 220-240 V 50 Hz plug C",
        "appliance fan: 30 W; 220-240 V; 50 Hz; plug C; motor",
    ),
    (
        "appliance amplifier: 120 W; 230 V; plug G; electronic; needs earth",
        "",
    ),
    ("travellers 4", ""),
    ("4 people", "travellers 4"),
    ("night 22:30 to 7:00", "night 22:30, 8.5 h"),
    ("night 22:30-7:00", "night 22:30, 8.5 h"),
    ("night 8 h", ""),
    ("night from 10:30 pm until 7 am", "night 22:30, 8.5 h"),
    (
        "session evening 3.5 h\nsession night 8 h, no swap",
        "session evening: 3.5 h\nsession \"night\": 8 h, no swap",
    ),
    ("aim best", ""),
    ("name: Three concerts", ""),
    // Headings.
    (
        "cables:\nC-C 60 W\nA to micro",
        "cable C to C, 60 W\ncable A to micro",
    ),
    (
        "Chargers\ncube: C1 45 W\nDevices\nphone",
        "charger cube: C1 45 W\nphone",
    ),
];

/// What is wrong with a good line, if anything.
fn read_back(line: &str, wanted: &str) -> Option<String> {
    let (found, findings) = list(line);
    if let Some(first) = findings.all.first() {
        return Some(first.message.clone());
    }
    let Some(text) = written(&found.document, &[]) else {
        return Some("cannot be written".to_owned());
    };
    if text.trim_end() != wanted {
        return Some(format!("is `{}`", text.trim_end()));
    }
    let (again, findings) = list(&text);
    let back = findings.is_empty() && again.document == found.document;
    (!back).then(|| format!("does not read back: {:?}", findings.all.first()))
}

#[test]
fn good_lines_are_read_and_read_back_to_the_same() {
    let wrong = GOOD.iter().filter_map(|(line, back)| {
        let wanted = if back.is_empty() { line } else { back };
        read_back(line, wanted).map(|fault| format!("{line}: {fault}"))
    });
    let wrong: Vec<String> = wrong.collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// What is no line, with the part that is wrong between `«` and `»`, words of what is said,
/// and the word that was perhaps meant.
const BAD: &[(&str, &str, &str)] = &[
    ("laptop «30»", "without a unit", ""),
    ("phone «2» 25 W", "without a unit", ""),
    ("laptop 65 W, «8»", "without a unit", ""),
    ("laptop «1,500» mAh", "two ways", ""),
    ("laptop by «7:75»", "0:00 to 23:59", ""),
    ("phone «5.000» mAh", "two ways", ""),
    ("phone, «tablet», laptop", "one thing on a line", ""),
    ("phone «and» watch", "one thing on a line", ""),
    ("phone «/» tablet", "one thing on a line", ""),
    ("phone «80 %»", "to 80 %", ""),
    ("phone «20-80 %»", "to 20-80 %", ""),
    ("phone at least «80 %»", "left", ""),
    ("phone «not» full", "not understood", ""),
    ("phone nearly «full»", "", ""),
    ("phone «in» C1", "not understood", ""),
    ("phone by «7»", "7:00 or 7 am", ""),
    ("phone «after» 2 h", "", ""),
    ("«C2» 45 W", "looks like a port", ""),
    ("«4K» camera", "", ""),
    ("«2nd» tablet", "", ""),
    ("tablet «#2»: 30 W", "remark", ""),
    ("«Kabel» C-C", "a cable", ""),
    ("cable «proprietary»", "which ends", ""),
    ("extension «cable» 3 m", "which ends", ""),
    ("«laptop mouse»", "is this charged", ""),
    ("«2» chargers: C1 65 W", "line of its own", ""),
    ("«night 7:00»", "how long", ""),
    ("«Gadgets»:", "a heading of", ""),
    ("laptop 65 W, «3 h»", "what are these hours", ""),
    ("laptop «9:00»", "what is at this time", ""),
    ("laptop 65 W, «100 W»", "twice", ""),
    ("laptop 50 Wh, «60 Wh»", "twice", ""),
    ("laptop 30 % left, «40 % left»", "twice", ""),
    ("laptop «60-50 Wh»", "lower number", ""),
    ("laptop «50 g»", "says nothing of a device", ""),
    ("laptop «3 A»", "volts, too", ""),
    ("laptop 65 W, «piority» 1", "not understood", "priority"),
    ("«labtop»", "nothing is known", "laptop"),
    ("«tabelt», every 2 nights", "nothing is known", "tablet"),
    ("«0» phones", "", ""),
    ("«2.5x» phone", "whole number", ""),
    ("phone «x999»", "from 1 to 256", ""),
    ("phone x2 «x3»", "twice", ""),
    ("laptop priority «7»", "1, 2 or 3", ""),
    ("laptop every «3 W»", "", ""),
    ("«65 W»", "what is it", ""),
    ("cable C-C «60»", "without a unit", ""),
    ("cable C-C 60 W «100 W»", "twice", ""),
    ("cable «50 Wh»", "says nothing of a cable", ""),
    ("«cable C to C to A»", "two ends", ""),
    ("cable C-C «emarcked»", "not understood", "e-marked"),
    ("charger «cube»", "", ""),
    ("«charger cube:»", "which ports", ""),
    ("«stop Edinburgh 3 nights»", "which country", ""),
    ("stop Vienna AT «2.5 nights»", "whole number", ""),
    ("stop Vienna AT «50 Wh»", "says nothing of a stop", ""),
    ("«adapter»", "which plug", ""),
    ("adapter C to «G 5»", "", ""),
    ("adapter takes «Q9»", "", ""),
    ("«radiola» 850 W 230 V", "its plug", ""),
    ("night «22:30» «21:00»", "two times", ""),
    ("«session evening»", "its hours", ""),
    ("aim «bst»", "not understood", "best"),
    // How often, what it weighs and what it costs.
    ("phone «every 15 nights»", "from 1 to 14", ""),
    ("phone «every 2.5 nights»", "whole number of nights", ""),
    ("phone «every 0 nights»", "from 1 to 14", ""),
    ("phone weekly, «every 3 nights»", "twice", ""),
    ("phone every «1,500» nights", "two ways", ""),
    ("«nights»", "how many nights", ""),
    ("nights «2.5»", "whole number", ""),
    ("nights 6\n«7 nights»", "twice", ""),
    ("nights «6 kg»", "says nothing of a night", ""),
    ("cable C-C «29.50»", "without a unit", ""),
    ("cable C-C «price high»", "a price is a number", ""),
    ("cable C-C €5, «price 6»", "twice", ""),
    ("cable C-C €«1,500»", "two ways", ""),
    ("cable C-C €5\ncable A-C «$6»", "two currencies", ""),
    ("cable C-C «3 h»", "g do", ""),
    // Adapters and converters.
    ("adapter C to G, «250 V», 10 A", "USB ports", ""),
    ("adapter world: makes G; «C1»", "", ""),
    ("adapter world: makes G; C1 20 W; «Q5 7 W»", "", ""),
    ("«converter»", "the volts that it runs on", ""),
    (
        "«converter 200-240 V to 120 V, plug EF, takes A»",
        "its watts, what it is made for",
        "",
    ),
    ("converter 230 V, «120 V»", "which volts does it make", ""),
    ("converter 230 V to 120 V «to 110 V»", "twice", ""),
    ("converter 230 V to 120 V, «50 Hz»", "hertz", ""),
    ("converter 230 V to 120 V, «x2»", "no count", ""),
    (
        "converter small: 230 V to 120 V, «heatng»",
        "not understood",
        "heating",
    ),
    (
        "converter 230 V to 120 V, takes «Q9»",
        "no kind of plug",
        "",
    ),
    // The shop.
    ("shop\n«phone»", "ends the shop", ""),
    ("shop\n«stop Vienna AT»", "ends the shop", ""),
    ("shop\n«night 8 h»", "ends the shop", ""),
    ("shop\n«kettle: 850 W 230 V, plug EF»", "ends the shop", ""),
    (
        "shop\n«cube: C1 45 W; 110 g; price 29»",
        "ends the shop",
        "",
    ),
    (
        "shop\n«charger cube: C1 45 W»",
        "its weight and its price",
        "",
    ),
    ("shop\n«charger cube: C1 45 W; 110 g»", "its price", ""),
    ("shop\n«cable C-C, price 5»", "its weight: ", ""),
    ("shop\n«adapter C to G, 30 g»", "its price", ""),
    ("charger cube: C1 45 W; «x2»", "line of its own", ""),
    (
        "shop\ncharger cube: C1 45 W; 110 g; €29\ncable C-C 20 g «5 CHF»",
        "two currencies",
        "",
    ),
];

/// What is wrong with how a bad line is refused, if anything.
fn refused(marked: &str, said: &str, meant: &str) -> Option<String> {
    let line: String = marked.replace(['«', '»'], "");
    let (_, findings) = list(&line);
    let Some(first) = findings.all.first() else {
        return Some("is accepted".to_owned());
    };
    let near = first.suggestion.as_deref().unwrap_or_default();
    let Spot::Text(span) = &first.spot else {
        return Some("has no place".to_owned());
    };
    let inside =
        line.get(span.clone()).is_some() && span.start <= marked.find('«').unwrap_or(0) + 8;
    let right = first.message.contains(said) && (meant.is_empty() || near == meant) && inside;
    (!right).then(|| format!("{} ({near}) at {span:?}", first.message))
}

#[test]
fn bad_lines_are_refused_where_they_are_wrong() {
    let wrong = BAD.iter().filter_map(|(marked, said, meant)| {
        refused(marked, said, meant).map(|fault| format!("{marked}: {fault}"))
    });
    let wrong: Vec<String> = wrong.collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn what_is_too_long_is_refused_at_once() {
    let (_, findings) = list(&"phone\n".repeat(10_001));
    assert_eq!(findings.all.len(), 1);
    assert_eq!(
        findings.all[0].message,
        "10001 lines in one list; at most 10000 are accepted"
    );
    let (_, findings) = list(&format!("phone\n{}", "x".repeat(10_001)));
    let message = "10001 characters in one line of a list; at most 10000 are accepted";
    assert_eq!(findings.all[0].message, message);
    // As long as it may be, in one line and in all.
    let (found, _) = list(&"phone 5V 2A, ".repeat(700));
    assert!(found.document.devices.is_empty());
    let (found, _) = list(&"cable C-C 1 m x\n".repeat(10_000));
    assert_eq!(found.document.cables.len(), 10_000);
}

#[test]
fn what_is_said_has_no_control_characters() {
    for text in [
        "laptop, 30 \r% 65 W",
        "plug \"\u{7}\"",
        "charger cube: C1 \u{1b} 30 W",
    ] {
        let (_, findings) = list(text);
        assert!(!findings.is_empty(), "{text:?}");
        for finding in findings.all {
            assert!(!finding.message.contains(char::is_control), "{finding:?}");
        }
    }
}

#[test]
fn the_corpus_is_large_enough() {
    assert!(GOOD.len() + BAD.len() >= 180);
}

/// Whatever is on the lines, reading ends with a list or with faults inside the text.
#[test]
fn nothing_makes_it_panic() {
    let lines: Vec<&str> = GOOD
        .iter()
        .map(|(line, _)| *line)
        .chain(BAD.iter().map(|(line, ..)| *line))
        .collect();
    let mut state = 7_u64;
    let mut next = |most: usize| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(state >> 33).expect("31 bits") % most
    };
    for _ in 0..3_000 {
        let mut text = String::new();
        for _ in 0..=next(3) {
            let (one, other) = (lines[next(lines.len())], lines[next(lines.len())]);
            let cut = |line: &str, at: usize| line.chars().take(at).collect::<String>();
            text += &cut(one, next(30));
            text += &other.chars().skip(next(20)).collect::<String>();
            text.push('\n');
        }
        let (_, findings) = list(&text);
        for finding in findings.all {
            if let Spot::Text(span) = finding.spot {
                assert!(text.get(span).is_some(), "{text}");
            }
        }
    }
}
