//! What would help, as a page.

use super::change::{deed, named};
use super::clock::Clock;
use super::page::{Page, Rows, Section, Shown, Table, Tone};
use super::standing::reached_by;
use super::{counted, nth};
use crate::decide::improve::{Improvement, Improvements};
use crate::plan::Status;
use crate::plan::objective::{Reached, TimesDiffer};
use crate::units::millionths;
use crate::units::quantity::{minutes_at_least, time, time_at_least};

impl Page {
    /// The page of `found`: what to do, if one thing, and what else helps, the best first.
    pub fn of_improvements(found: &Improvements) -> Self {
        let now = &found.now.value;
        let headline = match found.changes.first() {
            Some(best) => format!(
                "Buy {}: {}: {}",
                if best.change.is_free() {
                    "nothing"
                } else {
                    "one thing"
                },
                deed(&best.change, Clock::of(None)),
                outcome(&found.now, best, millionths(found.tolerance_h))
            ),
            None if found.undecided > 0 => {
                "Nothing was found to help before a limit stopped the search.".to_owned()
            }
            None => "Nothing worth buying: no single change makes this plan better.".to_owned(),
        };
        let known = match found.now.status {
            Status::Optimal => "",
            Status::Feasible => " (not proven: a limit stopped the search)",
        };
        let mut page = Self::new("What would help".to_owned(), headline, true);
        let reached = format!("{}{known}", reached_by(now));
        page.lead.push(format!("Now: {reached}."));
        let worthless = nothing_to_buy(found).filter(|_| !found.changes.is_empty());
        page.lead.extend(worthless.clone());
        let now = std::iter::once(reached).chain(worthless);
        page.notes_in(Shown::InPictures, "Now", Tone::Plain, now.collect());
        let (free, bought): (Vec<_>, Vec<_>) =
            found.changes.iter().partition(|of| of.change.is_free());
        for (title, of) in [
            ("What costs nothing", free),
            ("What is to be bought", bought),
        ] {
            if !of.is_empty() {
                page.push(Section::titled(title).table(changes(found, &of)));
            }
        }
        page.sections.extend(unknown(found));
        page.cautions(&found.cautions);
        page
    }
}

/// That no purchase helps, where that is known.
fn nothing_to_buy(found: &Improvements) -> Option<String> {
    let mut helpful = found.changes.iter().map(|of| &of.change);
    let mut open = found.undecided_changes.iter();
    if helpful.any(|of| !of.is_free()) || open.any(|of| !of.is_free()) {
        return None;
    }
    let beyond = if found.tolerance_h > 0.0 {
        format!(" by more than {}", time(found.tolerance_h))
    } else {
        String::new()
    };
    Some(format!(
        "Nothing worth buying: no purchase makes this plan better{beyond}."
    ))
}

/// Changes that are named where a limit stopped the search.
const SHOWN_UNDECIDED: usize = 3;

/// What is not known, where a limit stopped the search.
fn unknown(found: &Improvements) -> Option<Section> {
    let open = found.undecided_changes.iter();
    let mut which: Vec<String> = open.map(|of| named(of, Clock::of(None))).collect();
    if which.len() > SHOWN_UNDECIDED {
        which.truncate(SHOWN_UNDECIDED);
        which.push("…".to_owned());
    }
    let said = format!(
        "not known of {} more, a limit stopped the search: {}",
        counted(found.undecided, "change"),
        which.join("; ")
    );
    (found.undecided > 0).then(|| Section::titled(said).told(Tone::Caution))
}

/// Changes, the best first.
fn changes(found: &Improvements, which: &[&Improvement]) -> Table {
    let longest = |reached: &Reached| match reached.status {
        Status::Optimal => time(reached.value.longest_h),
        Status::Feasible => time(reached.value.longest_h) + "\nnot proven",
    };
    Rows::of(which)
        .names("Change", |of| named(&of.change, Clock::of(None)))
        .facts("No port", |of| of.reached.value.unserved.to_string())
        .facts("Late", |of| of.reached.value.late.to_string())
        .facts("Longest", |of| longest(&of.reached))
        .names("Gain", |of| {
            gain(&found.now, &of.reached, millionths(found.tolerance_h))
        })
        .table()
}

/// Where two plans differ first, within the tolerance.
enum Difference {
    /// Fewer devices of this priority without a berth.
    Unserved {
        priority: usize,
    },
    Missing,
    /// Fewer late of this priority.
    Late {
        priority: usize,
    },
    Times(TimesDiffer),
    None,
}

