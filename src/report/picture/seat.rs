//! One row of a charger: its port, the cable, and who sits at the end of it.

use maud::{Markup, html};

use super::drawing::{Anchor, Frame, Label, SMALL, STRONG, TEXT, steps};
use super::lettering::Font;
use super::palette::{Look, Px};
use crate::report::printable::isolated;
use crate::usb::Connector;

/// Letters on a socket.
const ON_SOCKET: Font = Font::bold(11.0);

/// What a port looks like from the front.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shape {
    /// USB-C: round at both ends.
    Round,
    /// USB-A: a box.
    Box,
    /// Anything else.
    Other,
}

impl Shape {
    pub(super) fn of(connector: &Connector) -> Self {
        match connector {
            Connector::UsbC => Self::Round,
            Connector::UsbA => Self::Box,
            _ => Self::Other,
        }
    }

    pub(super) fn radius(self) -> f64 {
        match self {
            Self::Round => 10.0,
            Self::Box => 2.0,
            Self::Other => 5.0,
        }
    }
}

/// Port, cable, device and contract, and what stands at the end of the row.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Seat {
    pub(super) socket: String,
    pub(super) shape: Shape,
    pub(super) cable: String,
    pub(super) device: String,
    pub(super) contract: String,
    /// When it is full.
    pub(super) end: String,
    pub(super) late: bool,
    /// What keeps it from being full sooner.
    pub(super) limited_by: &'static str,
    pub(super) look: Look,
}

impl Seat {
    fn end(&self) -> String {
        if self.late {
            format!("{}, late", self.end)
        } else {
            self.end.clone()
        }
    }
}

/// Where things stand in the rows of a drawing.
#[derive(Debug, Clone, Copy)]
pub(super) struct Columns<'f> {
    frame: Frame<'f>,
}

/// The charger's body is so wide.
const BODY: f64 = 66.0;
const SOCKET: f64 = 50.0;
const SOCKET_HEIGHT: f64 = 20.0;
/// Where the plug at the device's end of a cable is, and what follows it.
const PLUG: f64 = 158.0;
const SWATCH: f64 = 13.0;
const NAME: f64 = 186.0;
/// What is left beside the rows on a phone, for half of the last tick's label.
const EDGE: f64 = 8.0;
/// Letters may reach a little beyond their end.
const HAIR: f64 = 2.0;

impl<'f> Columns<'f> {
    pub(super) fn of(frame: Frame<'f>) -> Self {
        Self { frame }
    }

    /// The ends of what is drawn over time or watts.
    pub(super) fn strip(&self) -> (f64, f64) {
        self.frame.pick(
            (44.0, self.frame.width - EDGE),
            (346.0, self.frame.width - 92.0),
        )
    }

    /// What one row takes.
    pub(super) fn row(&self) -> f64 {
        self.frame.pick(62.0, 34.0)
    }

    /// Where in a row the strip stands, and how high it is.
    pub(super) fn strip_in_row(&self) -> (f64, f64) {
        self.frame.pick((38.0, 16.0), (6.0, 22.0))
    }

    /// What the body of a charger with rows from `top` to `bottom` looks like.
    pub(super) fn body(&self, top: f64, bottom: f64) -> Markup {
        html! {
            @if !self.frame.is_narrow() {
                rect x="0" y=(Px(top)) width=(Px(BODY)) height=(Px(bottom - top)) rx="12" class="body" {}
            }
        }
    }

    /// One row whose top is at `y`.
    pub(super) fn draw(&self, seat: &Seat, y: f64) -> Markup {
        if self.frame.is_narrow() {
            self.narrow_row(seat, y)
        } else {
            self.wide_row(seat, y)
        }
    }

    fn wide_row(&self, seat: &Seat, y: f64) -> Markup {
        let middle = y + self.row() / 2.0;
        let (from, to) = (BODY + 2.0, PLUG);
        let room = self.strip().0 - 14.0 - NAME;
        html! {
            (socket(seat, (BODY - SOCKET) / 2.0, middle))
            path d={ "M" (Px(from)) " " (Px(middle)) "C" (Px(from + 24.0)) " " (Px(middle + 7.0)) " "
                (Px(to - 24.0)) " " (Px(middle + 7.0)) " " (Px(to)) " " (Px(middle)) } class="cord" {}
            circle cx=(Px(from)) cy=(Px(middle)) r="3.2" class="plug" {}
            circle cx=(Px(to)) cy=(Px(middle)) r="3.2" class="plug" {}
            (text(seat.cable.as_str(), f64::midpoint(from, to), middle - 4.0, Anchor::Middle, SMALL, to - from - 6.0, "muted"))
            (swatch(seat.look, PLUG + 8.0, middle, self.frame.ids))
            (text(&seat.device, NAME, middle - 2.0, Anchor::Start, STRONG, room, ""))
            (text(&seat.contract, NAME, middle + 12.0, Anchor::Start, SMALL, room, "muted"))
            (self.end(seat, middle - 2.0, middle + 12.0))
        }
    }

