//! How a node of a proof is split: what one group takes, in two parts.

use crate::solve::bound::Bound;
use crate::verify::formula::{Formula, Variable};
use crate::verify::program::{Program, Way};

use super::trail::Trail;

/// What a group takes in the first part, and what in the second.
pub(super) struct Split {
    pub(super) group: usize,
    pub(super) parts: [Vec<u32>; 2],
}

/// By what variables are told apart, and whether smaller values belong with smaller ones.
struct Key<'k> {
    of: &'k dyn Fn(&Variable, u32) -> Option<i64>,
    ordered: bool,
}

/// A group of which the bound took different things this often is not decided by it.
const UNDECIDED: f64 = 0.05;

/// The split of a node; `None` where all is decided.
pub(super) fn split(
    program: &Program,
    formula: &Formula,
    trail: &Trail,
    bound: &Bound,
) -> Option<Split> {
    let of_way = |variable: &Variable, of: &dyn Fn(&Way) -> i64| match variable {
        Variable::Way { way, .. } => Some(way.seat.map_or(-1, |_| of(way))),
        _ => None,
    };
    let place = |n: usize| i64::try_from(n).unwrap_or(i64::MAX);
    let of_seat = |variable: &Variable, of: &dyn Fn(usize, usize, usize) -> usize| {
        of_way(variable, &|way| {
            way.seat
                .map_or(-1, |seat| place(of(seat.port, seat.cable, seat.first)))
        })
    };
    // The first port from which the same pools take.
    let alike = |port: usize| {
        let pools = |port: usize| program.pools.iter().map(move |p| p.ports.contains(&port));
        let same = |other: &usize| pools(*other).eq(pools(port));
        (0..port).find(same).unwrap_or(port)
    };
    let stays = |v: &Variable, _: u32| of_way(v, &|_| 0);
    let governs = |v: &Variable, at: u32| {
        matches!(v, Variable::Line | Variable::Ports).then_some(i64::from(at))
    };
    let level = |v: &Variable, at: u32| matches!(v, Variable::Level).then_some(i64::from(at));
    let pools = |v: &Variable, _: u32| of_seat(v, &|port, _, _| alike(port));
    let first = |v: &Variable, _: u32| of_seat(v, &|_, _, first| first);
    let need = |v: &Variable, _: u32| of_way(v, &|way| way.need);
    let takes = |v: &Variable, _: u32| of_way(v, &|way| way.takes);
    let tier = |v: &Variable, _: u32| of_way(v, &|way| way.tier);
    let cable = |v: &Variable, _: u32| of_seat(v, &|_, cable, _| cable);
    let port = |v: &Variable, _: u32| of_seat(v, &|port, _, _| port);
    let each = |_: &Variable, at: u32| Some(i64::from(at));
    let keys: [Key<'_>; 11] = [
        Key {
            of: &stays,
            ordered: false,
        },
        Key {
            of: &governs,
            ordered: false,
        },
        Key {
            of: &level,
            ordered: true,
        },
        Key {
            of: &first,
            ordered: false,
        },
        Key {
            of: &pools,
            ordered: false,
        },
        Key {
            of: &takes,
            ordered: true,
        },
        Key {
            of: &need,
            ordered: true,
        },
        Key {
            of: &tier,
            ordered: true,
        },
        Key {
            of: &cable,
            ordered: false,
        },
        Key {
            of: &port,
            ordered: false,
        },
        Key {
            of: &each,
            ordered: false,
        },
    ];
    for least in [UNDECIDED, -1.0] {
        for key in &keys {
            let mut best: Option<(f64, usize, i64)> = None;
            for group in 0..formula.groups.len() {
                let Some((undecided, value)) = key.undecided(formula, trail, bound, group) else {
                    continue;
                };
                if undecided > least && best.is_none_or(|(most, ..)| undecided > most) {
                    best = Some((undecided, group, value));
                }
            }
            if let Some((_, group, value)) = best {
                return Some(key.split(formula, trail, group, value));
            }
        }
    }
    None
}

impl Key<'_> {
    /// Of the open variables of a group, each with the value of the key.
    fn values(&self, formula: &Formula, trail: &Trail, group: usize) -> Vec<(u32, i64)> {
        let open = formula.groups[group]
            .clone()
            .filter(|&v| trail.may_be_one(v));
        let value = |v: u32| (self.of)(&formula.variables[v as usize], v).map(|value| (v, value));
        open.filter_map(value).collect()
    }

    /// How evenly the bound shared a group out between two parts, and the value that parts them.
    fn undecided(
        &self,
        formula: &Formula,
        trail: &Trail,
        bound: &Bound,
        group: usize,
    ) -> Option<(f64, i64)> {
        let mut shares: Vec<(i64, f64)> = Vec::new();
        for (variable, value) in self.values(formula, trail, group) {
            let share = bound.share(variable);
            match shares.iter_mut().find(|(known, _)| *known == value) {
                Some((_, sum)) => *sum += share,
                None => shares.push((value, share)),
            }
        }
        if shares.len() < 2 {
            return None;
        }
        let total: f64 = shares.iter().map(|(_, share)| share).sum();
        if self.ordered {
            shares.sort_unstable_by_key(|&(value, _)| value);
            shares.pop();
            let mut sum = 0.0;
            for (_, share) in &mut shares {
                sum += *share;
                *share = sum;
            }
        }
        let evenness = |share: f64| share.min(total - share) / total.max(f64::MIN_POSITIVE);
        let best = shares
            .into_iter()
            .map(|(value, share)| (evenness(share), value));
        best.reduce(|best, next| if next.0 > best.0 { next } else { best })
    }

    fn split(&self, formula: &Formula, trail: &Trail, group: usize, at: i64) -> Split {
        let values = self.values(formula, trail, group);
        let first = |value: i64| {
            if self.ordered {
                value <= at
            } else {
                value == at
            }
        };
        let part = |is_first: bool| {
            let of_part = values.iter().filter(|(_, value)| first(*value) == is_first);
            of_part.map(|(variable, _)| *variable).collect()
        };
        Split {
            group,
            parts: [part(true), part(false)],
        }
    }
}
