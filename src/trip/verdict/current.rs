//! The current of a thing, against the least rating on its way.

use super::super::finding::{About, Finding, Grounds, Verdict};
use super::super::link::{Contact, Refusal};
use super::super::thing::Role;
use super::{Words, two};
use crate::facts::LEAST_RATING_RULE;

impl Words<'_> {
    /// Where the thing, or its converter, meets the wall.
    pub(super) fn contact(&self) -> Option<&Contact> {
        let plain = self.chosen.link.filter(|_| !self.answer.held.is_empty());
        plain
            .and_then(|link| link.contacts.first())
            .or_else(|| self.converter_link()?.1.contacts.first())
    }

    pub(super) fn current(&self) -> Finding {
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
        let Some(contact) = too_much.next() else {
            let reason = format!("{draws}; it has no way into the wall");
            return grounds.find(self.name(), about, Verdict::Unknown, reason);
        };
        let draws = draws + &with_ports(contact);
        let reason = format!(
            "{draws}: more than the {} A of {}",
            contact.limit_a, contact.limit_by
        );
        let grounds = grounds.with(&contact.grounds);
        grounds.find(self.name(), about, Verdict::No, reason)
    }

    /// `850 W at 230 V draw 3.7 A`.
    fn draws(&self, volts: f64, amps: f64) -> String {
        let thing = self.answer.thing;
        if thing.input.is_some_and(|input| input.most_a.is_some()) {
            return format!("its label says {} A at most", two(amps));
        }
        let worst = match thing.role {
            Role::Appliance(_) | Role::Plug => "",
            _ => " at worst",
        };
        format!(
            "{} W at {} V draw {} A{worst}",
            two(thing.most_w),
            volts,
            two(amps)
        )
    }
}
