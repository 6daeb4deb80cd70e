//! What to buy, what to take along and what to leave at home; things in few words.

use crate::report::counted;
use crate::report::page::{Line, Page, Rows, Section, Shown};
use crate::report::printable::{printable, short_name, whole};
use crate::setup::Setup;
use crate::trip::bag::PackingKind;
use crate::trip::shopping::{Luggage, Piece};
use crate::units::quantity::decimals;

impl Page {
    /// The three lists; what is not carried is told in lines.
    pub(super) fn things(&mut self, luggage: &Luggage) {
        let total = luggage.bag.price;
        let title = format!("Buy, for {} together", decimals(total, 2));
        self.listed(&title, &luggage.buy, true);
        self.listed("Take along", &luggage.take, false);
        // Where nothing charges anything it is no use to say why each thing stays.
        let reasons = luggage.bag.pieces > 0;
        let left = luggage.leave.iter().map(|piece| left(piece, reasons));
        let lines: Vec<Line> = left.map(Line::item).collect();
        if !lines.is_empty() {
            self.push(Section::titled("Leave at home").lines(lines));
        }
    }

    fn listed(&mut self, title: &str, pieces: &[Piece], bought: bool) {
        if pieces.is_empty() {
            return;
        }
        let mut pieces: Vec<&Piece> = pieces.iter().collect();
        pieces.sort_by_key(|piece| order(piece.kind));
        let all = |piece: &Piece, of_one: f64| of_one * f64::from(piece.count);
        let weight = |piece: &Piece| {
            let weight = piece.weight_g.map(|of_one| grams(all(piece, of_one)));
            weight.unwrap_or_default()
        };
        let price = |piece: &Piece| {
            let price = piece.price.map(|of_one| decimals(all(piece, of_one), 2));
            price.unwrap_or_default()
        };
        let rows = Rows::of(pieces)
            .names("What", |piece| {
                several(piece.count, &short_name(&piece.thing))
            })
            .facts("Weight", |piece| weight(piece));
        let rows = if bought {
            rows.facts("Price", |piece| price(piece))
        } else {
            rows
        };
        let table = rows.facts("Kind", |piece| piece.kind.word()).table();
        let list = Section::titled(title).table(table.clone());
        self.push(list.shown(Shown::InText));
        // The bag is drawn above it.
        let list = Section::titled(format!("{title}: the list")).table(table);
        self.push(list.shown(Shown::InPictures).folded());
    }
}

/// Chargers first: with them begins what is plugged in.
pub(in crate::report) fn order(kind: PackingKind) -> u8 {
    match kind {
        PackingKind::Charger => 0,
        PackingKind::Adapter => 1,
        PackingKind::Converter => 2,
        PackingKind::Cable => 3,
        PackingKind::Appliance => 4,
    }
}

/// `2 × braided`.
pub(in crate::report) fn several(count: u32, name: &str) -> String {
    if count > 1 {
        format!("{count} × {name}")
    } else {
        name.to_owned()
    }
}

/// `garment steamer (appliance): it can be used on 2 of 9 nights only`.
fn left(piece: &Piece, reasons: bool) -> String {
    let name = several(piece.count, &whole(&piece.thing));
    let kind = piece.kind.word();
    match piece.reason.as_deref().filter(|_| reasons) {
        Some(reason) => format!("{name} ({kind}): {}", printable(reason)),
        None => format!("{name} ({kind})"),
    }
}

/// `180 g`, `1.25 kg`.
pub(in crate::report) fn grams(weight_g: f64) -> String {
    if weight_g.abs() < 1_000.0 {
        format!("{} g", decimals(weight_g, 1))
    } else {
        format!("{} kg", decimals(weight_g / 1_000.0, 2))
    }
}

