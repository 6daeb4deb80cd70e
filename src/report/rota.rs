//! A rota as a page: what to do at each moment, then every device.
//!
//! Moments are times of day where the setup says when the first session begins, else
//! hours from there: `01:40`, `+3 h 10 min`.

use super::clock::Clock;
use super::page::{Line, Page, Rows, Section, Shown, Table, Tone};
use super::plan::{bounds, limit, name_of_night, note, pool, proven, proven_to_promise};
use super::printable::{isolated, printable, sentence, short_name};
use super::seating::Seating;
use super::standing::{Longest, whatever_the_rule};
use crate::plan::rota::{Rota, RotaBerth};
use crate::setup::Setup;
use crate::setup::document::Aim;
use crate::units::quantity::{contract, decimals, time};

impl Page {
    /// The page of `rota`, which is a rota of `setup`.
    pub fn of_rota(setup: &Setup, rota: &Rota) -> Self {
        let told = Told::of(setup, rota);
        let plan = rota.without_sessions();
        let mut headline = told.reached();
        if !rota.berths.is_empty() || rota.unserved > 0 {
            let proven = match rota.aim {
                Aim::Best => proven((rota.status, rota.settled), "rota"),
                Aim::Promise => proven_to_promise((rota.status, rota.settled), "rota"),
            };
            headline = format!("{headline}; {proven}");
        }
        let mut page = Self::new(name_of_night(setup), headline, rota.serves_all());
        page.lead.extend(told.promised());
        page.lead.push(told.totals());
        page.no_sooner(setup, &rota.because);
        page.lead.extend(bounds(&plan, "rota"));
        let moments = told.moments();
        let sections = moments.iter().map(|moment| told.in_text(moment));
        page.sections.extend(sections);
        if !rota.berths.is_empty() {
            let table = Section::titled("").table(told.table());
            page.push(table.shown(Shown::InText));
        }
        let sections = moments.iter().map(|moment| told.in_pictures(moment));
        page.sections.extend(sections);
        page.seats(&Seating::of_rota(setup, rota));
        let totals = vec![sentence(&told.totals())];
        page.notes_in(Shown::InPictures, "In all", Tone::Plain, totals);
        page.proven(&plan, "rota");
        let late = rota.berths.iter().filter(|berth| berth.berth.late);
        let late = late.map(|berth| told.late_note(berth)).collect();
        page.notes("Late", Tone::Bad, late);
        page.in_the_way(setup, &rota.because);
        page.left_out(setup, &rota.without_berth);
        page.alike(setup);
        page.cautions(&rota.cautions);
        page
    }
}

/// A moment at which something is to be done.
pub(super) struct Moment<'a> {
    at_h: f64,
    /// The session that begins, or that all have ended.
    begins: String,
    pub(super) take_out: Vec<&'a RotaBerth>,
    /// In the order of the ports.
    pub(super) plug_in: Vec<&'a RotaBerth>,
    /// What pools give from then on.
    pools: Vec<String>,
}

/// A rota while it is told.
pub(super) struct Told<'a> {
    setup: &'a Setup,
    rota: &'a Rota,
    clock: Clock,
}

impl<'a> Told<'a> {
    pub(super) fn of(setup: &'a Setup, rota: &'a Rota) -> Self {
        Self {
            setup,
            rota,
            clock: Clock::of(setup.start),
        }
    }

    fn session(&self, name: &str) -> usize {
        let found = self.rota.sessions.iter().position(|s| s.name == name);
        found.unwrap_or_default()
    }

    /// When a berth ends.
    fn end_h(&self, berth: &RotaBerth) -> f64 {
        let last = self.rota.sessions.get(self.session(&berth.until_session));
        last.map_or(0.0, |last| last.end_h)
    }

    /// Whether a device is full before it is taken out.
    pub(super) fn is_full(&self, berth: &RotaBerth) -> bool {
        berth.finish_h <= self.end_h(berth)
    }

