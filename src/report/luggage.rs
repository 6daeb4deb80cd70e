//! What to buy and what to take as a page: the bag, each stop's nights with it, what each
//! thing costs, and the bags that nothing beats; then the trip with it.

use super::calendar::{full_after, nights};
use super::counted;
use super::page::{Line, Page, Rows, Section, Shown, Tone};
use super::printable::{printable, short_name};
use crate::plan::{Plan, Status};
use crate::setup::Setup;
use crate::trip::bag::PackingKind;
use crate::trip::shopping::{BagWorth, Luggage, PackBy, Piece, ThingCost};
use crate::units::quantity::{decimals, time};

impl Page {
    /// The page of `luggage`, which is one of `setup`.
    pub fn of_luggage(setup: &Setup, luggage: &Luggage) -> Self {
        let name = setup.name();
        let title = name.map_or_else(|| "The bag".to_owned(), printable);
        let mut page = Self::new(title, headline(luggage), luggage.all_served());
        page.lead.extend(proof(luggage));
        page.pieces("Buy", &luggage.buy, Tone::Plain);
        page.pieces("Take along", &luggage.take, Tone::Plain);
        page.pieces("Leave at home", &luggage.leave, Tone::Plain);
        page.nights_of(luggage);
        let costs = luggage.costs.iter().map(cost).collect();
        page.notes("What things cost the bag", Tone::Plain, costs);
        page.unbeaten(luggage);
        page.cautions(&luggage.cautions);
        if let Some(trip) = &luggage.trip {
            let trip = Self::of_trip(setup, trip);
            let kept = trip.sections.into_iter().filter(|section| {
                !["Take", "Leave at home", "Nights"].contains(&section.title.as_str())
            });
            page.sections.extend(kept);
            #[cfg(feature = "pictures")]
            page.figures.extend(trip.figures);
        }
        page
    }

    fn pieces(&mut self, title: &str, pieces: &[Piece], tone: Tone) {
        let mut kinds: Vec<PackingKind> = pieces.iter().map(|piece| piece.kind).collect();
        kinds.sort_unstable();
        kinds.dedup();
        let line = |kind: PackingKind| {
            let of_kind = || pieces.iter().filter(|piece| piece.kind == kind);
            let total: u32 = of_kind().map(|piece| piece.count).sum();
            let named: Vec<String> = of_kind().map(piece).collect();
            Line {
                label: counted(total, kind.word()),
                ..Line::item(named.join("; "))
            }
        };
        if !pieces.is_empty() {
            let lines = kinds.into_iter().map(line);
            self.push(Section::titled(title).lines(lines).told(tone));
        }
    }

    /// Each stop's nights: what is plugged in, what is charged beside the rest, when all is
    /// full.
    fn nights_of(&mut self, luggage: &Luggage) {
        let mut rows: Vec<[String; 4]> = Vec::new();
        let names = |names: &[String]| {
            let names: Vec<String> = names.iter().map(|name| short_name(name)).collect();
            names.join(", ")
        };
        let full = |plan: Option<&Plan>| plan.map_or(String::new(), full_after);
        for stop in luggage.trip.iter().flat_map(|trip| &trip.stops) {
            let name = short_name(&stop.name);
            if stop.calendar.is_empty() {
                let full = full(stop.night().as_deref());
                rows.push([name, names(&stop.plugged_in), String::new(), full]);
                continue;
            }
            for night in &stop.calendar {
                let place = format!("{name}, night {}", nights(&night.nights));
                let full = full(night.night().as_deref());
                rows.push([place, names(&night.plugged_in), names(&night.devices), full]);
            }
        }
        for night in &luggage.nights {
            let place = format!("night {}", nights(&night.nights));
            let full = full(night.night().as_deref());
            rows.push([place, String::new(), names(&night.devices), full]);
        }
        if rows.is_empty() {
            return;
        }
        let beside = rows.iter().any(|row| !row[2].is_empty());
        let plugged = rows.iter().any(|row| !row[1].is_empty());
        let mut table = Rows::of(rows).names("Where", |row: &[String; 4]| row[0].clone());
        if plugged {
            table = table.names("Plugged in", |row| row[1].clone());
        }
        if beside {
            table = table.names("Charged beside the rest", |row| row[2].clone());
        }
        let table = table.facts("All full after", |row| row[3].clone());
        self.push(Section::titled("Night by night").table(table.table()));
    }

    fn unbeaten(&mut self, luggage: &Luggage) {
        if luggage.unbeaten.len() < 2 {
            return;
        }
        let is_bag = |bag: &&BagWorth| **bag == luggage.bag;
        let rows = Rows::of(&luggage.unbeaten)
            .facts("Weight", |bag| grams(bag.weight_g))
            .facts("Price", |bag| decimals(bag.price, 2))
            .facts("Pieces", |bag| bag.pieces.to_string())
            .facts("All full after", |bag| longest(bag))
            .names("With", |bag| chargers(bag))
            .chosen(|bag| is_bag(&bag));
        let mut section = Section::titled("Bags that no other beats").table(rows.table());
        if !luggage.unbeaten_complete {
            let line = Line::text("a limit struck: there may be more of them");
            section = section.lines([line]);
        }
        self.push(section.shown(Shown::Everywhere));
    }
}

