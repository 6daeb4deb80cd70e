//! The cheapest assignment where only the ports' numbers bind: a transportation problem
//! between devices and groups of equal ports, by shortest augmenting paths (the
//! Hungarian method with capacities), in whole numbers, with its duals.

/// Stands for "not allowed"; far from overflow when potentials are added.
pub(crate) const FORBIDDEN: i64 = i64::MAX / 8;

/// Paths through what is not allowed are at least this long: potentials stay far below.
const OUT_OF_REACH: i64 = FORBIDDEN / 2;

/// A solved transportation problem. Kept between calls for its memory only.
#[derive(Debug, Default)]
pub(crate) struct Transport {
    groups: usize,
    /// Price of each device: `u[d] + v[g] ≤ cost(d, g)`, and `u[d] ≤ alone(d)`.
    pub(crate) u: Vec<i64>,
    /// Price of each group, at most 0, and 0 where a seat is free. Where there is no solution,
    /// -1 for the groups that some devices cannot do without, more than they have seats.
    pub(crate) v: Vec<i64>,
    /// The group of each device; `None` where it stays without.
    pub(crate) group: Vec<Option<usize>>,
    members: Vec<Vec<usize>>,
    distance: Vec<i64>,
    reached_from: Vec<usize>,
    /// The groups whose distance is not settled yet, and those whose is.
    ahead: Vec<usize>,
    done: Vec<usize>,
}

impl Transport {
    /// Solves for `cost[d * groups + g]`, `alone[d]` (the cost of no seat) and `seats[g]`.
    /// The least cost, or `None` where some device can neither sit nor stay.
    pub(crate) fn solve(&mut self, cost: &[i64], alone: &[i64], seats: &[usize]) -> Option<i64> {
        let devices = alone.len();
        self.groups = seats.len();
        self.u.clear();
        self.u.resize(devices, 0);
        self.v.clear();
        self.v.resize(self.groups, 0);
        self.group.clear();
        self.group.resize(devices, None);
        self.members.iter_mut().for_each(Vec::clear);
        self.members.resize(self.groups, Vec::new());
        for device in 0..devices {
            self.seat(device, cost, alone, seats)?;
        }
        let seats_paid: i64 = self
            .v
            .iter()
            .zip(seats)
            .map(|(&multiplier, &n)| multiplier * i64::try_from(n).unwrap_or(0))
            .sum();
        Some(self.u.iter().sum::<i64>() + seats_paid)
    }

    /// Seats one more device at the least extra cost, moving others where that pays.
    fn seat(&mut self, device: usize, cost: &[i64], alone: &[i64], seats: &[usize]) -> Option<()> {
        let groups = self.groups;
        self.distance.clear();
        self.distance.resize(groups, FORBIDDEN);
        self.reached_from.clear();
        self.reached_from.resize(groups, device);
        self.ahead.clear();
        self.ahead.extend(0..groups);
        self.done.clear();
        // The cheapest way found so far to end at "no seat": who then stays without.
        let mut stays = (alone[device], device);
        self.relax(device, 0, cost);
        let (end, length) = loop {
            let mut next = None;
            let mut here = stays.0;
            for (at, &g) in self.ahead.iter().enumerate() {
                if self.distance[g] < here {
                    here = self.distance[g];
                    next = Some((at, g));
                }
            }
            let Some((at, g)) = next else {
                break (None, stays.0);
            };
            if here >= OUT_OF_REACH {
                break (None, FORBIDDEN);
            }
            self.ahead.swap_remove(at);
            self.done.push(g);
            if self.members[g].len() < seats[g] {
                break (Some(g), here);
            }
            for m in 0..self.members[g].len() {
                let member = self.members[g][m];
                if alone[member] < FORBIDDEN {
                    let leave = here + alone[member] - self.u[member];
                    stays = stays.min((leave, member));
                }
                self.relax(member, here, cost);
            }
        };
        if length >= OUT_OF_REACH {
            self.v.fill(0);
            for &g in &self.done {
                self.v[g] = -1;
            }
            return None;
        }
        // New multipliers keep every reduced cost at or above 0.
        for &g in &self.done {
            if self.distance[g] < length {
                self.v[g] -= length - self.distance[g];
                for &member in &self.members[g] {
                    self.u[member] += length - self.distance[g];
                }
            }
        }
        self.u[device] = length;
        // Walk the path back, moving each device to the group it opened.
        let mut free = if let Some(g) = end {
            g
        } else {
            let leaver = stays.1;
            if leaver == device {
                return Some(());
            }
            let left = self.group[leaver]?;
            self.members[left].retain(|&m| m != leaver);
            self.group[leaver] = None;
            left
        };
        loop {
            let mover = self.reached_from[free];
            let left = self.group[mover];
            self.group[mover] = Some(free);
            self.members[free].push(mover);
            match left {
                Some(left) => {
                    self.members[left].retain(|&m| m != mover);
                    free = left;
                }
                None => return Some(()),
            }
        }
    }

