//! Whether a plug goes into the wall, through what, and what becomes of the earth.

use std::fmt::Write as _;

use super::super::finding::{About, Finding, Grounds, Verdict};
use super::super::link::{Link, Refusal};
use super::super::site::listed;
use super::super::thing::Role;
use super::Words;
use crate::facts::{Fit, Fits, LEAST_RATING_RULE, Local, LocalNote, SocketFit, local_notes};

impl Words<'_> {
    pub(super) fn plug(&self) -> Finding {
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
        let notes = self.local(link);
        let grounds = of_notes(self.link_grounds(link), &notes);
        let into = Self::into(link);
        let elsewhere = self.elsewhere(link);
        let reversed = notes.iter().any(|note| note.what == Local::Reversed);
        let care = if elsewhere.is_empty() && !reversed {
            Verdict::Fine
        } else {
            Verdict::Caution
        };
        let elsewhere = elsewhere + &in_words(&notes);
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

    /// What the plugs that meet the wall have to know of the outlets there.
    fn local(&self, link: &Link) -> Vec<&'static LocalNote> {
        let mut notes = Vec::new();
        for contact in &link.contacts {
            for note in local_notes(&self.site.stop.country, contact.fit.plug) {
                if self.concerned(note.what, link) && !notes.contains(&note) {
                    notes.push(note);
                }
            }
        }
        notes
    }

    /// Whether the thing minds. A charger has no switch that the order of the pins matters
    /// to, and nor has what comes through an adapter from plugs that go in either way.
    fn concerned(&self, what: Local, link: &Link) -> bool {
        let appliance = matches!(self.answer.thing.role, Role::Appliance(_));
        match what {
            Local::Reversed => appliance && link.adapter.is_none(),
            Local::NarrowSlots => true,
        }
    }

    /// The converter that is used, and its way into the wall.
    pub(super) fn converter_link(&self) -> Option<(usize, &Link)> {
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
        let notes = self.local(link);
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
            "goes into \"{}\", whose plug {} goes{by} into {}{elsewhere}{}",
            converter.name,
            converter.plug,
            Self::into(link),
            in_words(&notes)
        );
        of_notes(grounds, &notes)
            .find(self.name(), About::Plug, verdict, reason)
            .through(through)
    }

    /// The sockets that a way goes into: `A`, `A and B`.
    fn into(link: &Link) -> String {
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
        let mut any_known = straight.is_none_or(|link| link.refusals.iter().any(known));
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
                any_known = true;
                let why = refusal_text(refusal);
                let _ = write!(reason, "; through \"{}\": {why}", adapter.name);
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
    pub(super) fn would_serve(&self) -> String {
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
        let straight = self.answer.links.first();
        let refusal = straight.and_then(|straight| straight.refusals.first());
        if let (Some(_), Some(refusal)) = (link.adapter, refusal) {
            grounds = grounds.and(refused_fit(refusal).source);
        }
        grounds
    }

    fn refusal_grounds(&self) -> Grounds {
        let mut grounds = Grounds::of(LEAST_RATING_RULE).with(&self.site.of_sockets);
        let refusals = self.answer.links.iter().flat_map(|link| &link.refusals);
        for fit in refusals.map(refused_fit) {
            if fit.fits != Fits::NotKnown {
                grounds = grounds.and(fit.source);
            }
        }
        if let (Some(&socket), Some(&plug)) =
            (self.site.sockets.first(), self.answer.thing.plugs.first())
        {
            for fit in SocketFit::of(plug, socket).fits {
                grounds = grounds.and(fit.source);
            }
        }
        grounds
    }

    pub(super) fn earth(&self) -> Finding {
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
        let Some(contact) = contact else {
            let reason = format!(
                "needed, and there is no way that keeps it; {}",
                self.would_serve()
            );
            return grounds.find(self.name(), about, Verdict::No, reason);
        };
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
}

fn of_notes(grounds: Grounds, notes: &[&LocalNote]) -> Grounds {
    let sources = notes.iter().map(|note| note.source);
    sources.fold(grounds, Grounds::and)
}

fn in_words(notes: &[&LocalNote]) -> String {
    notes.iter().flat_map(|note| ["; ", note.says]).collect()
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

fn refused_fit(refusal: &Refusal) -> &Fit {
    match refusal {
        Refusal::Fit(fit) => fit,
        Refusal::Earth(contact) | Refusal::Current(contact) => &contact.fit,
    }
}

/// Up to the next tenth.
fn rounded_up(amps: f64) -> f64 {
    (amps * 10.0 - 1e-6).ceil() / 10.0
}
