//! A way of plugging in held against the best, as a page.

use super::nth;
use super::page::{Page, Rows, Section, Shown, Tone};
use super::plan::{certain, late_below, name_of_night};
use super::printable::{printable, short_name};
use super::standing::reached_with;
use crate::decide::score::{Objective, Score, ScoredBerth};
use crate::plan::Status;
use crate::plan::objective::TimesDiffer;
use crate::setup::document::Aim;
use crate::setup::{ChargerSpec, Setup};
use crate::units::millionths;
use crate::units::quantity::{contract, decimals, minutes_at_least, time, time_at_least, watts};

/// A level of the plan's order.
struct LevelRow {
    level: String,
    yours: String,
    best: String,
    /// How far yours is behind.
    behind: String,
}

impl Page {
    /// The page of `score`, which is of a way to plug in `setup`.
    pub fn of_score(setup: &Setup, score: &Score) -> Self {
        let chargers = setup.chargers.len();
        // Beside what is promised, what sharing anew would give at best says nothing.
        let reshared = |hours: Option<f64>| hours.filter(|_| setup.aim == Aim::Best);
        let mut page = Self::new(
            name_of_night(setup),
            headline(setup, score, reshared(score.reshared_h), chargers),
            score.all_served(),
        );
        let best = match score.best.status {
            Status::Optimal => "no plan is better, which is proven",
            Status::Feasible => "not proven: a limit stopped the search",
        };
        let reached = reached_with(&score.best.value, reshared(score.best_reshared_h), chargers);
        page.lead.push(format!("The best plan: {reached}; {best}."));
        let beside = vec![format!("{reached}; {best}")];
        page.notes_in(Shown::InPictures, "The best plan", Tone::Plain, beside);
        let broken = score.broken.iter().map(|b| printable(&b.text));
        page.notes("Broken rules", Tone::Bad, broken.collect());
        let chargers = setup.chargers.iter();
        let on_ports = chargers.filter_map(|c| plugged(c, score, setup.aim));
        page.sections.extend(on_ports);
        let without = score.without_berth.iter().map(|d| printable(d));
        page.notes("Not charged", Tone::Bad, without.collect());
        let levels = Rows::of(levels(score))
            .names("Objective", |row| row.level.clone())
            .facts("Yours", |row| row.yours.clone())
            .facts("Best", |row| row.best.clone())
            .facts("Yours is", |row| row.behind.clone());
        page.push(Section::titled("Beside the best plan").table(levels.table()));
        page.cautions(&score.cautions);
        page
    }
}

fn headline(setup: &Setup, score: &Score, reshared_h: Option<f64>, chargers: usize) -> String {
    let reached = reached_with(&score.yours, reshared_h, chargers);
    match score.broken.len() {
        0 => {}
        1 => return format!("1 rule is broken; if it could be held: {reached}."),
        many => return format!("{many} rules are broken; if it could be held: {reached}."),
    }
    let behind = &score.behind;
    let how = match behind.level {
        None => "as good as the best plan".to_owned(),
        Some(Objective::Unserved) => "a better plan has a port for more".to_owned(),
        Some(Objective::Missing) => "a better plan leaves less uncharged".to_owned(),
        Some(Objective::Late) => match behind.late_by_priority.iter().sum::<i64>() {
            more @ 1.. => format!("{more} late that need not be"),
            _ => "a better plan has fewer late of a higher priority".to_owned(),
        },
        Some(Objective::Hours) => format!(
            "{} more hours in all than need be, counted by priority",
            decimals(behind.weighted_h, 1)
        ),
        Some(Objective::Times) => {
            let best = &score.best.value;
            let times = score
                .yours
                .first_time_beyond(best, millionths(setup.tolerance_h));
            times.map_or_else(String::new, longer_than_need_be)
        }
        Some(Objective::Watts) => "as soon as the best plan, at more watts".to_owned(),
    };
    format!("Every rule is kept: {reached}; {how}.")
}

/// Which time is longer than that of the best plan, and by how much.
fn longer_than_need_be(times: TimesDiffer) -> String {
    let (yours, best) = times.hours();
    let more = if yours.is_infinite() {
        "never certain, and need not be".to_owned()
    } else {
        format!("{} longer than need be", difference(yours - best))
    };
    match (times.place, times.whose()) {
        (0, "") => more,
        (0, whose) => format!("the longest time{whose} is {more}"),
        (at, whose) => format!(
            "the longest time is the least, the {}{whose} is {more}",
            nth(at + 1)
        ),
    }
}

/// A difference of times, rounded down: it promises nothing that is not there.
fn difference(hours: f64) -> String {
    if hours.is_infinite() {
        "without end".to_owned()
    } else if minutes_at_least(hours.abs()) == 0.0 {
        "less than a minute".to_owned()
    } else {
        time_at_least(hours.abs())
    }
}

