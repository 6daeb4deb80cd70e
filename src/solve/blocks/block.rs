//! All that one block can seat: by how many of each kind of device, what that takes at least of
//! what is shared.

use super::best::Best;
use super::kinds::{Kinds, Takes};
use super::shared::{Amount, Rows, Sharing};
use crate::solve::model::{ANY_LOAD, Line};

/// As many limits of its own as a block may have.
const MOST_LIMITS: usize = 6;

/// As many sets of places as a line may need.
const MOST_SETS: usize = 64;

/// Ways tried that cost as much as a seating compared with others.
const WAYS_PER_SEATING: usize = 8;

/// Nobody, and before the first.
pub(super) const NOBODY: u32 = u32::MAX;

/// Who sits on the first seats of a block.
#[derive(Debug, Clone, Copy)]
pub(super) struct Seating {
    /// How many of each kind sit.
    pub(super) seated: u128,
    pub(super) shared: Amount,
    /// What the block's own limits have been taken.
    taken: [i64; MOST_LIMITS],
    /// Where these are limits of loads: by how much the one that needs most lets them be
    /// exceeded, less than nothing.
    slack: [i64; MOST_LIMITS],
    /// How many seats are empty so far.
    empty: usize,
    /// Of the sets of places of which one must be in use, by bit, those where one is.
    in_use: u64,
    /// The seating without the last seat, and who sits there: kind of device, and which of its
    /// ways; [`NOBODY`] where it is empty.
    before: u32,
    device: u32,
    way: u32,
}

impl Seating {
    const NONE: Self = Self {
        seated: 0,
        shared: Amount::NONE,
        taken: [0; MOST_LIMITS],
        slack: [-ANY_LOAD; MOST_LIMITS],
        empty: 0,
        in_use: 0,
        before: NOBODY,
        device: NOBODY,
        way: 0,
    };

    /// Whether whatever can be seated beside `other` can be seated beside this one, at no more.
    fn no_worse(&self, other: &Self, sharing: &Sharing) -> bool {
        let no_more = |a: &[i64], b: &[i64]| a.iter().zip(b).all(|(a, b)| a <= b);
        sharing.within(self.shared, other.shared)
            && no_more(&self.taken, &other.taken)
            && no_more(&self.slack, &other.slack)
            && self.in_use & other.in_use == other.in_use
    }

    /// Forgets what has been taken of these limits: nobody else takes from them.
    fn forget(mut self, limits: &[usize]) -> Self {
        for &limit in limits {
            self.taken[limit] = 0;
            self.slack[limit] = 0;
        }
        self
    }
}

/// What is left to do of all that may be done.
pub(super) struct Work {
    pub(super) left: u64,
}

/// It would take more work than is allowed, or there is no room for all that is told apart.
pub(super) struct TooLarge;

impl Work {
    pub(super) fn one(&mut self, much: usize) -> Result<(), TooLarge> {
        let much = u64::try_from(much).unwrap_or(u64::MAX);
        self.left = self.left.saturating_sub(much);
        if self.left == 0 {
            Err(TooLarge)
        } else {
            Ok(())
        }
    }
}

/// A limit of a block's own.
struct Limit {
    row: usize,
    cap: i64,
    /// Of loads: how far they may go where nobody allows them more. [`ANY_LOAD`] for others.
    of_loads: i64,
}

/// A line of a table that governs.
pub(super) struct Governing<'a> {
    pub(super) line: &'a Line,
    /// By kind of ports, its place in the table.
    pub(super) places: &'a [Option<usize>],
}

impl Governing<'_> {
    /// Whether the line grants on a kind of ports what a way there takes, and leaves what it needs.
    fn allows(&self, port: usize, takes: &Takes) -> bool {
        let Some(place) = self.places[port] else {
            return false;
        };
        let enough = |least: i64| move |watts: i64| least <= watts;
        self.line.granted[place].is_some_and(enough(takes.tier))
            && self.line.promised[place].is_some_and(enough(takes.needs))
    }

    /// The sets of places that a kind of ports is in.
    fn sets(&self, port: usize) -> u64 {
        let has = |set: &Vec<usize>| self.places[port].is_some_and(|place| set.contains(&place));
        let sets = self.line.needs.iter().enumerate();
        sets.fold(0, |sets, (at, set)| sets | (u64::from(has(set)) << at))
    }

    fn all_sets(&self) -> u64 {
        (0..self.line.needs.len()).fold(0, |sets, at| sets | 1 << at)
    }
}

