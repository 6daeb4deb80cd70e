//! One stop while it is worked out, and everything about it in words.

use std::rc::Rc;

use super::adapters::{SocketWays, by_socket};
use super::chosen::{Chosen, converted_ways, has_the_volts, plain_ways, shape_ways};
use super::finding::{About, Finding, Grounds, Verdict};
use super::link::Link;
use super::night::{Night, Plugging, Sources, all_counts, has, plugging};
use super::other_nights::OtherNights;
use super::pack::{InSocket, Needs, Packed};
use super::site::Site;
use super::thing::{Answer, Role, Thing};
use super::verdict::Words;
use super::{Ground, TripNight, TripStop};
use crate::facts::{Confidence, Date, LEAST_RATING_RULE, Source, Verdict as Suitable};
use crate::setup::efficiency::{rated_w, wall_w};
use crate::setup::{Setup, TripSpec};
use crate::units::quantity::time;

/// The law behind what a charger draws at least.
const EFFICIENCY_LAW: Source = Source {
    title: "Commission Regulation (EU) 2019/1782, Annex II: the least average efficiency",
    date: Date::Published("2019-10-01"),
    confidence: Confidence::Read,
};

/// A stop while it is worked out.
pub(super) struct Stay<'a> {
    pub(super) site: &'a Site<'a>,
    pub(super) sources: Vec<Answer<'a>>,
    pub(super) appliances: Vec<Answer<'a>>,
    /// Of things that are not listed.
    pub(super) plugs: Vec<Answer<'a>>,
    /// By appliance, whether it stays at home though it could be used.
    pub(super) at_home: Vec<bool>,
    /// Whether nothing is charged at all: then every charger is asked about.
    pub(super) bare: bool,
    /// The best nights, before it is known what is taken; then the one that is spent.
    pub(super) nights: Vec<Rc<Night>>,
    pub(super) night: Option<Rc<Night>>,
    /// What is charged then beside the things of every night, and on which nights, counted
    /// through the route.
    pub(super) charged: Vec<usize>,
    pub(super) on: Vec<u32>,
    /// The nights on which something else is.
    pub(super) others: Vec<OtherNights>,
    /// With the USB ports of adapters alone, where there are any.
    pub(super) with_ports: Vec<Rc<Night>>,
    /// With everything that can be plugged in.
    pub(super) with_all: Option<Rc<Night>>,
    /// Sets of sources that a limit kept from being planned.
    pub(super) sets_untried: usize,
    pub(super) plugging: Option<Plugging>,
    pub(super) findings: Vec<Finding>,
    pub(super) by_socket: Vec<SocketWays>,
}

