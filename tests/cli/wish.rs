//! `wish`: answers, exit codes, documents, faults.

use serde_json::json;

use super::{fits, run};

const EIGHT: &str = "fixtures/quartet-eight.json";
const BUS: &str = "fixtures/night-bus.txt";

#[test]
fn what_grants_a_wish_is_told_first() {
    let ran = run(&["wish", EIGHT, "laptop by 1 h 30 min"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let first = "laptop by 1 h 30 min: one change does it: swap plugs once";
    assert!(ran.out.starts_with(first), "{}", ran.out);
    // In quotes or not.
    let bare = run(&["wish", EIGHT, "laptop", "by", "1", "h", "30", "min"]);
    assert_eq!(bare.out, ran.out);
    let ran = run(&["wish", EIGHT, "laptop by 1 h 30 min", "--json"]);
    let found = ran.json();
    fits("wish", &found);
    assert_eq!(found["granted"][0]["changes"][0]["change"], "swap");
    assert_eq!(
        (&found["by_h"], &found["had"]),
        (&json!(1.5), &json!(false))
    );
}

#[test]
fn what_takes_two_changes_or_none_is_told_so() {
    let ran = run(&["wish", BUS, "everybody served"]);
    let first = "everybody served: two changes together do it: buy one more 240 W cable";
    assert!(ran.code == 0 && ran.out.starts_with(first), "{}", ran.out);
    let ran = run(&["wish", BUS, "viola's lamp served"]);
    let first = "viola's lamp served: so it is already.";
    assert!(ran.code == 0 && ran.out.starts_with(first), "{}", ran.out);
}

#[test]
fn what_cannot_be_had_has_its_reason() {
    let ran = run(&["wish", EIGHT, "everything by 3 h"]);
    assert_eq!((ran.code, ran.err.as_str()), (1, ""));
    assert!(ran.out.contains("it cannot be had"), "{}", ran.out);
    assert!(ran.out.contains("What is in the way"), "{}", ran.out);
    let found = run(&["wish", EIGHT, "everything by 3 h", "--json"]).json();
    fits("wish", &found);
    assert_eq!(found["because"]["about"], "wish");
    assert_eq!(found["granted"], json!([]));
    let ran = run(&["wish", EIGHT, "everything by 3 h", "--time-limit", "0"]);
    let said = "nothing was found that does it before a limit stopped the search";
    let text = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(ran.code == 1 && text.contains(said), "{}", ran.out);
}

#[test]
fn faults_of_a_wish_come_all_at_once() {
    for (wish, parts) in [
        (
            "labtop and phon 1 by 25:10",
            &[
                "did you mean `laptop`?",
                "did you mean `phone 1`?",
                "no time: `6:00`",
                "3 faults",
            ][..],
        ),
        ("laptop by 6:00", &["does not say when charging begins"]),
        (
            "more light",
            &["is not understood; a wish is `laptop by 6:00`"],
        ),
    ] {
        let ran = run(&["wish", EIGHT, wish]);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""));
        for part in parts {
            assert!(ran.err.contains(part), "{part}: {}", ran.err);
        }
    }
    let ran = run(&["wish", EIGHT, "labtop served", "--json"]);
    assert_eq!(ran.code, 2);
    assert_eq!(ran.json()["errors"][0]["path"], "wish");
    assert_eq!(run(&["wish", EIGHT]).code, 2);
}
