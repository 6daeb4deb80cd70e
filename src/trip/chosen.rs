//! The way of a thing to the wall that is taken, of all that it has.

use std::cmp::Reverse;

use super::link::Link;
use super::pack::{Packed, Route};
use super::thing::Answer;
use crate::facts::Verdict as Suitable;
use crate::units::millionths;

/// How a thing gets to the wall with what is taken.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Chosen<'a> {
    /// At the voltages that its label holds.
    pub(super) link: Option<&'a Link>,
    /// At the others: the converter, and the adapter that it goes through.
    pub(super) converted: Option<Route>,
}

impl<'a> Chosen<'a> {
    /// Of an appliance: straight where that can be, else through what is taken.
    pub(super) fn of(answer: &'a Answer<'a>, packed: &Packed) -> Self {
        let plain = plain_ways(answer);
        let link = match packed.way(&plain) {
            Some(way) => answer.usable().find(|link| link.adapter == way.adapter),
            None => answer.usable().next(),
        };
        let converted = converted_ways(answer);
        Self {
            link,
            converted: packed.way(&converted).or(converted.first().copied()),
        }
    }
}

/// The ways of a thing at the voltages that its label holds.
pub(super) fn plain_ways(answer: &Answer<'_>) -> Vec<Route> {
    if answer.held.is_empty() {
        return Vec::new();
    }
    shape_ways(answer)
}

/// Whether nothing is known that speaks against plugging it in.
pub(super) fn has_the_volts(answer: &Answer<'_>) -> bool {
    answer.voltage != Suitable::SuitsNot && !answer.turns_wrongly()
}

/// The ways of a thing whose voltage suits, or is not known.
pub(super) fn shape_ways(answer: &Answer<'_>) -> Vec<Route> {
    if !has_the_volts(answer) {
        return Vec::new();
    }
    let way = |link: &Link| Route {
        converter: None,
        adapter: link.adapter,
    };
    let mut links: Vec<&Link> = answer.usable().collect();
    // Straight first, then what carries the most: the safest of what is at hand.
    let carries = |link: &Link| {
        let contacts = link
            .contacts
            .iter()
            .map(|contact| millionths(contact.limit_a));
        contacts.min().unwrap_or(0)
    };
    links.sort_by_key(|link| (link.adapter.is_some(), Reverse(carries(link))));
    links.into_iter().map(way).collect()
}

/// The ways of a thing at the other voltages.
pub(super) fn converted_ways(answer: &Answer<'_>) -> Vec<Route> {
    if answer.turns_wrongly() {
        return Vec::new();
    }
    let mut ways = Vec::new();
    for conversion in answer.conversions.iter().filter(|c| c.unfit.is_none()) {
        for link in conversion.links.iter().filter(|link| link.is_usable()) {
            ways.push(Route {
                converter: Some(conversion.converter),
                adapter: link.adapter,
            });
        }
    }
    ways
}

/// Whether a thing can be used at any of the voltages.
pub(super) fn has_a_way(answer: &Answer<'_>) -> bool {
    !plain_ways(answer).is_empty() || !converted_ways(answer).is_empty()
}
