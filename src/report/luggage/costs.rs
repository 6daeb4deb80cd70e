//! What each thing costs the bag, in sentences; alike ones joined.

use super::things::{InShort, grams, parsed, several};
use crate::report::page::{Page, Tone};
use crate::report::printable::whole;
use crate::report::travel::grouped;
use crate::setup::Setup;
use crate::trip::shopping::{Luggage, ThingCost};
use crate::units::quantity::decimals;

impl Page {
    pub(super) fn costs(&mut self, setup: &Setup, luggage: &Luggage) {
        let told = |cost: &ThingCost| (told(setup, cost), whole(&cost.thing));
        let groups = grouped(luggage.costs.iter().map(told));
        let lines = groups.into_iter().map(|(told, names)| told.of(&names));
        self.notes("What things cost the bag", Tone::Plain, lines.collect());
    }
}

/// What is said of a thing, whichever it is.
#[derive(Debug, PartialEq)]
struct Told {
    taken: bool,
    text: String,
}

impl Told {
    /// `without the fan: 72 g less (2 adapters)`.
    fn of(&self, names: &[String]) -> String {
        let named = match names {
            [name] => name.clone(),
            names => format!("any one of {}", names.join(", ")),
        };
        let text = &self.text;
        if self.taken {
            format!("without {named}: {text}")
        } else {
            format!("with {named}, left at home: {text}")
        }
    }
}

fn told(setup: &Setup, cost: &ThingCost) -> Told {
    let nights = cost.nights.filter(|[nights, all]| nights < all);
    let nights = nights.map_or(String::new(), |[nights, all]| {
        format!("; of use on {nights} of {all} nights")
    });
    let proven = if cost.proven {
        ""
    } else {
        "; as far as was looked"
    };
    let text = format!(
        "{}{}{nights}{proven}",
        differences(cost),
        exchange(setup, cost)
    );
    Told {
        taken: cost.taken,
        text,
    }
}

/// `72 g and 12 less`; `72 g less, price 3 more`.
fn differences(cost: &ThingCost) -> String {
    let pieces = f64::from(i32::try_from(cost.pieces).unwrap_or(i32::MAX));
    let parts = [
        (cost.weight_g, grams(cost.weight_g.abs())),
        (
            cost.price,
            format!("price {}", decimals(cost.price.abs(), 2)),
        ),
    ];
    // What is not taken would come on top of the bag.
    let (for_more, for_less) = if cost.taken {
        ("less", "more")
    } else {
        ("more", "less")
    };
    let mut told: Vec<String> = Vec::new();
    for (value, text) in parts {
        if value > 0.0 {
            told.push(format!("{text} {for_more}"));
        } else if value < 0.0 {
            told.push(format!("{text} {for_less}"));
        }
    }
    if told.is_empty() && pieces != 0.0 {
        let plural = if cost.pieces.abs() == 1 { "" } else { "s" };
        let word = if pieces > 0.0 { for_more } else { for_less };
        told.push(format!("{} piece{plural} {word}", cost.pieces.abs()));
    }
    if told.is_empty() {
        "no difference".to_owned()
    } else {
        told.join(", ")
    }
}

/// ` (2 adapters)`; ` (cube 65 instead of desk, 2 adapters)`.
fn exchange(setup: &Setup, cost: &ThingCost) -> String {
    let short = |things: &[String]| {
        let things = things.iter().map(|thing| parsed(thing));
        InShort::of(setup, things)
    };
    let (mut more, mut fewer) = (short(&cost.spared), short(&cost.instead));
    more.without_common(&mut fewer);
    let (mut more, mut fewer) = (more.told(", "), fewer.told(", "));
    if more.is_empty() && fewer.is_empty() {
        // As many of a kind, but others.
        (more, fewer) = (named(&cost.spared), named(&cost.instead));
    }
    match (more.as_str(), fewer.as_str()) {
        ("", "") => String::new(),
        (spared, "") => format!(" ({spared})"),
        ("", instead) if cost.taken => format!(" (but {instead} more)"),
        ("", spared) => format!(" (without {spared})"),
        (spared, instead) if cost.taken => format!(" ({instead} instead of {spared})"),
        (needed, rest) => format!(" ({needed} instead of {rest})"),
    }
}

/// `EF to G, 2 × braided`.
fn named(things: &[String]) -> String {
    let things = things.iter().map(|thing| {
        let (count, name) = parsed(thing);
        several(count, &whole(name))
    });
    things.collect::<Vec<_>>().join(", ")
}
