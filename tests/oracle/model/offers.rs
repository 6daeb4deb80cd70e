//! What a source of a given power must offer, and what a port still offers when
//! it is held at a lower tier (section 2).

use super::label::{Entry, Kind};
use super::rounding::micro;
use super::setup::{Port, Voltages};

/// θ(v): a fixed voltage is there only above so many watts.
fn needs_more_than_w(volts: f64) -> f64 {
    [
        (5.9, 0.0),
        (11.0, 15.0),
        (16.0, 27.0),
        (21.0, 45.0),
        (28.0, 100.0),
        (36.0, 140.0),
    ]
    .into_iter()
    .find(|&(up_to, _)| volts <= up_to)
    .map_or(180.0, |(_, watts)| watts)
}

/// The voltages that a source of this power must have.
fn required_volts(pd_w: f64) -> Vec<f64> {
    let mut volts = vec![5.0, 9.0, 15.0, 20.0];
    if pd_w > 100.0 {
        volts.extend([28.0, 36.0, 48.0]);
    }
    volts.retain(|&volts| pd_w > needs_more_than_w(volts));
    volts
}

/// `pd_w` on a port.
pub(crate) fn pd_source(pd_w: f64) -> Vec<Entry> {
    let offered = |volts: f64| {
        let most_a = if volts > 21.0 || (volts == 20.0 && pd_w > 60.0) {
            5.0
        } else {
            3.0
        };
        Entry::fixed(volts, (pd_w / volts).min(most_a))
    };
    required_volts(pd_w).into_iter().map(offered).collect()
}

/// `pd_w` on a device: it must work on such a source.
pub(crate) fn pd_device(pd_w: f64) -> Vec<Entry> {
    let accepted = |volts: f64| Entry::fixed(volts, 5.0);
    required_volts(pd_w).into_iter().map(accepted).collect()
}

/// An entry as the port offers it at a tier, with the high end that is printed.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Offer {
    pub(crate) entry: Entry,
    pub(crate) printed_high: f64,
}

/// The port's offers when it is held at `tier_w`, at best.
pub(crate) fn offers_at(port: &Port, tier_w: f64) -> Vec<Offer> {
    match port.voltages {
        Voltages::Rules => by_rules(port, tier_w),
        Voltages::Kept | Voltages::NotKnown => kept(port),
    }
}

/// The offers that may turn out to be the port's when it is held at `tier_w`.
pub(crate) fn promised_offers_at(port: &Port, tier_w: f64) -> Vec<Vec<Offer>> {
    match port.voltages {
        Voltages::Kept => vec![kept(port)],
        Voltages::Rules => vec![by_rules(port, tier_w)],
        Voltages::NotKnown => vec![kept(port), by_rules(port, tier_w)],
    }
}

/// All offers as printed.
fn kept(port: &Port) -> Vec<Offer> {
    let as_printed = |&entry: &Entry| Offer {
        entry,
        printed_high: entry.high,
    };
    port.offers.iter().map(as_printed).collect()
}

/// What the power rules require of a `usb-c` port below its cap.
fn by_rules(port: &Port, tier_w: f64) -> Vec<Offer> {
    if port.connector != "usb-c" || micro(tier_w) >= micro(port.cap_w) {
        return kept(port);
    }
    let cut_offer = |&entry: &Entry| {
        cut(&entry, tier_w).map(|high| Offer {
            entry: Entry { high, ..entry },
            printed_high: entry.high,
        })
    };
    port.offers.iter().filter_map(cut_offer).collect()
}

/// The high end that a tier below the cap leaves of an entry; `None` where it falls
/// away.
fn cut(entry: &Entry, tier_w: f64) -> Option<f64> {
    let above = |watts: f64| micro(tier_w) > micro(watts);
    let greatest = |cuts: &[(f64, f64)]| {
        cuts.iter()
            .rev()
            .find(|&&(_, watts)| above(watts))
            .map(|&(volts, _)| volts)
    };
    let end = match entry.kind {
        Kind::Fixed | Kind::Wide => above(needs_more_than_w(entry.high)).then_some(entry.high),
        Kind::Pps => greatest(&[(5.9, 0.0), (11.0, 15.0), (16.0, 27.0), (21.0, 45.0)]),
        Kind::Avs if entry.high > 21.0 && !above(100.0) => None,
        Kind::Avs => greatest(&[
            (15.0, 27.0),
            (20.0, 45.0),
            (28.0, 100.0),
            (36.0, 140.0),
            (48.0, 180.0),
        ]),
    }?;
    (entry.low <= end).then_some(end.min(entry.high))
}
