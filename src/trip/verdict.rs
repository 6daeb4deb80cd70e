//! The findings of a thing at a stop, in words.

use std::cmp::Reverse;
use std::fmt::Write as _;

use super::finding::{About, Finding, Grounds, Verdict};
use super::link::{Contact, Link, Refusal};
use super::pack::{Packed, Way};
use super::site::{Site, listed};
use super::thing::{Answer, Role, Unfit};
use crate::document::Load;
use crate::facts::{
    Confidence, FREQUENCY_RULE, Fit, Fits, Held, LEAST_RATING_RULE, Source, SuitsAt, VOLTAGE_RULE,
    Verdict as Suitable, all_mains, fit_socket,
};
use crate::setup::TripSpec;
use crate::units::millionths;

/// How a thing gets to the wall with what is taken.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Chosen<'a> {
    /// At the voltages that its label holds.
    pub(super) link: Option<&'a Link>,
    /// At the others: the converter, and the adapter that it goes through.
    pub(super) converted: Option<Way>,
}

/// What the findings of one thing are made from.
pub(super) struct Words<'a> {
    pub(super) answer: &'a Answer<'a>,
    pub(super) site: &'a Site<'a>,
    pub(super) trip: &'a TripSpec,
    pub(super) chosen: Chosen<'a>,
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
pub(super) fn plain_ways(answer: &Answer<'_>) -> Vec<Way> {
    if answer.held.is_empty() || answer.turns_wrongly() {
        return Vec::new();
    }
    let way = |link: &Link| Way {
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
pub(super) fn converted_ways(answer: &Answer<'_>) -> Vec<Way> {
    if answer.turns_wrongly() {
        return Vec::new();
    }
    let mut ways = Vec::new();
    for conversion in answer.conversions.iter().filter(|c| c.unfit.is_none()) {
        for link in conversion.links.iter().filter(|link| link.is_usable()) {
            ways.push(Way {
                converter: Some(conversion.converter),
                adapter: link.adapter,
            });
        }
    }
    ways
}

impl Words<'_> {
    /// Every finding of the thing at the stop, what it comes to first.
    pub(super) fn findings(&self) -> Vec<Finding> {
        let mut findings = vec![
            self.voltage(),
            self.frequency(),
            self.plug(),
            self.earth(),
            self.current(),
        ];
        findings.insert(0, self.all_in_all(&findings));
        findings
    }

    fn name(&self) -> &str {
        self.answer.thing.name
    }

    /// What stands in for a table's row that is missing.
    fn no_row(&self, field: &str) -> (Grounds, String) {
        let lists = all_mains().first().map(|row| Source {
            title: "the lists of mains by country have no such row",
            confidence: Confidence::Read,
            ..row.source
        });
        let grounds = lists.map(Grounds::of).unwrap_or_default();
        let reason = format!(
            "{} is missing from the table: look, and write `{field}` at the stop",
            self.site.country()
        );
        (grounds, reason)
    }

    fn voltage(&self) -> Finding {
        let Self { answer, site, .. } = self;
        if site.volts.is_empty() {
            let (grounds, reason) = self.no_row("voltages_v");
            return grounds.find(self.name(), About::Voltage, Verdict::Unknown, reason);
        }
        let grounds = Grounds::of(VOLTAGE_RULE).with(&site.of_volts);
        if answer.voltage == Suitable::NotKnown {
            let reason = format!(
                "{} in the wall; the setup does not say what it runs on (`input_v`)",
                site.volts_text()
            );
            return grounds.find(self.name(), About::Voltage, Verdict::Unknown, reason);
        }
        let each: Vec<String> = answer.volts.at.iter().map(at_volts).collect();
        let mut reason = each.join("; ");
        if let (true, Some(note)) = (site.volts.len() > 1, site.note()) {
            let _ = write!(reason, " ({note})");
        }
        let converter = self
            .chosen
            .converted
            .filter(|_| !answer.not_held.is_empty());
        let verdict = match answer.voltage {
            Suitable::Suits => Verdict::Fine,
            Suitable::SuitsNearly => Verdict::Caution,
            Suitable::Depends => Verdict::Depends,
            _ if converter.is_some() => Verdict::Converter,
            _ => Verdict::No,
        };
        if let Some(way) = converter {
            reason.push_str("; ");
            reason.push_str(&self.converter_helps(way));
        } else if !answer.not_held.is_empty() {
            for (at, unfit) in self.unfit() {
                reason.push_str("; ");
                reason.push_str(&self.converter_fails(at, unfit));
            }
        }
        if answer.volts.may_have_switch && answer.voltage != Suitable::SuitsNot {
            reason.push_str("; it may have a switch: set it before it is plugged in");
        }
        let with = converter.and_then(|way| way.converter);
        let with = with.map(|at| self.trip.converters[at].name.clone());
        let finding = grounds.find(self.name(), About::Voltage, verdict, reason);
        if verdict == Verdict::Converter {
            finding.through(with)
        } else {
            finding
        }
    }

    fn converter_helps(&self, way: Way) -> String {
        let Some(converter) = way.converter.map(|at| &self.trip.converters[at]) else {
            return String::new();
        };
        format!(
            "\"{}\" makes {} V of it, up to {} W",
            converter.name, converter.to_v, converter.max_w
        )
    }

    /// The converters that are of no use, with the reason.
    fn unfit(&self) -> Vec<(usize, Option<Unfit>)> {
        let conversions = self.answer.conversions.iter();
        conversions.map(|c| (c.converter, c.unfit)).collect()
    }

    fn converter_fails(&self, at: usize, unfit: Option<Unfit>) -> String {
        let converter = &self.trip.converters[at];
        let name = &converter.name;
        match unfit {
            Some(Unfit::From) => format!("\"{name}\" does not run on that"),
            Some(Unfit::To) => format!("\"{name}\" makes {} V", converter.to_v),
            Some(Unfit::Kind) => format!(
                "\"{name}\" is not made for {} loads",
                self.answer.thing.load.word()
            ),
            Some(Unfit::TooSmall) => format!(
                "\"{name}\" gives {} W, it takes {} W",
                converter.max_w, self.answer.thing.most_w
            ),
            Some(Unfit::Plug) => format!("its plug does not go into \"{name}\""),
            Some(Unfit::Earth) => format!("\"{name}\" leads no earth through"),
            None => format!("\"{name}\" has no way into the wall"),
        }
    }

    fn frequency(&self) -> Finding {
        let Self { answer, site, .. } = self;
        if site.hertz.is_empty() {
            let (grounds, reason) = self.no_row("frequencies_hz");
            return grounds.find(self.name(), About::Frequency, Verdict::Unknown, reason);
        }
        let grounds = Grounds::of(FREQUENCY_RULE).with(&site.of_hertz);
        let label = answer.thing.input.map(|input| &input.frequency_hz);
        let printed = label.map(|rated| format!("{} Hz", listed(rated, "or")));
        let (wall, load) = (site.hertz_text(), answer.thing.load);
        let (verdict, reason) = match (answer.frequency, load) {
            (Suitable::NotKnown, Load::Heating) => (
                Verdict::Fine,
                format!("{wall}; it heats, and heat does not ask for the frequency"),
            ),
            (Suitable::NotKnown, _) => (
                Verdict::Caution,
                format!("{wall}; the setup does not say what it runs on (`input_hz`): look"),
            ),
            (Suitable::Suits | Suitable::SuitsNearly, _) => (
                Verdict::Fine,
                format!("{wall}; its label says {}", printed.unwrap_or_default()),
            ),
            (_, Load::Heating) => (
                Verdict::Fine,
                format!("{wall}; it heats, and heat does not ask for the frequency"),
            ),
            (_, Load::Motor) => (
                Verdict::No,
                format!(
                    "{wall}; its label says {}: a motor turns at another speed, and may get hot",
                    printed.unwrap_or_default()
                ),
            ),
            (_, Load::Electronic) => (
                Verdict::Caution,
                format!(
                    "{wall}; its label says {}: most supplies do not mind, but the maker does \
                     not say so",
                    printed.unwrap_or_default()
                ),
            ),
        };
        grounds.find(self.name(), About::Frequency, verdict, reason)
    }

    fn plug(&self) -> Finding {
        let Self { answer, site, .. } = self;
        let about = About::Plug;
        if site.sockets.is_empty() {
            let (grounds, reason) = self.no_row("sockets");
            return grounds.find(self.name(), about, Verdict::Unknown, reason);
        }
        let sockets = site.sockets_text();
        if let (true, Some((converter, link))) = (answer.held.is_empty(), self.converter_link()) {
            return self.converter_plug(converter, link);
        }
        let Some(link) = self.chosen.link else {
            let grounds = self.refusal_grounds();
            if answer.thing.plugs.is_empty() {
                let reason =
                    format!("sockets {sockets}; the setup does not say which plug it has (`plug`)");
                return grounds.find(self.name(), about, Verdict::Unknown, reason);
            }
            let (verdict, reason) = self.no_way();
            return grounds.find(self.name(), about, verdict, reason);
        };
        let grounds = self.link_grounds(link);
        let into = self.into(link);
        let elsewhere = self.elsewhere(link);
        let care = if elsewhere.is_empty() {
            Verdict::Fine
        } else {
            Verdict::Caution
        };
        match link.adapter {
            None => {
                let plug = link.contacts.first().map(|contact| contact.fit.plug);
                let plug = plug.map(|plug| plug.to_string()).unwrap_or_default();
                let reason = format!("plug {plug} goes into {into}{elsewhere}");
                grounds.find(self.name(), about, care, reason)
            }
            Some(adapter) => {
                let name = &self.trip.adapters[adapter].name;
                let straight = self.why_not_straight();
                let reason = format!("{straight}; \"{name}\" goes into {into}{elsewhere}");
                let finding = grounds.find(self.name(), about, Verdict::Adapter, reason);
                finding.through([name.clone()])
            }
        }
    }

    /// The converter that is used, and its way into the wall.
    fn converter_link(&self) -> Option<(usize, &Link)> {
        let way = self.chosen.converted?;
        let mut conversions = self.answer.conversions.iter();
        let conversion = conversions.find(|c| Some(c.converter) == way.converter)?;
        let mut links = conversion.links.iter();
        let link = links.find(|link| link.adapter == way.adapter)?;
        Some((conversion.converter, link))
    }

    fn converter_plug(&self, converter: usize, link: &Link) -> Finding {
        let converter = &self.trip.converters[converter];
        let elsewhere = self.elsewhere(link);
        let mut grounds = self.site.of_sockets.clone();
        for contact in &link.contacts {
            grounds = grounds.and(contact.fit.source);
        }
        let (verdict, through) = match link.adapter {
            Some(adapter) => (
                Verdict::Adapter,
                Some(self.trip.adapters[adapter].name.clone()),
            ),
            None if elsewhere.is_empty() => (Verdict::Fine, None),
            None => (Verdict::Caution, None),
        };
        let by = through
            .as_ref()
            .map_or(String::new(), |name| format!(" through \"{name}\""));
        let reason = format!(
            "goes into \"{}\", whose plug {} goes{by} into {}{elsewhere}",
            converter.name,
            converter.plug,
            self.into(link)
        );
        grounds
            .find(self.name(), About::Plug, verdict, reason)
            .through(through)
    }

    /// The sockets that a way goes into: `A`, `A and B`.
    fn into(&self, link: &Link) -> String {
        let mut systems: Vec<String> = Vec::new();
        for contact in &link.contacts {
            let name = contact.fit.socket.to_string();
            if !systems.contains(&name) {
                systems.push(name);
            }
        }
        listed(&systems, "and")
    }

    /// The sockets of the stop that a way does not go into.
    fn elsewhere(&self, link: &Link) -> String {
        let goes = |system| link.contacts.iter().any(|c| c.fit.socket == system);
        let systems = self.site.sockets.iter().flat_map(|socket| socket.systems());
        let not: Vec<String> = systems
            .copied()
            .filter(|&system| !goes(system))
            .map(|system| system.to_string())
            .collect();
        if not.is_empty() {
            String::new()
        } else {
            format!(", not into {}", listed(&not, "or"))
        }
    }

    /// Why the thing does not go straight into the wall.
    fn why_not_straight(&self) -> String {
        let Some(straight) = self.answer.links.first() else {
            return String::new();
        };
        match straight.refusals.first() {
            Some(refusal) => refusal_text(refusal),
            None => "it goes in straight, too".to_owned(),
        }
    }

    /// Why there is no way at all.
    fn no_way(&self) -> (Verdict, String) {
        let known =
            |refusal: &Refusal| !matches!(refusal, Refusal::Fit(fit) if fit.fits == Fits::NotKnown);
        let straight = self.answer.links.first();
        let any_known = straight.is_none_or(|link| link.refusals.iter().any(known));
        let mut reason = self.why_not_straight();
        for link in self.answer.links.iter().skip(1) {
            let Some(adapter) = link.adapter.map(|at| &self.trip.adapters[at]) else {
                continue;
            };
            // An adapter for other walls explains nothing.
            let refusal = link
                .refusals
                .iter()
                .find(|refusal| !matches!(refusal, Refusal::Fit(_)));
            if let Some(refusal) = refusal {
                reason.push_str(&format!("; through \"{}\": ", adapter.name));
                reason.push_str(&refusal_text(refusal));
            }
        }
        let verdict = if any_known {
            Verdict::No
        } else {
            Verdict::Unknown
        };
        (verdict, format!("{reason}; {}", self.would_serve()))
    }

    /// The adapter that is missing.
    fn would_serve(&self) -> String {
        let thing = self.answer.thing;
        let plugs: Vec<String> = thing.plugs.iter().map(ToString::to_string).collect();
        let earth = if thing.needs_earth {
            "an earthed adapter"
        } else {
            "an adapter"
        };
        let amps = self.answer.held.first().map(|&volts| thing.amps(volts));
        let amps = amps.map_or(String::new(), |amps| {
            format!(" for at least {} A", rounded_up(amps))
        });
        format!(
            "{earth} from {} to {}{amps} would do",
            listed(&plugs, "or"),
            self.site.sockets_text()
        )
    }

    fn link_grounds(&self, link: &Link) -> Grounds {
        let mut grounds = self.site.of_sockets.clone();
        for contact in &link.contacts {
            grounds = grounds.and(contact.fit.source);
        }
        if let (Some(_), Some(straight)) = (link.adapter, self.answer.links.first()) {
            if let Some(fit) = straight.refusals.first().and_then(refused_fit) {
                grounds = grounds.and(fit.source);
            }
        }
        grounds
    }

    fn refusal_grounds(&self) -> Grounds {
        let mut grounds = Grounds::of(LEAST_RATING_RULE).with(&self.site.of_sockets);
        let refusals = self.answer.links.iter().flat_map(|link| &link.refusals);
        for fit in refusals.filter_map(refused_fit) {
            if fit.fits != Fits::NotKnown {
                grounds = grounds.and(fit.source);
            }
        }
        if let (Some(&socket), Some(&plug)) =
            (self.site.sockets.first(), self.answer.thing.plugs.first())
        {
            for fit in fit_socket(plug, socket).fits {
                grounds = grounds.and(fit.source);
            }
        }
        grounds
    }

    fn earth(&self) -> Finding {
        let about = About::Earth;
        let thing = self.answer.thing;
        let contact = self.contact();
        let grounds = match (contact, self.chosen.link) {
            (_, Some(link)) => self.link_grounds(link),
            _ => self.refusal_grounds(),
        };
        if !thing.needs_earth {
            let reason = "it needs no earth";
            return grounds.find(self.name(), about, Verdict::Fine, reason);
        }
        match contact {
            Some(contact) => {
                let through = match self.through_names().as_slice() {
                    [] => "the plug".to_owned(),
                    names => listed(names, "and"),
                };
                let reason = format!(
                    "needed, and kept through {through} into {}",
                    contact.fit.socket
                );
                grounds.find(self.name(), about, Verdict::Fine, reason)
            }
            None => {
                let reason = format!(
                    "needed, and there is no way that keeps it; {}",
                    self.would_serve()
                );
                grounds.find(self.name(), about, Verdict::No, reason)
            }
        }
    }

    /// Where the thing, or its converter, meets the wall.
    fn contact(&self) -> Option<&Contact> {
        let plain = self.chosen.link.filter(|_| !self.answer.held.is_empty());
        plain
            .and_then(|link| link.contacts.first())
            .or_else(|| self.converter_link()?.1.contacts.first())
    }

    fn current(&self) -> Finding {
        let about = About::Current;
        let thing = self.answer.thing;
        let plain = self.chosen.link.is_some();
        let volts = if plain && !self.answer.held.is_empty() {
            self.answer.held.first()
        } else {
            self.answer.not_held.first().or(self.site.volts.first())
        };
        let grounds = Grounds::of(LEAST_RATING_RULE).with(&self.site.of_volts);
        let Some(&volts) = volts else {
            let (_, reason) = self.no_row("voltages_v");
            return grounds.find(self.name(), about, Verdict::Unknown, reason);
        };
        let amps = thing.amps(volts);
        let draws = self.draws(volts, amps);
        let with_ports = |contact: &Contact| {
            if contact.amps > amps {
                format!(
                    ", {} A with the USB ports of the adapter",
                    two(contact.amps)
                )
            } else {
                String::new()
            }
        };
        if let Some(contact) = self.contact() {
            let draws = draws + &with_ports(contact);
            let reason = format!(
                "{draws}; the least rating on the way is {} A, of {}",
                contact.limit_a, contact.limit_by
            );
            let grounds = grounds.with(&contact.grounds);
            return grounds.find(self.name(), about, Verdict::Fine, reason);
        }
        let mut too_much = self
            .answer
            .links
            .iter()
            .flat_map(|link| &link.refusals)
            .filter_map(|refusal| match refusal {
                Refusal::Current(contact) => Some(contact),
                _ => None,
            });
        match too_much.next() {
            Some(contact) => {
                let draws = draws + &with_ports(contact);
                let reason = format!(
                    "{draws}: more than the {} A of {}",
                    contact.limit_a, contact.limit_by
                );
                let grounds = grounds.with(&contact.grounds);
                grounds.find(self.name(), about, Verdict::No, reason)
            }
            None => {
                let reason = format!("{draws}; it has no way into the wall");
                grounds.find(self.name(), about, Verdict::Unknown, reason)
            }
        }
    }

    /// `850 W at 230 V draw 3.7 A`.
    fn draws(&self, volts: f64, amps: f64) -> String {
        let thing = self.answer.thing;
        if thing.input.is_some_and(|input| input.most_a.is_some()) {
            return format!("its label says {} A at most", two(amps));
        }
        let worst = match thing.role {
            Role::Appliance(_) => "",
            _ => " at worst",
        };
        format!(
            "{} W at {} V draw {} A{worst}",
            two(thing.most_w),
            volts,
            two(amps)
        )
    }

    /// The adapters and converters of the way that is taken, from the wall on.
    fn through_names(&self) -> Vec<String> {
        let mut names = Vec::new();
        let adapter = |at: usize| self.trip.adapters[at].name.clone();
        if !self.answer.held.is_empty() {
            names.extend(self.chosen.link.and_then(|link| link.adapter).map(adapter));
        }
        if !self.answer.not_held.is_empty() {
            if let Some(way) = self.chosen.converted {
                names.extend(way.adapter.map(adapter));
                let converter = way.converter;
                names.extend(converter.map(|at| self.trip.converters[at].name.clone()));
            }
        }
        names.dedup();
        names
    }

    /// What the findings come to.
    fn all_in_all(&self, parts: &[Finding]) -> Finding {
        let of = |about: About| parts.iter().find(|part| part.about == about);
        let verdict_of = |about: About| of(about).map_or(Verdict::Unknown, |part| part.verdict);
        let straight = self.chosen.link.map(|link| link.adapter.is_none());
        let (verdict, decided_by) = match verdict_of(About::Voltage) {
            Verdict::No => (Verdict::No, About::Voltage),
            Verdict::Unknown => (Verdict::Unknown, About::Voltage),
            _ if self.answer.turns_wrongly() => (Verdict::No, About::Frequency),
            Verdict::Converter => (Verdict::Converter, About::Voltage),
            voltage => match (voltage, straight) {
                (_, None) if verdict_of(About::Plug) == Verdict::Unknown => {
                    (Verdict::Unknown, About::Plug)
                }
                (_, None) => (Verdict::No, About::Plug),
                (Verdict::Depends, _) => (Verdict::Depends, About::Voltage),
                (_, Some(true)) => (Verdict::Direct, About::Plug),
                (_, Some(false)) => (Verdict::Adapter, About::Plug),
            },
        };
        let Some(part) = of(decided_by) else {
            // Every part was just asked for.
            return self.voltage();
        };
        let with = match verdict {
            Verdict::No | Verdict::Unknown => Vec::new(),
            _ => self.through_names(),
        };
        let mut reason = part.reason.clone();
        if verdict == Verdict::No && decided_by == About::Voltage {
            reason.push_str(&self.needs_converter());
        }
        let at_v = match verdict {
            Verdict::Depends => self.answer.held.clone(),
            _ => Vec::new(),
        };
        Finding {
            about: About::Use,
            verdict,
            with,
            at_v,
            reason,
            ..part.clone()
        }
    }

    /// The converter that is missing.
    fn needs_converter(&self) -> String {
        let thing = self.answer.thing;
        let Role::Appliance(appliance) = thing.role else {
            return "; it stays at home".to_owned();
        };
        let Some(to) = appliance.input.voltage_v.first() else {
            return String::new();
        };
        format!(
            "; it stays at home, or with a converter from {} to {to} V for {} loads of {} W{}",
            self.site.volts_text(),
            thing.load.word(),
            thing.most_w,
            if thing.needs_earth { ", earthed" } else { "" }
        )
    }
}

/// A voltage of the stop against the label.
fn at_volts(at: &SuitsAt) -> String {
    let volts = at.nominal;
    match at.held {
        Held::InRange(range) => format!("{volts} V lies in its {range} V"),
        Held::Same => format!("{volts} V, as its label says"),
        Held::Near { labelled, off_pct } => {
            let off = (off_pct.abs() * 10.0).round() / 10.0;
            let than = if off_pct > 0.0 { "above" } else { "below" };
            format!("its {labelled} V is {off} % {than} the {volts} V there, within a tenth")
        }
        Held::Not { nearest, .. } if nearest.is_single() => {
            format!("{volts} V is not its {nearest} V")
        }
        Held::Not { nearest, .. } => format!("{volts} V is not in its {nearest} V"),
    }
}

fn refusal_text(refusal: &Refusal) -> String {
    match refusal {
        Refusal::Fit(fit) => {
            let Fit {
                plug, socket, note, ..
            } = fit;
            let goes = match fit.fits {
                Fits::NotKnown => return format!("plug {plug} is not known to fit {socket}"),
                Fits::Unsafe => "goes into",
                Fits::InSome => "does not go into every",
                Fits::No | Fits::Yes => "does not go into",
            };
            let unsafe_ = if fit.fits == Fits::Unsafe {
                " and must not"
            } else {
                ""
            };
            if note.is_empty() {
                format!("plug {plug} {goes} {socket}{unsafe_}")
            } else {
                format!("plug {plug} {goes} {socket}{unsafe_} ({note})")
            }
        }
        Refusal::Earth(contact) => format!(
            "plug {} goes into {}, but the earth it needs is lost",
            contact.fit.plug, contact.fit.socket
        ),
        Refusal::Current(contact) => format!(
            "the current is above the {} A of {}",
            contact.limit_a, contact.limit_by
        ),
    }
}

fn refused_fit(refusal: &Refusal) -> Option<&Fit> {
    match refusal {
        Refusal::Fit(fit) => Some(fit),
        Refusal::Earth(contact) | Refusal::Current(contact) => Some(&contact.fit),
    }
}

/// With at most two decimals.
fn two(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

/// Up to the next tenth.
fn rounded_up(amps: f64) -> f64 {
    (amps * 10.0 - 1e-6).ceil() / 10.0
}
