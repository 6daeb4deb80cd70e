//! The findings of a thing at a stop, in words.

mod current;
mod plug;

use std::fmt::Write as _;

use super::chosen::Chosen;
use super::finding::{About, Finding, Grounds, Verdict};
use super::pack::Route;
use super::site::{Site, listed};
use super::thing::{Answer, Role, Unfit};
use crate::facts::{
    Confidence, FREQUENCY_RULE, Held, Mains, Source, SuitsAt, VOLTAGE_RULE, Verdict as Suitable,
};
use crate::setup::TripSpec;
use crate::setup::document::Load;

/// What the findings of one thing are made from.
pub(super) struct Words<'a> {
    pub(super) answer: &'a Answer<'a>,
    pub(super) site: &'a Site<'a>,
    pub(super) trip: &'a TripSpec,
    pub(super) chosen: Chosen<'a>,
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
        let lists = Mains::all().first().map(|row| Source {
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

    fn converter_helps(&self, way: Route) -> String {
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
            // Its speed hangs on it, so nothing is in order before the label is read.
            (Suitable::NotKnown, Load::Motor) => (
                Verdict::Unknown,
                format!(
                    "{wall}; the setup does not say what it runs on (`input_hz`), and a motor \
                     turns by it: look"
                ),
            ),
            (Suitable::NotKnown, Load::Electronic) => (
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

    /// The adapters and converters of the way that is taken, from the wall on.
    fn through_names(&self) -> Vec<String> {
        let mut names = Vec::new();
        let adapter = |at: usize| self.trip.adapters[at].name.clone();
        if !self.answer.held.is_empty() {
            names.extend(self.chosen.link.and_then(|link| link.adapter).map(adapter));
        }
        if let (false, Some(way)) = (self.answer.not_held.is_empty(), self.chosen.converted) {
            names.extend(way.adapter.map(adapter));
            let converter = way.converter;
            names.extend(converter.map(|at| self.trip.converters[at].name.clone()));
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

/// With at most two decimals.
fn two(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}
