//! The bag laid out: what to buy and what to take along, each thing with its shape, its name
//! and how many of it there are.

use maud::{Markup, html};

use super::drawing::{Anchor, Drawing, Frame, Label, SMALL, STRONG, steps};
use super::faces::drawn;
use super::palette::Px;
use super::seat::Shape;
use super::{Drawn, Figure, bags};
use crate::facts::{Face, Plug};
use crate::report::luggage::nights;
use crate::report::luggage::things::{grams, order, several};
use crate::report::nights::charger_of;
use crate::report::page::Page;
use crate::report::printable::printable;
use crate::setup::{AdapterSpec, CableSpec, ConverterSpec, Setup};
use crate::trip::bag::PackingKind;
use crate::trip::shopping::{Luggage, Piece};
use crate::units::quantity::decimals;
use crate::usb::Connector;

/// What one thing takes; its shape is in the middle of the upper part.
const TILE: f64 = 104.0;
const ART: f64 = 82.0;
const GAP: f64 = 14.0;
/// Two lines of a name, and one of weight and price.
const BELOW: f64 = 52.0;
/// The title of a list.
const TITLE: f64 = 24.0;
/// So many ports are drawn in one row, and so many rows.
const PORTS: usize = 4;

/// The lists.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Bag(Vec<List>);

#[derive(Debug, Clone, PartialEq)]
struct List {
    title: &'static str,
    things: Vec<Thing>,
}

/// So many of one thing.
#[derive(Debug, Clone, PartialEq)]
struct Thing {
    name: String,
    count: u32,
    /// What all of it weighs and costs.
    facts: String,
    look: Looks,
}

/// What a thing looks like.
#[derive(Debug, Clone, PartialEq)]
enum Looks {
    /// A box with ports.
    Charger(Vec<Shape>),
    /// A cord with what is at its ends.
    Cable(Shape, Shape),
    /// The pins that it makes, and its ports.
    Adapter(Option<Face>, Vec<Shape>),
    /// A box with what is said of it, and its plug.
    Machine(String, Option<Face>),
}

impl Page {
    /// The page of `luggage`, which is one of `setup`, drawn: the bag, each night with it, and
    /// the bags that nothing beats.
    #[must_use]
    pub fn with_bag(mut self, setup: &Setup, luggage: &Luggage) -> Self {
        self.figures.extend(figure(setup, luggage));
        self.draw_nights(setup, &nights(luggage));
        self.figures.extend(bags::figure(setup, luggage));
        self
    }

    /// The page of `luggage` with the bag and the bags that nothing beats alone, as one
    /// picture shows them.
    pub fn of_bag_alone(setup: &Setup, luggage: &Luggage) -> Self {
        let mut page = Self::of_luggage(setup, luggage);
        page.sections.clear();
        page.figures = figure(setup, luggage).into_iter().collect();
        let unbeaten = bags::figure(setup, luggage);
        page.figures.extend(unbeaten.map(|figure| Figure {
            title: "Bags that no other beats".to_owned(),
            under: None,
            ..figure
        }));
        page
    }
}

fn figure(setup: &Setup, luggage: &Luggage) -> Option<Figure> {
    let bag = Bag::of(setup, luggage);
    (!bag.0.is_empty()).then(|| Figure {
        title: "The bag".to_owned(),
        words: bag.words(),
        caption: Vec::new(),
        under: None,
        drawn: Drawn::Bag(bag),
    })
}

impl Bag {
    fn of(setup: &Setup, luggage: &Luggage) -> Self {
        let list = |title, pieces: &[Piece]| {
            let mut pieces: Vec<&Piece> = pieces.iter().collect();
            pieces.sort_by_key(|piece| order(piece.kind));
            List {
                title,
                things: pieces.iter().map(|piece| Thing::of(setup, piece)).collect(),
            }
        };
        let lists = [list("Buy", &luggage.buy), list("Take along", &luggage.take)];
        Self(
            lists
                .into_iter()
                .filter(|list| !list.things.is_empty())
                .collect(),
        )
    }

    /// The same in a sentence.
    fn words(&self) -> String {
        let each = self.0.iter().map(|list| {
            let things = list
                .things
                .iter()
                .map(|thing| several(thing.count, &thing.name));
            format!("{}: {}.", list.title, things.collect::<Vec<_>>().join("; "))
        });
        each.collect::<Vec<_>>().join(" ")
    }

