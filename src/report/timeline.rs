//! The night as a table of events, and what the socket gives.

use super::clock::Clock;
use super::page::{Page, Rows, Section, Table, Tone};
use super::plan::name_of_night;
use super::printable::{printable, short_name};
use super::standing::{Longest, reached};
use crate::plan::Status;
use crate::setup::document::Aim;
use crate::setup::efficiency::efficiency;
use crate::setup::{ChargerSpec, Setup};
use crate::timeline::{Energy, Event, Happening, Sharing, Timeline};
use crate::units::millionths;
use crate::units::quantity::{contract, decimals, time, watts};

impl Page {
    /// The page of `night`, which is one of `setup`.
    pub fn of_timeline(setup: &Setup, night: &Timeline) -> Self {
        let need = setup.devices.iter().filter(|d| d.needs_berth()).count();
        let seated = night.series.len();
        let longest = Longest {
            held_h: night.longest_h,
            reshared_h: night.reshared_h,
            chargers: setup.chargers.len(),
            at_best: setup.aim == Aim::Promise,
            clock: Clock::of(setup.start),
        };
        let mut headline = reached(seated, need.saturating_sub(seated), 0, longest);
        if night.not_full > 0 {
            headline = format!(
                "{headline}; {} unplugged before they are full",
                night.not_full
            );
        }
        if night.reshared_status == Some(Status::Feasible) {
            headline += "; sharing anew not proven best: its budget struck";
        }
        let good = night.not_full == 0 && need <= seated;
        let mut page = Self::new(name_of_night(setup), headline, good);
        if !night.events.is_empty() {
            let table = table(Clock::of(setup.start), &night.events);
            page.push(Section::titled(sharing(setup, night)).table(table));
        }
        if let Some(told) = &night.rules {
            page.sharing_rules(setup, told);
        }
        page.notes("From the socket", Tone::Plain, socket(setup, night));
        page.cautions(&night.cautions);
        page
    }
}

/// How the chargers share in what is shown.
fn sharing(setup: &Setup, night: &Timeline) -> String {
    let chargers = if setup.chargers.len() == 1 {
        "the charger renegotiates"
    } else {
        "the chargers renegotiate"
    };
    match night.sharing {
        Sharing::Held => "The night, nothing shared anew".to_owned(),
        Sharing::Reshared => format!("The night, if {chargers} as devices need less"),
    }
}

/// What happens to one device, or to several at once.
struct EventRow {
    at_h: f64,
    /// From the start of the night: `3 h 05 min`, rounded up.
    when: String,
    /// Whether the row before says the same time.
    again: bool,
    /// The devices, or the session.
    who: String,
    what: String,
    /// The state of charge: `80 %`.
    charge: String,
}

/// The events in order, with times of day where the setup says when the night begins.
fn table(clock: Clock, events: &[Event]) -> Table {
    let once = |row: &EventRow, time: String| if row.again { String::new() } else { time };
    let mut rows = Rows::of(rows(events)).facts("After", |row| once(row, row.when.clone()));
    if clock.is_known() {
        let moment = |row: &EventRow| clock.moment(row.at_h).map(|moment| moment.to_string());
        rows = rows.facts("At", |row| once(row, moment(row).unwrap_or_default()));
    }
    rows.names("Who", |row| row.who.clone())
        .facts("What happens", |row| row.what.clone())
        .facts("Charge", |row| row.charge.clone())
        .table()
}

fn rows(events: &[Event]) -> Vec<EventRow> {
    let mut rows: Vec<EventRow> = Vec::new();
    for event in events {
        let who = event.device.as_ref().or(event.session.as_ref());
        let who = who.map_or_else(String::new, |name| short_name(name));
        let charge = event.soc_pct.map(|pct| format!("{} %", decimals(pct, 0)));
        let (what, charge) = (what(event), charge.unwrap_or_default());
        let same = |row: &&mut EventRow| {
            let at_once = millionths(row.at_h) == millionths(event.at_h);
            at_once && row.what == what && row.charge == charge
        };
        if let Some(row) = rows.last_mut().filter(same) {
            row.who.push_str(", ");
            row.who.push_str(&who);
        } else {
            let when = time(event.at_h);
            rows.push(EventRow {
                at_h: event.at_h,
                again: rows.last().is_some_and(|row| row.when == when),
                when,
                who,
                what,
                charge,
            });
        }
    }
    rows
}

fn what(event: &Event) -> String {
    let negotiated = event
        .contract
        .as_ref()
        .map_or_else(String::new, |held| contract(held.volts, held.amps));
    match event.what {
        Happening::SessionEnds => "the session ends".to_owned(),
        Happening::Unplugged => "unplugged".to_owned(),
        Happening::PluggedIn => format!("plugged in, {negotiated}"),
        Happening::Taper => "begins to taper".to_owned(),
        Happening::Unfilled => "draws less than it could have".to_owned(),
        Happening::Full => "full".to_owned(),
        Happening::Contract => format!("from now on {negotiated}"),
    }
}

fn socket(setup: &Setup, night: &Timeline) -> Vec<String> {
    let wh = |value: f64| format!("{} Wh", decimals(value, 1));
    let Energy {
        stored_wh,
        running_wh,
        charging_lost_wh,
        cable_lost_wh,
        charger_lost_wh,
    } = night.energy;
    let mut parts = vec![format!("{} into the batteries", wh(stored_wh))];
    if running_wh > 0.0 {
        parts.push(format!("{} to run on", wh(running_wh)));
    }
    parts.push(format!(
        "{} lost in the devices, {} in the cables, {} in the chargers",
        wh(charging_lost_wh),
        wh(cable_lost_wh),
        wh(charger_lost_wh)
    ));
    let used = |charger: &&ChargerSpec| night.series.iter().any(|s| s.charger == charger.name);
    let mut lines = vec![
        format!(
            "{} in {}, at most {} at once",
            wh(night.wall_wh),
            time(night.until_h),
            watts(night.wall.peak_w)
        ),
        parts.join(", "),
    ];
    lines.extend(setup.chargers.iter().filter(used).map(|charger| {
        let percent = decimals(efficiency(charger) * 100.0, 1);
        let source = match charger.efficiency {
            Some(_) => "as given",
            None => "the least the law allows, (EU) 2019/1782",
        };
        format!(
            "{}: {percent} % efficient, {source}",
            printable(&charger.name)
        )
    }));
    lines
}
