//! A plan as a page: each charger with its berths, who is late or without one, and why.

use super::clock::Clock;
use super::page::{Line, Page, Rows, Section, Shown, Tone};
use super::printable::{printable, short_name};
use super::seating::Seating;
use super::standing::{self, Longest, Promised};
use crate::plan::assumed::GUESSED;
use crate::plan::bounds::{BoundedLevel, LevelBound};
use crate::plan::certain::{Help, uncertain};
use crate::plan::objective::promised_late;
use crate::plan::schedule::Schedule;
use crate::plan::{
    Assumed, AssumedValue, Berth, Level, LimitedBy, Plan, PoolUse, Status, WithoutBerth,
};
use crate::setup::document::{Aim, Reserve};
use crate::setup::{ChargerSpec, Setup};
use crate::units::quantity::{
    contract, count, decimals, time, time_at_least, watts, watts_needed, watts_of,
};

impl Page {
    /// The page of `plan`, which is a plan of `setup`.
    pub fn of_plan(setup: &Setup, plan: &Plan) -> Self {
        let mut page = Self::new(
            name_of_night(setup),
            headline(setup, plan),
            plan.serves_all(),
        );
        page.no_sooner(setup, &plan.because);
        page.lead.extend(bounds(plan, "plan"));
        let chargers = setup.chargers.iter();
        let sections = chargers.map(|charger| section(setup, charger, plan).shown(Shown::InText));
        page.sections.extend(sections);
        page.seats(&Seating::of_plan(setup, plan));
        page.proven(plan, "plan");
        page.notes("Late", Tone::Bad, late_notes(setup, plan));
        page.notes("Not certain", Tone::Caution, uncertain_notes(setup, plan));
        page.in_the_way(setup, &plan.because);
        page.notes("Assumed", Tone::Plain, assumed(&plan.assumed));
        page.left_out(setup, &plan.without_berth);
        page.alike(setup);
        page.cautions(&plan.cautions);
        page
    }

    /// Where the search was stopped, what is proven, as a picture tells it.
    pub(super) fn proven(&mut self, plan: &Plan, what: &str) {
        let bounds = bounds(plan, what).into_iter().collect();
        self.notes_in(Shown::InPictures, "What is proven", Tone::Plain, bounds);
    }

    /// With what was assumed where nobody said it, at the end.
    #[must_use]
    pub fn assuming(mut self, all: &[Assumed]) -> Self {
        let folds = self.sections.iter().any(|section| section.folded);
        self.notes("Assumed", Tone::Plain, assumed(all));
        if let Some(last) = self
            .sections
            .last_mut()
            .filter(|_| folds && !all.is_empty())
        {
            last.folded = true;
        }
        self
    }

    /// The devices without a berth, and why, and those that are full as they are.
    pub(super) fn left_out(&mut self, setup: &Setup, without: &[WithoutBerth]) {
        let without = without.iter().map(without_berth).collect();
        self.notes("Without a port", Tone::Bad, without);
        self.full_as_they_are(setup);
    }

    /// The devices that need nothing.
    pub(super) fn full_as_they_are(&mut self, setup: &Setup) {
        let full = setup.devices.iter().filter(|device| !device.needs_berth());
        let names = full.map(|device| printable(&device.name)).collect();
        self.notes("Full as they are", Tone::Plain, names);
    }

    /// What to keep in mind.
    pub(super) fn cautions(&mut self, cautions: &[String]) {
        let cautions = cautions.iter().map(|text| printable(text)).collect();
        self.notes("Cautions", Tone::Caution, cautions);
    }
}

/// What a night is called.
pub(super) fn name_of_night(setup: &Setup) -> String {
    let name = setup.name();
    name.map_or_else(|| "The night".to_owned(), printable)
}

/// What is reached, and whether that is proven best.
pub(super) fn headline(setup: &Setup, plan: &Plan) -> String {
    let told = told(setup, plan, plan.reshared_h);
    if plan.berths.is_empty() || plan.aim == Aim::Best {
        if plan.berths.len() + plan.unserved == 0 {
            return told;
        }
        return format!("{told}; {}", proven((plan.status, plan.settled), "plan"));
    }
    format!(
        "{told}; {}",
        proven_to_promise((plan.status, plan.settled), "plan")
    )
}

