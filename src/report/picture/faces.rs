//! Plugs and sockets from the front, to scale: each with its letter, and whose it is.

use maud::{Markup, html};

use super::drawing::{Anchor, Drawing, Frame, Label, SMALL, STRONG};
use super::palette::Px;
use super::{Drawn, Figure};
use crate::facts::{Face, Pin, PinRole, PinShape, Plug};
use crate::report::page::Page;
use crate::report::printable::printable;
use crate::setup::Setup;
use crate::trip::{PackingKind, Trip};

/// Units of a drawing for one millimetre.
pub(super) const PER_MM: f64 = 1.6;
/// The frame of a face, which is not to scale.
const TILE: f64 = 84.0;
const GAP: f64 = 14.0;
/// Above a frame its letter, below it two lines of names.
const ABOVE: f64 = 18.0;
const BELOW: f64 = 38.0;

/// The faces of a trip.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Faces(Vec<Tile>);

#[derive(Debug, Clone, PartialEq)]
struct Tile {
    face: Face,
    is_socket: bool,
    /// The things that have it, or the stops.
    whose: Vec<String>,
}

impl Page {
    /// Draws the plugs that are carried, and the sockets that are met.
    pub(in crate::report) fn draw_faces(&mut self, setup: &Setup, trip: &Trip) {
        self.figures.extend(faces(None, setup, trip));
    }

    /// The same in a section.
    pub(in crate::report) fn draw_faces_in(&mut self, section: &str, setup: &Setup, trip: &Trip) {
        self.figures.extend(faces(Some(section), setup, trip));
    }
}

fn faces(section: Option<&str>, setup: &Setup, trip: &Trip) -> Option<Figure> {
    let faces = Faces::of(setup, trip);
    if faces.0.is_empty() {
        return None;
    }
    let mut caption = vec![
        "Pins (filled) and holes (open), seen from the front, in their shapes and distances \
             to scale; the frames are not."
            .to_owned(),
    ];
    let mut weak: Vec<&str> = Vec::new();
    for tile in &faces.0 {
        let letter = tile.face.plug.name();
        if tile.face.source.proviso().is_some() && !weak.contains(&letter) {
            weak.push(letter);
        }
    }
    if !weak.is_empty() {
        caption.push(format!("Drawn from memory in part: {}.", weak.join(", ")));
    }
    Some(Figure {
        title: "Plugs and sockets".to_owned(),
        words: faces.words(),
        caption,
        under: section.map(str::to_owned),
        drawn: Drawn::Faces(faces),
    })
}

impl Faces {
    fn of(setup: &Setup, trip: &Trip) -> Self {
        let mut faces = Self(Vec::new());
        let Some(spec) = &setup.trip else {
            return faces;
        };
        let stays = |kind: PackingKind, name: &str| {
            let mut taken = trip.bag.take.iter();
            !taken.any(|of| of.kind == kind && is_one_of(&of.thing, name))
        };
        for (charger, side) in setup.chargers.iter().zip(&spec.chargers) {
            if !stays(PackingKind::Charger, &charger.name) {
                faces.add_all(side.plug, false, &charger.name);
            }
        }
        for appliance in &spec.appliances {
            if !stays(PackingKind::Appliance, &appliance.name) {
                faces.add_all([appliance.plug], false, &appliance.name);
            }
        }
        for converter in &spec.converters {
            if !stays(PackingKind::Converter, &converter.name) {
                faces.add_all([converter.plug], false, &converter.name);
            }
        }
        for plug in &spec.plugs {
            faces.add_all([*plug], false, "");
        }
        for adapter in &spec.adapters {
            if !stays(PackingKind::Adapter, &adapter.name) {
                faces.add_all(adapter.makes.iter().copied(), false, &adapter.name);
            }
        }
        if let Some(shop) = &setup.shop {
            for (charger, side) in shop.chargers.iter().zip(&shop.sides) {
                if !stays(PackingKind::Charger, &charger.name) {
                    faces.add_all(side.plug, false, &charger.name);
                }
            }
            for adapter in &shop.adapters {
                if !stays(PackingKind::Adapter, &adapter.name) {
                    faces.add_all(adapter.makes.iter().copied(), false, &adapter.name);
                }
            }
        }
        for stop in &trip.stops {
            let kinds = stop.socket_kinds.iter();
            let kinds = kinds.filter_map(|kind| kind.parse().ok());
            faces.add_all(kinds, true, &stop.name);
        }
        faces
    }