    pub(super) fn draw(&self, frame: Frame) -> Drawing {
        let mut y = 0.0;
        let mut parts: Vec<Markup> = Vec::new();
        for list in &self.0 {
            let title = Label::new((0.0, y + 14.0), Anchor::Start, STRONG, list.title);
            parts.push(title.draw(""));
            y += TITLE;
            let mut x = 0.0;
            for thing in &list.things {
                if x + TILE > frame.width {
                    x = 0.0;
                    y += ART + BELOW;
                }
                parts.push(thing.draw((x, y)));
                x += TILE + GAP;
            }
            y += ART + BELOW;
        }
        Drawing {
            width: frame.width,
            height: y,
            body: html! { @for part in parts { (part) } },
        }
    }
}

impl Thing {
    fn of(setup: &Setup, piece: &Piece) -> Self {
        let count = f64::from(piece.count);
        let weight = piece.weight_g.map(|of_one| grams(of_one * count));
        let price = piece
            .price
            .map(|of_one| format!("price {}", decimals(of_one * count, 2)));
        let facts: Vec<String> = weight.into_iter().chain(price).collect();
        Self {
            name: printable(&piece.thing),
            count: piece.count,
            facts: facts.join(", "),
            look: Looks::of(setup, piece),
        }
    }

    fn draw(&self, (x, y): (f64, f64)) -> Markup {
        let middle = x + TILE / 2.0;
        let mut lines = SMALL.wrapped(&self.name, TILE);
        if lines.len() > 2 {
            let rest = lines.split_off(1).join(" ");
            lines.push(SMALL.fitted(&rest, TILE));
        }
        let after = steps(y + ART + 14.0, 14.0);
        let facts = SMALL.fitted(&self.facts, TILE);
        let below = lines
            .into_iter()
            .map(|line| (line, ""))
            .chain([(facts, "muted")]);
        let below = below.zip(after).map(|((line, class), y)| {
            Label::new((middle, y), Anchor::Middle, SMALL, line).draw(class)
        });
        let count = (self.count > 1).then(|| {
            let count = format!("{} ×", self.count);
            Label::new((x + 6.0, y + 16.0), Anchor::Start, STRONG, count)
        });
        html! {
            rect x=(Px(x)) y=(Px(y)) width=(Px(TILE)) height=(Px(ART)) rx="10" class="track" {}
            g {
                title { (several(self.count, &self.name)) }
                (self.look.draw((middle, y + ART / 2.0)))
            }
            @if let Some(count) = count { (count.draw("onstrip")) }
            @for line in below { (line) }
        }
    }
}

impl Looks {
    fn of(setup: &Setup, piece: &Piece) -> Self {
        let name = piece.thing.as_str();
        let ports = || {
            let charger = charger_of(setup, name);
            let ports = charger.into_iter().flat_map(|charger| &charger.ports);
            ports.map(|port| Shape::of(&port.connector)).collect()
        };
        let face = |plug: &Plug| plug.face();
        match piece.kind {
            PackingKind::Charger => Self::Charger(ports()),
            PackingKind::Cable => {
                let ends = cable(setup, name).map(|cable| (&cable.from, &cable.to));
                let (from, to) = ends.unwrap_or((&Connector::UsbC, &Connector::UsbC));
                Self::Cable(Shape::of(from), Shape::of(to))
            }
            PackingKind::Adapter => {
                let spec = adapter(setup, name);
                let ports = if spec.is_some_and(|spec| spec.charger.is_some()) {
                    ports()
                } else {
                    Vec::new()
                };
                Self::Adapter(spec.and_then(|spec| spec.makes.first()).map(face), ports)
            }
            PackingKind::Converter => {
                let spec = converter(setup, name);
                let said = spec.map(|spec| format!("{} V", decimals(spec.to_v, 0)));
                Self::Machine(said.unwrap_or_default(), spec.map(|spec| spec.plug.face()))
            }
            PackingKind::Appliance => {
                let all = setup.trip.iter().flat_map(|trip| &trip.appliances);
                let spec = all.into_iter().find(|spec| spec.name == name);
                let said = spec.map(|spec| format!("{} W", decimals(spec.max_w, 0)));
                Self::Machine(said.unwrap_or_default(), spec.map(|spec| spec.plug.face()))
            }
        }
    }