fn first_difference(now: &Reached, after: &Reached, tolerance: i64) -> Difference {
    let (one, other) = (&now.value, &after.value);
    let priority = |a: [usize; 3], b: [usize; 3]| {
        let mut pairs = a.into_iter().zip(b);
        pairs.position(|(a, b)| a != b).map(|rank| rank + 1)
    };
    if let Some(priority) = priority(one.unserved_by_priority, other.unserved_by_priority) {
        Difference::Unserved { priority }
    } else if one.missing_wh != other.missing_wh {
        Difference::Missing
    } else if let Some(priority) = priority(one.late_by_priority, other.late_by_priority) {
        Difference::Late { priority }
    } else {
        let times = now.first_least_beyond(after, tolerance);
        times.map_or(Difference::None, Difference::Times)
    }
}

/// The gain as a cell.
fn gain(now: &Reached, after: &Reached, tolerance: i64) -> String {
    let difference = first_difference(now, after, tolerance);
    let (now, after) = (&now.value, &after.value);
    match difference {
        Difference::Unserved { .. } if after.unserved < now.unserved => {
            format!("{} more served", now.unserved - after.unserved)
        }
        Difference::Unserved { priority } => format!("more of priority {priority}"),
        Difference::Missing => "less missing".to_owned(),
        Difference::Late { .. } if after.late < now.late => {
            format!("{} fewer late", now.late - after.late)
        }
        Difference::Late { priority } => format!("fewer late of priority {priority}"),
        Difference::Times(times) => match (times.place, times.whose()) {
            (0, "") => sooner(times),
            (0, whose) => format!("longest{whose}: {}", sooner(times)),
            (at, whose) => format!("{}{whose}: {}", nth(at + 1), sooner(times)),
        },
        Difference::None => String::new(),
    }
}

/// The gain as the end of a sentence.
fn outcome(now: &Reached, best: &Improvement, tolerance: i64) -> String {
    let difference = first_difference(now, &best.reached, tolerance);
    let (now, after) = (&now.value, &best.reached.value);
    let text = match difference {
        Difference::Unserved { .. } if after.unserved == 0 => {
            format!("every device has a port, where {} had none", now.unserved)
        }
        Difference::Unserved { .. } if after.unserved < now.unserved => format!(
            "{} without a port instead of {}",
            after.unserved, now.unserved
        ),
        Difference::Unserved { priority } => format!(
            "{} of priority {priority} without a port instead of {}",
            after.unserved_by_priority[priority - 1],
            now.unserved_by_priority[priority - 1]
        ),
        Difference::Missing => format!(
            "{} Wh missing without a port instead of {} Wh",
            after.missing_wh, now.missing_wh
        ),
        Difference::Late { .. } if after.late == 0 => {
            format!("nothing is late, where {} was", now.late)
        }
        Difference::Late { .. } if after.late < now.late => {
            format!("{} late instead of {}", after.late, now.late)
        }
        Difference::Late { priority } => format!(
            "{} of priority {priority} late instead of {}",
            after.late_by_priority[priority - 1],
            now.late_by_priority[priority - 1]
        ),
        Difference::Times(times) => {
            let falls = || format!("falls to {}, {}", time(times.hours().1), sooner(times));
            match (times.place, times.whose()) {
                (0, "") => format!("{}, {}", reached_by(after), sooner(times)),
                (0, whose) => format!("the longest time{whose} {}", falls()),
                (at, whose) => format!(
                    "the {} longest time{whose} {}; the longest stays",
                    nth(at + 1),
                    falls()
                ),
            }
        }
        Difference::None => reached_by(after),
    };
    format!("{text}.")
}