    /// When it is certain that a device is full, if that is before it is taken out.
    pub(super) fn surely_full_h(&self, berth: &RotaBerth) -> Option<f64> {
        let end_h = self.end_h(berth);
        berth.promised_finish_h.filter(|&hours| hours <= end_h)
    }

    /// What is reached, in one clause.
    pub(super) fn reached(&self) -> String {
        let rota = self.rota;
        let total = rota.berths.len() + rota.unserved;
        if total == 0 {
            return "nothing to charge: every device is full as it is".to_owned();
        }
        let full: Vec<f64> = rota
            .berths
            .iter()
            .filter(|berth| self.is_full(berth))
            .map(|berth| berth.finish_h)
            .collect();
        let held_h = full.iter().copied().fold(0.0, f64::max);
        let longest = Longest {
            held_h,
            reshared_h: rota.reshared_h,
            chargers: self.setup.chargers.len(),
            at_best: false,
            clock: self.clock,
        };
        let (latest, best) = match rota.aim {
            Aim::Best => (longest.at_the_latest(), ""),
            Aim::Promise => (self.clock.by(held_h), " at best"),
        };
        let mut parts = vec![match (full.len(), total) {
            (0, 1) => "the only device is not full by the end".to_owned(),
            (0, _) => format!("none of the {total} devices is full by the end"),
            (1, 1) => format!("the only device full {}", self.clock.by(held_h)),
            (all, of) if all == of => format!("all {of} devices full {latest}{best}"),
            (some, of) => format!("{some} of {of} devices full {latest}{best}"),
        }];
        let unfinished = rota.berths.len() - full.len();
        for (count, what) in [
            (rota.unserved, "without a port"),
            (unfinished, "not full when taken out"),
            (rota.late.saturating_sub(unfinished), "late"),
        ] {
            if count > 0 {
                parts.push(format!("{count} {what}"));
            }
        }
        parts.join(", ")
    }

    /// What is certain, where the rota was chosen by that.
    pub(super) fn promised(&self) -> Option<String> {
        let rota = self.rota;
        if rota.aim == Aim::Best || rota.berths.is_empty() {
            return None;
        }
        let berths = rota.berths.iter();
        let hours: Vec<f64> = berths
            .filter_map(|berth| self.surely_full_h(berth))
            .collect();
        let longest = hours.iter().copied().fold(0.0, f64::max);
        let rule = whatever_the_rule(self.setup.chargers.len());
        Some(match (hours.len(), rota.berths.len()) {
            (0, _) => format!("{rule}: none is certain to be full"),
            (all, of) if all == of => format!("{rule}: all certain {}", self.clock.by(longest)),
            (some, of) => format!("{rule}: {some} of {of} certain, {}", self.clock.by(longest)),
        })
    }

    fn totals(&self) -> String {
        let last = self.rota.berths.iter().filter(|berth| self.is_full(berth));
        let last = last.map(|berth| berth.finish_h).reduce(f64::max);
        let full = last.map(|last_h| format!("the last one full {}", self.clock.at(last_h)));
        let swaps = match self.rota.swaps {
            0 => "nothing to plug in after the start".to_owned(),
            1 => "1 to plug in after the start".to_owned(),
            more => format!("{more} to plug in after the start"),
        };
        let held = format!("{} Wh held", decimals(self.rota.held_wh, 0));
        let parts: Vec<String> = full.into_iter().chain([swaps, held]).collect();
        parts.join("; ")
    }

    /// The session at whose start a device is taken out, or one more than there are: the
    /// first at which somebody is there, or it is away.
    fn taken_out(&self, berth: &RotaBerth) -> usize {
        let sessions = self.setup.sessions.len();
        let device = self
            .setup
            .devices
            .iter()
            .find(|d| d.name == berth.berth.device);
        let stays = |session: usize| {
            !self.setup.sessions[session].swap && device.is_some_and(|d| d.is_at_hand(session))
        };
        let after = self.session(&berth.until_session) + 1;
        (after..sessions)
            .find(|&session| !stays(session))
            .unwrap_or(sessions)
    }