/// What a plan reaches, by its aim.
pub(super) fn told(setup: &Setup, plan: &Plan, reshared_h: Option<f64>) -> String {
    if plan.berths.is_empty() || plan.aim == Aim::Best {
        return reached(setup, plan, reshared_h);
    }
    let promised = Promised {
        served: plan.berths.len(),
        unserved: plan.unserved,
        late: plan.promised_late,
        hours: plan.berths.iter().map(|berth| berth.promised_h).collect(),
        best_h: plan.longest_h,
        chargers: setup.chargers.len(),
        clock: Clock::of(setup.start),
    };
    promised.told()
}

/// Whether an answer that was chosen by its promise is proven best.
pub(super) fn proven_to_promise(reached: Settled, what: &str) -> String {
    if times_are_settled(reached) {
        format!("proven: no {what} promises more")
    } else {
        "not proven: a limit stopped the search".to_owned()
    }
}

/// The status of an answer, and the last level that is proven where it is not the last.
type Settled = (Status, Option<Level>);

/// Whether all is proven that anybody waits for.
fn times_are_settled((status, settled): Settled) -> bool {
    status == Status::Optimal || settled >= Some(Level::Times)
}

/// Who could be full sooner than is certain, what is certain, and what would help.
fn uncertain_notes(setup: &Setup, plan: &Plan) -> Vec<String> {
    let Ok(schedule) = Schedule::of_plan(setup, plan) else {
        return Vec::new();
    };
    let name = |slot: usize| setup.devices[schedule.slots[slot].device].name.as_str();
    let found = uncertain(setup, &schedule.slots);
    let notes = found.iter().map(|one| {
        let sure = match one.watts {
            Some(sure) => format!(
                "{} is all that is certain while the others draw",
                watts(sure)
            ),
            None => "nothing is certain while the others draw".to_owned(),
        };
        let never = if one.never {
            ", which never fills it"
        } else {
            ""
        };
        let later: Vec<String> = one
            .helps
            .iter()
            .filter_map(|help| match help {
                Help::Later(other) => Some(short_name(name(*other))),
                Help::Pool { .. } => None,
            })
            .collect();
        let mut helps = Vec::new();
        if !later.is_empty() {
            helps.push(format!("{} plugged in later", later.join(" or ")));
        }
        helps.extend(one.helps.iter().filter_map(|help| match help {
            Help::Pool { name, watts } => Some(format!(
                "{} for pool {}",
                watts_needed(*watts),
                short_name(name)
            )),
            Help::Later(_) => None,
        }));
        if helps.is_empty() {
            helps.push("the label's own table, where it has one, typed in".to_owned());
        }
        let text = format!("{sure}{never}; certain with {}", helps.join(", or with "));
        (name(one.slot), text)
    });
    alike_at_once(notes)
}

/// What the kinds of devices stood in for, each as people read it.
pub(super) fn assumed(all: &[Assumed]) -> Vec<String> {
    let told = all.iter().filter_map(|one| {
        let number = match &one.value {
            AssumedValue::Number(number) => *number,
            AssumedValue::Text(text) if one.field == GUESSED => {
                return Some((one.device.as_str(), text.clone()));
            }
            AssumedValue::Text(_) => return None,
        };
        let text = match (one.field.as_str(), one.low, one.high) {
            ("battery_wh", Some(low), Some(high)) => {
                format!("{number} Wh assumed, {low} to {high} usual")
            }
            ("battery_v", ..) => format!("cells of {number} V assumed"),
            ("pd_w", ..) => format!("{} assumed", watts(number)),
            ("min_w", ..) => format!("at least {} counted on, as it may need", watts(number)),
            (field, ..) => format!("{field} {number} assumed"),
        };
        Some((one.device.as_str(), text))
    });
    let mut notes: Vec<(&str, String)> = Vec::new();
    for (device, text) in told {
        match notes.last_mut() {
            Some((before, texts)) if *before == device => {
                texts.push_str("; ");
                texts.push_str(&text);
            }
            _ => notes.push((device, text)),
        }
    }
    alike_at_once(notes)
}

/// What a plan reaches, and with sharing anew, where that is to be told.
pub(super) fn reached(setup: &Setup, plan: &Plan, reshared_h: Option<f64>) -> String {
    let longest = Longest {
        held_h: plan.longest_h,
        reshared_h,
        chargers: setup.chargers.len(),
        at_best: false,
        clock: Clock::of(setup.start),
    };
    standing::reached(plan.berths.len(), plan.unserved, plan.late, longest)
}

