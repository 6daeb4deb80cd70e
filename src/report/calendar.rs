//! A calendar as a page: each night with what is charged then and when all is full.

use super::counted;
use super::page::{Page, Rows, Section, Tone};
use super::printable::{printable, short_name};
use crate::decide::calendar::{Calendar, CalendarNight};
use crate::plan::{Plan, Status};
use crate::setup::Setup;
use crate::setup::document::Aim;
use crate::units::quantity::time;

impl Page {
    /// The page of `calendar`, which is one of `setup`.
    pub fn of_calendar(setup: &Setup, calendar: &Calendar) -> Self {
        let name = setup.name();
        let title = name.map_or_else(|| "Night by night".to_owned(), printable);
        let mut page = Self::new(title, headline(calendar), calendar.serves_all());
        let names = |names: &[String]| {
            let names: Vec<String> = names.iter().map(|name| short_name(name)).collect();
            if names.is_empty() {
                "nothing".to_owned()
            } else {
                names.join(", ")
            }
        };
        let rows = Rows::of(&calendar.plans)
            .facts("Nights", |night| nights(&night.nights))
            .names("Charged beside the rest", |night| names(&night.devices))
            .facts("All full after", |night| full(night));
        page.push(Section::titled("").table(rows.table()));
        let mut notes = Vec::new();
        if calendar.repeats && !calendar.devices.is_empty() {
            let n = calendar.nights;
            notes.push(format!("after night {n} it begins anew"));
        } else if !calendar.devices.is_empty() {
            notes.push("it does not begin anew: not everything fits in whole".to_owned());
        }
        page.notes("To know", Tone::Plain, notes);
        page
    }
}

fn headline(calendar: &Calendar) -> String {
    let nights = counted(calendar.nights, "night");
    let plans: Vec<_> = calendar
        .plans
        .iter()
        .filter_map(CalendarNight::night)
        .collect();
    let worst = plans.iter().map(|plan| plan.longest_by_aim());
    let worst = worst.fold(Some(0.0_f64), |worst, longest| {
        Some(worst?.max(longest.unwrap_or(f64::INFINITY)))
    });
    let worst = worst.filter(|hours| hours.is_finite());
    let unserved = plans.iter().any(|plan| plan.unserved > 0);
    let late = plans.iter().any(|plan| plan.late_by_aim() > 0);
    let told = match (unserved, late, worst) {
        (true, ..) => "not everything finds a port every night".to_owned(),
        (_, true, _) => "not all is ready in time every night".to_owned(),
        (.., Some(worst)) => format!("all full every morning, after {} at most", time(worst)),
        (.., None) => "all full every morning at best, not all for certain".to_owned(),
    };
    let proven = match calendar.status {
        Status::Optimal => "no other order of nights is better",
        Status::Feasible => "a limit struck: another order of nights may be better",
    };
    format!("{nights}: {told}; {proven}")
}

/// When all is full that night, or what is amiss.
fn full(night: &CalendarNight) -> String {
    night
        .night()
        .map_or_else(String::new, |plan| full_after(&plan))
}

/// When all of a plan is full, or what is amiss.
pub(super) fn full_after(plan: &Plan) -> String {
    let late = plan.late_by_aim();
    if plan.unserved > 0 {
        return format!("{} without a port", plan.unserved);
    }
    let full = match (plan.aim, plan.promised_longest_h) {
        (Aim::Promise, Some(sure_h)) => time(sure_h),
        (Aim::Best, _) => time(plan.longest_h),
        (Aim::Promise, None) => format!("{} at best", time(plan.longest_h)),
    };
    if late > 0 {
        format!("{full}, {late} late")
    } else {
        full
    }
}

/// `1, 4, 7`; `1, 4, 7 … 178`.
pub(super) fn nights(nights: &[u32]) -> String {
    const SHOWN: usize = 4;
    let texts: Vec<String> = nights.iter().map(u32::to_string).collect();
    if texts.len() <= SHOWN {
        return texts.join(", ");
    }
    let last = &texts[texts.len() - 1];
    format!("{} … {last}", texts[..SHOWN - 1].join(", "))
}