    /// The moments at which something is to be done, in order.
    pub(super) fn moments(&self) -> Vec<Moment<'a>> {
        let sessions = self.rota.sessions.len();
        let moments = (0..=sessions).map(|index| self.moment(index));
        moments
            .filter(|moment| !(moment.take_out.is_empty() && moment.plug_in.is_empty()))
            .collect()
    }

    /// The start of a session, or the end of the last.
    fn moment(&self, index: usize) -> Moment<'a> {
        let rota = self.rota;
        let begins = rota.sessions.get(index);
        let end_h = rota.sessions.last().map_or(0.0, |last| last.end_h);
        let take_out = rota.berths.iter();
        let mut plug_in: Vec<&RotaBerth> = rota
            .berths
            .iter()
            .filter(|berth| begins.is_some() && self.session(&berth.session) == index)
            .collect();
        plug_in.sort_by_key(|berth| self.place(berth));
        let pools = rota.pools.iter();
        let pools = pools.filter(|pool| begins.is_some_and(|begins| begins.name == pool.session));
        Moment {
            at_h: begins.map_or(end_h, |begins| begins.start_h),
            begins: begins.map_or("the end".to_owned(), |begins| printable(&begins.name)),
            take_out: take_out
                .filter(|berth| self.taken_out(berth) == index)
                .collect(),
            plug_in,
            pools: pools
                .map(|used| self.on(&used.of.charger, &pool(&used.of)))
                .collect(),
        }
    }

    /// What a moment is called, with so much between its time and its session.
    pub(super) fn title(&self, moment: &Moment, between: &str) -> String {
        format!("{}{between}{}", self.clock.at(moment.at_h), moment.begins)
    }

    /// What is to be taken out, with a word where one is not full.
    pub(super) fn taken(&self, moment: &Moment) -> Vec<String> {
        let berths = moment.take_out.iter();
        berths.map(|berth| self.take_out(berth)).collect()
    }

    fn in_text(&self, moment: &Moment) -> Section {
        let plug_in = moment.plug_in.iter();
        let plug_in = plug_in.filter_map(|of| Line::labelled("plug in", &[self.plug_in(of)], ""));
        Section::titled(self.title(moment, "  "))
            .lines(Line::labelled("take out", &self.taken(moment), ", "))
            .lines(plug_in)
            .lines(Line::labelled("shared", &moment.pools, "; "))
            .shown(Shown::InText)
    }

    fn in_pictures(&self, moment: &Moment) -> Section {
        let taken = self.taken(moment).join(", ");
        let take_out = (!moment.take_out.is_empty()).then(|| format!("Take out: {taken}"));
        let plug_in = moment.plug_in.iter().map(|berth| self.plug_in(berth));
        let items = take_out.into_iter().chain(plug_in);
        let begins = isolated(&moment.begins);
        let title = format!("{} {begins}", self.clock.at(moment.at_h));
        let section = Section::titled(title).lines(items.map(Line::item));
        Section {
            beside: true,
            ..section.shown(Shown::InPictures)
        }
    }

    /// Charger and port, as listed.
    fn place(&self, berth: &RotaBerth) -> Option<(usize, usize)> {
        let charger = self
            .setup
            .chargers
            .iter()
            .position(|c| c.name == berth.berth.charger)?;
        let ports = &self.setup.chargers[charger].ports;
        let port = ports
            .iter()
            .position(|port| port.name == berth.berth.port)?;
        Some((charger, port))
    }

    /// A part of a charger, whose name goes without saying where there is one.
    pub(super) fn on(&self, charger: &str, part: &str) -> String {
        if self.setup.chargers.len() > 1 {
            format!("{}/{part}", short_name(charger))
        } else {
            part.to_owned()
        }
    }

    fn take_out(&self, berth: &RotaBerth) -> String {
        let device = short_name(&berth.berth.device);
        if self.is_full(berth) {
            device
        } else {
            format!("{device} (not full)")
        }
    }

    fn plug_in(&self, berth: &RotaBerth) -> String {
        let of = &berth.berth;
        let full = if self.is_full(berth) {
            format!("full {}", self.clock.at(berth.finish_h))
        } else {
            "not full before it is taken out".to_owned()
        };
        format!(
            "{} → {} with {} ({}, {full})",
            short_name(&of.device),
            self.on(&of.charger, &short_name(&of.port)),
            short_name(&of.cable),
            contract(of.volts, of.amps),
        )
    }

    /// When a device must be full.
    fn needed_h(&self, name: &str) -> f64 {
        let device = self.setup.devices.iter().find(|device| device.name == name);
        let own = device.and_then(|device| device.ready_by_h);
        own.or(self.rota.sessions.last().map(|last| last.end_h))
            .unwrap_or(0.0)
    }

    fn table(&self) -> Table {
        let full = |berth: &RotaBerth| {
            let full = self.clock.at(berth.finish_h);
            match (berth.berth.late, self.is_full(berth)) {
                (false, _) => full,
                (true, true) => full + "\nlate",
                (true, false) => full + "\nnot reached",
            }
        };
        let needed = |berth: &RotaBerth| self.clock.at(self.needed_h(&berth.berth.device));
        Rows::of(&self.rota.berths)
            .names("Device", |of| short_name(&of.berth.device))
            .names("Sessions", |of| sessions(of, short_name))
            .facts("Charges for", |of| time(of.berth.hours))
            .facts("Full", |of| full(of))
            .facts("Needed", |of| needed(of))
            .facts("Limited by", |of| limit(of.berth.limited_by))
            .table()
    }

    fn late_note(&self, berth: &RotaBerth) -> String {
        let needed_h = self.needed_h(&berth.berth.device);
        let full = self.clock.at(berth.finish_h);
        let text = if self.is_full(berth) {
            let late = time(berth.finish_h - needed_h);
            format!(
                "full {full}, needed {}: {late} late",
                self.clock.at(needed_h)
            )
        } else {
            let end_h = self.end_h(berth);
            let short = time(berth.finish_h - end_h);
            format!(
                "taken out {}, {short} before it is full",
                self.clock.at(end_h)
            )
        };
        note(&berth.berth.device, &text)
    }
}

