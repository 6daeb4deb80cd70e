//! Which adapters are needed, by letter, stop by stop: those of the bag, and those that are
//! missing; and what holds for which kind of socket, where a stop has several.

use serde::{Deserialize, Serialize};

use super::Ground;
use super::chosen::{self, Chosen};
use super::finding::Verdict;
use super::link::{Link, Refusal, taken};
use super::night::{Night, has};
use super::stay::Stay;
use super::thing::{Answer, Role};
use crate::facts::{Earth, Fit, Plug, Verdict as Suitable};

/// An adapter that things need at a stop.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct AdapterNeed {
    /// The stop.
    pub stop: String,
    /// The plugs that go into it; of several, one adapter for the first takes all.
    pub from: Vec<String>,
    /// The plug that it has for the wall.
    pub to: String,
    /// The kinds of sockets of the stop in which they need it.
    pub sockets: Vec<String>,
    /// Whether those are all kinds of sockets there. Where not, it is not needed in the
    /// others, or does not help there.
    pub everywhere: bool,
    /// What is plugged into it.
    pub things: Vec<String>,
    /// The adapter of the bag that does it; absent where it is missing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub have: Option<String>,
}

/// What holds for one kind of socket, at a stop where that differs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct SocketWays {
    /// The kind of socket.
    pub socket: String,
    /// The things whose ways differ between the kinds.
    pub ways: Vec<SocketWay>,
}

/// How a thing goes into one kind of socket.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct SocketWay {
    /// The thing.
    pub thing: String,
    /// `direct`, `adapter`, `converter`, or `no`.
    pub verdict: Verdict,
    /// The adapters and converters that it goes through, from the wall on.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub with: Vec<String>,
}

/// How a thing goes into a socket.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Way {
    Straight,
    /// Through an adapter, whose plug for the wall is the second.
    Adapter(usize, Plug),
    /// Not; an adapter would help.
    Missing,
    /// Not, and no adapter helps.
    No,
}

/// A thing that wants to be plugged in, with its way into each kind of socket.
struct Asked {
    name: String,
    /// What goes into the adapter; none where it can be chosen.
    plug: Option<Plug>,
    /// The converter between it and that plug.
    converter: Option<usize>,
    earthed: bool,
    amps: f64,
    /// By kind of socket.
    ways: Vec<(Plug, Way)>,
}

/// The adapters that are needed at a stop.
pub(super) fn needs(stay: &Stay<'_>, ground: &Ground<'_>) -> Vec<AdapterNeed> {
    let asked = asked(stay, ground);
    let mut needs: Vec<Need> = Vec::new();
    for of in &asked {
        let Some(plug) = of.plug else { continue };
        for &(socket, way) in &of.ways {
            if let Way::Adapter(at, to) = way {
                add(&mut needs, (Some(at), to, plug), socket, &of.name);
            }
        }
        let mut open: Vec<Plug> = of
            .ways
            .iter()
            .filter(|(_, way)| *way == Way::Missing)
            .map(|(socket, _)| *socket)
            .collect();
        while let Some((to, goes)) = of.best_plug(&open) {
            open.retain(|socket| !goes.contains(socket));
            for socket in goes {
                add(&mut needs, (None, to, plug), socket, &of.name);
            }
        }
    }
    let all = stay.site.systems().len();
    let told = |need: Need| AdapterNeed {
        stop: stay.site.stop.name.clone(),
        from: need.from.iter().map(ToString::to_string).collect(),
        to: need.to.to_string(),
        everywhere: need.sockets.len() == all,
        sockets: need.sockets.iter().map(ToString::to_string).collect(),
        things: need.things,
        have: need.adapter.map(|at| ground.trip.adapters[at].name.clone()),
    };
    needs.into_iter().map(told).collect()
}

/// What holds for each kind of socket of a stop, where that differs between them.
pub(super) fn by_socket(stay: &Stay<'_>, ground: &Ground<'_>) -> Vec<SocketWays> {
    let asked = asked(stay, ground);
    let differs = |of: &&Asked| of.ways.windows(2).any(|pair| !pair[0].1.is_as(pair[1].1));
    let differing: Vec<&Asked> = asked.iter().filter(differs).collect();
    if differing.is_empty() {
        return Vec::new();
    }
    let of_socket = |socket: Plug| SocketWays {
        socket: socket.to_string(),
        ways: differing
            .iter()
            .filter_map(|of| {
                let (_, way) = of.ways.iter().find(|(at, _)| *at == socket)?;
                Some(of.told(*way, ground))
            })
            .collect(),
    };
    stay.site.systems().into_iter().map(of_socket).collect()
}

