//! What blocks share: cables, counts of devices, and sums.

use super::kinds::Kinds;
use super::packed::Packing;
use crate::solve::model::{ANY_LOAD, RowOrigin};
use crate::solve::subproblem::{RowKind, Subproblem};

/// Sums that are too large to be packed: as many as two.
const SUMS: usize = 2;

/// What is taken from the limits that blocks share.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Amount {
    counts: u128,
    sums: [i64; SUMS],
}

impl Amount {
    pub(super) const NONE: Self = Self {
        counts: 0,
        sums: [0; SUMS],
    };

    pub(super) fn plus(self, other: Self) -> Self {
        Self {
            counts: self.counts + other.counts,
            sums: [self.sums[0] + other.sums[0], self.sums[1] + other.sums[1]],
        }
    }

    /// What it costs, where there is a goal.
    pub(super) fn first_sum(&self) -> i64 {
        self.sums[0]
    }
}

/// The rows of a question, and whose they are.
pub(super) struct Rows<'a> {
    pub(super) caps: &'a [i64],
    pub(super) limits: &'a [i64],
    own: Vec<bool>,
    /// Rows that lines of tables stand for.
    of_lines: Vec<bool>,
}

impl<'a> Rows<'a> {
    pub(super) fn of(subproblem: &'a Subproblem<'_>, caps: &'a [i64]) -> Self {
        let origin = |kind: &RowKind| match *kind {
            RowKind::Fixed(row) => Some(subproblem.model.rows[row].origin),
            _ => None,
        };
        let of_lines = |kind: &RowKind| {
            matches!(
                origin(kind),
                Some(RowOrigin::Table { .. } | RowOrigin::TablePorts { .. })
            )
        };
        let own = |kind: &RowKind| {
            matches!(
                origin(kind),
                Some(RowOrigin::Pool { .. } | RowOrigin::Load { .. })
            )
        };
        Self {
            caps,
            limits: &subproblem.limits,
            own: subproblem.lanes.iter().map(own).collect(),
            of_lines: subproblem.lanes.iter().map(of_lines).collect(),
        }
    }

    /// By row, whether it is a limit within one block.
    pub(super) fn own(&self) -> &[bool] {
        &self.own
    }
}

/// Where an amount of a shared row stands.
#[derive(Debug, Clone, Copy)]
enum Place {
    Own,
    Count(usize),
    Sum(usize),
}

/// How what is shared is counted.
#[derive(Clone)]
pub(super) struct Sharing {
    places: Vec<Place>,
    counts: Packing,
    /// What there is.
    caps: Amount,
    /// How many of each kind of device there are.
    pub(super) kinds: Packing,
    pub(super) all: u128,
    /// How many seats may be empty.
    pub(super) spare: usize,
}

impl Sharing {
    /// `None` where there is no room for all that is shared.
    pub(super) fn of(subproblem: &Subproblem<'_>, rows: &Rows<'_>, kinds: &Kinds) -> Option<Self> {
        let mut places = Vec::with_capacity(rows.caps.len());
        let mut counts: Vec<i64> = Vec::new();
        let mut caps = Amount::NONE;
        // The goal is the first sum: what comes out is of the least cost.
        let mut sums = 1;
        caps.sums = [i64::MAX; SUMS];
        for (row, &cap) in rows.caps.iter().enumerate() {
            if cap < 0 {
                return None;
            }
            let large = matches!(
                subproblem.lanes[row],
                RowKind::Missing | RowKind::Hours | RowKind::Watts
            );
            let place = if rows.own[row] || rows.of_lines[row] {
                Place::Own
            } else if Some(row) == subproblem.goal_row {
                caps.sums[0] = cap;
                Place::Sum(0)
            } else if large {
                if sums == SUMS {
                    return None;
                }
                caps.sums[sums] = cap;
                sums += 1;
                Place::Sum(sums - 1)
            } else {
                counts.push(cap);
                Place::Count(counts.len() - 1)
            };
            places.push(place);
        }
        debug_assert!(
            rows.limits
                .iter()
                .zip(&rows.own)
                .all(|(limit, own)| *own || *limit == ANY_LOAD)
        );
        let packing = Packing::of(&counts)?;
        for (slot, &cap) in counts.iter().enumerate() {
            caps.counts |= packing.at(slot, cap)?;
        }
        let sizes: Vec<i64> = kinds
            .devices
            .iter()
            .map(|kind| number(kind.devices.len()))
            .collect();
        let of_kinds = Packing::of(&sizes)?;
        let all = sizes
            .iter()
            .enumerate()
            .map(|(kind, &size)| of_kinds.at(kind, size));
        let all = all.sum::<Option<u128>>()?;
        Some(Self {
            places,
            counts: packing,
            caps,
            kinds: of_kinds,
            all,
            spare: kinds.spare()?,
        })
    }

    /// What is taken from shared rows; `None` where one has no room for it.
    pub(super) fn amount(&self, takes: &[(u32, i64)]) -> Option<Amount> {
        let mut amount = Amount::NONE;
        for &(row, takes) in takes {
            match self.places[row as usize] {
                Place::Own => {}
                Place::Count(slot) => amount.counts += self.counts.at(slot, takes)?,
                Place::Sum(sum) => amount.sums[sum] += takes,
            }
        }
        Some(amount)
    }

    /// What all may cost; without a goal anything.
    pub(super) fn cost(&self) -> i64 {
        self.caps.sums[0]
    }

    /// The same where all may cost so much.
    pub(super) fn at_cost(&self, cost: i64) -> Self {
        let mut at_cost = self.clone();
        at_cost.caps.sums[0] = cost;
        at_cost
    }

    /// What there is of each shared row that is counted.
    pub(super) fn caps(&self) -> Vec<i64> {
        self.amounts(self.caps).collect()
    }

    /// An amount, row by row.
    pub(super) fn amounts(&self, amount: Amount) -> impl Iterator<Item = i64> {
        self.places.iter().filter_map(move |place| match *place {
            Place::Own => None,
            Place::Count(slot) => Some(self.counts.get(amount.counts, slot)),
            Place::Sum(sum) => Some(amount.sums[sum]),
        })
    }

    pub(super) fn fits(&self, amount: Amount) -> bool {
        self.within(amount, self.caps)
    }

    /// Whether nothing takes more than beside it.
    pub(super) fn within(&self, one: Amount, other: Amount) -> bool {
        one.sums[0] <= other.sums[0]
            && one.sums[1] <= other.sums[1]
            && self.counts.within(one.counts, other.counts)
    }
}

/// How many devices there are of a kind.
pub(super) fn number(devices: usize) -> i64 {
    i64::try_from(devices).unwrap_or(i64::MAX)
}
