//! A plan that stays near the one at hand, as a page: what to do with one's hands, and no more.

use super::page::{Page, Tone};
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
        page.notes("Unplug", Tone::Plain, changes.unplugged);
        page.notes("Move", Tone::Plain, changes.moved);
        page.notes("Plug in", Tone::Plain, changes.new);
        page.notes("Late", Tone::Bad, late_notes(setup, plan));
        page.left_over(setup, &plan.without_berth, &plan.cautions);
        page
    }
}

/// What is to be done for a plan instead of the one at hand, a sentence for each device.
pub(super) fn changes(setup: &Setup, at_hand: &Plan, plan: &Plan) -> Vec<String> {
    let Changes {
        moved,
        unplugged,
        new,
    } = Changes::of(setup, at_hand, plan);
    let unplugged = unplugged.into_iter().map(|text| format!("unplug {text}"));
    let moved = moved.into_iter().map(|text| format!("move {text}"));
    let new = new.into_iter().map(|text| format!("plug in {text}"));
    unplugged.chain(moved).chain(new).collect()
}

/// What is to be done, a sentence for each device.
struct Changes {
    moved: Vec<String>,
    unplugged: Vec<String>,
    new: Vec<String>,
}

impl Changes {
    fn of(setup: &Setup, at_hand: &Plan, plan: &Plan) -> Self {
        let one_charger = setup.chargers.len() == 1
            && plan.moves.iter().flatten().all(|of| {
                let mut chargers = setup.charger_names();
                chargers.any(|name| name == of.from.charger)
            });
        let words = Words { one_charger };
        let moves = || plan.moves.iter().flatten();
        let moved = moves().filter_map(|of| Some(words.moved(of, of.to.as_ref()?)));
        let gone = moves().filter(|of| of.to.is_none());
        let unplugged = gone.map(|of| {
            let from = words.port(&of.from);
            format!("{} from {from}", printable(&of.device))
        });
        let was_there = |device: &str| at_hand.berths.iter().any(|old| old.device == device);
        let berths = plan.berths.iter();
        let new = berths
            .filter(|berth| !was_there(&berth.device))
            .map(|berth| {
                let place = Place::from(berth);
                let cable = printable(&place.cable);
                format!(
                    "{} on {}, cable {cable}",
                    printable(&berth.device),
                    words.port(&place)
                )
            });
        Self {
            moved: moved.collect(),
            unplugged: unplugged.collect(),
            new: new.collect(),
        }
    }

    /// `Move 1 device, plug in 1; everything else stays.`
    fn told(&self) -> String {
        let counts = [
            ("unplug", self.unplugged.len()),
            ("move", self.moved.len()),
            ("plug in", self.new.len()),
        ];
        let counted = counts.into_iter().filter(|(_, count)| *count > 0);
        let told: Vec<String> = counted
            .map(|(what, count)| format!("{what} {count}"))
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
    fn port(&self, place: &Place) -> String {
        let port = printable(&place.port);
        if self.one_charger {
            port
        } else {
            format!("{} {port}", printable(&place.charger))
        }
    }

    /// `laptop from C2 to C1, cable braided instead of white`.
    fn moved(&self, of: &Move, to: &Place) -> String {
        let device = printable(&of.device);
        let (from, new) = (self.port(&of.from), self.port(to));
        let stays = from == new;
        let place = if stays {
            format!("{device} stays on {new}")
        } else {
            format!("{device} from {from} to {new}")
        };
        if of.from.cable == to.cable {
            return place;
        }
        let cables = [&to.cable, &of.from.cable].map(|cable| printable(cable));
        format!("{place}, cable {} instead of {}", cables[0], cables[1])
    }
}