/// The sessions that a device takes: `evening`, `evening to night`.
pub(super) fn sessions(berth: &RotaBerth, shown: fn(&str) -> String) -> String {
    let from = shown(&berth.session);
    if berth.session == berth.until_session {
        from
    } else {
        format!("{from} to {}", shown(&berth.until_session))
    }
}

#[cfg(all(test, feature = "cli"))]
mod tests {
    use comfy_table::Table;

    use super::*;
    use crate::plan::PoolUse;
    use crate::plan::rota::{Rota, RotaBerth, RotaPoolUse, RotaSession};
    use crate::report::Palette;
    use crate::report::tests::{berth, charger, device, plan, setup};
    use crate::setup::clock::TimeOfDay;
    use crate::setup::{SessionSpec, Setup};

    /// Two sessions of 3.5 and 8 h, and a third in which nobody can swap; `name` is the
    /// first berth's device, charger, port and session.
    fn night(name: &str) -> (Setup, Rota) {
        let mut setup = setup(
            vec![charger(name, &[name, "C2"]), charger("cube", &["C1"])],
            vec![
                device(name, 0.0),
                device("laptop", 20.0),
                device("pack", 5.0),
            ],
        );
        setup.start = TimeOfDay::parse("19:00");
        let (mut sessions, mut start_h) = (Vec::new(), 0.0);
        for (session, hours, swap) in [
            (name, 3.5, true),
            ("night", 8.0, true),
            ("call", 1.0, false),
        ] {
            setup.sessions.push(SessionSpec {
                name: session.to_owned(),
                hours,
                swap,
            });
            sessions.push(RotaSession {
                name: session.to_owned(),
                start_h,
                end_h: start_h + hours,
            });
            start_h += hours;
        }
        let over = |berth, session: &str, until: &str, finish_h| RotaBerth {
            berth,
            session: session.to_owned(),
            until_session: until.to_owned(),
            finish_h,
            promised_finish_h: Some(finish_h),
        };
        let mut berths = vec![
            over(berth(name, name, name, 2.01), name, name, 2.01),
            over(berth("laptop", "cube", "C1", 6.0), "night", "night", 9.5),
            over(berth("pack", name, "C2", 13.0), name, "call", 13.0),
        ];
        berths[1].berth.late = true;
        let plan = plan(Vec::new(), 1);
        let pool = PoolUse {
            charger: name.to_owned(),
            pool: "total".to_owned(),
            used_w: 60.0,
            max_w: 60.0,
        };
        let rota = Rota {
            version: 1,
            program: None,
            setup_sha256: None,
            status: plan.status,
            settled: None,
            aim: plan.aim,
            longest_h: 13.0,
            promised_longest_h: Some(13.0),
            reshared_h: None,
            bound_h: Some(13.0),
            unserved: 1,
            bound_unserved: None,
            missing_wh: 12.0,
            late: 2,
            promised_late: 2,
            bound_late: None,
            bounds: Vec::new(),
            berths,
            assumed: Vec::new(),
            without_berth: plan.without_berth,
            pools: vec![RotaPoolUse {
                of: pool,
                session: name.to_owned(),
            }],
            cautions: vec!["a pool binds".to_owned()],
            because: Vec::new(),
            start: Some("19:00".to_owned()),
            sessions,
            swaps: 1,
            held_wh: 123.4,
        };
        (setup, rota)
    }

