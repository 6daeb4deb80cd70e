//! What an amount says of a device, by its unit and the words about it.

use super::{Role, Said, set_start};
use crate::diagnostics::shown;
use crate::list::amount::{Amount, Unit};
use crate::list::line::{Line, MOST_DEVICES};
use crate::setup::document::Span;

pub(super) fn amount_of(
    line: &mut Line<'_>,
    said: &mut Said,
    amount: &Amount,
    role: Role,
    start: usize,
) {
    let span = start..line.end();
    let put = |said: &mut Said, field: &'static str| said.places.push((field, span.clone(), false));
    let twice =
        |line: &mut Line<'_>, what: &str| line.fault(span.clone(), format!("{what} is said twice"));
    match amount.unit {
        Unit::Watts => {
            let role = words_behind(line, role);
            line.take(&["usb-c charger", "pd", "charging", "input", "charger", "while on", "while running"]);
            let Some(watts) = amount.one() else {
                return line.fault(span, "watts are one number: the most that it takes; `at least 20 W` says the least");
            };
            let (field, slot) = match role {
                Role::Least => ("min_w", &mut said.device.min_w),
                Role::Own => ("running_w", &mut said.device.running_w),
                Role::Plain | Role::Most => ("pd_w", &mut said.device.pd_w),
                _ => return line.fault(span, "watts are said as they are: `30 W`, `at least 20 W`"),
            };
            if slot.replace(watts).is_some() {
                return twice(line, "this");
            }
            put(said, field);
        }
        Unit::WattHours => {
            line.take(&["battery"]);
            let wh = match amount.high {
                Some(high) => Span::Between(amount.low, high),
                None => Span::Of(amount.low),
            };
            if said.device.battery_wh.replace(wh).is_some() {
                return twice(line, "the battery");
            }
            put(said, "battery_wh");
        }
        Unit::MilliampHours => {
            line.take(&["battery"]);
            let Some(mah) = amount.one() else {
                return line.fault(span, "a range of mAh is not understood: write it in Wh");
            };
            if said.device.battery_mah.replace(mah).is_some() {
                return twice(line, "the battery");
            }
            put(said, "battery_mah");
        }
        Unit::Volts => match amount.one() {
            Some(volts) => said.no_wh_but_v = Some(volts),
            None => line.fault(span, "volts alone say nothing: write the amps, too (`5 V 2 A`), or the watts"),
        },
        Unit::Percent => percent(line, said, amount, role, start),
        Unit::Hours => match (role, amount.one()) {
            (Role::Within, Some(hours)) => {
                if said.device.ready_by_h.replace(hours).is_some() {
                    return twice(line, "when it must be ready");
                }
                put(said, "ready_by_h");
            }
            _ => line.fault(span, "what are these hours? `within 3 h` says by when it must be ready, `by 9:00` at what time"),
        },
        Unit::Metres => {
            line.take(&["away", "from the charger", "from charger", "reach", "off"]);
            let Some(metres) = amount.one() else {
                return line.fault(span, "how far away it lies is one number");
            };
            said.device.reach_m = Some(metres);
            put(said, "reach_m");
        }
        Unit::Pieces => line.set_count(&mut said.device.count, amount.low, span, MOST_DEVICES),
        Unit::Amps => line.fault(span, "amps alone say nothing: write the volts, too (`5 V 2 A`), or the watts"),
        Unit::Grams | Unit::Hertz | Unit::Gauge | Unit::Ohms | Unit::Nights | Unit::Outlets | Unit::People => {
            line.fault(span, "this unit says nothing of a device; W, Wh, mAh, %, m and h do");
        }
    }
}

/// What the words behind watts make of them, unless they belong to the next ones.
fn words_behind(line: &mut Line<'_>, role: Role) -> Role {
    let mark = line.mark();
    let least = ["minimum", "min", "or more", "at least"];
    let is_least = line.take(&least).is_some();
    let is_most = !is_least
        && line
            .take(&["maximum", "max", "or less", "at most"])
            .is_some();
    if line.is_number() {
        line.back_to(mark);
        return role;
    }
    match role {
        _ if is_least => Role::Least,
        Role::Plain if is_most => Role::Most,
        role => role,
    }
}

fn percent(line: &mut Line<'_>, said: &mut Said, amount: &Amount, role: Role, start: usize) {
    let after = line.take(&[
        "left",
        "remaining",
        "full",
        "charged",
        "charge",
        "empty",
        "missing",
        "to go",
        "gone",
        "used",
        "battery",
        "target",
        "is enough",
        "enough",
    ]);
    let span = start..line.end();
    let to = matches!(role, Role::Until | Role::Most)
        || matches!(after, Some("target" | "is enough" | "enough"));
    if to {
        let Some(pct) = amount.one() else {
            return line.fault(span, "how full is enough is one number");
        };
        said.device.target_pct = Some(pct);
        said.places.push(("target_pct", span, false));
        return;
    }
    let text = &line.all[span.clone()];
    let at = ["from ", "at ", "start"]
        .iter()
        .any(|word| text.to_lowercase().starts_with(word));
    let at = at && !text.starts_with("at least");
    if let (true, Some(high), None) = (at, amount.high, after) {
        // From one to the other: it is to be charged so far.
        said.device.target_pct = Some(high);
        said.places.push(("target_pct", span, false));
        return set_start(line, said, Span::Of(amount.low), start);
    }
    if after.is_none() && role != Role::Lacks && !at {
        let number = shown(&line.all[amount.span.clone()]);
        let message = format!(
            "is that how full it is, or how full it is to be? `{number} left`, or `to {number}`"
        );
        return line.fault(span, message);
    }
    let flip = role == Role::Lacks
        || matches!(after, Some("empty" | "missing" | "to go" | "gone" | "used"));
    let of = |pct: f64| if flip { 100.0 - pct } else { pct };
    let start_pct = match (amount.high, flip) {
        (None, _) => Span::Of(of(amount.low)),
        (Some(high), false) => Span::Between(amount.low, high),
        (Some(high), true) => Span::Between(of(high), of(amount.low)),
    };
    set_start(line, said, start_pct, start);
}