/// A bag in few words: what is in it.
fn chargers(bag: &BagWorth) -> String {
    let things: Vec<String> = bag
        .things
        .iter()
        .map(|thing| short_name(thing.strip_prefix("1 × ").unwrap_or(thing)))
        .collect();
    things.join(", ")
}

fn longest(bag: &BagWorth) -> String {
    if bag.longest_h.is_finite() {
        time(bag.longest_h)
    } else {
        "not certain".to_owned()
    }
}

/// `180 g`, `1.25 kg`.
fn grams(weight_g: f64) -> String {
    if weight_g.abs() < 1_000.0 {
        format!("{} g", decimals(weight_g, 1))
    } else {
        format!("{} kg", decimals(weight_g / 1_000.0, 2))
    }
}

fn worth(weight_g: f64, price: f64, pieces: i64) -> String {
    let plural = if pieces == 1 { "" } else { "s" };
    format!(
        "{}, price {}, {pieces} piece{plural}",
        grams(weight_g),
        decimals(price, 2)
    )
}

fn headline(luggage: &Luggage) -> String {
    let bag = &luggage.bag;
    if bag.pieces == 0 {
        return "no bag of these things charges anything".to_owned();
    }
    let served = if luggage.all_served() {
        match longest(bag).as_str() {
            "not certain" => "everything is full every morning".to_owned(),
            longest => format!("everything is full every morning, after {longest} at most"),
        }
    } else {
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
    };
    let bag = worth(bag.weight_g, bag.price, i64::from(bag.pieces));
    format!("{served}, with {bag}")
}

/// Whether it is the least, in a sentence.
fn proof(luggage: &Luggage) -> Option<String> {
    let least = match luggage.by {
        PackBy::Weight => "lighter",
        PackBy::Price => "cheaper",
        PackBy::Pieces => "of fewer pieces",
    };
    match luggage.status {
        _ if luggage.bag.pieces == 0 => None,
        Status::Optimal => Some(format!("Proven: no bag that does as well is {least}.")),
        Status::Feasible => {
            let bound = match luggage.by {
                PackBy::Weight => grams(luggage.bound),
                PackBy::Price => decimals(luggage.bound, 2),
                PackBy::Pieces => decimals(luggage.bound, 0),
            };
            Some(format!(
                "A limit struck: a bag may be {least}, though none is below {bound}."
            ))
        }
    }
}

fn piece(piece: &Piece) -> String {
    let mut text = short_name(&piece.thing);
    if piece.count > 1 {
        text = format!("{} × {text}", piece.count);
    }
    let mut facts = Vec::new();
    facts.extend(piece.weight_g.map(grams));
    facts.extend(
        piece
            .price
            .map(|price| format!("price {}", decimals(price, 2))),
    );
    facts.extend(piece.reason.as_deref().map(printable));
    if !facts.is_empty() {
        let each = if piece.count > 1 { " each" } else { "" };
        text = format!("{text} ({}{each})", facts.join(", "));
    }
    text
}

fn cost(cost: &ThingCost) -> String {
    let name = short_name(&cost.thing);
    let mut parts = Vec::new();
    let less = |value: f64, text: String| {
        (value.abs() > 0.0).then(|| {
            let more = if value < 0.0 { "more" } else { "less" };
            format!("{text} {more}")
        })
    };
    if cost.taken {
        parts.extend(less(cost.weight_g, grams(cost.weight_g.abs())));
        parts.extend(less(
            cost.price,
            format!("price {}", decimals(cost.price.abs(), 2)),
        ));
    } else {
        parts.push(grams(cost.weight_g));
        parts.push(format!("price {}", decimals(cost.price, 2)));
    }
    let named = |things: &[String]| {
        let names: Vec<String> = things
            .iter()
            .map(|thing| short_name(thing.strip_prefix("1 × ").unwrap_or(thing)))
            .collect();
        names.join(", ")
    };
    let nights = cost.nights.filter(|[nights, all]| nights < all);
    let nights = nights.map_or(String::new(), |[nights, all]| {
        format!("; it can be used on {nights} of {all} nights")
    });
    let told = if !cost.taken {
        format!("{name} stays at home; with it: {}", parts.join(", "))
    } else if parts.is_empty() {
        format!("without {name}: nothing less")
    } else {
        format!("without {name}: {}", parts.join(", "))
    };
    let spared = if cost.spared.is_empty() {
        String::new()
    } else if cost.taken {
        format!(" (no {})", named(&cost.spared))
    } else {
        format!(" ({})", named(&cost.spared))
    };
    let instead = match cost.instead.as_slice() {
        [] => String::new(),
        things if cost.taken => format!(", with {} instead", named(things)),
        things => format!(", without {}", named(things)),
    };
    let proven = if cost.proven {
        ""
    } else {
        ", as far as was looked"
    };
    format!("{told}{spared}{instead}{nights}{proven}")
}

impl Luggage {
    /// Whether every device has its berth and is ready in time on every night, and on the
    /// trip every appliance that comes along its way.
    pub fn all_served(&self) -> bool {
        self.bag.pieces > 0 && self.unserved_nights == [0; 3] && self.late_nights == [0; 3]
    }
}
