//! Who sits where, night by night: each charger with its ports, cables and devices, and how
//! long each of them takes.

use maud::{Markup, html};

use super::drawing::{Anchor, Drawing, Frame, STRONG, steps};
use super::palette::{Look, Px};
use super::seat::{Columns, Seat, Shape, text};
use super::{Drawn, Figure};
use crate::plan::Berth;
use crate::report::clock::Clock;
use crate::report::nights::{Alike, charger_of, full};
use crate::report::page::Page;
use crate::report::plan::limit;
use crate::report::printable::printable;
use crate::setup::Setup;
use crate::setup::document::Aim;
use crate::units::quantity::contract;
use crate::usb::Connector;

/// So many nights are drawn at most; their tables say the same.
const DRAWN: usize = 12;

/// The chargers of a night.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Seats {
    chargers: Vec<Plugged>,
    /// The end of all bars.
    span_h: f64,
    /// What the times at the ends of the rows are.
    full: &'static str,
}

/// A charger with who sits on it.
#[derive(Debug, Clone, PartialEq)]
struct Plugged {
    name: String,
    /// With the hours until each is full.
    seats: Vec<(Seat, f64)>,
    free: Vec<(String, Shape)>,
}

impl Page {
    /// Draws who sits where under each night's title.
    pub(in crate::report) fn draw_nights(&mut self, setup: &Setup, nights: &[Alike<'_>]) {
        let nights = nights.iter().filter(|night| !night.plan.berths.is_empty());
        self.figures.extend(nights.take(DRAWN).map(|night| {
            let seats = Seats::of(setup, night);
            Figure {
                title: night.named(),
                words: seats.words(),
                caption: vec!["Each bar ends when its device is full.".to_owned()],
                under: Some(night.title()),
                drawn: Drawn::Seats(seats),
            }
        }));
    }
}

impl Seats {
    fn of(setup: &Setup, night: &Alike<'_>) -> Self {
        let clock = Clock::of(setup.start);
        let aim = night.plan.aim;
        let hours = |berth: &Berth| match (aim, berth.promised_h) {
            (Aim::Promise, Some(sure_h)) => sure_h,
            _ => berth.hours,
        };
        let mut looks = (0..).map(Look);
        let mut chargers = Vec::new();
        for (name, berths) in night.on_chargers(setup) {
            let ports = charger_of(setup, name).map_or(&[][..], |charger| &charger.ports);
            let shape = |port: &str| {
                let spec = ports.iter().find(|spec| spec.name == port);
                Shape::of(spec.map_or(&Connector::UsbC, |spec| &spec.connector))
            };
            let free = ports
                .iter()
                .filter(|port| berths.iter().all(|berth| berth.port != port.name));
            let free = free.map(|port| (printable(&port.name), shape(&port.name)));
            let seats = berths.iter().zip(&mut looks).map(|(berth, look)| {
                let seat = Seat {
                    socket: printable(&berth.port),
                    shape: shape(&berth.port),
                    cable: printable(&berth.cable),
                    device: printable(&berth.device),
                    contract: contract(berth.volts, berth.amps),
                    // That it is late is said there, too.
                    end: full(clock, &night.plan, berth).replace(", late", ""),
                    late: berth.late,
                    limited_by: limit(berth.limited_by),
                    look,
                };
                (seat, hours(berth))
            });
            chargers.push(Plugged {
                name: printable(name),
                seats: seats.collect(),
                free: free.collect(),
            });
        }
        let last = night
            .plan
            .berths
            .iter()
            .map(hours)
            .filter(|h| h.is_finite());
        Self {
            chargers,
            span_h: last.fold(0.1, f64::max),
            full: if clock.is_known() {
                "full at"
            } else {
                "full after"
            },
        }
    }

    /// The same in a sentence.
    fn words(&self) -> String {
        let each = self.chargers.iter().map(|charger| {
            let seats = charger.seats.iter().map(|(seat, _)| {
                format!(
                    "{} on {} through {}, {} {}",
                    seat.device, seat.socket, seat.cable, self.full, seat.end
                )
            });
            format!("{}: {}", charger.name, seats.collect::<Vec<_>>().join("; "))
        });
        format!("{}.", each.collect::<Vec<_>>().join(". "))
    }

    pub(super) fn draw(&self, frame: Frame) -> Drawing {
        let columns = Columns::of(frame);
        let mut y = 0.0;
        let mut parts: Vec<Markup> = Vec::new();
        for charger in &self.chargers {
            let (part, bottom) = self.charger(charger, columns, frame, y);
            parts.push(part);
            y = bottom + 22.0;
        }
        Drawing {
            width: frame.width,
            height: y - 10.0,
            body: html! { @for part in parts { (part) } },
        }
    }

    /// One charger from `y` on, and where it ends.
    fn charger(&self, of: &Plugged, columns: Columns, frame: Frame, y: f64) -> (Markup, f64) {
        let from = y + 28.0;
        let count = u16::try_from(of.seats.len()).unwrap_or(u16::MAX);
        let to = from + columns.row() * f64::from(count);
        let (free, bottom) = columns.free(&of.free, to);
        let bottom = bottom.max(to) + 4.0;
        let body = html! {
            defs { @for (seat, _) in &of.seats { (seat.look.pattern(frame.ids)) } }
            (text(&of.name, 0.0, y + 14.0, Anchor::Start, STRONG, frame.width - 100.0, ""))
            (columns.body(from - 4.0, bottom))
            @if !frame.is_narrow() { (columns.heading(&[self.full], y + 14.0)) }
            @for ((seat, hours), y) in of.seats.iter().zip(steps(from, columns.row())) {
                (columns.draw(seat, y))
                (self.bar(seat, *hours, columns, y, frame.ids))
            }
            (free)
        };
        (body, bottom)
    }

    /// How long it takes.
    fn bar(&self, seat: &Seat, hours: f64, columns: Columns, y: f64, ids: &str) -> Markup {
        let (left, right) = columns.strip();
        let (offset, height) = columns.strip_in_row();
        let (top, height) = (y + offset + height * 0.2, height * 0.6);
        let share = (hours / self.span_h).clamp(0.0, 1.0);
        html! {
            rect x=(Px(left)) y=(Px(top)) width=(Px(right - left)) height=(Px(height)) class="track" {}
            rect x=(Px(left)) y=(Px(top)) width=(Px((right - left) * share)) height=(Px(height))
                fill=(seat.look.fill(ids)) class="charge" {}
        }
    }
}