/// A way of a kind of device on the seat at hand.
struct OnSeat {
    device: u32,
    way: u32,
    /// One of its kind.
    one: u128,
    shared: Amount,
    /// What it takes of the block's own limits.
    own: Vec<(usize, i64)>,
    slack: i64,
}

/// A block of ports with all that it can seat.
pub(super) struct Block {
    /// By seat, its kind of ports.
    pub(super) seats: Vec<usize>,
    arena: Vec<Seating>,
    /// The last of each seating worth keeping, those of the same kinds together.
    pub(super) whole: Vec<u32>,
}

impl Block {
    /// `lines` has the lines of the table that may govern, where there is one.
    pub(super) fn of(
        kinds: &Kinds,
        ports: &[usize],
        lines: &[Governing<'_>],
        sharing: &Sharing,
        rows: &Rows<'_>,
        work: &mut Work,
    ) -> Result<Self, TooLarge> {
        let limits = limits(kinds, ports, rows)?;
        let mut ports = ports.to_vec();
        // Those under most limits first: what only they take from is done with early.
        ports.sort_by_key(|&port| {
            let of_port = limits
                .iter()
                .filter(|limit| kinds.take_from(port, limit.row));
            std::cmp::Reverse(of_port.count())
        });
        let seats = ports
            .iter()
            .flat_map(|&port| std::iter::repeat_n(port, kinds.ports[port].seats));
        let mut block = Self {
            seats: seats.collect(),
            arena: Vec::new(),
            whole: Vec::new(),
        };
        if lines.is_empty() {
            block.list(kinds, None, &limits, sharing, work)?;
        }
        for line in lines {
            block.list(kinds, Some(line), &limits, sharing, work)?;
        }
        let mut best: Best<u32> = Best::new();
        for &at in &block.whole {
            let shared = |&at: &u32| block.seating(at).shared;
            let no_worse = |a: &u32, b: &u32| sharing.within(shared(a), shared(b));
            work.one(best.put(block.seating(at).seated, at, no_worse))?;
        }
        block.whole = best.each().copied().collect();
        Ok(block)
    }

    /// Seat by seat, under one line of the table.
    fn list(
        &mut self,
        kinds: &Kinds,
        line: Option<&Governing<'_>>,
        limits: &[Limit],
        sharing: &Sharing,
        work: &mut Work,
    ) -> Result<(), TooLarge> {
        if line.is_some_and(|line| line.line.needs.len() > MOST_SETS) {
            return Err(TooLarge);
        }
        let mut layer = vec![index(self.arena.len())];
        self.arena.push(Seating::NONE);
        for at in 0..self.seats.len() {
            let port = self.seats[at];
            let later = &self.seats[at + 1..];
            let is_done = |&limit: &usize| {
                let row = limits[limit].row;
                !later.iter().any(|&port| kinds.take_from(port, row))
            };
            let done: Vec<usize> = (0..limits.len()).filter(is_done).collect();
            let ways = on_seat(kinds, port, line, limits, sharing);
            let sets = line.map_or(0, |line| line.sets(port));
            let mut next: Best<Seating> = Best::new();
            let mut put = |seating: Seating| {
                let seating = seating.forget(&done);
                next.put(seating.seated, seating, |a, b| a.no_worse(b, sharing))
            };
            for &before in &layer {
                let now = Seating {
                    before,
                    device: NOBODY,
                    ..self.arena[before as usize]
                };
                let mut looked_at = 1 + ways.len() / WAYS_PER_SEATING;
                if now.empty < sharing.spare {
                    looked_at += put(Seating {
                        empty: now.empty + 1,
                        ..now
                    });
                }
                for way in &ways {
                    if let Some(one) = seat(now, way, sets, limits, sharing) {
                        looked_at += put(one);
                    }
                }
                work.one(looked_at)?;
            }
            layer.clear();
            for &seating in next.each() {
                layer.push(index(self.arena.len()));
                self.arena.push(seating);
            }
        }
        let all_sets = line.map_or(0, Governing::all_sets);
        layer.retain(|&at| {
            let seating = self.seating(at);
            // Where nobody sits, no line needs to hold.
            seating.seated == 0 || seating.in_use == all_sets
        });
        self.whole.extend(layer);
        Ok(())
    }

    pub(super) fn seating(&self, at: u32) -> &Seating {
        &self.arena[at as usize]
    }

    /// Who sits where: by seat in use, its kind of ports, the kind of device, and which way.
    pub(super) fn seated(&self, whole: u32) -> Vec<(usize, usize, usize)> {
        let mut seated = Vec::new();
        let mut at = whole;
        for &port in self.seats.iter().rev() {
            let seating = self.seating(at);
            if seating.device != NOBODY {
                seated.push((port, seating.device as usize, seating.way as usize));
            }
            at = seating.before;
        }
        seated
    }
}

/// The limits that some kinds of ports draw on together.
fn limits(kinds: &Kinds, ports: &[usize], rows: &Rows<'_>) -> Result<Vec<Limit>, TooLarge> {
    let of_ports = |row: &usize| ports.iter().any(|&port| kinds.take_from(port, *row));
    let own = (0..rows.caps.len()).filter(|&row| rows.own()[row]);
    let limits: Vec<Limit> = own
        .filter(of_ports)
        .map(|row| Limit {
            row,
            cap: rows.caps[row],
            of_loads: rows.limits[row],
        })
        .collect();
    if limits.len() > MOST_LIMITS {
        return Err(TooLarge);
    }
    Ok(limits)
}

/// All that may come on a seat.
fn on_seat(
    kinds: &Kinds,
    port: usize,
    line: Option<&Governing<'_>>,
    limits: &[Limit],
    sharing: &Sharing,
) -> Vec<OnSeat> {
    let mut ways = Vec::new();
    for (kind, device) in kinds.devices.iter().enumerate() {
        for (way, takes) in device.at[port].iter().enumerate() {
            let allowed = line.is_none_or(|line| line.allows(port, takes));
            let shared = sharing.amount(&takes.rows);
            let (true, Some(shared), Some(one)) = (allowed, shared, sharing.kinds.at(kind, 1))
            else {
                continue;
            };
            let own = takes.rows.iter().filter_map(|&(row, amount)| {
                let limit = limits.iter().position(|limit| limit.row == row as usize)?;
                Some((limit, amount))
            });
            ways.push(OnSeat {
                device: index(kind),
                way: index(way),
                one,
                shared,
                own: own.collect(),
                slack: takes.slack,
            });
        }
    }
    ways
}

/// One more seat taken, where every limit allows it.
fn seat(
    now: Seating,
    way: &OnSeat,
    sets: u64,
    limits: &[Limit],
    sharing: &Sharing,
) -> Option<Seating> {
    let mut one = Seating {
        seated: now.seated + way.one,
        shared: now.shared.plus(way.shared),
        in_use: now.in_use | sets,
        device: way.device,
        way: way.way,
        ..now
    };
    if !sharing.kinds.within(one.seated, sharing.all) || !sharing.fits(one.shared) {
        return None;
    }
    for &(at, amount) in &way.own {
        let limit = &limits[at];
        one.taken[at] += amount;
        if limit.of_loads < ANY_LOAD {
            one.slack[at] = one.slack[at].max(-way.slack);
        }
        let cap = limit.cap.min(limit.of_loads.saturating_sub(one.slack[at]));
        if one.taken[at] > cap {
            return None;
        }
    }
    Some(one)
}

pub(super) fn index(value: usize) -> u32 {
    u32::try_from(value).expect("fewer than the work that is allowed")
}
