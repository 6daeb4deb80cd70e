//! The bag as a page: what to buy, what to take and what to leave, each night with it, what
//! each thing costs, and the bags that nothing beats; then the way.

mod costs;
pub(super) mod things;
pub(super) mod unbeaten;

use super::counted;
use super::nights::{Alike, alike, worst_h};
use super::page::{Page, Tone};
use super::printable::printable;
use crate::plan::{Plan, Status};
use crate::setup::Setup;
use crate::trip::shopping::{Luggage, PackBy};
use crate::units::quantity::{decimals, time};

use things::{grams, in_short};

/// Titles of sections in which drawings stand.
pub(super) const NIGHTS: &str = "Night by night";
pub(super) const UNBEATEN: &str = "Bags that no other beats";

impl Page {
    /// The page of `luggage`, which is one of `setup`.
    pub fn of_luggage(setup: &Setup, luggage: &Luggage) -> Self {
        let name = setup.name();
        let title = name.map_or_else(|| "The bag".to_owned(), printable);
        let nights = nights(luggage);
        let headline = headline(setup, luggage, &nights);
        let mut page = Self::new(title, headline, luggage.all_served());
        page.lead.extend(bound(luggage));
        page.things(luggage);
        page.each_night(setup, &nights, true);
        page.costs(setup, luggage);
        page.sorts(setup, luggage);
        page.unbeaten(setup, luggage);
        match &luggage.trip {
            Some(trip) => page.route(setup, trip, &luggage.cautions),
            None => page.cautions(&luggage.cautions),
        }
        page
    }
}

/// The nights, those that go alike together.
pub(super) fn nights(luggage: &Luggage) -> Vec<Alike<'_>> {
    let stops = luggage.trip.as_ref().map_or(&[][..], |trip| &trip.stops);
    alike(stops, &luggage.nights)
}

/// What to buy for how much, what the bag weighs, how well it serves, and how sure that is.
fn headline(setup: &Setup, luggage: &Luggage, nights: &[Alike<'_>]) -> String {
    if luggage.bag.pieces == 0 {
        return "no bag of these things charges anything".to_owned();
    }
    let buy = luggage
        .buy
        .iter()
        .map(|piece| (piece.count, piece.thing.as_str()));
    let buy = in_short(setup, buy, ", ");
    let bought = if buy.is_empty() {
        "nothing to buy".to_owned()
    } else {
        format!("buy {buy} for {} together", decimals(luggage.bag.price, 2))
    };
    let weight = grams(luggage.bag.weight_g);
    let parts = [
        bought,
        format!("the bag weighs {weight}"),
        served(luggage, nights),
        proven(luggage),
    ];
    parts.join("; ")
}

/// How the nights go.
fn served(luggage: &Luggage, nights: &[Alike<'_>]) -> String {
    if luggage.all_served() {
        let worst = worst_h(nights.iter().map(|night| -> &Plan { &night.plan }));
        return match worst {
            None => "everything is full every morning".to_owned(),
            Some(worst) => {
                let worst = time(worst);
                format!("everything is full every morning, after {worst} at most")
            }
        };
    }
    let unserved: u32 = luggage.unserved_nights.iter().sum();
    let late: u32 = luggage.late_nights.iter().sum();
    let mut amiss = Vec::new();
    if unserved > 0 {
        amiss.push(format!("without a port {}", counted(unserved, "time")));
    }
    if late > 0 {
        amiss.push(format!("not full in time {}", counted(late, "time")));
    }
    format!("over all nights a device is {}", amiss.join(", "))
}

/// Whether no bag is less.
fn proven(luggage: &Luggage) -> String {
    match luggage.status {
        Status::Optimal => format!("proven: no {} bag does as well", less(luggage.by)),
        Status::Feasible => "not proven: a limit stopped the search".to_owned(),
    }
}

fn less(by: PackBy) -> &'static str {
    match by {
        PackBy::Weight => "lighter",
        PackBy::Price => "cheaper",
        PackBy::Pieces => "smaller",
    }
}

/// What is known of the least where a limit struck.
fn bound(luggage: &Luggage) -> Option<String> {
    if luggage.bag.pieces == 0 || luggage.status == Status::Optimal {
        return None;
    }
    let bound = match luggage.by {
        PackBy::Weight => grams(luggage.bound),
        PackBy::Price => decimals(luggage.bound, 2),
        PackBy::Pieces => counted_pieces(luggage.bound),
    };
    let less = less(luggage.by);
    Some(format!(
        "A {less} bag may do as well, though none below {bound} does."
    ))
}

fn counted_pieces(pieces: f64) -> String {
    let plural = if pieces > 1.0 { "s" } else { "" };
    format!("{} piece{plural}", decimals(pieces, 0))
}

impl Page {
    /// Which sort of bag this is, and what the other would come to.
    fn sorts(&mut self, setup: &Setup, luggage: &Luggage) {
        let lines = unbeaten::sorts(setup, luggage);
        self.notes("Chargers, or adapters with ports", Tone::Plain, lines);
    }
}

impl Luggage {
    /// Whether every device has its berth and is ready in time on every night, and on the
    /// trip every appliance that comes along its way.
    pub fn all_served(&self) -> bool {
        self.bag.pieces > 0 && self.unserved_nights == [0; 3] && self.late_nights == [0; 3]
    }
}

#[cfg(all(test, feature = "cli"))]
mod tests;
