//! A plan that stays near the one at hand, as a page: what to do with one's hands, and no more.

use super::page::{Line, Page, Section, Tone};
use super::plan::{headline, late_notes, name_of_night};
use super::printable::printable;
use crate::plan::moves::{Move, Place};
use crate::plan::{Level, Plan, Status};
use crate::setup::Setup;

impl Page {
    /// The page of `plan`, a plan of `setup` that stays near the one `at_hand`.
    pub fn of_moves(setup: &Setup, at_hand: &Plan, plan: &Plan) -> Self {
        let headline = headline(setup, plan);
        let mut page = Self::new(name_of_night(setup), headline, plan.serves_all());
        let changes = Changes::of(setup, at_hand, plan);
        page.lead.push(changes.told());
        if plan.status == Status::Feasible && plan.settled < Some(Level::Moves) {
            let open = "not proven: that no plan as good moves fewer".to_owned();
            page.lead.push(open);
        }
        for Change { title, items, .. } in changes.0 {
            page.notes(title, Tone::Plain, items);
        }
        page.notes("Late", Tone::Bad, late_notes(setup, plan));
        page.left_out(setup, &plan.without_berth);
        page.cautions(&plan.cautions);
        page
    }

    /// The same where the rest of `plan` is drawn, with what is to be done before all else.
    #[must_use]
    pub fn with_moves(mut self, setup: &Setup, at_hand: &Plan, plan: &Plan) -> Self {
        let changes = Changes::of(setup, at_hand, plan);
        let told = Section::titled("To do").lines([Line::item(changes.told())]);
        let done = changes
            .0
            .into_iter()
            .filter(|change| !change.items.is_empty());
        let done = done.map(|Change { title, items, .. }| {
            Section::titled(title).lines(items.into_iter().map(Line::item))
        });
        let sections: Vec<Section> = [told].into_iter().chain(done).collect();
        self.sections.splice(0..0, sections);
        self
    }
}

/// What is to be done for a plan instead of the one at hand, a sentence for each device.
pub(super) fn changes(setup: &Setup, at_hand: &Plan, plan: &Plan) -> Vec<String> {
    let all = Changes::of(setup, at_hand, plan).0.into_iter();
    all.flat_map(|Change { order, items, .. }| {
        items.into_iter().map(move |item| format!("{order} {item}"))
    })
    .collect()
}

/// What is to be done, one kind after the other.
struct Changes([Change; 4]);

/// Devices of which the same is to be done.
struct Change {
    title: &'static str,
    /// What stands before the sentence of a device, and before their number.
    order: &'static str,
    items: Vec<String>,
}

impl Changes {
    fn of(setup: &Setup, at_hand: &Plan, plan: &Plan) -> Self {
        let words = Words::of(setup, plan);
        let (mut unplugged, mut moved, mut recabled) = (Vec::new(), Vec::new(), Vec::new());
        for Move { device, from, to } in plan.moves.iter().flatten() {
            let device = printable(device);
            match to {
                None => unplugged.push(format!("{device} from {}", words.port(from))),
                Some(to) if (&from.charger, &from.port) == (&to.charger, &to.port) => {
                    recabled.push(format!(
                        "{device} on {}: {} instead of {}",
                        words.port(to),
                        printable(&to.cable),
                        printable(&from.cable)
                    ));
                }
                Some(to) => moved.push(words.moved(&device, from, to)),
            }
        }
        let was_there = |device: &str| at_hand.berths.iter().any(|old| old.device == device);
        let new = plan.berths.iter().filter(|berth| !was_there(&berth.device));
        let new = new.map(|berth| {
            let (device, place) = (printable(&berth.device), Place::from(berth));
            let cable = printable(&place.cable);
            format!("{device} on {}, cable {cable}", words.port(&place))
        });
        let change = |title, order, items| Change {
            title,
            order,
            items,
        };
        Self([
            change("Unplug", "unplug", unplugged),
            change("Move", "move", moved),
            change("Change the cable", "change the cable of", recabled),
            change("Plug in", "plug in", new.collect()),
        ])
    }

    /// `Move 2, plug in 1; everything else stays.`
    fn told(&self) -> String {
        let some = self.0.iter().filter(|change| !change.items.is_empty());
        let told: Vec<String> = some
            .map(|change| format!("{} {}", change.order, change.items.len()))
            .collect();
        if told.is_empty() {
            return "Everything stays where it is.".to_owned();
        }
        let told = told.join(", ");
        let (first, rest) = told.split_at(1);
        format!("{}{rest}; everything else stays.", first.to_uppercase())
    }
}

/// How places are named.
struct Words {
    /// Whether a port needs no charger beside it.
    one_charger: bool,
}

impl Words {
    fn of(setup: &Setup, plan: &Plan) -> Self {
        let is_there = |name: &str| setup.charger_names().any(|charger| charger == name);
        let mut moves = plan.moves.iter().flatten();
        Self {
            one_charger: setup.chargers.len() == 1 && moves.all(|of| is_there(&of.from.charger)),
        }
    }

    fn port(&self, place: &Place) -> String {
        port(place, self.one_charger)
    }

    /// `laptop from C2 to C1, cable braided instead of white`.
    fn moved(&self, device: &str, from: &Place, to: &Place) -> String {
        let place = format!("{device} from {} to {}", self.port(from), self.port(to));
        if from.cable == to.cable {
            return place;
        }
        let cables = [&to.cable, &from.cable].map(|cable| printable(cable));
        format!("{place}, cable {} instead of {}", cables[0], cables[1])
    }
}

/// A port, with its charger where there is more than one.
pub(super) fn port(place: &Place, one_charger: bool) -> String {
    let port = printable(&place.port);
    if one_charger {
        port
    } else {
        format!("{} {port}", printable(&place.charger))
    }
}