    fn draw(&self, (x, y): (f64, f64)) -> Markup {
        match self {
            Self::Charger(ports) => html! {
                rect x=(Px(x - 42.0)) y=(Px(y - 25.0)) width="84" height="50" rx="9" class="body" {}
                (sockets(ports, (x, y)))
            },
            Self::Cable(from, to) => html! {
                path d={ "M" (Px(x - 26.0)) " " (Px(y)) "C" (Px(x - 6.0)) " " (Px(y + 34.0)) " "
                    (Px(x + 6.0)) " " (Px(y - 34.0)) " " (Px(x + 26.0)) " " (Px(y)) } class="cord" {}
                (end(*from, (x - 34.0, y)))
                (end(*to, (x + 34.0, y)))
            },
            Self::Adapter(face, ports) => {
                let aside = if ports.is_empty() { 0.0 } else { 22.0 };
                html! {
                    rect x=(Px(x - aside - 30.0)) y=(Px(y - 34.0)) width="60" height="68" rx="12" class="body" {}
                    @if let Some(face) = face { (pins(face, (x - aside, y))) }
                    @for (port, y) in ports.iter().take(PORTS).zip(steps(y - 26.0, 18.0)) {
                        (socket(*port, (x + aside + 12.0, y)))
                    }
                }
            }
            Self::Machine(said, face) => {
                let aside = if face.is_some() { 20.0 } else { 0.0 };
                html! {
                    rect x=(Px(x - 46.0)) y=(Px(y - 34.0)) width="92" height="68" rx="4" class="body" {}
                    @if let Some(face) = face { (pins(face, (x - aside, y))) }
                    (Label::new((x + aside + 4.0, y + 4.0), Anchor::Middle, SMALL, said.clone()).draw("muted"))
                }
            }
        }
    }
}

/// A plug's pins around a place.
fn pins(face: &Face, (x, y): (f64, f64)) -> Markup {
    let ends = face.pins.iter().map(|pin| pin.y_mm);
    let (high, low) = ends.fold((0.0_f64, 0.0_f64), |(high, low), y| {
        (high.min(y), low.max(y))
    });
    let center = (x, y - f64::midpoint(high, low) * super::faces::PER_MM);
    html! { @for pin in &face.pins { (drawn(pin, false, center)) } }
}

/// Ports in rows around a place, as many as there is room for.
fn sockets(ports: &[Shape], (x, y): (f64, f64)) -> Markup {
    let rows: Vec<&[Shape]> = ports.chunks(PORTS).take(3).collect();
    let half = |count: usize, step: f64| {
        let count = u8::try_from(count.saturating_sub(1)).unwrap_or(0);
        f64::from(count) * step / 2.0
    };
    let top = y - half(rows.len(), 15.0);
    html! {
        @for (row, y) in rows.iter().zip(steps(top, 15.0)) {
            @for (port, x) in row.iter().zip(steps(x - half(row.len(), 19.0), 19.0)) {
                (socket(*port, (x, y)))
            }
        }
    }
}

fn socket(shape: Shape, (x, y): (f64, f64)) -> Markup {
    html! {
        rect x=(Px(x - 7.5)) y=(Px(y - 4.5)) width="15" height="9" rx=(Px(shape.radius().min(4.5))) class="socket" {}
    }
}

/// The plug at one end of a cable.
fn end(shape: Shape, (x, y): (f64, f64)) -> Markup {
    html! {
        rect x=(Px(x - 8.0)) y=(Px(y - 5.0)) width="16" height="10" rx=(Px(shape.radius().min(5.0))) class="plug" {}
    }
}

fn cable<'s>(setup: &'s Setup, name: &str) -> Option<&'s CableSpec> {
    let sold = setup.shop.iter().flat_map(|shop| &shop.cables);
    let mut all = setup.bag_cables().iter().chain(sold);
    all.find(|cable| cable.name == name)
}

fn adapter<'s>(setup: &'s Setup, name: &str) -> Option<&'s AdapterSpec> {
    let own = setup.trip.iter().flat_map(|trip| &trip.adapters);
    let mut all = own.chain(setup.shop.iter().flat_map(|shop| &shop.adapters));
    all.find(|adapter| adapter.name == name)
}

fn converter<'s>(setup: &'s Setup, name: &str) -> Option<&'s ConverterSpec> {
    let own = setup.trip.iter().flat_map(|trip| &trip.converters);
    let mut all = own.chain(setup.shop.iter().flat_map(|shop| &shop.converters));
    all.find(|converter| converter.name == name)
}