impl<'a> Stay<'a> {
    pub(super) fn of(
        site: &'a Site<'a>,
        sources: &'a [Thing<'a>],
        appliances: &'a [Thing<'a>],
        plugs: &'a [Thing<'a>],
        spec: &TripSpec,
    ) -> Self {
        let answers = |things: &'a [Thing<'a>]| -> Vec<Answer<'a>> {
            things
                .iter()
                .map(|thing| Answer::of(thing, site, spec))
                .collect()
        };
        Self {
            site,
            sources: answers(sources),
            appliances: answers(appliances),
            plugs: answers(plugs),
            at_home: vec![false; appliances.len()],
            bare: false,
            nights: Vec::new(),
            night: None,
            charged: Vec::new(),
            on: Vec::new(),
            others: Vec::new(),
            with_ports: Vec::new(),
            with_all: None,
            sets_untried: 0,
            plugging: None,
            findings: Vec::new(),
            by_socket: Vec::new(),
        }
    }

    /// Whether something is charged there at night.
    pub(super) fn has_night(&self) -> bool {
        self.site.stop.nights > 0 && !self.bare
    }

    pub(super) fn used(&self) -> Sources {
        self.night.as_ref().map_or(0, |night| night.used)
    }

    pub(super) fn needs(&self) -> Needs<'_> {
        let mut appliances = Vec::with_capacity(self.appliances.len() * 2);
        let mut sockets = Vec::new();
        for (answer, _) in self.taken_along() {
            let plain = plain_ways(answer);
            if !plain.is_empty() {
                sockets.extend(InSocket::all(None, answer, self.site));
            }
            appliances.push(plain);
            appliances.push(converted_ways(answer));
        }
        for (i, answer) in self.sources.iter().enumerate() {
            let charges = answer.is_plain() && !matches!(answer.thing.role, Role::Ports(..));
            if self.bare || answer.voltage == Suitable::NotKnown {
                appliances.push(shape_ways(answer));
                if has_the_volts(answer) {
                    sockets.extend(InSocket::all(None, answer, self.site));
                }
            } else if charges {
                sockets.extend(InSocket::all(Some(i), answer, self.site));
            }
        }
        for answer in &self.plugs {
            appliances.push(shape_ways(answer));
            sockets.extend(InSocket::all(None, answer, self.site));
        }
        Needs {
            sockets,
            site: self.site,
            sources: &self.sources,
            nights: self.nights.iter().map(|night| night.used).collect(),
            appliances,
        }
    }

    /// The appliances that do not stay at home, each with its index.
    pub(super) fn taken_along(&self) -> impl Iterator<Item = (&Answer<'a>, usize)> {
        let appliances = self.appliances.iter().zip(&self.at_home).zip(0..);
        appliances.filter_map(|((answer, home), at)| (!home).then_some((answer, at)))
    }

    /// Puts everything into words, now that it is known what is taken.
    pub(super) fn find(&mut self, setup: &Setup, ground: &Ground<'_>) {
        let plugging = ground
            .packed
            .plugging(self.used(), &self.needs(), ground.trip);
        let mut findings = Vec::new();
        for (i, answer) in self.sources.iter().enumerate() {
            let at_night = self.night_link(i, plugging.as_ref());
            let chosen = Chosen {
                link: Self::source_link(answer, at_night, &ground.packed),
                converted: None,
            };
            let words = self.words(answer, chosen, ground.trip);
            findings.extend(words.findings());
            if let Some(night) = &self.night {
                findings.push(self.at_night(i, night, at_night, ground));
                findings.extend(self.draw(i, night));
            }
        }
        findings.extend(self.alone(ground));
        for answer in &self.appliances {
            let chosen = Chosen::of(answer, &ground.packed);
            findings.extend(self.words(answer, chosen, ground.trip).findings());
        }
        // The label of a charger that stays at home everywhere matters at no stop.
        if ground.ports_alone {
            findings.retain(|found| !setup.charger_names().any(|name| name == found.thing));
        }
        self.plugging = plugging;
        self.findings = findings;
        self.by_socket = by_socket(self, ground);
    }

    fn words<'w>(
        &'w self,
        answer: &'w Answer<'w>,
        chosen: Chosen<'w>,
        trip: &'w TripSpec,
    ) -> Words<'w> {
        Words {
            answer,
            site: self.site,
            trip,
            chosen,
        }
    }

    /// The way of a charger at night: where outlets are few it may go through an adapter
    /// though it goes in straight, too.
    fn night_link(&self, source: usize, plugging: Option<&Plugging>) -> Option<&Link> {
        let through = plugging?.of(source);
        self.sources[source]
            .usable()
            .find(|link| link.adapter == through)
    }

    /// The way of a charger: straight, else as at night, else with what is taken, else the
    /// first there is.
    fn source_link<'l>(
        answer: &'l Answer<'_>,
        at_night: Option<&'l Link>,
        packed: &Packed,
    ) -> Option<&'l Link> {
        let straight = |link: &&Link| link.adapter.is_none();
        let taken = |link: &&Link| link.adapter.is_none_or(|at| packed.adapters[at] > 0);
        let first = answer.usable().find(straight).or(at_night);
        first
            .or_else(|| answer.usable().find(taken))
            .or_else(|| answer.usable().next())
    }

    fn at_night(
        &self,
        source: usize,
        night: &Night,
        link: Option<&Link>,
        ground: &Ground<'_>,
    ) -> Finding {
        let answer = &self.sources[source];
        let name = answer.thing.name;
        let grounds = self.grounds(link);
        let about = About::Night;
        if has(night.used, source) {
            let berths = night.plan.berths.iter();
            let devices = berths.filter(|berth| berth.charger == name).count();
            let through = link.and_then(|link| link.adapter);
            let through =
                through.map(|at| format!(" through \"{}\"", ground.trip.adapters[at].name));
            let reason = format!(
                "plugged in{}, with {} on it",
                through.unwrap_or_default(),
                counted(devices, "device")
            );
            let with = link.and_then(|link| link.adapter);
            let with = with.map(|at| ground.trip.adapters[at].name.clone());
            return grounds
                .find(name, about, Verdict::Fine, reason)
                .through(with);
        }
        if !answer.is_plain() {
            let reason = "not plugged in: see its plug and its voltage";
            return grounds.find(name, about, Verdict::No, reason);
        }
        let beside = night.used | 1 << source;
        let counts = all_counts(ground.trip);
        let fits = plugging(beside, &self.sources, self.site, ground.trip, &counts).is_some();
        let (verdict, reason) = if fits {
            (
                Verdict::Fine,
                "not plugged in: the night is as good without it".to_owned(),
            )
        } else {
            let outlets = self.site.stop.outlets.map_or(String::new(), |outlets| {
                format!("{} and ", counted_u32(outlets, "outlet"))
            });
            let reason = format!(
                "not plugged in: {outlets}the adapters do not reach for it beside the others"
            );
            (Verdict::Caution, reason)
        };
        grounds.find(name, about, verdict, reason)
    }

    /// What it draws at night, by the plan; and at worst, by its label.
    fn draw(&self, source: usize, night: &Night) -> Option<Finding> {
        if !has(night.used, source) {
            return None;
        }
        let thing = self.sources[source].thing;
        let (Role::Charger(charger) | Role::Ports(_, charger)) = thing.role else {
            return None;
        };
        let output = night.most_at_once(|berth| {
            let here = berth.charger == charger.name;
            if here { berth.port_w } else { 0.0 }
        });
        let wall = wall_w(charger, output);
        let volts = *self.site.volts.first()?;
        let worst = rated_w(charger);
        let tenth = |value: f64| (value * 10.0).round() / 10.0;
        let two = |value: f64| (value * 100.0).round() / 100.0;
        let reason = format!(
            "gives {} W by the plan and draws about {} W for it, {} A at {volts} V; at worst {} W \
             by its label, {} W from the wall, {} A",
            tenth(output),
            tenth(wall),
            two(wall / volts),
            tenth(worst),
            tenth(thing.most_w),
            two(thing.amps(volts)),
        );
        let grounds = Grounds::of(EFFICIENCY_LAW).with(&self.site.of_volts);
        Some(grounds.find(thing.name, About::Draw, Verdict::Fine, reason))
    }

    /// Whether the USB ports of the adapters alone are enough.
    fn alone(&self, ground: &Ground<'_>) -> Option<Finding> {
        let ports = self.with_ports.first()?;
        let all = self.with_all.as_ref()?;
        let names: Vec<&str> = self
            .sources
            .iter()
            .filter(|answer| matches!(answer.thing.role, Role::Ports(..)))
            .map(|answer| answer.thing.name)
            .collect();
        if names.len() == self.sources.len() {
            return None;
        }
        let full = |night: &Night| time(night.plan.longest_by_aim().unwrap_or(f64::INFINITY));
        let (verdict, reason) = if ports.serves_all() {
            let stay = if ground.ports_alone {
                "stay at home"
            } else {
                "can stay packed here"
            };
            let reason = format!(
                "its USB ports alone are enough: all full after {}, with the chargers after {}; \
                 the chargers {stay}",
                full(ports),
                full(all)
            );
            (Verdict::Fine, reason)
        } else {
            let plan = &ports.plan;
            let reason = format!(
                "its USB ports alone are not enough: {} without a port, {} late",
                plan.unserved,
                plan.late_by_aim()
            );
            (Verdict::No, reason)
        };
        let grounds = self.grounds(None);
        Some(grounds.find(&names.join(", "), About::PortsAlone, verdict, reason))
    }

    /// What an answer about the night rests on beside the setup.
    fn grounds(&self, link: Option<&Link>) -> Grounds {
        let mut grounds = Grounds::of(LEAST_RATING_RULE).with(&self.site.of_sockets);
        for contact in link.iter().flat_map(|link| &link.contacts) {
            grounds = grounds.and(contact.fit.source);
        }
        grounds.and_said("its labels, and the plan worked out from them")
    }

    /// The things that go through something of that name at this stop.
    pub(super) fn through(&self, name: &str) -> Vec<String> {
        let appliance = |thing: &str| self.appliances.iter().any(|a| a.thing.name == thing);
        let in_use = |found: &&Finding| {
            let about = if appliance(&found.thing) {
                About::Use
            } else {
                About::Night
            };
            found.about == about && found.with.iter().any(|with| with == name)
        };
        let stays = |thing: &str| {
            let mut all = self.appliances.iter().zip(&self.at_home);
            all.any(|(answer, home)| *home && answer.thing.name == thing)
        };
        let found = self.findings.iter().filter(in_use);
        let found = found.filter(|found| !stays(&found.thing));
        found.map(|found| found.thing.clone()).collect()
    }

    /// Whether the adapter's USB ports are in use at night.
    pub(super) fn charges_with_adapter(&self, adapter: usize) -> bool {
        self.sources.iter().enumerate().any(|(i, answer)| {
            matches!(answer.thing.role, Role::Ports(at, _) if at == adapter) && has(self.used(), i)
        })
    }

    /// What the findings of a thing come to.
    pub(super) fn in_use(&self, thing: &str) -> Option<&Finding> {
        let mut findings = self.findings.iter();
        findings.find(|found| found.about == About::Use && found.thing == thing)
    }

    pub(super) fn told(self, setup: &Setup) -> TripStop {
        let names = |charged: &[usize]| {
            let charged = charged.iter();
            charged
                .map(|&device| setup.devices[device].name.clone())
                .collect()
        };
        let mut calendar = Vec::new();
        if !self.others.is_empty() {
            let told = self
                .night
                .iter()
                .map(|night| (&self.charged, &self.on, night));
            let others = self.others.iter();
            let others =
                others.filter_map(|other| Some((&other.charged, &other.on, other.night.as_ref()?)));
            for (charged, on, night) in told.chain(others) {
                let (plan, rota) = night.documents();
                calendar.push(TripNight {
                    nights: on.clone(),
                    devices: names(charged),
                    plugged_in: self.plugged_in(night.used),
                    plan,
                    rota,
                });
            }
        }
        let site = self.site;
        let used = self.used();
        let (plan, rota) = self
            .night
            .as_ref()
            .map_or((None, None), |night| night.documents());
        TripStop {
            name: site.stop.name.clone(),
            country: site.country().to_owned(),
            voltages_v: site.volts.clone(),
            frequencies_hz: site.hertz.clone(),
            sockets: site
                .sockets
                .iter()
                .map(|socket| socket.letter().to_owned())
                .collect(),
            socket_kinds: site.systems().iter().map(ToString::to_string).collect(),
            nights: site.stop.nights,
            plugged_in: self.plugged_in(used),
            outlets_used: self
                .plugging
                .as_ref()
                .map_or(0, |plugging| plugging.outlets),
            sets_untried: self.sets_untried,
            findings: self.findings,
            by_socket: self.by_socket,
            plan,
            rota,
            calendar,
        }
    }
}

/// `1 device`, `3 devices`.
fn counted(count: usize, what: &str) -> String {
    if count == 1 {
        format!("1 {what}")
    } else {
        format!("{count} {what}s")
    }
}

fn counted_u32(count: u32, what: &str) -> String {
    counted(usize::try_from(count).unwrap_or(usize::MAX), what)
}
