//! What a plan comes to under each rule by which chargers share, and what a person can do
//! about it.

use super::page::{Line, Page, Rows, Section, Tone};
use super::printable::{isolated, short_name};
use crate::setup::Setup;
use crate::timeline::{
    Grants, PlugAdvice, PlugPlace, RuleNight, RuleNights, RuleOutcome, SharingRule, SharingRules,
};
use crate::units::quantity::time;

impl Page {
    /// What the rules come to, of a night of `setup`.
    pub(super) fn sharing_rules(&mut self, setup: &Setup, told: &SharingRules) {
        let table = Rows::of(&told.rules)
            .facts("Rule", |of| name(of.rule))
            .facts("As at the start", |of| range(&of.held))
            .facts("Handed on", |of| range(&of.handed_on))
            .table();
        let one = setup.chargers.len() == 1;
        let title = if one {
            "When the last is full, by the rule that the charger follows"
        } else {
            "When the last is full, by the rule that the chargers follow"
        };
        let lines = remarks(setup, told).into_iter().map(Line::item);
        self.push(Section::titled(title).table(table).lines(lines));
        let charger = |of: &PlugAdvice| {
            if one {
                "the charger".to_owned()
            } else {
                quoted(&of.charger)
            }
        };
        let advice = told.advice.iter();
        let advice = advice.filter(|of| !told.advice.iter().any(|other| mirrors(other, of)));
        let advice = advice.map(|of| {
            let mirrored = told.advice.iter().any(|other| mirrors(of, other));
            advised(&charger(of), of, mirrored)
        });
        let advice = advice.collect();
        self.notes("Worth knowing when you plug in", Tone::Plain, advice);
    }
}

/// A rule in a few words.
fn name(rule: SharingRule) -> &'static str {
    match rule {
        SharingRule::Assured => "every port its watts",
        SharingRule::FairShare => "fair share",
        SharingRule::FirstCome => "first come",
        SharingRule::LastCome => "last come",
        SharingRule::OnePortFirst => "one port first",
        SharingRule::ByDemand => "by demand",
        SharingRule::ByBattery => "by battery",
    }
}

fn longest(night: &RuleNight) -> String {
    hours(night.longest_h)
}

fn hours(hours: Option<f64>) -> String {
    hours.map_or_else(|| "never".to_owned(), time)
}

/// `5 h 33 min`, or where orders matter `5 h 33 min to 13 h 35 min`.
fn range(nights: &RuleNights) -> String {
    let best = longest(&nights.best);
    let worst = nights.worst.as_ref().map(longest);
    match worst.filter(|worst| *worst != best) {
        Some(worst) => format!("{best} to {worst}"),
        None => best,
    }
}

/// What the table does not say.
fn remarks(setup: &Setup, told: &SharingRules) -> Vec<String> {
    let mut remarks = Vec::new();
    if makes_no_difference(setup, told) {
        remarks.push("the rule makes no difference here".to_owned());
    }
    remarks.push(format!(
        "as planned: {}; certain whatever the rule: {}",
        time(told.planned_h),
        hours(told.promised_h)
    ));
    let handed_on = "handed on: what a full device no longer asks for goes to the others";
    remarks.push(handed_on.to_owned());
    let in_part = told.rules.iter().filter(|of| !of.tried_all);
    remarks.extend(in_part.map(|of| {
        format!(
            "{}: the best and the worst of {} orders tried, not of all",
            name(of.rule),
            of.tried
        )
    }));
    if !told.undecided.is_empty() {
        let names: Vec<&str> = told.undecided.iter().map(|rule| name(*rule)).collect();
        remarks.push(format!(
            "not looked at, because the limit struck: {}",
            names.join(", ")
        ));
    }
    remarks
}

/// Whether every rule and order is full as soon as every other, within the tolerance.
fn makes_no_difference(setup: &Setup, told: &SharingRules) -> bool {
    let nights = |of: &RuleOutcome| {
        let both = [&of.held, &of.handed_on].map(|nights| {
            let worst = nights.worst.as_ref().unwrap_or(&nights.best);
            [nights.best.longest_h, worst.longest_h]
        });
        both.concat()
    };
    let times: Vec<f64> = told
        .rules
        .iter()
        .flat_map(nights)
        .map(|hours| hours.unwrap_or(f64::INFINITY))
        .collect();
    let most = times.iter().copied().fold(0.0, f64::max);
    let all = told.undecided.is_empty() && told.rules.iter().all(|of| of.tried_all);
    let near = |least: &f64| *least == most || most - least <= setup.tolerance_h;
    all && !times.is_empty() && times.iter().all(near)
}

/// Whether `last` says of who came last just what `first` says of who came first.
fn mirrors(first: &PlugAdvice, last: &PlugAdvice) -> bool {
    let said = |of: &PlugAdvice| {
        let times = (of.best_h, of.worst_h, of.is_enough);
        // Where it takes more, the order is told, and any best order will do.
        (
            of.charger.clone(),
            of.grants,
            times,
            of.is_enough.then(|| of.device.clone()),
        )
    };
    first.place == PlugPlace::First
        && last.place == PlugPlace::Last
        && first.tried_all
        && last.tried_all
        && said(first) == said(last)
}

/// `if the charger serves who came first: 5 h 33 min at best, 13 h 35 min at worst; plug in
/// laptop first`.
fn advised(charger: &str, of: &PlugAdvice, mirrored: bool) -> String {
    let rule = match of.place {
        PlugPlace::First => format!("if {charger} serves who came first"),
        PlugPlace::Last => format!("if {charger} serves who came last"),
        PlugPlace::FirstPort => format!("if one port of {charger} goes first"),
    };
    let (best, worst) = (hours(of.best_h), hours(of.worst_h));
    let tried = if of.tried_all {
        ""
    } else {
        ", of the orders tried"
    };
    let grants = match of.grants {
        Grants::Held => "",
        Grants::HandedOn => ", handed on",
    };
    let advice = advice(of, mirrored);
    format!("{rule}: {best} at best, {worst} at worst{tried}{grants}; {advice}")
}

/// What to do.
fn advice(of: &PlugAdvice, mirrored: bool) -> String {
    /// Devices whose order is told in a sentence.
    const FEW: usize = 6;
    let device = quoted(&of.device);
    if of.place == PlugPlace::FirstPort {
        return format!("best with {device} on it");
    }
    if of.is_enough || of.order.len() > FEW {
        return match of.place {
            PlugPlace::First if mirrored => {
                format!("plug in {device} first (last, if it serves who came last)")
            }
            PlugPlace::First => format!("plug in {device} first"),
            _ => format!("plug in {device} last"),
        };
    }
    let order: Vec<String> = of.order.iter().map(|device| quoted(device)).collect();
    let order = order.join(", ");
    if mirrored {
        format!("plug in {order}, in this order (backwards, if it serves who came last)")
    } else {
        format!("plug in {order}, in this order")
    }
}

/// A name in a sentence.
fn quoted(name: &str) -> String {
    isolated(&short_name(name))
}