    fn relax(&mut self, from: usize, so_far: i64, cost: &[i64]) {
        let row = &cost[from * self.groups..(from + 1) * self.groups];
        let base = so_far - self.u[from];
        for &g in &self.ahead {
            let through = base + row[g] - self.v[g];
            if through < self.distance[g] {
                self.distance[g] = through;
                self.reached_from[g] = from;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::model::small;
    use super::*;

    /// Every assignment, by recursion.
    fn brute(cost: &[i64], alone: &[i64], seats: &[usize]) -> Option<i64> {
        fn go(d: usize, cost: &[i64], alone: &[i64], left: &mut Vec<usize>) -> Option<i64> {
            if d == alone.len() {
                return Some(0);
            }
            let mut best: Option<i64> = None;
            let mut take = |value: Option<i64>| {
                if let Some(value) = value {
                    best = Some(best.map_or(value, |b| b.min(value)));
                }
            };
            if alone[d] < FORBIDDEN {
                take(go(d + 1, cost, alone, left).map(|rest| rest + alone[d]));
            }
            for g in 0..left.len() {
                let c = cost[d * left.len() + g];
                if left[g] > 0 && c < FORBIDDEN {
                    left[g] -= 1;
                    take(go(d + 1, cost, alone, left).map(|rest| rest + c));
                    left[g] += 1;
                }
            }
            best
        }
        go(0, cost, alone, &mut seats.to_vec())
    }

    #[test]
    fn least_cost_and_duals_agree_with_brute_force() {
        let mut state = 7u64;
        let mut random = move |below: u64| {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            usize::try_from((state >> 33) % below).expect("small")
        };
        let mut solver = Transport::default();
        for _ in 0..3000 {
            let (devices, groups) = (1 + random(5), 1 + random(4));
            let mut multiplier = |below| {
                if random(4) == 0 {
                    FORBIDDEN
                } else {
                    small(random(below))
                }
            };
            let cost: Vec<i64> = (0..devices * groups).map(|_| multiplier(20)).collect();
            let alone: Vec<i64> = (0..devices).map(|_| multiplier(30)).collect();
            let seats: Vec<usize> = (0..groups).map(|_| 1 + random(2)).collect();
            let got = solver.solve(&cost, &alone, &seats);
            assert_eq!(
                got,
                brute(&cost, &alone, &seats),
                "{cost:?} {alone:?} {seats:?}"
            );
            if got.is_none() {
                // Who must pay pays more than all the seats are worth.
                let must = |d: &usize| {
                    let open = |&g: &usize| cost[d * groups + g] < FORBIDDEN;
                    alone[*d] >= FORBIDDEN && (0..groups).filter(open).all(|g| solver.v[g] == -1)
                };
                let priced = (0..groups).filter(|&g| solver.v[g] == -1);
                let seats: usize = priced.map(|g| seats[g]).sum();
                assert!((0..devices).filter(must).count() > seats);
            }
            if got.is_some() {
                for d in 0..devices {
                    assert!(solver.u[d] <= alone[d]);
                    for g in 0..groups {
                        assert!(solver.u[d] + solver.v[g] <= cost[d * groups + g]);
                    }
                }
                assert!(solver.v.iter().all(|&v| v <= 0));
            }
        }
    }
}