/// An adapter that is needed, while it is found for whom.
struct Need {
    adapter: Option<usize>,
    to: Plug,
    from: Vec<Plug>,
    sockets: Vec<Plug>,
    things: Vec<String>,
}

/// Adds a thing to the need for an adapter of that kind, or begins one.
fn add(
    needs: &mut Vec<Need>,
    (adapter, to, plug): (Option<usize>, Plug, Plug),
    socket: Plug,
    thing: &str,
) {
    // An adapter that is missing is one for all of them, where one takes all.
    let fits = |need: &Need| {
        let first = need.from.first().copied().unwrap_or(plug);
        let all = |takes: Plug| {
            let mut plugs = need.from.iter().chain([&plug]);
            plugs.all(|&plug| taken(plug, &[takes]).is_some())
        };
        adapter.is_some() || all(first) || all(plug)
    };
    let found = needs
        .iter_mut()
        .find(|need| need.adapter == adapter && need.to == to && fits(need));
    let need = if let Some(need) = found {
        need
    } else {
        needs.push(Need {
            adapter,
            to,
            from: Vec::new(),
            sockets: Vec::new(),
            things: Vec::new(),
        });
        let last = needs.len() - 1;
        &mut needs[last]
    };
    if !need.from.contains(&plug) {
        let takes_all = need.from.iter().all(|&from| taken(from, &[plug]).is_some());
        let at = if takes_all { 0 } else { need.from.len() };
        need.from.insert(at, plug);
    }
    if !need.sockets.contains(&socket) {
        need.sockets.push(socket);
    }
    if !need.things.iter().any(|known| known == thing) {
        need.things.push(thing.to_owned());
    }
}

impl Way {
    /// Whether a person does the same for both.
    fn is_as(self, other: Self) -> bool {
        match (self, other) {
            (Self::Adapter(one, _), Self::Adapter(another, _)) => one == another,
            (Self::Missing | Self::No, Self::Missing | Self::No) => true,
            _ => self == other,
        }
    }
}

impl Asked {
    /// The plug that goes into the most of these sockets, and into which.
    fn best_plug(&self, sockets: &[Plug]) -> Option<(Plug, Vec<Plug>)> {
        let goes = |to: Plug, socket: Plug| {
            let fit = Fit::of(to, socket);
            fit.is_usable() && (!self.earthed || fit.earth == Earth::Kept)
        };
        let mut best: Option<(Plug, Vec<Plug>)> = None;
        let carries = |to: &Plug| to.facts().rated_a >= self.amps;
        for to in sockets.iter().copied().chain([Plug::EF]).filter(carries) {
            let into: Vec<Plug> = sockets
                .iter()
                .copied()
                .filter(|&socket| goes(to, socket))
                .collect();
            let most = best.as_ref().map_or(0, |(_, into)| into.len());
            if into.len() > most {
                best = Some((to, into));
            }
        }
        best
    }

    fn told(&self, way: Way, ground: &Ground<'_>) -> SocketWay {
        let trip = ground.trip;
        let converter = self.converter.map(|at| trip.converters[at].name.clone());
        let (verdict, adapter) = match way {
            Way::Straight if converter.is_some() => (Verdict::Converter, None),
            Way::Straight => (Verdict::Direct, None),
            Way::Adapter(at, _) if converter.is_some() => (Verdict::Converter, Some(at)),
            Way::Adapter(at, _) => (Verdict::Adapter, Some(at)),
            Way::Missing | Way::No => (Verdict::No, None),
        };
        let adapter = adapter.map(|at| trip.adapters[at].name.clone());
        let with = match verdict {
            Verdict::No => Vec::new(),
            _ => adapter.into_iter().chain(converter).collect(),
        };
        SocketWay {
            thing: self.name.clone(),
            verdict,
            with,
        }
    }
}

