//! The ways from a plug to the wall: straight, or through one adapter. Never through two:
//! adapters are not to be chained.

use super::finding::Grounds;
use super::site::Site;
use crate::facts::{
    Earth, EarthPin, Fit, LEAST_RATING_RULE, Part, Plug, Rating, SocketFit, check_current, load_a,
};
use crate::setup::AdapterSpec;
use crate::setup::efficiency::{rated_w, wall_w};

/// What is to be plugged in, as far as the way to the wall is concerned.
#[derive(Debug, Clone, Copy)]
pub(super) struct Draw<'a> {
    /// The plug; several where they can be chosen.
    pub(super) plugs: &'a [Plug],
    /// Whether it is an adapter itself: then it goes through no other.
    pub(super) is_adapter: bool,
    /// A rating of its own beside its plug's.
    pub(super) max_a: Option<f64>,
    pub(super) needs_earth: bool,
    /// The lowest voltage at which it is used there.
    pub(super) volts: f64,
    /// At that voltage.
    pub(super) amps: f64,
}

/// A way to the wall, in whichever of the stop's sockets it may be used.
#[derive(Debug, Clone)]
pub(super) struct Link {
    /// The adapter; `None` straight.
    pub(super) adapter: Option<usize>,
    /// Where it may be used, in the order of the stop's sockets.
    pub(super) contacts: Vec<Contact>,
    /// Why not elsewhere.
    pub(super) refusals: Vec<Refusal>,
}

/// A plug in a socket, with what limits the current on the way.
#[derive(Debug, Clone)]
pub(super) struct Contact {
    pub(super) fit: Fit,
    /// The least rating on the way, in amperes, and whose it is.
    pub(super) limit_a: f64,
    pub(super) limit_by: String,
    /// The current there, in amperes: with that of the adapter's own USB ports, where it
    /// has some.
    pub(super) amps: f64,
    /// Whether every rating on the way is enough.
    pub(super) holds: bool,
    pub(super) earthed: bool,
    /// What the ratings rest on.
    pub(super) grounds: Grounds,
}

/// Why a way cannot be used in one of the sockets.
#[derive(Debug, Clone)]
pub(super) enum Refusal {
    /// The plug does not go in, or should not, or it is not known whether it does.
    Fit(Fit),
    /// It would go in without the earth that is needed.
    Earth(Contact),
    /// It would go in; the current is above the least rating.
    Current(Contact),
}

impl Link {
    pub(super) fn is_usable(&self) -> bool {
        !self.contacts.is_empty()
    }

    /// Whether it may be used in that kind of socket.
    pub(super) fn goes_into(&self, socket: Plug) -> bool {
        self.contacts.iter().any(|of| of.fit.socket == socket)
    }

    /// Why not in that kind of socket.
    pub(super) fn refused_by(&self, socket: Plug) -> Option<&Refusal> {
        self.refusals.iter().find(|refusal| match refusal {
            Refusal::Fit(fit) => fit.socket == socket,
            Refusal::Earth(of) | Refusal::Current(of) => of.fit.socket == socket,
        })
    }
}

/// Every way to the wall: straight first, then through each adapter that the plug goes
/// into, as listed. An adapter, and what has several plugs of its own, only goes straight.
pub(super) fn links(draw: Draw<'_>, site: &Site<'_>, adapters: &[AdapterSpec]) -> Vec<Link> {
    let mut links = vec![link(draw, None, site)];
    let [plug] = draw.plugs else {
        return links;
    };
    if draw.is_adapter {
        return links;
    }
    for (index, adapter) in adapters.iter().enumerate() {
        if let Some(earth) = taken(*plug, &adapter.takes) {
            let through = Through {
                index,
                adapter,
                earth,
            };
            links.push(link(draw, Some(through), site));
        }
    }
    links
}

