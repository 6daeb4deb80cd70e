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
    pub(super) rows: Vec<Row>,
    pub(super) left_out: LeftOut,
    /// Kits that need not be planned.
    pub(super) ruled_out: usize,
    front: Front,
    /// The first as far as they are wanted, whatever beats them.
    top: Leading,
    /// The first whose plans are wanted.
    with_plan: Leading,
    /// Rows that have a plan.
    planned: Vec<usize>,
}

impl Standing {
    /// Where so many of the order are wanted, and so many plans.
    pub(super) fn new(top: usize, plans: usize) -> Self {
        Self {
            rows: Vec::new(),
            left_out: LeftOut::default(),
            ruled_out: 0,
            front: Front::default(),
            top: Leading::new(top),
            with_plan: Leading::new(plans),
            planned: Vec::new(),
        }
    }

    pub(super) fn add(&mut self, row: Row) {
        self.front.add(row.place.merits);
        self.top.add(row.place, row.kit);
        self.with_plan.add(row.place, row.kit);
        if row.ranked.plan.is_some() {
            self.planned.push(self.rows.len());
        }
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

    /// Drops the plans that nobody will ask for.
    pub(super) fn drop_plans(&mut self) {
        let (front, first) = (&self.front, &self.with_plan);
        let rows = &mut self.rows;
        self.planned.retain(|&at| {
            let row = &mut rows[at];
            let kept = front.holds(&row.place.merits) || first.holds(row.place, row.kit);
            if !kept {
                row.ranked.plan = None;
            }
            kept
        });
    }

    /// The kits in order, those that nothing beats marked; where only the first `top` and the
    /// marked ones are wanted, no others. The first `plans` have their plan.
    pub(super) fn into_ranked(mut self, top: Option<usize>, plans: usize) -> Vec<Ranked> {
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
