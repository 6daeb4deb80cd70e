//! Why a device has no berth, read back from a plan document.

use jsonc_parser::ast::Value;

use crate::diagnostics::Path;
use crate::json::reader::{Fields, Reader};
use crate::limits::PLAN_ENTRIES;
use crate::plan::Reason;
use crate::plan::reading::{count, number, text};

/// The fields of each kind beside `kind`.
const KINDS: [(&str, &[&str]); 14] = [
    ("pinned-impossible", &["kind", "pin", "because"]),
    ("no-cable-for-inlet", &["kind", "inlet"]),
    ("no-cable-reaches", &["kind", "reach_m", "longest_m"]),
    ("no-port-for-cable", &["kind", "connectors"]),
    ("no-common-supply", &["kind"]),
    ("below-minimum", &["kind", "best_w", "min_w"]),
    ("never-full", &["kind", "best_w"]),
    ("fewer-ports", &["kind", "devices", "ports"]),
    ("fewer-cables", &["kind", "cables"]),
    (
        "pool-too-small",
        &["kind", "charger", "pool", "left_w", "needs_w"],
    ),
    ("no-combination", &["kind", "charger"]),
    ("never-at-hand", &["kind"]),
    ("search-stopped", &["kind"]),
    ("no-room", &["kind"]),
];

/// A cause as data; what is `None` left a fault behind.
pub(super) fn cause(reader: &mut Reader, value: &Value<'_>, path: &Path) -> Option<Reason> {
    cause_within(reader, value, path, true)
}

/// A cause; one that is about a pin holds another, which is about none.
fn cause_within(
    reader: &mut Reader,
    value: &Value<'_>,
    path: &Path,
    pinned: bool,
) -> Option<Reason> {
    let f = reader.object(value, path, "a cause", None)?;
    reader.require(&f, "kind", "a cause");
    let kinds: Vec<(&str, usize)> = KINDS
        .iter()
        .enumerate()
        .filter(|(_, (kind, _))| pinned || *kind != "pinned-impossible")
        .map(|(at, (kind, _))| (*kind, at))
        .collect();
    let at = reader.word(&f, "kind", &kinds)?;
    let (kind, fields) = KINDS[at];
    // Its kind is known now, and so is which fields it has.
    reader.no_others(&f, "this cause", fields);
    for field in fields {
        reader.require(&f, field, "this cause");
    }
    let reason = match kind {
        "pinned-impossible" => {
            let because = reader.any(&f, "because")?;
            let because = cause_within(reader, because, &f.path.field("because"), false)?;
            Reason::PinnedImpossible {
                pin: text(reader, &f, "pin"),
                because: Box::new(because),
            }
        }
        "no-cable-for-inlet" => Reason::NoCableForInlet {
            inlet: text(reader, &f, "inlet"),
        },
        "no-cable-reaches" => Reason::NoCableReaches {
            reach_m: number(reader, &f, "reach_m"),
            longest_m: number(reader, &f, "longest_m"),
        },
        "no-port-for-cable" => Reason::NoPortForCable {
            connectors: names(reader, &f, "connectors"),
        },
        "no-common-supply" => Reason::NoCommonSupply,
        "below-minimum" => Reason::BelowMinimum {
            best_w: number(reader, &f, "best_w"),
            min_w: number(reader, &f, "min_w"),
        },
        "never-full" => Reason::NeverFull {
            best_w: number(reader, &f, "best_w"),
        },
        "fewer-ports" => Reason::FewerPorts {
            devices: count(reader, &f, "devices").unwrap_or_default(),
            ports: count(reader, &f, "ports").unwrap_or_default(),
        },
        "fewer-cables" => Reason::FewerCables {
            cables: names(reader, &f, "cables"),
        },
        "pool-too-small" => Reason::PoolTooSmall {
            charger: text(reader, &f, "charger"),
            pool: text(reader, &f, "pool"),
            left_w: number(reader, &f, "left_w"),
            needs_w: number(reader, &f, "needs_w"),
        },
        "no-combination" => Reason::NoCombination {
            charger: text(reader, &f, "charger"),
        },
        "never-at-hand" => Reason::NeverAtHand,
        "search-stopped" => Reason::SearchStopped,
        _ => Reason::NoRoom,
    };
    Some(reason)
}

fn names(reader: &mut Reader, f: &Fields<'_, '_>, name: &str) -> Vec<String> {
    let read = |reader: &mut Reader, value: &Value<'_>, path: &Path| {
        reader.text_of(value, path, "a name").unwrap_or_default()
    };
    reader.list(f, name, PLAN_ENTRIES, read).unwrap_or_default()
}