    fn add_all(&mut self, plugs: impl IntoIterator<Item = Plug>, is_socket: bool, whose: &str) {
        for plug in plugs {
            let known = |tile: &&mut Tile| tile.face.plug == plug && tile.is_socket == is_socket;
            let whose = Some(printable(whose)).filter(|whose| !whose.is_empty());
            if let Some(tile) = self.0.iter_mut().find(known) {
                tile.whose
                    .extend(whose.filter(|whose| !tile.whose.contains(whose)));
            } else {
                self.0.push(Tile {
                    face: plug.face(),
                    is_socket,
                    whose: whose.into_iter().collect(),
                });
            }
        }
    }

    /// The same in a sentence.
    fn words(&self) -> String {
        let each = self.0.iter().map(|tile| {
            let pins = tile.face.plug.facts().pins;
            format!("{}, {pins}: {}", tile.title(), tile.whose.join(", "))
        });
        format!("{}.", each.collect::<Vec<_>>().join("; "))
    }

    pub(super) fn draw(&self, frame: Frame) -> Drawing {
        let mut body: Vec<Markup> = Vec::new();
        let (mut x, mut y) = (0.0, 0.0);
        for (at, tile) in self.0.iter().enumerate() {
            // Sockets begin a row of their own.
            let begins = at > 0 && tile.is_socket && !self.0[at - 1].is_socket;
            if begins || x + TILE > frame.width {
                x = 0.0;
                y += ABOVE + TILE + BELOW;
            }
            body.push(tile.draw((x, y)));
            x += TILE + GAP;
        }
        Drawing {
            width: frame.width,
            height: y + ABOVE + TILE + BELOW,
            body: html! { @for part in body { (part) } },
        }
    }
}

/// Whether a thing is called so, or is one of several that are, each with its number.
fn is_one_of(thing: &str, name: &str) -> bool {
    let number = thing.strip_prefix(name);
    let number = number.map(|rest| rest.strip_prefix(' ').unwrap_or(rest));
    number.is_some_and(|number| number.bytes().all(|byte| byte.is_ascii_digit()))
}

impl Tile {
    fn title(&self) -> String {
        let what = if self.is_socket { "socket" } else { "plug" };
        format!("{what} {}", self.face.plug)
    }

    fn draw(&self, (x, y): (f64, f64)) -> Markup {
        let (middle, top) = (x + TILE / 2.0, y + ABOVE);
        let title = Label::new((middle, y + 12.0), Anchor::Middle, STRONG, self.title());
        let names = self.whose.join(", ");
        let mut lines = SMALL.wrapped(&names, TILE);
        if lines.len() > 2 {
            let rest = lines.split_off(1).join(" ");
            lines.push(SMALL.fitted(&rest, TILE));
        }
        let below = lines.into_iter().zip([14.0, 28.0]).map(|(line, down)| {
            let at = (middle, top + TILE + down);
            Label::new(at, Anchor::Middle, SMALL, line).draw("muted")
        });
        // As much room above its pins as below them.
        let ends = self.face.pins.iter().map(|pin| pin.y_mm);
        let (high, low) = ends.fold((0.0_f64, 0.0_f64), |(high, low), y| {
            (high.min(y), low.max(y))
        });
        let center = (middle, top + TILE / 2.0 - f64::midpoint(high, low) * PER_MM);
        html! {
            (title.draw(""))
            rect x=(Px(x)) y=(Px(top)) width=(Px(TILE)) height=(Px(TILE)) rx="12" class="body" {}
            @for pin in &self.face.pins { (drawn(pin, self.is_socket, center)) }
            @for line in below { (line) }
        }
    }
}

/// A pin, filled; or a hole, open.
pub(super) fn drawn(pin: &Pin, is_socket: bool, (x, y): (f64, f64)) -> Markup {
    let stands_out = match pin.role {
        PinRole::Current | PinRole::Earth => !is_socket,
        PinRole::EarthOfSocket => is_socket,
        PinRole::EarthClip => true,
    };
    let class = if stands_out { "plug" } else { "socket" };
    let (x, y) = (x + pin.x_mm * PER_MM, y + pin.y_mm * PER_MM);
    match pin.shape {
        PinShape::Round(thick) => html! {
            circle cx=(Px(x)) cy=(Px(y)) r=(Px(thick * PER_MM / 2.0)) class=(class) {}
        },
        PinShape::Flat {
            wide_mm,
            high_mm,
            turned_deg,
        } => {
            let (wide, high) = (wide_mm * PER_MM, high_mm * PER_MM);
            let (left, up) = (-wide / 2.0, -high / 2.0);
            html! {
                rect x=(Px(left)) y=(Px(up)) width=(Px(wide)) height=(Px(high)) class=(class)
                    transform={ "translate(" (Px(x)) " " (Px(y)) ") rotate(" (Px(turned_deg)) ")" } {}
            }
        }
    }
}