/// Whether an answer, which `what` names, is proven best.
pub(super) fn proven(reached: Settled, what: &str) -> String {
    match reached {
        (Status::Optimal, _) => format!("proven: no {what} is better"),
        reached if times_are_settled(reached) => format!("proven: no {what} is full sooner"),
        _ => "not proven: a limit stopped the search".to_owned(),
    }
}

/// What is proven of the best answer, which `what` names, where the search was stopped.
pub(super) fn bounds(plan: &Plan, what: &str) -> Option<String> {
    if plan.status == Status::Optimal {
        return None;
    }
    if times_are_settled((plan.status, plan.settled)) {
        return Some(format!(
            "not proven: that no {what} as good {}",
            open_after_times(plan)
        ));
    }
    let mut proven = Vec::new();
    // That it is at least none needs no proof.
    if let Some(unserved) = plan.bound_unserved.filter(|&least| least > 0) {
        proven.push(format!("at least {unserved} without a port"));
    }
    let open = |level| plan.bounds.iter().find(|of| of.level == level);
    if let Some(of) = open(BoundedLevel::Missing).filter(|of| of.bound >= 0.1) {
        let wh = decimals((of.bound * 10.0).floor() / 10.0, 1);
        proven.push(format!("at least {wh} Wh missing"));
    }
    if let Some(late) = plan.bound_late.filter(|&least| least > 0) {
        proven.push(format!("at least {late} late"));
    }
    if let Some(hours) = plan.bound_h {
        proven.push(format!(
            "the last one full after at least {}",
            time_at_least(hours)
        ));
    }
    if let Some(of) = open(BoundedLevel::Time).filter(|of| of.bound > 0.0) {
        let last = match of.place {
            None | Some(1) => "the last one".to_owned(),
            Some(place) => format!("the last but {}", count(place - 1)),
        };
        let whose = of.priority.map_or("", |_| " of priority 3");
        let time = time_at_least(of.bound);
        proven.push(format!("{last}{whose} after at least {time}"));
    }
    if proven.is_empty() {
        proven.push("nothing".to_owned());
    }
    Some(format!(
        "proven so far of the best {what}: {}",
        proven.join(", ")
    ))
}

/// What is not proven where the times are, and how far off it may be.
fn open_after_times(plan: &Plan) -> String {
    let open = plan.bounds.first();
    let (fewer, takes) = match open.map(|of| of.level) {
        Some(BoundedLevel::Moves) => ("moves fewer devices", "moves"),
        Some(BoundedLevel::Swaps) => ("has fewer swaps", "has"),
        Some(BoundedLevel::Watts) => ("takes fewer watts", "takes"),
        _ => ("has fewer hours at best", "has"),
    };
    let share = open.and_then(LevelBound::gap);
    // Rounded up: it is what none is above.
    let share = share.map(|share| decimals((share * 1000.0).ceil() / 10.0, 1));
    share.map_or(fewer.to_owned(), |share| {
        format!("{fewer}; none {takes} over {share} % fewer")
    })
}

/// A charger with its berths, in the order of its ports.
fn section(setup: &Setup, charger: &ChargerSpec, plan: &Plan) -> Section {
    let (mut rows, mut free) = (Vec::new(), Vec::new());
    for port in &charger.ports {
        let here = |berth: &&Berth| berth.charger == charger.name && berth.port == port.name;
        match plan.berths.iter().find(here) {
            Some(berth) => rows.push(berth),
            None => free.push(short_name(&port.name)),
        }
    }
    let title = printable(&charger.name);
    if rows.is_empty() {
        return Section::titled(title).lines([Line::text("not used")]);
    }
    let pools = plan.pools.iter();
    let pools: Vec<String> = pools
        .filter(|pool| pool.charger == charger.name)
        .map(pool)
        .collect();
    let table = Rows::of(rows)
        .facts("Port", |berth| short_name(&berth.port))
        .names("Device", |berth| short_name(&berth.device))
        .names("Cable", |berth| short_name(&berth.cable));
    // Where both times are shown there is no room for it; the pictures have it.
    let table = match plan.aim {
        Aim::Best => table.facts("Volts, amps", |berth| contract(berth.volts, berth.amps)),
        Aim::Promise => table,
    };
    let clock = Clock::of(setup.start);
    let table = table.facts("Watts", |berth| watts(berth.port_w));
    let table = if charger.reserve == Reserve::Offer {
        table.facts("Held", |berth| watts(berth.tier_w))
    } else {
        table
    };
    let table = match plan.aim {
        Aim::Best => table.facts(clock.full_heading(), |of| {
            late_below(clock.full(of.hours), of.late)
        }),
        Aim::Promise => table
            .facts("Certain", |of| {
                late_below(certain_at(clock, of.promised_h), promised_late(setup, of))
            })
            .facts("At best", |of| late_below(clock.full(of.hours), of.late)),
    };
    let table = table
        .facts("Limited by", |berth| limit(berth.limited_by))
        .table();
    Section::titled(title)
        .table(table)
        .lines(Line::labelled("shared", &pools, "; "))
        .lines(Line::labelled("free", &free, ", "))
}

