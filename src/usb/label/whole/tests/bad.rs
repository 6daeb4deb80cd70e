//! Labels that are refused, each with what is said of it.

use super::{bad, lines};
use crate::usb::label::whole::whole;

const NO_PORT: &str =
    "no port is named before this: write it, as in USB-C: 5V 3A or USB-A: 5V 2.4A";
const NOTHING: &str = "no port is named here: write one with its watts or voltages, as in C1 65W";
const EACH_OR_ALL: &str = "so much each, or together? Write C1/C2: 65W for each of them, \
     C1+C2: 65W Max for both together";
const SEVERAL: &str = "several watts for one port: write C1+C2: 45W+20W for ports in use together, \
     C1 45W; C2 20W for each alone";

fn not_understood(word: &str) -> String {
    format!(
        "`{word}` is not understood: a part is a port with its watts or voltages, as in C1 65W, \
         ports together, as in C1+C2: 45W+20W, or Total 65W"
    )
}

#[test]
fn without_ports() {
    bad("«»", &[NOTHING]);
    bad("«»160 W", &[NOTHING]);
    bad("«»Output:", &[NOTHING]);
    bad("«»Input: 100-240V~", &[NOTHING]);
    bad("«5V»⎓3A, 9V⎓2A", &[NO_PORT]);
    bad("Output: «5V» 3A; C1 20W", &[NO_PORT]);
    bad("«wireless» 15W; C1 20W", &[&not_understood("wireless")]);
    bad("C1 20W; «lots» of power", &[&not_understood("lots")]);
    assert!(whole(&lines(&[])).is_err());
}

#[test]
fn names() {
    bad(
        "«Output 1»: 5V 3A; «Port 2» 20W",
        &[
            "this does not say which connector it has: write C1 for USB-C, A1 for USB-A",
            "this does not say which connector it has: write C2 for USB-C, A2 for USB-A",
        ],
    );
    bad(
        "Type-C Output: 5V 3A; «USB» Output: 5V 2.4A",
        &["this does not say which connector it has: write USB-C or USB-A"],
    );
    bad(
        "«Output 1» (USB-C): 5V 3A",
        &["this does not say which connector it has: write C1 for USB-C, A1 for USB-A"],
    );
    bad(
        "«2» USB-C 30W",
        &["a number of ports is from 1 to 256, as in 2x USB-C 30W"],
    );
    bad(
        "C1 65W «+» C2 30W",
        &["`+` is not understood here: separate parts by ;"],
    );
    let twice = |name: &str| {
        format!(
            "`{name}` stands here twice: say all of it behind one name, and number ports that are \
             alike, as in C1 and C2"
        )
    };
    bad("USB-C 65W, «USB-C» 30W", &[&twice("C")]);
    bad("C1: 5V 3A; «C1»: 9V 2A", &[&twice("C1")]);
    bad("C1/«C1» 65W", &[&twice("C1")]);
    bad(
        "«65W» USB-C, «20W» USB-A",
        &["watts stand behind the name of their port, as in C1 65W"; 2],
    );
    bad(
        "C5-«C3» 30W",
        &["a range of ports goes from the lower to the higher number, as in C3-C5 30W"],
    );
    bad(
        "C1-«A3» 30W",
        &["a range of ports goes from the lower to the higher number, as in C3-C5 30W"],
    );
    bad(
        "«0x USB-C» 30W; «1000x USB-A» 5W",
        &["a number of ports is from 1 to 256, as in 2x USB-C 30W"; 2],
    );
}

#[test]
fn ports_without_anything() {
    let empty = |name: &str| {
        format!(
            "no watts and no voltages stand behind `{name}`: write them, as in C1 65W or C1: 5V 3A"
        )
    };
    bad("«C1»; C2 20W", &[&empty("C1")]);
    bad("«USB-C»: \nC1 20W", &[&empty("USB-C")]);
    bad("C1: 20W; «A1»: ;", &[&empty("A1")]);
    let unit = "a number without its unit: write watts as in C1 65W, volts as in C1: 5V 3A";
    bad("C1: «65»; C2: 20W", &[unit]);
}

