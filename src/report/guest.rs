//! Where a device that comes late may go, as a page.

use super::clock::Clock;
use super::moves::{self, changes};
use super::page::{Page, Rows, Section, Table, Tone};
use super::plan::name_of_night;
use super::printable::{printable, short_name};
use super::{counted, standing};
use crate::decide::guest::{Freedom, Guest, GuestCost, GuestPlace, GuestPlan, GuestTimes};
use crate::plan::moves::Place;
use crate::plan::objective::ObjectiveValue;
use crate::plan::{Plan, Status};
use crate::setup::Setup;
use crate::units::quantity::{time, whole_minutes};

/// Places that a page shows.
const SHOWN_PLACES: usize = 5;

impl Page {
    /// The page of `found`, which is about `setup` and the plan `at_hand`.
    pub fn of_guest(setup: &Setup, at_hand: &Plan, found: &Guest) -> Self {
        let told = Telling {
            setup,
            at_hand,
            found,
        };
        let seated = !found.places.is_empty() || told.plans().any(|(_, plan)| told.seats(plan));
        let mut page = Self::new(name_of_night(setup), told.headline(), seated);
        page.begins_with_name = !found.places.is_empty();
        if !found.places.is_empty() {
            page.push(Section::titled("Without moving anybody").table(told.places()));
            let more = found.places.len().saturating_sub(SHOWN_PLACES);
            if more > 0 {
                let more = format!("{} more, none better", counted(more, "place"));
                page.push(Section::titled(more));
            }
        }
        for (freedom, plan) in told.plans() {
            let title = told.title(freedom, plan);
            page.notes(&title, Tone::Plain, told.what_to_do(plan));
        }
        page.lead.extend(told.no_gain());
        page.notes("Not looked at to the end", Tone::Caution, told.unknown());
        page
    }
}

/// An answer, and what its names are of.
struct Telling<'a> {
    setup: &'a Setup,
    at_hand: &'a Plan,
    found: &'a Guest,
}

impl Telling<'_> {
    fn plans(&self) -> impl Iterator<Item = (Freedom, &GuestPlan)> {
        let one = self
            .found
            .one_move
            .iter()
            .map(|plan| (Freedom::OneMove, plan));
        one.chain(self.found.freely.iter().map(|plan| (Freedom::Freely, plan)))
    }

    fn seats(&self, plan: &GuestPlan) -> bool {
        let mut berths = plan.plan.berths.iter();
        berths.any(|berth| berth.device == self.found.device)
    }

    fn headline(&self) -> String {
        let device = printable(&self.found.device);
        match self.found.places.first() {
            Some(best) => format!(
                "{device} on {}, cable {}: full {}; {}",
                self.port(&best.place),
                printable(&best.place.cable),
                self.by(best.full),
                self.later_in_all(&best.costs)
            ),
            None if !self.found.undecided_places.is_empty() => {
                format!("No place for {device} was found before a limit stopped the search")
            }
            None => format!("There is no place for {device} unless somebody moves"),
        }
    }

    fn port(&self, place: &Place) -> String {
        moves::port(place, self.setup.chargers.len() == 1)
    }

    fn hours(&self, times: GuestTimes) -> Option<f64> {
        times.by_aim(self.found.aim)
    }

    fn by(&self, times: GuestTimes) -> String {
        let clock = Clock::of(self.setup.start);
        let by = |hours| clock.by(hours);
        self.hours(times)
            .map_or_else(|| "at no certain time".to_owned(), by)
    }

    /// How much later each is, whose time is another one to anybody who looks at a watch.
    fn later(&self, costs: &[GuestCost]) -> Vec<String> {
        let each = costs.iter().filter_map(|cost| {
            let device = short_name(&cost.device);
            let Some(after) = cost.after else {
                return Some(format!("{device} unplugged"));
            };
            match (self.hours(cost.before), self.hours(after)) {
                (Some(before), Some(after)) if whole_minutes(before) == whole_minutes(after) => {
                    None
                }
                (Some(before), Some(after)) => {
                    let (by, word) = if after > before {
                        (after - before, "later")
                    } else {
                        (before - after, "sooner")
                    };
                    Some(format!("{device} {} {word}", time(by)))
                }
                (Some(before), None) => Some(format!(
                    "{device} no longer certain, {} before",
                    time(before)
                )),
                (None, Some(after)) => Some(format!("{device} certain, {}", time(after))),
                (None, None) => None,
            }
        });
        each.collect()
    }

    fn later_in_all(&self, costs: &[GuestCost]) -> String {
        let later = self.later(costs);
        if later.is_empty() {
            return "nobody moves, and nobody is later".to_owned();
        }
        format!("nobody moves; {}", later.join(", "))
    }

    fn places(&self) -> Table {
        let clock = Clock::of(self.setup.start);
        let full = |of: &&GuestPlace| {
            let hours = self.hours(of.full);
            hours.map_or_else(|| "not certain".to_owned(), |hours| clock.full(hours))
        };
        let others = |of: &&GuestPlace| {
            let later = self.later(&of.costs);
            if later.is_empty() {
                "as before".to_owned()
            } else {
                later.join(", ")
            }
        };
        Rows::of(self.found.places.iter().take(SHOWN_PLACES))
            .facts("Port", |of| self.port(&of.place))
            .names("Cable", |of| short_name(&of.place.cable))
            .facts(clock.full_heading(), full)
            .names("The others", others)
            .table()
    }

    /// `With one move: all 5 devices full after 1 h 36 min at the latest`.
    fn title(&self, freedom: Freedom, plan: &GuestPlan) -> String {
        let what = match freedom {
            Freedom::OneMove => "With one move",
            Freedom::Freely => "Freely",
        };
        let reached = standing::reached_by(&ObjectiveValue::of(self.setup, &plan.plan));
        let known = match plan.plan.status {
            Status::Optimal => "",
            Status::Feasible => " (not proven best)",
        };
        format!("{what}: {reached}{known}")
    }

    fn what_to_do(&self, plan: &GuestPlan) -> Vec<String> {
        let mut lines = changes(self.setup, self.at_hand, &plan.plan);
        if !self.seats(plan) {
            lines.push(format!(
                "{} has no port even so",
                printable(&self.found.device)
            ));
        }
        let later = self.later(&plan.costs);
        if !later.is_empty() {
            lines.push(format!("the others: {}", later.join(", ")));
        }
        lines
    }

    /// That moving gains nothing, where that is known.
    fn no_gain(&self) -> Option<String> {
        let known = self.found.undecided.is_empty();
        let none = self.plans().next().is_none() && !self.found.places.is_empty();
        (known && none).then(|| "Moving somebody gains nothing.".to_owned())
    }

    fn unknown(&self) -> Vec<String> {
        let places = self.found.undecided_places.len();
        let places = (places > 0).then(|| counted(places, "place"));
        let rest = self.found.undecided.iter().map(|freedom| match freedom {
            Freedom::OneMove => "with one move".to_owned(),
            Freedom::Freely => "with any moves".to_owned(),
        });
        places.into_iter().chain(rest).collect()
    }
}