/// What is plugged into a charger, in the order of its ports, where anything is.
fn plugged(charger: &ChargerSpec, score: &Score, aim: Aim) -> Option<Section> {
    let mut rows = Vec::new();
    for port in &charger.ports {
        let here = |b: &&ScoredBerth| b.charger == charger.name && b.port == port.name;
        rows.extend(score.berths.iter().filter(here));
    }
    let or_none = |known: Option<String>| known.unwrap_or_else(|| "-".to_owned());
    let held = |berth: &ScoredBerth| berth.contract.map(|held| contract(held.volts, held.amps));
    let full = |berth: &ScoredBerth| berth.hours.map_or_else(|| "never".to_owned(), time);
    if rows.is_empty() {
        return None;
    }
    let table = Rows::of(rows)
        .facts("Port", |berth| short_name(&berth.port))
        .names("Device", |berth| short_name(&berth.device))
        .names("Cable", |berth| {
            or_none(berth.cable.as_deref().map(short_name))
        });
    let table = match aim {
        Aim::Best => table
            .facts("Volts, amps", |berth| or_none(held(berth)))
            .facts("Full after", |berth| late_below(full(berth), berth.late))
            .facts("Best plan", |berth| or_none(berth.best_h.map(time))),
        Aim::Promise => table
            .facts("Certain", |berth| certain(berth.promised_h))
            .facts("At best", |berth| late_below(full(berth), berth.late))
            .facts("Best plan", |berth| match berth.best_h {
                Some(_) => certain(berth.best_promised_h),
                None => or_none(None),
            }),
    };
    Some(Section::titled(printable(&charger.name)).table(table.table()))
}

fn levels(score: &Score) -> Vec<LevelRow> {
    let (yours, best, behind) = (&score.yours, &score.best.value, &score.behind);
    let mut rows = Vec::new();
    let mut add = |level: String, yours: String, best: String, behind: String| {
        rows.push(LevelRow {
            level,
            yours,
            best,
            behind,
        });
    };
    let count = |n: i64| match n {
        0 => "the same".to_owned(),
        more if more > 0 => format!("{more} more"),
        fewer => format!("{} fewer", fewer.abs()),
    };
    for (rank, more) in behind.unserved_by_priority.into_iter().enumerate() {
        let (a, b) = (
            yours.unserved_by_priority[rank],
            best.unserved_by_priority[rank],
        );
        if a + b > 0 {
            let level = format!("without a port, priority {}", rank + 1);
            add(level, a.to_string(), b.to_string(), count(more));
        }
    }
    if yours.unserved + best.unserved == 0 {
        add(
            "without a port".to_owned(),
            "0".to_owned(),
            "0".to_owned(),
            count(0),
        );
    } else if behind.unserved_by_priority == [0; 3] && behind.missing_wh != 0.0 {
        let wh = |value: f64| format!("{} Wh", decimals(value, 1));
        let more = format!("{} more", wh(behind.missing_wh));
        add(
            "missing in them".to_owned(),
            wh(yours.missing_wh),
            wh(best.missing_wh),
            more,
        );
    }
    add(
        "late".to_owned(),
        yours.late.to_string(),
        best.late.to_string(),
        count(behind.late_by_priority.iter().sum()),
    );
    let hours = |more: f64| match more {
        0.0 => "the same".to_owned(),
        more if more > 0.0 => format!("{} more", difference(more)),
        less => format!("{} less", difference(less)),
    };
    for (at, &more) in behind.times_h.iter().enumerate() {
        let more = more.unwrap_or(if yours.times_h[at].is_finite() {
            f64::NEG_INFINITY
        } else {
            f64::INFINITY
        });
        let level = if at == 0 {
            "longest time".to_owned()
        } else {
            format!("{} longest time", nth(at + 1))
        };
        add(
            level,
            time(yours.times_h[at]),
            time(best.times_h[at]),
            hours(more),
        );
        // What comes after the first difference no longer counts.
        if more != 0.0 {
            break;
        }
        if at == 0 && behind.times_h.iter().all(|more| *more == Some(0.0)) {
            break;
        }
    }
    add(
        "hours at best".to_owned(),
        decimals(yours.weighted_h, 1),
        decimals(best.weighted_h, 1),
        match behind.weighted_h {
            0.0 => "the same".to_owned(),
            more if more > 0.0 => format!("{} more", decimals(more, 1)),
            less => format!("{} less", decimals(less.abs(), 1)),
        },
    );
    let more = match behind.total_w {
        0.0 => "the same".to_owned(),
        more if more > 0.0 => format!("{} more", watts(more)),
        less => format!("{} less", watts(less.abs())),
    };
    add(
        "watts in all".to_owned(),
        watts(yours.total_w),
        watts(best.total_w),
        more,
    );
    rows
}
