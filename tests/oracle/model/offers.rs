//! What a source of a given power must offer, and what a port still offers when
//! it is held at a lower tier (section 2).

use super::label::{Entry, Kind};
use super::rounding::micro;
use super::setup::Port;

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

/// `pd_w` on a port.
pub(crate) fn offered_by_pd_source(pd_w: f64) -> Vec<Entry> {
    let reached = |volts: &f64| pd_w > needs_more_than_w(*volts);
    let mut offers: Vec<Entry> = [5.0, 9.0, 15.0, 20.0]
        .into_iter()
        .filter(reached)
        .map(|volts| Entry::fixed(volts, (pd_w / volts).min(3.0)))
        .collect();
    if pd_w > 60.0 {
        offers.push(Entry::fixed(20.0, (pd_w / 20.0).min(5.0)));
    }
    if pd_w > 100.0 {
        let extended = [28.0, 36.0, 48.0].into_iter().filter(reached);
        offers.extend(extended.map(|volts| Entry::fixed(volts, (pd_w / volts).min(5.0))));
    }
    offers
}

/// `pd_w` on a device.
pub(crate) fn accepted_by_pd_device(pd_w: f64) -> Vec<Entry> {
    [
        (5.0, 0.0),
        (9.0, 0.0),
        (15.0, 0.0),
        (20.0, 0.0),
        (28.0, 100.0),
        (36.0, 140.0),
        (48.0, 180.0),
    ]
    .into_iter()
    .filter(|&(_, above_w)| pd_w > above_w)
    .map(|(volts, _)| Entry::fixed(volts, 5.0))
    .collect()
}

/// An entry as the port offers it at a tier, with the high end that is printed.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Offer {
    pub(crate) entry: Entry,
    pub(crate) printed_high: f64,
}

/// The port's offers when it is held at `tier_w`.
pub(crate) fn offers_at(port: &Port, tier_w: f64) -> Vec<Offer> {
    let as_printed = port.connector != "usb-c" || micro(tier_w) >= micro(port.cap_w);
    port.offers
        .iter()
        .filter_map(|&entry| {
            let high = if as_printed {
                Some(entry.high)
            } else {
                cut(&entry, tier_w)
            };
            high.map(|high| Offer {
                entry: Entry { high, ..entry },
                printed_high: entry.high,
            })
        })
        .collect()
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
