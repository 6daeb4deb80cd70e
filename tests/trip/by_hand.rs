//! The tour's verdicts, worked out by hand before there was code for them: from the
//! lists of mains and of what fits what, and with a pencil. The reasoning stands beside
//! each.

use wattberth::{Setup, trip};

use super::tour;

/// Stop, thing, what is asked, the verdict, and what the answer is with (`*` for any).
type Row = (
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
);

const ROWS: [Row; 58] = [
    // Copenhagen: Danish sockets (K) as the hotel says; 230 V 50 Hz.
    // 230 lies in 100 to 240.
    ("Copenhagen", "bank charger", "voltage", "fine", ""),
    // CEE 7/7 goes into K and finds no earth there; the charger needs none.
    ("Copenhagen", "bank charger", "plug", "fine", ""),
    ("Copenhagen", "bank charger", "earth", "fine", ""),
    ("Copenhagen", "bank charger", "use", "direct", ""),
    // The flat plug C goes into K.
    ("Copenhagen", "travel cube", "plug", "fine", ""),
    ("Copenhagen", "travel cube", "use", "direct", ""),
    // One of its own plugs is C.
    ("Copenhagen", "world cube", "use", "direct", ""),
    // 230 V on the label, 230 V in the wall.
    ("Copenhagen", "garment steamer", "voltage", "fine", ""),
    // 850 W / 230 V = 3.7 A; plug 16 A, socket 13 A.
    ("Copenhagen", "garment steamer", "current", "fine", ""),
    ("Copenhagen", "garment steamer", "use", "direct", ""),
    // Goes in, but without earth, which it needs: so through the earthed adapter.
    (
        "Copenhagen",
        "amplifier",
        "plug",
        "adapter",
        "Denmark, earthed",
    ),
    ("Copenhagen", "amplifier", "earth", "fine", ""),
    (
        "Copenhagen",
        "amplifier",
        "use",
        "adapter",
        "Denmark, earthed",
    ),
    // Edinburgh: G only; 230 V 50 Hz.
    ("Edinburgh", "bank charger", "voltage", "fine", ""),
    // CEE 7/7 does not go into BS 1363; three adapters do it.
    ("Edinburgh", "bank charger", "use", "adapter", "*"),
    ("Edinburgh", "travel cube", "use", "adapter", "*"),
    ("Edinburgh", "world cube", "use", "direct", ""),
    // 3.7 A is too much for the slim adapter's 3 A fuse; two others remain.
    ("Edinburgh", "garment steamer", "use", "adapter", "*"),
    // Only one adapter to G leads the earth through. 120 W / 230 V = 0.52 A.
    ("Edinburgh", "amplifier", "use", "adapter", "UK, earthed"),
    ("Edinburgh", "amplifier", "earth", "fine", ""),
    ("Edinburgh", "amplifier", "current", "fine", ""),
    // Boston: A and B; 120 V 60 Hz.
    ("Boston", "bank charger", "voltage", "fine", ""),
    ("Boston", "bank charger", "frequency", "fine", ""),
    ("Boston", "bank charger", "use", "adapter", "*"),
    // 65 W at 86 % are 75.6 W; at 120 V 0.63 A of 2.5 A.
    ("Boston", "travel cube", "current", "fine", ""),
    ("Boston", "travel cube", "use", "adapter", "*"),
    ("Boston", "world cube", "use", "direct", ""),
    // 230 V on the label, 120 V in the wall; the transformer gives 300 W, it takes 850 W.
    ("Boston", "garment steamer", "voltage", "no", ""),
    ("Boston", "garment steamer", "use", "no", ""),
    // 120 V is not in 220 to 240; the transformer makes 230 V of it, up to 300 W, with
    // earth, and its plug B goes into B.
    ("Boston", "amplifier", "voltage", "converter", "step-up"),
    ("Boston", "amplifier", "frequency", "fine", ""),
    ("Boston", "amplifier", "use", "converter", "step-up"),
    ("Boston", "amplifier", "earth", "fine", ""),
    // Osaka: A and B; 100 V, and 60 Hz in the west.
    // 100 is the end of the range, and belongs to it.
    ("Osaka", "bank charger", "voltage", "fine", ""),
    ("Osaka", "bank charger", "frequency", "fine", ""),
    // 180 W at 86 % are 209.3 W; at 100 V 2.09 A.
    ("Osaka", "bank charger", "current", "fine", ""),
    ("Osaka", "bank charger", "use", "adapter", "*"),
    ("Osaka", "travel cube", "voltage", "fine", ""),
    // 75.6 W / 100 V = 0.76 A of 2.5 A.
    ("Osaka", "travel cube", "current", "fine", ""),
    ("Osaka", "travel cube", "use", "adapter", "*"),
    ("Osaka", "world cube", "use", "direct", ""),
    ("Osaka", "garment steamer", "use", "no", ""),
    ("Osaka", "amplifier", "use", "converter", "step-up"),
    // São Paulo: C and N; 127 or 220 V by city, 60 Hz.
    // Both lie in 100 to 240.
    ("São Paulo", "bank charger", "voltage", "fine", ""),
    ("São Paulo", "bank charger", "frequency", "fine", ""),
    // CEE 7/7 has pins too thick for N; through the Brazilian adapter, or the cube's C.
    ("São Paulo", "bank charger", "use", "adapter", "*"),
    // C goes into N.
    ("São Paulo", "travel cube", "plug", "fine", ""),
    ("São Paulo", "travel cube", "use", "direct", ""),
    ("São Paulo", "world cube", "use", "direct", ""),
    // 220 V is 4.3 % below 230 V: within a tenth; 127 V is not. Who goes there must ask.
    ("São Paulo", "garment steamer", "voltage", "depends", ""),
    (
        "São Paulo",
        "garment steamer",
        "use",
        "depends",
        "Brazil, earthed",
    ),
    // 850 W / 220 V = 3.86 A: too much for the world cube's plug C (2.5 A), not for
    // the adapter's 10 A.
    ("São Paulo", "garment steamer", "current", "fine", ""),
    // 220 lies in 220 to 240, 127 does not; the transformer would do at 127 V, but its
    // plug B goes into nothing there.
    ("São Paulo", "amplifier", "voltage", "depends", ""),
    (
        "São Paulo",
        "amplifier",
        "use",
        "depends",
        "Brazil, earthed",
    ),
    ("São Paulo", "amplifier", "earth", "fine", ""),
    ("São Paulo", "amplifier", "frequency", "fine", ""),
    // Flying: 74 Wh is a power bank up to 100 Wh; 130 Wh lies between 100 and 160 Wh.
    ("", "battery pack", "battery", "fine", ""),
    ("", "stage light pack", "battery", "approval", ""),
];

#[test]
fn the_tour_is_as_worked_out_by_hand() {
    let setup = Setup::from_json(&tour()).expect("the tour is fine");
    let trip = trip(&setup).expect("it has an answer");
    let mut wrong = Vec::new();
    for (stop, thing, about, verdict, with) in ROWS {
        let findings = match trip.stops.iter().find(|found| found.name == stop) {
            Some(found) => &found.findings,
            None => &trip.air,
        };
        let mut found = findings
            .iter()
            .filter(|finding| finding.thing == thing && finding.about.word() == about);
        match (found.next(), found.next()) {
            (Some(one), None)
                if one.verdict.word() == verdict
                    && (with == "*" && !one.with.is_empty() || one.with.join(", ") == with) => {}
            (one, more) => wrong.push(format!(
                "{stop}, {thing}: {about} should be {verdict} {with}, is {one:?} {more:?}"
            )),
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
