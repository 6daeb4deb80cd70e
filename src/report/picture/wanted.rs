//! The ports to look for: each with who would sit there, and its watts beside what the
//! device's label asks for.

use maud::{Markup, html};

use super::drawing::{Anchor, Drawing, Frame, Label, SMALL, steps};
use super::palette::{Look, Px};
use super::scale::Scale;
use super::seat::{Columns, Seat, Shape};
use crate::decide::bag::Bag;
use crate::decide::size::Sizing;
use crate::report::printable;
use crate::units::quantity::{contract, decimals, time, watts};

/// The ports of a sizing, in the order of the devices.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Wanted {
    ports: Vec<Port>,
    /// The most watts of any bar.
    most_w: f64,
}

#[derive(Debug, Clone, PartialEq)]
struct Port {
    seat: Seat,
    drawn_w: f64,
    /// The most that the device's label asks for.
    label_w: f64,
}

impl Wanted {
    /// Of a sizing that has ports.
    pub(super) fn of(bag: &Bag, sizing: &Sizing) -> Option<Self> {
        let devices = &bag.setup().devices;
        let ports = sizing.ports.iter().enumerate().map(|(n, port)| {
            let device = devices.iter().find(|device| device.name == port.device);
            Port {
                seat: Seat {
                    socket: watts(port.tier_w),
                    shape: Shape::Round,
                    cable: printable(&port.cable),
                    device: printable(&port.device),
                    contract: contract(port.volts, port.amps),
                    end: time(port.hours),
                    late: false,
                    limited_by: "",
                    look: Look(n),
                },
                drawn_w: port.port_w,
                label_w: device.map_or(port.port_w, |device| device.max_w),
            }
        });
        let ports: Vec<Port> = ports.collect();
        let most = ports.iter().map(|port| port.drawn_w.max(port.label_w));
        let most_w = most.reduce(f64::max)?;
        Some(Self { ports, most_w })
    }

    /// The same in a sentence.
    pub(super) fn words(&self) -> String {
        let each = self.ports.iter().map(|Port { seat, .. }| {
            format!(
                "{} on a port of {} through {} at {}, full after {}",
                seat.device, seat.socket, seat.cable, seat.contract, seat.end
            )
        });
        format!("{}.", each.collect::<Vec<_>>().join("; "))
    }

    pub(super) fn draw(&self, frame: Frame) -> Drawing {
        let columns = Columns::of(frame);
        let (left, right) = columns.strip();
        let top = frame.pick(4.0, 22.0);
        let bar = Scale::new([0.0, self.most_w], [left, right]);
        let rows = || self.ports.iter().zip(steps(top, columns.row()));
        let bottom = steps(top, columns.row())
            .nth(self.ports.len())
            .unwrap_or(top);
        let looks = self.ports.iter().map(|port| port.seat.look);
        let body: Markup = html! {
            defs { @for look in looks { (look.pattern(frame.ids)) } }
            (columns.body(top - 2.0, bottom + 2.0))
            @if !frame.is_narrow() { (columns.heading(&["full after"], top - 6.0)) }
            @for (port, y) in rows() {
                (columns.draw(&port.seat, y))
                (port.bar(&columns, &bar, y, frame.ids))
            }
        };
        Drawing {
            width: frame.width,
            height: bottom + 6.0,
            body,
        }
    }
}

impl Port {
    fn bar(&self, columns: &Columns, scale: &Scale, y: f64, ids: &str) -> Markup {
        let (offset, height) = columns.strip_in_row();
        let (x, top) = (scale.at(0.0), y + offset);
        let said = format!("{} of {}", decimals(self.drawn_w, 1), watts(self.label_w));
        let middle = top + height / 2.0 + 4.0;
        let end = scale.at(self.drawn_w);
        let inside = end - x > SMALL.width(&said) + 12.0;
        let at = if inside { x + 6.0 } else { end + 6.0 };
        let label = Label::new((at, middle), Anchor::Start, SMALL, said);
        html! {
            rect x=(Px(x)) y=(Px(top)) width=(Px(scale.at(self.label_w) - x)) height=(Px(height)) class="asked" {}
            rect x=(Px(x)) y=(Px(top)) width=(Px(end - x)) height=(Px(height))
                fill=(self.seat.look.fill(ids)) class="band" {}
            @if inside { (self.seat.look.on_fill(&label)) } @else { (label.draw("onstrip")) }
        }
    }
}