/// The things that are plugged in at a stop, or would be.
fn asked(stay: &Stay<'_>, ground: &Ground<'_>) -> Vec<Asked> {
    let mut asked = Vec::new();
    let missed = stay
        .night
        .as_deref()
        .is_some_and(|night| !Night::serves_all(night));
    for (i, answer) in stay.sources.iter().enumerate() {
        let at_night = has(stay.used(), i);
        let lacks = missed && (answer.lacks_a_plug() || answer.voltage == Suitable::NotKnown);
        if !(at_night || lacks || stay.bare) || ground.stays_at_home(answer) {
            continue;
        }
        let through = stay.plugging.as_ref().and_then(|plugging| plugging.of(i));
        asked.extend(plain(stay, answer, through.filter(|_| at_night), ground));
    }
    let appliances = stay.appliances.iter().zip(&stay.at_home);
    for (answer, _) in appliances.filter(|(_, at_home)| !**at_home) {
        let converted = Chosen::of(answer, &ground.packed).converted;
        let by_converter = answer.held.is_empty() && answer.voltage != Suitable::NotKnown;
        asked.extend(match converted.and_then(|way| way.converter) {
            Some(converter) if by_converter => conversion(stay, answer, converter, ground),
            _ => plain(stay, answer, None, ground),
        });
    }
    for answer in &stay.plugs {
        asked.extend(plain(stay, answer, None, ground));
    }
    asked
}

/// A thing that goes into the wall by its own plug; nothing where that would be wrong.
fn plain(
    stay: &Stay<'_>,
    answer: &Answer<'_>,
    prefers: Option<usize>,
    ground: &Ground<'_>,
) -> Option<Asked> {
    let thing = answer.thing;
    if thing.plugs.is_empty() || !chosen::has_the_volts(answer) {
        return None;
    }
    let volts = answer.held.first().or(stay.site.volts.first());
    Some(Asked {
        name: match thing.role {
            Role::Plug => format!("plug {}", thing.name),
            _ => thing.name.to_owned(),
        },
        plug: match (thing.role, thing.plugs) {
            (Role::Ports(..), _) => None,
            (_, [plug]) => Some(*plug),
            _ => None,
        },
        converter: None,
        earthed: thing.needs_earth,
        amps: volts.map_or(0.0, |&volts| thing.amps(volts)),
        ways: ways(stay, &answer.links, prefers, ground),
    })
}

/// A thing that goes into a converter.
fn conversion(
    stay: &Stay<'_>,
    answer: &Answer<'_>,
    converter: usize,
    ground: &Ground<'_>,
) -> Option<Asked> {
    let mut conversions = answer.conversions.iter();
    let conversion = conversions.find(|of| of.converter == converter)?;
    let volts = stay.site.volts.first()?;
    Some(Asked {
        name: answer.thing.name.to_owned(),
        plug: Some(ground.trip.converters[converter].plug),
        converter: Some(converter),
        earthed: answer.thing.needs_earth,
        amps: answer.thing.most_w / volts,
        ways: ways(stay, &conversion.links, None, ground),
    })
}

/// By kind of socket, how a plug goes in: straight, else through the adapter that is
/// preferred, else through what is packed.
fn ways(
    stay: &Stay<'_>,
    links: &[Link],
    prefers: Option<usize>,
    ground: &Ground<'_>,
) -> Vec<(Plug, Way)> {
    let of = |socket: Plug| {
        let into = |link: &&Link| link.goes_into(socket);
        let through = |which: &dyn Fn(usize) -> bool| {
            let mut links = links.iter().filter(into);
            let link = links.find(|link| link.adapter.is_some_and(which))?;
            let contact = link.contacts.iter().find(|of| of.fit.socket == socket)?;
            Some(Way::Adapter(link.adapter?, contact.fit.plug))
        };
        let straight = links.iter().find(|link| link.adapter.is_none());
        let chosen = through(&|at| Some(at) == prefers);
        if let Some(way) = chosen {
            return way;
        }
        if straight.as_ref().is_some_and(into) {
            return Way::Straight;
        }
        if let Some(way) = through(&|at| ground.packed.adapters[at] > 0) {
            return way;
        }
        let refusal = straight.and_then(|link| link.refused_by(socket));
        match refusal {
            Some(Refusal::Fit(_) | Refusal::Earth(_)) => Way::Missing,
            Some(Refusal::Current(_)) | None => Way::No,
        }
    };
    let systems = stay.site.systems().into_iter();
    systems.map(|socket| (socket, of(socket))).collect()
}
