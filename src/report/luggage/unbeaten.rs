//! The bags that nothing beats, and what the bag of the other sort comes to.

use super::UNBEATEN;
use super::things::{grams, in_short, kind_of, parsed};
use crate::report::page::{Line, Page, Rows, Section, Shown};
use crate::setup::Setup;
use crate::trip::bag::PackingKind;
use crate::trip::shopping::{BagWorth, ChargeWith, Luggage, OtherSort, PackBy};
use crate::units::quantity::{decimals, time, watts};

/// So many are shown in a text.
const IN_TEXT: usize = 10;

impl Page {
    pub(super) fn unbeaten(&mut self, setup: &Setup, luggage: &Luggage) {
        let all = &luggage.unbeaten;
        if all.len() < 2 {
            return;
        }
        let section = |shown: &[BagWorth]| {
            let rows = Rows::of(shown)
                .facts("Weight", |bag| grams(bag.weight_g))
                .facts("Price", |bag| decimals(bag.price, 2))
                .facts("Pieces", |bag| bag.pieces.to_string())
                .facts("All full after", |bag| longest(bag))
                .names("With", |bag| with(setup, bag))
                .chosen(|bag| **bag == luggage.bag);
            let mut notes = Vec::new();
            if all.first() == Some(&luggage.bag) {
                notes.push("The first is the bag above.".to_owned());
            }
            if setup.tolerance_h > 0.0 {
                notes.push(format!(
                    "Times are the least that a bag allows; a night's plan may take {} more.",
                    time(setup.tolerance_h)
                ));
            }
            if shown.len() < all.len() {
                let more = all.len() - shown.len();
                notes.push(format!("{more} more are on the page of `--html`."));
            }
            if !luggage.unbeaten_complete {
                notes.push("A limit struck: there may be more of them.".to_owned());
            }
            let lines = notes.into_iter().map(Line::text);
            Section::titled(UNBEATEN).table(rows.table()).lines(lines)
        };
        let first = &all[..all.len().min(IN_TEXT)];
        self.push(section(first).shown(Shown::InText));
        self.push(section(all).shown(Shown::InPictures));
    }
}

/// A bag in few words: `desk + 3 adapters, 10 cables`.
pub(in crate::report) fn with(setup: &Setup, bag: &BagWorth) -> String {
    let things = bag.things.iter().map(|thing| parsed(thing));
    in_short(setup, things, " + ")
}

pub(in crate::report) fn longest(bag: &BagWorth) -> String {
    if bag.longest_h.is_finite() {
        time(bag.longest_h)
    } else {
        "not certain".to_owned()
    }
}

/// Where both sorts are for sale: which this bag is of, what the other comes to, and the
/// rule that people go by.
pub(super) fn sorts(setup: &Setup, luggage: &Luggage) -> Vec<String> {
    if luggage.other_sorts.is_empty() {
        return Vec::new();
    }
    let own = own(setup, luggage);
    let mut lines: Vec<String> = luggage
        .other_sorts
        .iter()
        .map(|other| {
            let with = match other.with {
                ChargeWith::Chargers => "chargers",
                ChargeWith::Adapters => "adapters with ports of their own",
            };
            format!(
                "this bag has {own}; with {with} alone: {}",
                comes_to(setup, luggage, other)
            )
        })
        .collect();
    // Common practice, which the answer does not rest on.
    let together: f64 = setup
        .devices
        .iter()
        .filter(|device| device.needs_berth())
        .map(|device| device.max_w)
        .sum();
    lines.push(format!(
        "common practice: up to about 120 W together an adapter with ports of its own can be \
         enough, above that it is a charger with many ports through a plain adapter; these \
         devices take up to {} together",
        watts(together)
    ));
    lines
}

/// What the bag itself charges with.
fn own(setup: &Setup, luggage: &Luggage) -> &'static str {
    let mut kinds: Vec<PackingKind> = Vec::new();
    for thing in &luggage.bag.things {
        if let (kind, true) = kind_of(setup, parsed(thing).1)
            && !kinds.contains(&kind)
        {
            kinds.push(kind);
        }
    }
    match kinds.as_slice() {
        [PackingKind::Charger] => "chargers",
        [PackingKind::Adapter] => "adapters with ports of their own",
        _ => "both chargers and adapters with ports",
    }
}

/// `493 g, price 119, 7 pieces (large cube + 2 adapters): 60 g more`.
fn comes_to(setup: &Setup, luggage: &Luggage, other: &OtherSort) -> String {
    let proven = if other.proven {
        ""
    } else {
        ", as far as was looked"
    };
    let Some(bag) = &other.bag else {
        return format!("no bag of them serves as well{proven}");
    };
    let plural = if bag.pieces == 1 { "" } else { "s" };
    let own = &luggage.bag;
    let more = match luggage.by {
        PackBy::Weight => grams(bag.weight_g - own.weight_g),
        PackBy::Price => format!("price {}", decimals(bag.price - own.price, 2)),
        PackBy::Pieces => format!("{} pieces", i64::from(bag.pieces) - i64::from(own.pieces)),
    };
    format!(
        "{}, price {}, {} piece{plural}, all full after {} ({}): {more} more{proven}",
        grams(bag.weight_g),
        decimals(bag.price, 2),
        bag.pieces,
        longest(bag),
        with(setup, bag),
    )
}