/// What a thing of a bag is, and whether devices are charged from it. In the order in which
/// a bag lists them, should two kinds of thing have one name.
pub(in crate::report) fn kind_of(setup: &Setup, name: &str) -> (PackingKind, bool) {
    let (trip, shop) = (setup.trip.as_ref(), setup.shop.as_ref());
    let sold = shop.into_iter().flat_map(|shop| &shop.chargers);
    let mut chargers = setup.chargers.iter().chain(sold);
    if chargers.any(|charger| charger.name == name) {
        return (PackingKind::Charger, true);
    }
    let own = trip.into_iter().flat_map(|trip| &trip.adapters);
    let mut adapters = own.chain(shop.into_iter().flat_map(|shop| &shop.adapters));
    if let Some(adapter) = adapters.find(|adapter| adapter.name == name) {
        return (PackingKind::Adapter, adapter.charger.is_some());
    }
    let own = trip.into_iter().flat_map(|trip| &trip.converters);
    let mut converters = own.chain(shop.into_iter().flat_map(|shop| &shop.converters));
    if converters.any(|converter| converter.name == name) {
        return (PackingKind::Converter, false);
    }
    let appliances = trip.into_iter().flat_map(|trip| &trip.appliances);
    if appliances
        .into_iter()
        .any(|appliance| appliance.name == name)
    {
        return (PackingKind::Appliance, false);
    }
    (PackingKind::Cable, false)
}

/// Things in few words: what charges by name, the rest counted by kind, `between` the two.
pub(in crate::report) fn in_short<'t>(
    setup: &Setup,
    things: impl Iterator<Item = (u32, &'t str)>,
    between: &str,
) -> String {
    InShort::of(setup, things).told(between)
}

/// Things by what is said of them.
#[derive(Debug, Default)]
pub(super) struct InShort {
    named: Vec<String>,
    chargers: u32,
    counts: Vec<(PackingKind, u32)>,
}

impl InShort {
    pub(super) fn of<'t>(setup: &Setup, things: impl Iterator<Item = (u32, &'t str)>) -> Self {
        let mut short = Self::default();
        for (count, thing) in things {
            match kind_of(setup, thing) {
                (_, true) => {
                    short.named.push(several(count, &whole(thing)));
                    short.chargers += count;
                }
                (kind, false) => short.add(kind, count),
            }
        }
        short.counts.sort_by_key(|(kind, _)| order(*kind));
        short
    }

    fn add(&mut self, kind: PackingKind, count: u32) {
        match self.counts.iter_mut().find(|(known, _)| *known == kind) {
            Some((_, known)) => *known += count,
            None => self.counts.push((kind, count)),
        }
    }

    /// Without what both have of a kind that is only counted.
    pub(super) fn without_common(&mut self, other: &mut Self) {
        for (kind, count) in &mut self.counts {
            let theirs = other.counts.iter_mut().find(|(known, _)| known == kind);
            if let Some((_, theirs)) = theirs {
                let both = (*count).min(*theirs);
                *count -= both;
                *theirs -= both;
            }
        }
    }

    pub(super) fn told(&self, between: &str) -> String {
        let named = if self.named.len() > NAMED {
            counted(self.chargers, "charger")
        } else {
            self.named.join(", ")
        };
        let counts = self.counts.iter().filter(|(_, count)| *count > 0);
        let counts: Vec<String> = counts
            .map(|(kind, count)| counted(*count, kind.word()))
            .collect();
        let parts = [named, counts.join(", ")];
        let parts: Vec<String> = parts.into_iter().filter(|part| !part.is_empty()).collect();
        parts.join(between)
    }
}

/// So many chargers are named, more are counted.
const NAMED: usize = 4;

/// `2 × braided` as its parts.
pub(super) fn parsed(thing: &str) -> (u32, &str) {
    let parts = thing.split_once(" × ");
    let parts = parts.and_then(|(count, name)| Some((count.parse().ok()?, name)));
    parts.unwrap_or((1, thing))
}

#[cfg(test)]
mod tests {
    use super::{grams, parsed, several};

    #[test]
    fn things_are_counted_and_read_back() {
        for (count, name) in [(1, "braided"), (3, "2 × 4 splitter"), (12, "a × b")] {
            assert_eq!(parsed(&format!("{count} × {name}")), (count, name));
        }
        assert_eq!(several(1, "a × b"), "a × b");
        assert_eq!(parsed("a × b"), (1, "a × b"));
    }

    #[test]
    fn weights_are_in_grams_or_kilograms() {
        for (weight_g, told) in [(180.0, "180 g"), (999.94, "999.9 g"), (1250.0, "1.25 kg")] {
            assert_eq!(grams(weight_g), told);
        }
    }
}
