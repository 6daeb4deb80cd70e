//! Every fault has its row in `faults.md`, every reason for no berth in `without.md`.

use serde_json::Value;
use wattberth::{Reason, plan_schema};

use crate::{Page, root};

/// One fault, as it stands beside its fixture.
pub(crate) struct Fault {
    fixture: String,
    /// The last name of a field in its path.
    pub(crate) field: String,
    pub(crate) message: String,
}

/// The faults of all fixtures, in order.
pub(crate) fn all() -> Vec<Fault> {
    let folder = root().join("fixtures/faults");
    let entries = std::fs::read_dir(folder).expect("the folder is there");
    let paths = entries.map(|entry| entry.expect("an entry").path());
    let mut texts: Vec<_> = paths
        .filter(|path| path.extension().is_some_and(|kind| kind == "txt"))
        .collect();
    texts.sort();
    let mut faults = Vec::new();
    for path in texts {
        let text = std::fs::read_to_string(&path).expect("it is text");
        let fixture = path.file_stem().expect("it has a name").to_string_lossy();
        let lines = text.lines().filter_map(|line| line.split_once(": "));
        faults.extend(lines.map(|(_, said)| fault(&fixture, said)));
    }
    assert!(faults.len() > 100, "only {} faults", faults.len());
    faults
}

/// What stands behind the place: a path, where there is one, and the message.
fn fault(fixture: &str, said: &str) -> Fault {
    let (path, message) = match said.split_once(": ") {
        Some((path, message)) if !path.contains([' ', '`', '"']) => (path, message),
        _ => ("", said),
    };
    let names = path.split('.').filter_map(|part| part.split('[').next());
    // Of a combination the path ends with the name of a port.
    let mut fields = names.filter(|name| name.starts_with(|c: char| c.is_ascii_lowercase()));
    Fault {
        fixture: fixture.to_owned(),
        field: fields.next_back().unwrap_or_default().to_owned(),
        message: message.to_owned(),
    }
}

/// Whether a message is what a row is for: `…` in the row stands for any text.
fn meets(row: &str, message: &str) -> bool {
    let mut pieces = row.split('…');
    let first = pieces.next().unwrap_or_default();
    let Some(mut rest) = message.strip_prefix(first) else {
        return false;
    };
    for piece in pieces {
        let Some(at) = rest.find(piece) else {
            return false;
        };
        rest = &rest[at + piece.len()..];
    }
    true
}

#[test]
fn every_fault_of_the_fixtures_has_a_row() {
    let page = Page::read("src/guide/faults.md");
    let rows: Vec<&str> = page.rows().iter().map(|row| row[0]).collect();
    let faults = all();
    let missing = faults
        .iter()
        .filter(|fault| !rows.iter().any(|row| meets(row, &fault.message)));
    let missing: Vec<String> = missing
        .map(|fault| format!("{}: {}", fault.fixture, fault.message))
        .collect();
    assert!(missing.is_empty(), "no row for\n{}", missing.join("\n"));
    let idle = rows
        .iter()
        .filter(|row| !faults.iter().any(|fault| meets(row, &fault.message)));
    let idle: Vec<&str> = idle.copied().collect();
    assert!(idle.is_empty(), "nothing says\n{}", idle.join("\n"));
}

/// The kinds of reasons that a plan document may name.
fn kinds() -> Vec<String> {
    let schema = plan_schema();
    let reasons = schema["$defs"]["Reason"]["oneOf"].as_array();
    let kinds = reasons.expect("a reason is one of several").iter();
    let kinds = kinds.filter_map(|reason| reason["properties"]["kind"]["const"].as_str());
    kinds.map(str::to_owned).collect()
}

/// One reason of each kind.
fn samples() -> Vec<Reason> {
    let text = |text: &str| text.to_owned();
    vec![
        Reason::PinnedImpossible {
            pin: text("C1"),
            because: Box::new(Reason::NoRoom),
        },
        Reason::NoCableForInlet {
            inlet: text("usb-c"),
        },
        Reason::NoCableReaches {
            reach_m: 2.0,
            longest_m: 1.0,
        },
        Reason::NoPortForCable {
            connectors: vec![text("usb-a")],
        },
        Reason::NoCommonSupply,
        Reason::BelowMinimum {
            best_w: 15.0,
            min_w: 20.0,
        },
        Reason::NeverFull { best_w: 7.5 },
        Reason::FewerPorts {
            devices: 3,
            ports: 2,
        },
        Reason::FewerCables {
            cables: vec![text("braided")],
        },
        Reason::PoolTooSmall {
            charger: text("cube"),
            pool: text("total"),
            left_w: 5.0,
            needs_w: 7.5,
        },
        Reason::NoCombination {
            charger: text("cube"),
        },
        Reason::NeverAtHand,
        Reason::SearchStopped,
        Reason::NoRoom,
    ]
}

#[test]
fn every_reason_for_no_berth_has_a_row_with_its_words() {
    let page = Page::read("src/guide/without.md");
    let rows = page.rows();
    let causes: Vec<&str> = rows.iter().map(|row| row[0].trim_matches('`')).collect();
    assert_eq!(causes, kinds());
    let samples = samples();
    let kind = |reason: &Reason| serde_json::to_value(reason).expect("it is data")["kind"].clone();
    let sampled: Vec<Value> = samples.iter().map(kind).collect();
    assert_eq!(sampled, kinds(), "a kind has no sample");
    for (row, reason) in rows.iter().zip(&samples) {
        let said = reason.to_string();
        assert!(meets(row[1], &said), "{}: the program says {said}", row[0]);
        assert!(!row[2].is_empty(), "{}: what can be done?", row[0]);
    }
}

#[test]
fn a_row_meets_what_it_is_for() {
    for (row, message, expected) in [
        (
            "no port is called \"…\"",
            "no port is called \"C9\" on charger \"x\"",
            true,
        ),
        (
            "no port is called \"…\"",
            "no cable is called \"C9\"",
            false,
        ),
        (
            "… needs the field `…`",
            "a stop needs the field `country`",
            true,
        ),
        ("two … are called \"…\"", "two stops are nice", false),
        ("a comma is missing here", "a comma is missing here", true),
    ] {
        assert_eq!(meets(row, message), expected, "{row}: {message}");
    }
}
