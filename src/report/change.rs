//! Single changes of a setup, in words.

use super::clock::Clock;
use super::counted;
use super::printable::{printable, short_name};
use crate::decide::improve::Change;
use crate::units::quantity::{time, watts, watts_needed};

/// The change, in as few words as a table has room for.
pub(super) fn named(change: &Change, clock: Clock) -> String {
    match change {
        Change::Pool {
            charger,
            name,
            from_w,
            to_w,
        } => {
            let limit = limit_needed(*to_w);
            let (charger, pool) = (short_name(charger), short_name(name));
            format!("{charger}: {limit} for pool {pool}, now {}", watts(*from_w))
        }
        Change::Port {
            charger,
            name,
            like,
            from_w,
            to_w,
        } => format!(
            "{}: {} like {}, {}, now {}",
            short_name(charger),
            short_name(name),
            short_name(like),
            watts(*to_w),
            watts(*from_w)
        ),
        Change::PortAdded {
            charger,
            like,
            to_w,
            ..
        } => format!(
            "{}: one more port like {}, {}",
            short_name(charger),
            short_name(like),
            watts(*to_w)
        ),
        Change::CableAdded { length_m, .. } => {
            format!("one more 240 W cable{}", long_enough(*length_m))
        }
        Change::Pin { name, port, cable } => {
            format!(
                "{} not pinned to {}",
                short_name(name),
                pins(port.as_ref(), cable.as_ref())
            )
        }
        Change::Swap { at_h } => format!("one swap {}", swap(*at_h, clock)),
        Change::Combinations { name } => format!("{}: no combinations", short_name(name)),
        Change::DeviceLess { name } => format!("without {}", short_name(name)),
        Change::Priority { names, to } => format!("priority {to} for {}", few(names)),
        Change::Start { from, to, .. } => format!("begin at {to}, not {from}"),
    }
}

/// What is to be bought, or done where that costs nothing, to bring a change about.
pub(super) fn deed(change: &Change, clock: Clock) -> String {
    match change {
        Change::Pool {
            charger,
            name,
            from_w,
            to_w,
        } => format!(
            "a charger like {} with {} for its pool {} instead of {}",
            printable(charger),
            limit_needed(*to_w),
            printable(name),
            watts(*from_w)
        ),
        Change::Port {
            charger,
            name,
            like,
            from_w,
            to_w,
        } => format!(
            "a charger like {} whose port {} gives what {} does, {} instead of {}",
            printable(charger),
            printable(name),
            printable(like),
            watts(*to_w),
            watts(*from_w)
        ),
        Change::PortAdded {
            charger,
            like,
            to_w,
            ..
        } => format!(
            "a charger like {} with one more port like {}, {}",
            printable(charger),
            printable(like),
            watts(*to_w)
        ),
        Change::CableAdded { length_m, .. } => format!(
            "one more 240 W cable (USB-C to USB-C, e-marked, 5 A, 50 V{})",
            long_enough(*length_m)
        ),
        Change::Pin { name, port, cable } => format!(
            "{} need not be on {}",
            printable(name),
            pins(port.as_ref(), cable.as_ref())
        ),
        Change::Swap { at_h } => format!("swap plugs once, {}", swap(*at_h, clock)),
        Change::Combinations { name } => format!(
            "a charger like {} that grants each port its power whatever else is \
             in use",
            printable(name)
        ),
        Change::DeviceLess { name } => format!("leave {} for another night", printable(name)),
        Change::Priority { names, to } => {
            format!("give {} priority {to}; others may then be late", few(names))
        }
        Change::Start { from, to, .. } => format!("begin at {to} instead of {from}"),
    }
}

/// When plugs are swapped.
fn swap(at_h: f64, clock: Clock) -> String {
    if clock.is_known() {
        format!("at {}", clock.at(at_h))
    } else {
        format!("after {}", time(at_h))
    }
}

/// Names, or how many there are.
pub(super) fn few(names: &[String]) -> String {
    match names {
        [one] => short_name(one),
        [one, other] => format!("{} and {}", short_name(one), short_name(other)),
        many => counted(many.len(), "device"),
    }
}

/// The least that a pool must be raised to; without a limit where no number will do.
fn limit_needed(to_w: Option<f64>) -> String {
    to_w.map_or_else(|| "no limit".to_owned(), watts_needed)
}

/// How long a cable must be, where some device lies away from the charger.
fn long_enough(length_m: f64) -> String {
    if length_m > 0.0 {
        format!(", {length_m} m or longer")
    } else {
        String::new()
    }
}

fn pins(port: Option<&String>, cable: Option<&String>) -> String {
    let port = port.map(|port| format!("port {}", printable(port)));
    let cable = cable.map(|cable| format!("cable {}", printable(cable)));
    [port, cable]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(" and ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::clock::TimeOfDay;

    #[test]
    fn each_change_is_named_and_said() {
        let text = |text: &str| text.to_owned();
        let clock = Clock::of(TimeOfDay::parse("22:30"));
        for (change, cell, sentence) in [
            (
                Change::Pool {
                    charger: text("cube"),
                    name: text("total"),
                    from_w: 75.0,
                    to_w: Some(96.04),
                },
                "cube: 96.1 W for pool total, now 75 W",
                "a charger like cube with 96.1 W for its pool total instead of 75 W",
            ),
            (
                Change::CableAdded {
                    name: text("one"),
                    length_m: 1.5,
                },
                "one more 240 W cable, 1.5 m or longer",
                "one more 240 W cable (USB-C to USB-C, e-marked, 5 A, 50 V, 1.5 m \
                 or longer)",
            ),
            (
                Change::Pin {
                    name: text("lap\u{1b}top"),
                    port: Some(text("C1")),
                    cable: Some(text("white")),
                },
                "lap\\u{1b}top not pinned to port C1 and cable white",
                "lap\\u{1b}top need not be on port C1 and cable white",
            ),
            (
                Change::Swap { at_h: 4.0 },
                "one swap at 02:30",
                "swap plugs once, at 02:30",
            ),
            (
                Change::DeviceLess {
                    name: text("phone 2"),
                },
                "without phone 2",
                "leave phone 2 for another night",
            ),
            (
                Change::Priority {
                    names: ["a", "b", "c"].map(text).to_vec(),
                    to: 1,
                },
                "priority 1 for 3 devices",
                "give 3 devices priority 1; others may then be late",
            ),
            (
                Change::Start {
                    from: text("22:30"),
                    to: text("21:45"),
                    earlier_h: 0.75,
                },
                "begin at 21:45, not 22:30",
                "begin at 21:45 instead of 22:30",
            ),
        ] {
            assert_eq!(
                (
                    named(&change, clock).as_str(),
                    deed(&change, clock).as_str()
                ),
                (cell, sentence)
            );
        }
    }
}
