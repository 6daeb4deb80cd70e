//! The ways from a plug to the wall: straight, or through one adapter. Never through two:
//! adapters are not to be chained.

use super::site::Site;
use crate::facts::{Earth, EarthPin, Fit, Plug, PlugFacts, fit_socket};
use crate::setup::AdapterSpec;

/// What a plug belongs to, as far as the way to the wall is concerned.
#[derive(Debug, Clone, Copy)]
pub(super) struct Draw {
    pub(super) plug: Plug,
    pub(super) needs_earth: bool,
    /// At the lowest voltage at which it is used there.
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

/// A plug in a socket, with all that limits the current on the way.
#[derive(Debug, Clone)]
pub(super) struct Contact {
    pub(super) fit: Fit,
    /// The least rating on the way, and whose it is.
    pub(super) limit_a: f64,
    pub(super) limit_by: String,
    pub(super) earthed: bool,
    /// The letter stands for several systems, and this is the only one of them.
    pub(super) only: bool,
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
}

/// Every way to the wall: straight first, then through each adapter that the plug goes
/// into, as listed.
pub(super) fn links(draw: Draw, site: &Site<'_>, adapters: &[AdapterSpec]) -> Vec<Link> {
    let mut links = vec![link(draw, None, site)];
    for (index, adapter) in adapters.iter().enumerate() {
        if let Some(earth) = taken(draw.plug, &adapter.takes) {
            links.push(link(draw, Some((index, adapter, earth)), site));
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
    let into = |taken: &Plug| -> Option<bool> {
        // What takes the plug for both E and F is a socket of one of them, it is not said
        // of which.
        let systems: &[Plug] = match taken {
            Plug::EF => &[Plug::E, Plug::F],
            other => std::slice::from_ref(other),
        };
        let fits = systems.iter().map(|&system| crate::facts::fit(plug, system));
        let mut kept = true;
        for fit in fits {
            if !fit.is_usable() {
                return None;
            }
            kept &= fit.earth == Earth::Kept;
        }
        Some(kept)
    };
    takes.iter().find_map(into)
}

fn link(draw: Draw, through: Option<(usize, &AdapterSpec, bool)>, site: &Site<'_>) -> Link {
    let own = std::slice::from_ref(&draw.plug);
    let in_wall = through.map_or(own, |(_, adapter, _)| &adapter.makes);
    let (mut contacts, mut refusals) = (Vec::new(), Vec::new());
    for &socket in &site.sockets {
        for &plug in in_wall {
            let met = fit_socket(plug, socket);
            let only = met.only().is_some();
            for fit in met.fits {
                if !fit.is_usable() {
                    refusals.push(Refusal::Fit(fit));
                    continue;
                }
                let contact = contact(draw, through, fit, only);
                if draw.needs_earth && !contact.earthed {
                    refusals.push(Refusal::Earth(contact));
                } else if draw.amps > contact.limit_a {
                    refusals.push(Refusal::Current(contact));
                } else {
                    contacts.push(contact);
                }
            }
        }
    }
    Link {
        adapter: through.map(|(index, _, _)| index),
        contacts,
        refusals,
    }
}

fn contact(
    draw: Draw,
    through: Option<(usize, &AdapterSpec, bool)>,
    fit: Fit,
    only: bool,
) -> Contact {
    let own = (rated(draw.plug), format!("its plug ({})", draw.plug));
    let mut limits = vec![own];
    let mut earthed = fit.earth == Earth::Kept;
    if let Some((_, adapter, earth)) = through {
        if let Some(max_a) = adapter.max_a {
            limits.push((max_a, format!("the adapter {}", adapter.name)));
        }
        if let Some(fuse_a) = adapter.fuse_a {
            limits.push((fuse_a, format!("the fuse of {}", adapter.name)));
        }
        limits.push((rated(fit.plug), format!("the plug {} of {}", fit.plug, adapter.name)));
        earthed &= adapter.earthed && earth;
    }
    limits.push((rated(fit.socket), format!("the socket {}", fit.socket)));
    let (limit_a, limit_by) = limits
        .into_iter()
        // The first of equals: what comes from the thing itself before the wall.
        .reduce(|least, next| if next.0 < least.0 { next } else { least })
        .unwrap_or_default();
    Contact {
        fit,
        limit_a,
        limit_by,
        earthed,
        only,
    }
}

/// What a system is rated for, in amperes: the least of its countries'.
fn rated(plug: Plug) -> f64 {
    let PlugFacts { rated_a, .. } = plug.facts();
    rated_a
}
