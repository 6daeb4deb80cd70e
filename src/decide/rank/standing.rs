//! The kits of a ranking that are settled so far, and what that says of the others.

use super::Ranked;
use super::members::LeftOut;
use super::order::Place;
use super::unbeaten::Front;

/// A planned kit.
pub(super) struct Row {
    /// Its number among the kits.
    pub(super) kit: usize,
    pub(super) place: Place,
    pub(super) ranked: Ranked,
}

/// The kits that are settled so far.
pub(super) struct Standing {
    /// Those planned that may still be wanted.
    rows: Vec<Row>,
    /// Kits that were planned.
    pub(super) planned: usize,
    /// How many of the order are wanted; all of them where `None`.
    wanted: Option<usize>,
    pub(super) left_out: LeftOut,
    /// Kits that need not be planned.
    pub(super) ruled_out: usize,
    front: Front,
    /// The first as far as they are wanted, whatever beats them.
    top: Leading,
    /// The first whose plans are wanted.
    with_plan: Leading,
    /// Rows that have a plan.
    have_plan: Vec<usize>,
}

impl Standing {
    /// Where so many of the order are wanted, and so many plans.
    pub(super) fn new(wanted: Option<usize>, plans: usize) -> Self {
        Self {
            rows: Vec::new(),
            planned: 0,
            wanted,
            left_out: LeftOut::default(),
            ruled_out: 0,
            front: Front::default(),
            top: Leading::new(wanted.unwrap_or(0)),
            with_plan: Leading::new(plans),
            have_plan: Vec::new(),
        }
    }

    pub(super) fn add(&mut self, row: Row) {
        self.front.add(row.place.merits);
        self.top.add(row.place, row.kit);
        self.with_plan.add(row.place, row.kit);
        if row.ranked.plan.is_some() {
            self.have_plan.push(self.rows.len());
        }
        self.planned += 1;
        self.rows.push(row);
    }

    /// Whether a kit that stands at `bound` or behind it is surely none of those that are
    /// wanted: something beats it, and enough stand before it.
    pub(super) fn rules_out(&self, bound: Place, kit: usize) -> bool {
        self.top.are_before(bound, kit) && self.front.beats(&bound.merits)
    }

    /// A longest time from which on that is so of a kit, by where it stands at best with a
    /// longest time.
    pub(super) fn rules_out_from(&self, kit: usize, place: impl Fn(i64) -> Place) -> Option<i64> {
        let beaten = self.front.beats_from(&place(0).merits)?;
        let behind = self.top.places.last();
        let behind = behind.map_or(0, |(last, _)| last.merits.longest + 1);
        let mut enough = [beaten, beaten.max(behind)].into_iter();
        enough.find(|&longest| self.rules_out(place(longest), kit))
    }

    /// Drops the kits and the plans that nobody will ask for.
    pub(super) fn drop_unwanted(&mut self) {
        let (front, top, first) = (&self.front, &self.top, &self.with_plan);
        let is_front = |row: &Row| front.holds(&row.place.merits);
        if self.wanted.is_some() {
            self.rows
                .retain(|row| is_front(row) || top.holds(row.place, row.kit));
            self.have_plan.clear();
            let with_plan = |(at, row): (usize, &Row)| row.ranked.plan.is_some().then_some(at);
            let with_plan = self.rows.iter().enumerate().filter_map(with_plan);
            self.have_plan.extend(with_plan);
        }
        let rows = &mut self.rows;
        self.have_plan.retain(|&at| {
            let row = &mut rows[at];
            let kept = is_front(row) || first.holds(row.place, row.kit);
            if !kept {
                row.ranked.plan = None;
            }
            kept
        });
    }

    /// The kits that are wanted, in order, those that nothing beats marked. The first `plans` have
    /// their plan.
    pub(super) fn into_ranked(mut self, plans: usize) -> Vec<Ranked> {
        let top = self.wanted;
        self.rows.sort_unstable_by_key(|row| (row.place, row.kit));
        let front = self.front;
        let marked = self.rows.into_iter().map(|row| Ranked {
            unbeaten: front.holds(&row.place.merits),
            ..row.ranked
        });
        let wanted = marked
            .enumerate()
            .filter(|(at, ranked)| ranked.unbeaten || top.is_none_or(|top| *at < top));
        let mut wanted: Vec<Ranked> = wanted.map(|(_, ranked)| ranked).collect();
        for ranked in wanted.iter_mut().skip(plans) {
            ranked.plan = None;
        }
        wanted
    }
}

/// The first of the kits so far.
struct Leading {
    most: usize,
    places: Vec<(Place, usize)>,
}

impl Leading {
    fn new(most: usize) -> Self {
        Self {
            most,
            places: Vec::new(),
        }
    }

    fn add(&mut self, place: Place, kit: usize) {
        let at = self.places.partition_point(|known| *known < (place, kit));
        if at < self.most {
            self.places.insert(at, (place, kit));
            self.places.truncate(self.most);
        }
    }

    /// Whether there are as many as there may be, all of them before that place.
    fn are_before(&self, place: Place, kit: usize) -> bool {
        let full = self.places.len() == self.most;
        full && self.places.last().is_none_or(|last| *last < (place, kit))
    }

    fn holds(&self, place: Place, kit: usize) -> bool {
        self.places.binary_search(&(place, kit)).is_ok()
    }
}

#[cfg(test)]
mod tests {
    use super::super::order::Order;
    use super::super::unbeaten::Merits;
    use super::*;
    use crate::plan::Status;

    fn row(kit: usize, longest: i64) -> Row {
        let merits = Merits {
            unserved: [0; 3],
            late: 0,
            longest,
            weight: 500 - longest,
            price: i64::MAX,
        };
        Row {
            kit,
            place: Order::Longest.place(merits, 0, &[]),
            ranked: Ranked {
                candidate: Vec::new(),
                members: vec![kit],
                unserved: 0,
                unserved_by_priority: [0; 3],
                late: 0,
                longest_h: 0.0,
                reshared_h: None,
                weight_g: None,
                price: None,
                unbeaten: false,
                status: Status::Optimal,
                times: Vec::new(),
                plan: None,
            },
        }
    }

    #[test]
    fn what_is_held_does_not_grow_with_the_kits() {
        let (mut few, mut all) = (Standing::new(Some(5), 0), Standing::new(None, 0));
        for kit in 0..1_000 {
            // Some are beaten by those before, some beat them.
            let time = 100 + i64::try_from(kit * 7_919 % 97).expect("small");
            few.add(row(kit, time));
            all.add(row(kit, time));
            few.drop_unwanted();
            all.drop_unwanted();
            // As many stand in front as there are merits.
            assert!(few.rows.len() <= 5 + few.front_rows(), "kit {kit}");
        }
        assert_eq!((few.planned, all.planned), (1_000, 1_000));
        let members = |ranked: Vec<Ranked>| -> Vec<Vec<usize>> {
            ranked.into_iter().map(|of| of.members).collect()
        };
        let marked: Vec<Ranked> = all
            .into_ranked(0)
            .into_iter()
            .enumerate()
            .filter(|(at, of)| *at < 5 || of.unbeaten)
            .map(|(_, of)| of)
            .collect();
        assert_eq!(members(few.into_ranked(0)), members(marked));
    }

    impl Standing {
        fn front_rows(&self) -> usize {
            let front = self.rows.iter();
            front
                .filter(|row| self.front.holds(&row.place.merits))
                .count()
        }
    }
}
