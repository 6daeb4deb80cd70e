//! The bags of the last lines, so that the same devices against thousands of chargers
//! are read once.

use std::sync::{Arc, Mutex, PoisonError};

use crate::decide::bag::Bag;
use crate::diagnostics::Source;

/// Bags by the exact text of their setup, the one used last first. No answer depends on
/// what it holds.
#[derive(Debug, Default)]
pub(super) struct Bags {
    held: Mutex<Vec<(Box<str>, Arc<Bag>)>>,
}

impl Bags {
    /// The most bags held, each with what it remembers (about 5 MB at most).
    pub(super) const MOST: usize = 8;
    /// The most bytes of a setup's text; the bag of a longer one is not held.
    pub(super) const MOST_BYTES: usize = 64 << 10;

    /// The bag of a setup's text; `None` where the text has faults.
    pub(super) fn of(&self, setup: &str) -> Option<Arc<Bag>> {
        if let Some(known) = self.take(setup) {
            return Some(known);
        }
        // Read without the lock: two threads may do the same once, none waits.
        let text = Source {
            file: "",
            text: setup,
        };
        let bag = Arc::new(Bag::from_source(text).ok()?);
        if setup.len() <= Self::MOST_BYTES {
            let mut held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
            held.truncate(Self::MOST - 1);
            held.insert(0, (setup.into(), Arc::clone(&bag)));
        }
        Some(bag)
    }

    fn take(&self, setup: &str) -> Option<Arc<Bag>> {
        let mut held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
        let index = held.iter().position(|(text, _)| **text == *setup)?;
        held[..=index].rotate_right(1);
        Some(Arc::clone(&held[0].1))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bags_used_last_are_held_and_no_more() {
        let bags = Bags::default();
        let text = |i: usize| {
            format!(r#"{{"devices": [{{"name": "phone {i}", "pd_w": 18, "battery_wh": 15}}]}}"#)
        };
        let first = bags.of(&text(0)).expect("it is valid");
        for i in 0..3 * Bags::MOST {
            bags.of(&text(i)).expect("it is valid");
            let again = bags.of(&text(0)).expect("it is valid");
            assert!(Arc::ptr_eq(&first, &again), "in use all the time");
        }
        assert!(bags.of(r#"{"devices": []}"#).is_none());
        let long = " ".repeat(Bags::MOST_BYTES) + &text(0);
        assert!(bags.of(&long).is_some());
        let held = bags.held.lock().expect("no thread panicked");
        assert_eq!(held.len(), Bags::MOST);
        assert!(held.iter().all(|(text, _)| text.len() <= Bags::MOST_BYTES));
    }
}