    fn page(setup: &Setup, rota: &Rota) -> String {
        let mut bytes = Vec::new();
        let written = Page::of_rota(setup, rota).write_text(&Palette::PLAIN, &mut bytes);
        written.expect("a vector takes every byte");
        String::from_utf8(bytes).expect("the page is text")
    }

    #[test]
    fn the_page_of_a_rota() {
        let (setup, rota) = night("evening");
        insta::assert_snapshot!(page(&setup, &rota), @r"
            2 of 4 devices full by 04:30 at the latest, 1 without a port, 1 not full when
            taken out, 1 late; proven: no rota is better
            the last one full 04:30; 1 to plug in after the start; 123 Wh held

            19:00  evening
              plug in: evening → evening/evening with braided 2 m (20 V 3.25 A, full 21:01)
              plug in: pack → evening/C2 with braided 2 m (20 V 3.25 A, not full before it
                       is taken out)
              shared: evening/total 60 of 60 W

            22:30  night
              take out: evening
              plug in: laptop → cube/C1 with braided 2 m (20 V 3.25 A, full 04:30)

            07:30  the end
              take out: laptop, pack (not full)

              Device   Sessions         Charges for  Full         Needed  Limited by
              ──────────────────────────────────────────────────────────────────────
              evening  evening          2 h 01 min   21:01        03:00   device
              laptop   night            6 h 00 min   04:30        03:00   device
                                                     late
              pack     evening to call  13 h 00 min  08:00        03:00   device
                                                     not reached

            Late
              - laptop: full 04:30, needed 03:00: 1 h 30 min late
              - pack: taken out 07:30, 30 min before it is full

            Without a port
              - phone 1: no cable in the bag ends in its inlet, usb-micro-b

            Alike, any in place of another
              - evening: evening and C2

            Cautions
              - a pool binds
            ");
    }

    #[test]
    fn every_line_fits_the_page() {
        for name in [
            "x".repeat(200),
            "טאבלט של התווים הראשון במעלה".to_owned(),
            "譜面用タブレットの一番目の非常に長い名前".to_owned(),
            "many short words that go on and on until the cell has to break".to_owned(),
            "esc\u{1b}[2Jape\r\n".to_owned(),
        ] {
            let (setup, rota) = night(&name);
            let page = page(&setup, &rota);
            for line in page.lines() {
                let mut table = Table::new();
                table.add_row([line]);
                let width = table.column_max_content_widths().first().copied();
                assert!(width.is_none_or(|width| width <= 80), "{width:?}: {line}");
                assert!(!line.ends_with(' '), "blanks at the end: {line:?}");
            }
            assert!(!page.contains(['\u{1b}', '\r']), "{page:?}");
        }
    }
}
