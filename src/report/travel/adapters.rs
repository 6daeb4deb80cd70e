//! Which adapters are needed, in a sentence.

use super::grouped;
use crate::report::printable::{printable, short_name};
use crate::trip::{About, AdapterNeed, Trip, TripStop};

/// `Adapters: EF to G for Edinburgh; EF to J for Zurich; none in Vienna, Copenhagen`, and,
/// where some are missing, the same of those.
pub(super) fn sentences(trip: &Trip) -> (String, Option<String>) {
    let missing = missing(trip);
    let mut parts = at_hand(trip);
    let of_stop = |stop: &TripStop| trip.adapters.iter().any(|need| need.stop == stop.name);
    let (known, unknown): (Vec<&TripStop>, Vec<&TripStop>) =
        trip.stops.iter().partition(|stop| !stop.sockets.is_empty());
    let none: Vec<&TripStop> = known.into_iter().filter(|stop| !of_stop(stop)).collect();
    if is_unasked(trip) {
        let ask = "Adapters: nothing with a plug is listed; a line such as `plug EF` asks for one";
        return (ask.to_owned(), None);
    }
    let named = |stops: &[&TripStop]| {
        let names: Vec<String> = stops.iter().map(|stop| short_name(&stop.name)).collect();
        names.join(", ")
    };
    if !none.is_empty() && none.len() == trip.stops.len() {
        parts.push("none needed at any stop".to_owned());
    } else if !none.is_empty() {
        parts.push(format!("none in {}", named(&none)));
    }
    if !unknown.is_empty() {
        parts.push(format!("not known for {}", named(&unknown)));
    }
    match (parts.is_empty(), missing) {
        (true, Some(missing)) => (format!("Adapters: {missing}"), None),
        (_, missing) => (
            format!("Adapters: {}", parts.join("; ")),
            missing.map(|missing| super::sentence(&missing)),
        ),
    }
}

/// Whether nothing was listed that has a plug.
fn is_unasked(trip: &Trip) -> bool {
    let mut uses = trip.stops.iter().flat_map(|stop| &stop.findings);
    trip.adapters.is_empty() && trip.plugs.is_empty() && !uses.any(|of| of.about == About::Use)
}

/// The adapters of the bag, those of the same letters together.
fn at_hand(trip: &Trip) -> Vec<String> {
    let needs = trip.adapters.iter().filter(|need| need.have.is_some());
    let needs = needs.flat_map(|need| {
        let of_plug = |from: &String| ((from.clone(), need.to.clone()), told_stop(need));
        need.from.iter().map(of_plug)
    });
    let clause = |((from, to), mut stops): ((String, String), Vec<String>)| {
        stops.dedup();
        format!("{from} to {to} for {}", stops.join(", "))
    };
    grouped(needs).into_iter().map(clause).collect()
}

/// The stop of a need, and where it holds in some rooms only.
fn told_stop(need: &AdapterNeed) -> String {
    let stop = short_name(&need.stop);
    if need.everywhere {
        stop
    } else {
        format!("{stop} where the socket is {}", need.sockets.join(" or "))
    }
}

/// The plugs that go in, those for the wall, and the things.
type Letters<'a> = (&'a Vec<String>, Vec<&'a str>, &'a Vec<String>);

/// `an adapter from EF (or C) to G is missing in Edinburgh: hub, garment steamer`.
fn missing(trip: &Trip) -> Option<String> {
    let needs = trip.adapters.iter().filter(|need| need.have.is_none());
    // Rooms of one stop that differ are told together.
    let of_stop = grouped(needs.map(|need| {
        let key = (&need.stop, &need.from, &need.things, need.everywhere);
        (key, need)
    }));
    let told = grouped(of_stop.into_iter().map(|((_, from, things, _), needs)| {
        let to: Vec<&str> = needs.iter().map(|need| need.to.as_str()).collect();
        let mut stop = short_name(&needs[0].stop);
        if !needs[0].everywhere {
            let sockets = needs.iter().flat_map(|need| &need.sockets);
            let sockets: Vec<&str> = sockets.map(String::as_str).collect();
            stop = format!("{stop} where the socket is {}", sockets.join(" or "));
        }
        ((from, to, things), stop)
    }));
    let clause = |((from, to, things), stops): (Letters<'_>, Vec<String>)| {
        let from = match from.split_first() {
            Some((first, [])) => first.clone(),
            Some((first, others)) => format!("{first} (or {})", others.join(" or ")),
            None => String::new(),
        };
        let things: Vec<String> = things.iter().map(|thing| printable(thing)).collect();
        format!(
            "an adapter from {from} to {} is missing in {}: {}",
            to.join(" or "),
            stops.join(", "),
            things.join(", ")
        )
    };
    let clauses: Vec<String> = told.into_iter().map(clause).collect();
    (!clauses.is_empty()).then(|| clauses.join("; "))
}