/// How much sooner, never promising too much.
fn sooner(times: TimesDiffer) -> String {
    let (now, after) = times.hours();
    let hours = now - after;
    if now.is_infinite() {
        "never certain before".to_owned()
    } else if minutes_at_least(hours) == 0.0 {
        "< 1 min sooner".to_owned()
    } else {
        format!("{} sooner", time_at_least(hours))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::decide::improve::Change;
    use crate::plan::objective::{ObjectiveValue, Served};
    use crate::plan::origin::Program;
    use crate::plan::promise::NEVER;

    /// Hours by priority, longest first; infinite where it is never.
    fn reached(without: &[u8], hours: &[(u8, f64)], late: usize) -> Reached {
        let time = |hours: f64| {
            if hours.is_finite() {
                millionths(hours)
            } else {
                NEVER
            }
        };
        let berths = hours
            .iter()
            .enumerate()
            .map(|(i, &(priority, hours))| Served {
                priority,
                time: time(hours),
                best: 1,
                watts: 1,
                late: i < late,
            });
        let of = |spare: bool| {
            let own = hours
                .iter()
                .filter(|(priority, _)| (*priority == 3) == spare);
            own.map(|&(_, hours)| time(hours)).collect()
        };
        let without = without.iter().map(|&priority| (priority, 1_000_000));
        let value = ObjectiveValue::from_parts(without, berths);
        Reached::with_least(Status::Optimal, None, value, [of(false), of(true)])
    }

    fn of_priority_2(hours: &[f64]) -> Vec<(u8, f64)> {
        hours.iter().map(|&hours| (2, hours)).collect()
    }

    #[test]
    fn the_gain_is_the_first_level_that_gets_better() {
        let with =
            |without: &[u8], hours: &[f64], late| reached(without, &of_priority_2(hours), late);
        let now = with(&[1, 2], &[3.0, 2.0, 1.0], 2);
        for (after, expected) in [
            (with(&[2], &[3.0, 2.0, 1.0, 1.0], 2), "1 more served"),
            (with(&[3, 3], &[3.0, 2.0, 1.0], 2), "more of priority 1"),
            (with(&[1, 2], &[3.0, 2.0, 1.0], 0), "2 fewer late"),
            (with(&[1, 2], &[2.74, 2.0, 1.0], 2), "15 min sooner"),
            (with(&[1, 2], &[3.0, 1.75, 1.0], 2), "2nd: 15 min sooner"),
            (with(&[1, 2], &[3.0, 2.0, 0.999], 2), "3rd: < 1 min sooner"),
        ] {
            assert_eq!(gain(&now, &after, 0), expected);
        }
        let within = with(&[1, 2], &[2.96, 1.75, 1.0], 2);
        assert_eq!(gain(&now, &within, 50_000), "2nd: 15 min sooner");
        let never = with(&[], &[f64::INFINITY, 2.0], 0);
        let certain = with(&[], &[4.0, 2.0], 0);
        assert_eq!(gain(&never, &certain, 0), "never certain before");
    }

    #[test]
    fn what_delays_nobody_is_not_the_gain() {
        let now = reached(&[], &[(1, 2.0), (3, 4.0)], 0);
        let after = reached(&[], &[(1, 1.5), (3, 7.0)], 0);
        assert_eq!(
            gain(&now, &after, 0),
            "longest of priority 1 and 2: 30 min sooner"
        );
    }

    /// Nothing helps, and nothing is open.
    fn nothing_found(now: Reached) -> Improvements {
        Improvements {
            tolerance_h: 0.0,
            version: 1,
            program: Program::this(),
            setup_sha256: String::new(),
            now,
            changes: Vec::new(),
            undecided: 0,
            undecided_changes: Vec::new(),
            cautions: Vec::new(),
        }
    }

    #[test]
    fn what_costs_nothing_comes_first_and_nothing_worth_buying_is_said() {
        let with = |hours: f64| reached(&[], &of_priority_2(&[hours]), 0);
        let mut found = nothing_found(with(4.0));
        let headline = |found: &Improvements| Page::of_improvements(found).headline;
        assert!(headline(&found).starts_with("Nothing worth buying: no single change"));
        let improvement = |change, hours| Improvement {
            change,
            reached: with(hours),
        };
        found.changes = vec![improvement(Change::Swap { at_h: 2.0 }, 3.0)];
        found.tolerance_h = 0.05;
        let page = Page::of_improvements(&found);
        assert_eq!(
            page.lead[1],
            "Nothing worth buying: no purchase makes this plan better by more than 3 min."
        );
        let titles = |page: &Page| -> Vec<String> {
            let sections = page
                .sections
                .iter()
                .filter(|of| of.shown == Shown::Everywhere);
            sections.map(|of| of.title.clone()).collect()
        };
        assert_eq!(titles(&page), ["What costs nothing"]);
        let name = "cube".to_owned();
        found
            .changes
            .push(improvement(Change::Combinations { name }, 2.0));
        let page = Page::of_improvements(&found);
        assert_eq!(
            titles(&page),
            ["What costs nothing", "What is to be bought"]
        );
        assert_eq!(page.lead.len(), 1);
    }

    #[test]
    fn what_is_not_known_is_said() {
        let now = Reached {
            status: Status::Feasible,
            ..reached(&[], &of_priority_2(&[1.0]), 0)
        };
        let found = Improvements {
            undecided: 2,
            undecided_changes: [1.5, 2.0].map(|at_h| Change::Swap { at_h }).to_vec(),
            ..nothing_found(now)
        };
        let page = Page::of_improvements(&found);
        assert_eq!(
            page.headline,
            "Nothing was found to help before a limit stopped the search."
        );
        assert!(page.lead[0].contains("not proven"), "{}", page.lead[0]);
        assert_eq!(
            page.sections[1].title,
            "not known of 2 changes more, a limit stopped the search: one swap after 1 h 30 min; \
             one swap after 2 h 00 min"
        );
    }
}