/// What would have to change, in words that stand on no label but are plain.
pub(super) fn limit(limited_by: LimitedBy) -> &'static str {
    match limited_by {
        LimitedBy::Pool => "shared power",
        LimitedBy::Combination => "ports in use",
        other => other.word(),
    }
}

/// How much of a pool is taken: `total 59.5 of 60 W`.
pub(super) fn pool(pool: &PoolUse) -> String {
    let of_max = watts_of(pool.used_w, pool.max_w);
    format!("{} {of_max}", short_name(&pool.pool))
}

/// A time that is promised, or that none is.
pub(super) fn certain(promised_h: Option<f64>) -> String {
    certain_at(Clock::of(None), promised_h)
}

/// The same where it may be known at what time of day.
fn certain_at(clock: Clock, promised_h: Option<f64>) -> String {
    promised_h.map_or_else(|| "not".to_owned(), |hours| clock.full(hours))
}

/// A time, with a word below it where that is too late.
pub(super) fn late_below(time: String, late: bool) -> String {
    if late { time + "\nlate" } else { time }
}

fn ready_by_h(setup: &Setup, berth: &Berth) -> Option<f64> {
    let device = setup.devices.iter().find(|d| d.name == berth.device);
    device.and_then(|device| device.ready_by_h)
}

/// Who is late.
pub(super) fn late_notes(setup: &Setup, plan: &Plan) -> Vec<String> {
    let berths = plan.berths.iter();
    berths.filter_map(|of| late_note(setup, of)).collect()
}

/// How late a device is, if it is: at best, else for certain where the plan goes by that.
fn late_note(setup: &Setup, berth: &Berth) -> Option<String> {
    let ready_by = ready_by_h(setup, berth)?;
    let clock = Clock::of(setup.start);
    let needed = clock.by(ready_by);
    let text = if berth.late {
        let (full, late) = (clock.by(berth.hours), time(berth.hours - ready_by));
        let best = match setup.aim {
            Aim::Best => "",
            Aim::Promise => " at best",
        };
        format!("full {full}{best}, needed {needed}: {late} late")
    } else if setup.aim == Aim::Promise && promised_late(setup, berth) {
        match berth.promised_h {
            Some(hours) => format!(
                "certain only {}, needed {needed}; {} at best",
                clock.by(hours),
                clock.by(berth.hours)
            ),
            None => format!(
                "not certain, needed {needed}; {} at best",
                clock.by(berth.hours)
            ),
        }
    } else {
        return None;
    };
    Some(note(&berth.device, &text))
}

/// Who has none, and why.
pub(super) fn without_berth(without: &WithoutBerth) -> String {
    note(&without.device, &without.reason)
}

/// What is said of devices, each sentence once, behind the names of all that it is said of.
pub(super) fn alike_at_once<'a>(said: impl IntoIterator<Item = (&'a str, String)>) -> Vec<String> {
    let mut of_whom: Vec<(String, Vec<String>)> = Vec::new();
    for (device, text) in said {
        let device = printable(device);
        match of_whom.iter_mut().find(|(before, _)| *before == text) {
            Some((_, devices)) => devices.push(device),
            None => of_whom.push((text, vec![device])),
        }
    }
    let notes = of_whom.into_iter();
    let notes =
        notes.map(|(text, devices)| format!("{}: {}", devices.join(", "), printable(&text)));
    notes.collect()
}

/// A device and a sentence about it.
pub(super) fn note(device: &str, text: &str) -> String {
    format!("{}: {}", printable(device), printable(text))
}