#[test]
fn watts_of_ports() {
    bad(
        "C1 «300W»",
        &["a PD power must be above 0 and at most 240 W, not 300 W"],
    );
    bad("C1 «0W»", &["watts are above 0 and at most 10000, not 0"]);
    bad(
        "A1 «18W»",
        &[
            "18 W are more than 5 V give at this plug, and at which voltages is not said: write them, as in A1: 5V 3A, 9V 2A",
        ],
    );
    bad("C1 & C2: «65W»", &[EACH_OR_ALL]);
    bad("C1 and C2 «65W» Max", &[EACH_OR_ALL]);
    bad("C1/C2: «45W/20W»", &[SEVERAL]);
    bad("C1: «45W+20W»", &[SEVERAL]);
    bad(
        "C1/C2 «65W» total: 5V 3A",
        &[
            "watts of several ports together beside voltages: write them apart, as in C1+C2: 65W Max",
        ],
    );
    bad(
        "C1 «(»65W",
        &["this bracket is not closed behind the watts"],
    );
}

#[test]
fn voltages_are_refused_as_those_of_offers_are() {
    bad(
        "C1: 5V 3A, «9V»; C2: 5V «18A»",
        &[
            "a voltage with no current: write both, as in 5V 3A",
            "no plug or cable of USB has more than 5 A: if 18 W is meant, write it as 18W",
        ],
    );
    bad(
        "C1: «3A»@5V",
        &["the voltage stands before its current: write it as in 5V 3A"],
    );
    bad(
        "C1: «54V» 1A",
        &["an offered voltage must be above 0 and at most 50 V, not 54 V"],
    );
    bad(
        "C1: 5V 3A «lots»",
        &["`lots` is not understood after an entry: separate entries by commas"],
    );
}

#[test]
fn together() {
    bad(
        "C1 65W; C2 30W; C1+«C3»: 45W+20W",
        &["no port is called `C3` here (did you mean `C1`?)"],
    );
    bad(
        "«C1»+«C2»: 45W+20W; Total 65W",
        &[
            "no port is called `C1` here: write its watts, as in C1 65W",
            "no port is called `C2` here: write its watts, as in C2 65W",
        ],
    );
    bad(
        "USB-C1 65W; USB-A1 12W; C1+«A»: 45W+12W",
        &["no port is called `A` here (did you mean `A1`?)"],
    );
    bad(
        "C1 65W; C1+«C1»: 45W+20W",
        &["`C1` stands twice among these ports"],
    );
    bad(
        "C1 65W; C2 30W; «C1+C2»: 45W+20W+10W",
        &["2 ports and 3 numbers of watts: write one for each, as in C1+C2: 45W+20W"],
    );
    bad(
        "C1 65W; C2 30W; «C1+C2»",
        &["no watts stand behind `C1+C2`: write them, as in C1+C2: 45W+20W"],
    );
    bad(
        "C1 65W; C2 30W; C1+C2: 45W+20W («60W» Max)",
        &["the watts beside it come to 65 W, not to 60 W"],
    );
    bad(
        "C1 65W; A 12W; «C1+A»: 5V 3A",
        &[
            "ports in use together have watts, as in C1+C2: 45W+20W, or C1+C2: 15W Max for what they have together",
        ],
    );
    bad(
        "C1 65W; C2 30W; A 12W; «C1+C2 A»: 45W+12W",
        &[
            "ports in use together are joined by + alone, as in C1+C2+A1, with / for either, as in C1/C2+A1",
        ],
    );
    bad(
        "C1 65W; C2 30W; C1+C2: 60W Max; «C1+C2»: 50W Max",
        &["a second limit of these ports: 50 W, and 60 W before it"],
    );
    bad(
        "C1 65W; C2 30W; «C1+C2»: 0W+20W",
        &["watts are above 0 and at most 10000, not 0"],
    );
}

#[test]
fn totals() {
    bad(
        "C1 65W; Total 65W; Total «100W»",
        &["a second total: 100 W, and 65 W before it"],
    );
    bad(
        "C1 65W; Total «0W»",
        &["watts are above 0 and at most 10000, not 0"],
    );
    bad(
        "C1 65W; «Total»",
        &["no watts stand behind `Total`: write them, as in Total 65W"],
    );
    bad(
        "C1 65W «lots»",
        &["`lots` is not understood here: separate parts by ;"],
    );
}

#[test]
fn faults_stand_in_their_line() {
    let text = lines(&["C1 65W", "C2: 5V 3A, 9V", "", "C1+C4: 45W+20W"]);
    let faults = whole(&text).expect_err("two faults");
    let places: Vec<_> = faults
        .iter()
        .map(|fault| (fault.line, &text[fault.line][fault.span.clone()]))
        .collect();
    assert_eq!(places, [(1, "9V"), (3, "C4")]);
}