/// Whether a plug goes into something that takes `plugs`, and if so, whether its earth
/// meets one there.
pub(super) fn taken(plug: Plug, takes: &[Plug]) -> Option<bool> {
    if takes.contains(&plug) {
        return Some(plug.facts().earth != EarthPin::No);
    }
    takes.iter().find_map(|taken| {
        // What takes the plug for both E and F is a socket of one of them; it is not said
        // of which.
        let systems: &[Plug] = match taken {
            Plug::EF => &[Plug::E, Plug::F],
            other => std::slice::from_ref(other),
        };
        let mut kept = true;
        for &system in systems {
            let fit = Fit::of(plug, system);
            if !fit.is_usable() {
                return None;
            }
            kept &= fit.earth == Earth::Kept;
        }
        Some(kept)
    })
}

/// The adapter on the way.
#[derive(Clone, Copy)]
struct Through<'a> {
    index: usize,
    adapter: &'a AdapterSpec,
    /// Whether the earth of what is plugged into it meets one.
    earth: bool,
}

fn link(draw: Draw<'_>, through: Option<Through<'_>>, site: &Site<'_>) -> Link {
    let in_wall = through.map_or(draw.plugs, |through| &through.adapter.makes);
    let (mut contacts, mut refusals) = (Vec::new(), Vec::new());
    for &socket in &site.sockets {
        for &plug in in_wall {
            for fit in SocketFit::of(plug, socket).fits {
                if !fit.is_usable() {
                    refusals.push(Refusal::Fit(fit));
                    continue;
                }
                let contact = contact(draw, through, fit);
                if draw.needs_earth && !contact.earthed {
                    refusals.push(Refusal::Earth(contact));
                } else if contact.holds {
                    contacts.push(contact);
                } else {
                    refusals.push(Refusal::Current(contact));
                }
            }
        }
    }
    Link {
        adapter: through.map(|through| through.index),
        contacts,
        refusals,
    }
}

fn contact(draw: Draw<'_>, through: Option<Through<'_>>, fit: Fit) -> Contact {
    let own = match (through, draw.plugs) {
        (Some(_), [plug]) => *plug,
        _ => fit.plug,
    };
    let mut parts = vec![(Rating::of_plug(own), format!("its plug ({own})"))];
    if let Some(max_a) = draw.max_a {
        let rating = Rating::labelled(Part::Adapter, max_a);
        parts.push((rating, "its own rating".to_owned()));
    }
    let mut earthed = fit.earth == Earth::Kept;
    let mut amps = draw.amps;
    if let Some(Through { adapter, earth, .. }) = through {
        let name = &adapter.name;
        if let Some(max_a) = adapter.max_a {
            let rating = Rating::labelled(Part::Adapter, max_a);
            parts.push((rating, format!("the adapter \"{name}\"")));
        }
        if let Some(fuse_a) = adapter.fuse_a {
            let rating = Rating::labelled(Part::Fuse, fuse_a);
            parts.push((rating, format!("the fuse of \"{name}\"")));
        }
        let by = format!("the plug {} of \"{name}\"", fit.plug);
        parts.push((Rating::of_plug(fit.plug), by));
        earthed &= adapter.earthed && earth;
        // What passes through does not count against the ports, but both come through one
        // plug.
        if let Some((charger, _)) = &adapter.charger {
            amps += load_a(wall_w(charger, rated_w(charger)), draw.volts).unwrap_or(0.0);
        }
    }
    let socket = format!("the socket {}", fit.socket);
    parts.push((Rating::of_socket(fit.socket), socket));
    let ratings: Vec<Rating> = parts.iter().map(|(rating, _)| *rating).collect();
    let mut grounds = Grounds::of(LEAST_RATING_RULE);
    for source in ratings.iter().filter_map(|rating| rating.source) {
        grounds = grounds.and(source);
    }
    let check = check_current(amps, &ratings);
    let least = check.as_ref().map(|check| check.least);
    let by = parts.into_iter().find(|(rating, _)| Some(*rating) == least);
    Contact {
        fit,
        limit_a: least.map_or(0.0, |least| least.amps),
        limit_by: by.map(|(_, name)| name).unwrap_or_default(),
        amps,
        holds: check.is_some_and(|check| check.holds()),
        earthed,
        grounds,
    }
}
