//! A calendar as a page: each night with what is charged then and when all is full, and who
//! sits where.

use super::counted;
use super::nights::{alike, worst_h};
use super::page::{Page, Tone};
use super::printable::printable;
use crate::decide::calendar::{Calendar, CalendarNight};
use crate::plan::{Plan, Status};
use crate::setup::Setup;
use crate::units::quantity::time;

impl Page {
    /// The page of `calendar`, which is one of `setup`.
    pub fn of_calendar(setup: &Setup, calendar: &Calendar) -> Self {
        let name = setup.name();
        let title = name.map_or_else(|| "Night by night".to_owned(), printable);
        let mut page = Self::new(title, headline(calendar), calendar.serves_all());
        let nights = alike(&[], &calendar.plans);
        page.each_night(setup, &nights, false);
        #[cfg(feature = "pictures")]
        page.draw_nights(setup, &nights);
        let mut notes = Vec::new();
        if calendar.repeats && !calendar.devices.is_empty() {
            let n = calendar.nights;
            notes.push(format!("after night {n} it begins anew"));
        } else if !calendar.devices.is_empty() {
            notes.push("it does not begin anew: not everything fits in whole".to_owned());
        }
        page.notes("To know", Tone::Plain, notes);
        page
    }
}

fn headline(calendar: &Calendar) -> String {
    let nights = counted(calendar.nights, "night");
    let plans = calendar.plans.iter().filter_map(CalendarNight::night);
    let plans: Vec<_> = plans.collect();
    let worst = worst_h(plans.iter().map(|plan| -> &Plan { plan }));
    let unserved = plans.iter().any(|plan| plan.unserved > 0);
    let late = plans.iter().any(|plan| plan.late_by_aim() > 0);
    let told = match (unserved, late, worst) {
        (true, ..) => "not everything finds a port every night".to_owned(),
        (_, true, _) => "not all is ready in time every night".to_owned(),
        (.., Some(worst)) => format!("all full every morning, after {} at most", time(worst)),
        (.., None) => "all full every morning at best, not all for certain".to_owned(),
    };
    let proven = match calendar.status {
        Status::Optimal => "no other order of nights is better",
        Status::Feasible => "a limit struck: another order of nights may be better",
    };
    format!("{nights}: {told}; {proven}")
}

#[cfg(all(test, feature = "cli"))]
mod tests {
    use crate::report::{Page, Palette};
    use crate::setup::Setup;

    #[test]
    fn the_page_of_a_calendar() {
        let text = "night 23:00 to 7:00
charger pair: C1 45 W; C2 20 W
cable C to C, 1 m, x2
score tablet
metronome: 5 W, 4 Wh, every 2 nights
e-reader, every 2 nights
";
        let setup = Setup::from_text(text).expect("it is valid");
        let calendar = crate::decide::calendar::calendar(&setup).expect("it has one");
        let page = Page::of_calendar(&setup, &calendar);
        let mut bytes = Vec::new();
        let written = page.write_text(&Palette::PLAIN, &mut bytes);
        written.expect("a vector takes every byte");
        let text = String::from_utf8(bytes).expect("the page is text");
        assert!(
            text.lines().all(|line| line.chars().count() <= 80),
            "{text}"
        );
        insta::assert_snapshot!(text, @r"
        2 nights: all full every morning, after 2 h 05 min at most; no other order of
        nights is better

        Night by night
          When     Beside the rest  All full after
          ────────────────────────────────────────
          night 1  metronome        2 h 00 min
          night 2  e-reader         2 h 05 min

        Night 1: who sits where
          - pair: C1 score tablet (C-C 1 m), C2 metronome (C-C 1 m)

        Night 2: who sits where
          - pair: C1 score tablet (C-C 1 m), C2 e-reader (C-C 1 m)

        To know
          - after night 2 it begins anew
        ");
    }
}