    fn narrow_row(&self, seat: &Seat, y: f64) -> Markup {
        let name = SOCKET + 30.0;
        let right = self.frame.width - EDGE;
        let end = STRONG.width(&seat.end());
        let contract = format!(" · {}", seat.contract);
        let beside = SMALL.width(&contract) + SMALL.width(seat.limited_by) + 8.0;
        let cable = SMALL.fitted(&seat.cable, right - name - beside);
        let facts = isolated(&cable) + &contract;
        html! {
            (socket(seat, 1.0, y + 15.0))
            path d={ "M" (Px(SOCKET + 1.0)) " " (Px(y + 15.0)) "h8" } class="cord" {}
            (swatch(seat.look, SOCKET + 10.0, y + 15.0, self.frame.ids))
            (text(&seat.device, name, y + 13.0, Anchor::Start, STRONG, right - name - end - 8.0, ""))
            (text(&facts, name, y + 29.0, Anchor::Start, SMALL, right - name, "muted"))
            (self.end(seat, y + 13.0, y + 29.0))
        }
    }

    /// When it is full, and what keeps it from being so sooner.
    fn end(&self, seat: &Seat, y: f64, second_y: f64) -> Markup {
        let x = self.right();
        let tone = if seat.late { "alarm" } else { "" };
        html! {
            (text(&seat.end(), x, y, Anchor::End, if seat.late { STRONG } else { TEXT }, 130.0, tone))
            @if !seat.limited_by.is_empty() {
                (text(seat.limited_by, x, second_y, Anchor::End, SMALL, 130.0, "muted"))
            }
        }
    }

    fn right(&self) -> f64 {
        self.frame
            .pick(self.frame.width - EDGE, self.frame.width - HAIR)
    }

    /// What the lines at the end of each row are, the last one at `y`.
    pub(super) fn heading(&self, lines: &[&str], y: f64) -> Markup {
        html! {
            @for (line, y) in lines.iter().rev().zip(steps(y, -14.0)) {
                (text(line, self.right(), y, Anchor::End, SMALL, 130.0, "muted"))
            }
        }
    }

    /// Ports that stay free, in rows from `y` on, and where they end.
    pub(super) fn free(&self, ports: &[(String, Shape)], y: f64) -> (Markup, f64) {
        let left = self.frame.pick(1.0, (BODY - SOCKET) / 2.0);
        let each = SOCKET + 8.0;
        let (in_row, step) = self.frame.pick((5, 28.0), (1, 26.0));
        let place = |n: usize| {
            let column = u8::try_from(n % in_row).unwrap_or(0);
            let row = u16::try_from(n / in_row).unwrap_or(u16::MAX);
            (
                left + each * f64::from(column),
                y + step * (f64::from(row) + 0.5),
            )
        };
        let body = html! {
            @for (n, (name, shape)) in ports.iter().enumerate() {
                @let (x, middle) = place(n);
                (socket_alone(name, *shape, x, middle, "socket empty"))
                @if !self.frame.is_narrow() || n + 1 == ports.len() {
                    (text("free", x + each + self.frame.pick(2.0, 14.0), middle + 4.0, Anchor::Start, SMALL, 60.0, "muted"))
                }
            }
        };
        let rows = u16::try_from(ports.len().div_ceil(in_row)).unwrap_or(u16::MAX);
        (body, y + step * f64::from(rows))
    }
}

/// A text that fits its place, whole where a pointer rests on it.
pub(super) fn text(
    text: &str,
    x: f64,
    y: f64,
    anchor: Anchor,
    font: Font,
    room: f64,
    class: &str,
) -> Markup {
    let shown = font.fitted(text, room);
    if shown == text {
        return Label::new((x, y), anchor, font, shown).draw(class);
    }
    html! {
        g { title { (text) } (Label::new((x, y), anchor, font, shown).draw(class)) }
    }
}

fn socket(seat: &Seat, x: f64, middle: f64) -> Markup {
    socket_alone(&seat.socket, seat.shape, x, middle, "socket")
}

fn socket_alone(name: &str, shape: Shape, x: f64, middle: f64, class: &str) -> Markup {
    html! {
        rect x=(Px(x)) y=(Px(middle - SOCKET_HEIGHT / 2.0)) width=(Px(SOCKET)) height=(Px(SOCKET_HEIGHT))
            rx=(Px(shape.radius())) class=(class) {}
        (text(name, x + SOCKET / 2.0, middle + 4.0, Anchor::Middle, ON_SOCKET, SOCKET - 6.0, ""))
    }
}

fn swatch(look: Look, x: f64, middle: f64, ids: &str) -> Markup {
    html! {
        rect x=(Px(x)) y=(Px(middle - SWATCH / 2.0)) width=(Px(SWATCH)) height=(Px(SWATCH)) rx="3"
            fill=(look.fill(ids)) class="chip" {}
    }
}
