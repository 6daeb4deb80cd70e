//! Every plan is looked at, but for those that are begun worse than the best can be
//! (section 5).
//!
//! The order of plans is sequential: what a level's least is decides which plans count for
//! the next one. So the plans are gone through once for each time that may be exceeded by
//! the tolerance, and once more for what follows the times; the levels before are limits
//! then.

use super::near::moves;
use super::options::{Choice, options_of};
use super::order::{self, Score, levels_to_longest, rank, slack, times_end, weight};
use super::promise::{Berth, Promises, berthed};
use super::rounding::micro;
use super::rules::{lines_hold, lines_may_hold, no_place_twice, pools_hold, taken};
use super::setup::{Aim, Device, Setup};
use super::stay::{during, end_of, ready_by};

/// The best of all plans: per device its choice.
#[derive(Debug)]
pub(crate) struct Best {
    pub(crate) score: Score,
    pub(crate) chosen: Vec<Option<Choice>>,
    /// The least of each level, which its own may exceed by the tolerance.
    pub(crate) least: Vec<i64>,
    /// How many plans, whole or begun, were looked at.
    pub(crate) visited: u64,
    /// How many whole plans were as good in everything but the listed order.
    pub(crate) ties: u64,
}

/// The best plan, with the cuts.
pub(crate) fn best_plan(setup: &Setup) -> Best {
    let (promises, options) = (Promises::new(setup), sorted_options(setup));
    let mut search = Search::new(setup, &promises, &options);
    let (slack, times_end) = (slack(setup), times_end(setup));
    let (mut limits, mut least) = (Vec::new(), Vec::new());
    loop {
        // Up to and with the next time that may be exceeded; or all times; or all levels.
        let from = limits.len();
        let loose = (from..times_end).find(|&level| slack[level] > 0);
        let to = match loose {
            Some(level) => level + 1,
            None if from < times_end => times_end,
            None => slack.len(),
        };
        search.set_out(&limits, to);
        search.go_on(&mut Vec::new());
        let (score, chosen) = search.best.take().expect("to berth nobody is a plan");
        let levels = score.levels(setup);
        least.extend(&levels[from..to]);
        if to == slack.len() {
            return Best {
                score,
                chosen,
                least,
                visited: search.visited,
                ties: search.ties,
            };
        }
        limits.extend((from..to).map(|level| levels[level] + slack[level]));
    }
}

/// The least longest time, by the aim, of the plans that are best in the first two levels,
/// in whole microhours.
pub(crate) fn least_longest(setup: &Setup) -> i64 {
    let (promises, options) = (Promises::new(setup), sorted_options(setup));
    let mut search = Search::new(setup, &promises, &options);
    search.levels_of = levels_to_longest;
    search.set_out(&[], 8);
    search.go_on(&mut Vec::new());
    let (score, _) = search.best.take().expect("to berth nobody is a plan");
    levels_to_longest(&score, setup)[7]
}

/// The best plan, word for word: all of them in a list, then level by level those that
/// stay.
pub(crate) fn best_of_all(setup: &Setup) -> Best {
    let (promises, options) = (Promises::new(setup), sorted_options(setup));
    let search = Search::new(setup, &promises, &options);
    let mut plans = Vec::new();
    search.list_all(&mut Vec::new(), &mut plans);
    let visited = plans.len() as u64;
    let (least, (score, chosen)) = order::best_with_least(setup, plans);
    Best {
        score,
        chosen,
        least,
        visited,
        ties: 0,
    }
}

fn sorted_options(setup: &Setup) -> Vec<Vec<Choice>> {
    let of_device = |device: &Device| {
        let mut options = options_of(setup, device);
        // Only so that good plans come early and the rest is cut sooner.
        options.sort_by(|a, b| a.hours.total_cmp(&b.hours));
        options
    };
    setup.devices.iter().map(of_device).collect()
}

struct Search<'a> {
    setup: &'a Setup,
    promises: &'a Promises<'a>,
    all_options: &'a [Vec<Choice>],
    /// Those that this time have to be looked at.
    options: Vec<Vec<Choice>>,
    /// Per option the soonest that it can be full, by the aim, and whether it is late
    /// even then.
    soonest: Vec<Vec<(i64, bool)>>,
    levels_of: fn(&Score, &Setup) -> Vec<i64>,
    /// The most that the first levels may be.
    limits: Vec<i64>,
    /// The levels after the limits and before this one are to be as little as they can.
    to: usize,
    best: Option<(Score, Vec<Option<Choice>>)>,
    visited: u64,
    ties: u64,
}

impl<'a> Search<'a> {
    fn new(setup: &'a Setup, promises: &'a Promises<'a>, options: &'a [Vec<Choice>]) -> Self {
        Self {
            setup,
            promises,
            all_options: options,
            options: options.to_vec(),
            soonest: Vec::new(),
            levels_of: Score::levels,
            limits: Vec::new(),
            to: 0,
            best: None,
            visited: 0,
            ties: 0,
        }
    }

    fn set_out(&mut self, limits: &[i64], to: usize) {
        self.limits = limits.to_vec();
        self.to = to;
        self.best = None;
        self.ties = 0;
        self.options = self.all_options.to_vec();
        // What is promised, all that counts up to the times, is a matter of places and
        // stays; so of the options of one place and stay those will do that take least.
        if self.setup.aim == Aim::Promise && to <= times_end(self.setup) {
            for options in &mut self.options {
                *options = least_of_each_place(self.setup, options);
            }
        }
        let of_device = |(d, options): (usize, &Vec<Choice>)| {
            let options = options.iter();
            options
                .map(|x| self.soonest_of((d, x), &[(d, x)]))
                .collect()
        };
        self.soonest = self.options.iter().enumerate().map(of_device).collect();
    }

    fn in_every_session(&self, chosen: &[Option<Choice>], rules: &[Rule]) -> bool {
        let berths: Vec<Choice> = chosen.iter().flatten().cloned().collect();
        (0..self.setup.sessions.len()).all(|session| {
            let there = during(&berths, session);
            rules.iter().all(|holds| holds(self.setup, &there))
        })
    }

    /// What is too much now stays too much with more berths.
    fn may_be_legal(&self, chosen: &[Option<Choice>]) -> bool {
        self.in_every_session(chosen, &[no_place_twice, pools_hold, lines_may_hold])
    }

    fn score_of(&self, chosen: &[Option<Choice>]) -> Score {
        Score::of(self.setup, chosen, &self.promises.of_plan(chosen))
    }

    /// Every legal plan.
    fn list_all(
        &self,
        chosen: &mut Vec<Option<Choice>>,
        plans: &mut Vec<(Score, Vec<Option<Choice>>)>,
    ) {
        if !self.may_be_legal(chosen) {
            return;
        }
        if chosen.len() == self.options.len() {
            if self.in_every_session(chosen, &[lines_hold]) {
                plans.push((self.score_of(chosen), chosen.clone()));
            }
            return;
        }
        let options = self.options[chosen.len()].iter().cloned().map(Some);
        for option in options.chain([None]) {
            chosen.push(option);
            self.list_all(chosen, plans);
            chosen.pop();
        }
    }

    /// Decides for the next device, given those before it.
    fn go_on(&mut self, chosen: &mut Vec<Option<Choice>>) {
        self.visited += 1;
        if !self.may_be_legal(chosen) {
            return;
        }
        if chosen.len() == self.options.len() {
            if self.in_every_session(chosen, &[lines_hold]) {
                self.look_at(chosen);
            }
            return;
        }
        if !self.can_be_best(chosen) {
            return;
        }
        for o in 0..self.options[chosen.len()].len() {
            chosen.push(Some(self.options[chosen.len()][o].clone()));
            self.go_on(chosen);
            chosen.pop();
        }
        chosen.push(None);
        self.go_on(chosen);
        chosen.pop();
    }

    /// Keeps a whole plan where it is the best so far.
    fn look_at(&mut self, chosen: &[Option<Choice>]) {
        let score = self.score_of(chosen);
        if score.moves > self.setup.most_moves {
            return;
        }
        let levels = (self.levels_of)(&score, self.setup);
        if levels.iter().zip(&self.limits).any(|(is, most)| is > most) {
            return;
        }
        let (from, to) = (self.limits.len(), self.to);
        let better = match &self.best {
            None => true,
            Some((best, _)) => {
                let best_levels = (self.levels_of)(best, self.setup);
                let order = levels[from..to].cmp(&best_levels[from..to]);
                if order.is_eq() {
                    self.ties += 1;
                } else if order.is_lt() {
                    self.ties = 0;
                }
                order.then_with(|| score.places.cmp(&best.places)).is_lt()
            }
        };
        if better {
            self.best = Some((score, chosen.to_vec()));
        }
    }

    /// Whether a plan that begins so can be better than the best so far: not where it is
    /// too much for a limit, or more, if each device to come gets the best of what the
    /// others leave in each respect, whoever else wants it.
    fn can_be_best(&self, chosen: &[Option<Choice>]) -> bool {
        let berths: Vec<Berth<'_>> = berthed(chosen).collect();
        let mut score = Score::nothing();
        let mut to_come: Vec<AtBest> = Vec::new();
        for (d, device) in self.setup.devices.iter().enumerate() {
            if let Some(choice) = chosen.get(d) {
                score.moves += moves(self.setup, d, choice.as_ref());
            }
            match chosen.get(d) {
                Some(Some(choice)) => {
                    let (time, late) = self.soonest_of((d, choice), &berths);
                    score.seat(device, time, late);
                    score.swaps += i64::from(choice.stay.first > 0);
                    score.hours += weight(device) * choice.stay.finish;
                    score.watts += choice.held;
                }
                None => match self.at_best(d, &berths) {
                    Some(at_best) => to_come.push(at_best),
                    None if device.needs_berth() => score.leave(device),
                    None => {}
                },
                Some(None) if device.needs_berth() => score.leave(device),
                Some(None) => {}
            }
        }
        let ports: usize = self.setup.chargers.iter().map(|c| c.ports.len()).sum();
        let taken = |berth: &Berth<'_>| berth.1.stay.last - berth.1.stay.first + 1;
        let taken: usize = berths.iter().map(taken).sum();
        let left = ports * self.setup.sessions.len() - taken;
        let must_stay = to_come.len().saturating_sub(left);

        if self.limits.is_empty() {
            leave_least(&mut score, &to_come, must_stay);
            seat_best(&mut score, &to_come, [must_stay; 3], must_stay);
        } else {
            // It is known how many of each priority stay.
            let mut stay = [0; 3];
            for (rank, stay) in stay.iter_mut().enumerate() {
                let more = self.limits[rank] - score.unserved[rank];
                let Ok(more) = usize::try_from(more) else {
                    return false;
                };
                *stay = more;
                score.unserved[rank] = self.limits[rank];
                let missing = to_come.iter().filter(|x| x.rank == rank);
                score.missing += least(missing.map(|x| x.missing).collect(), more);
            }
            if must_stay > stay.iter().sum() {
                return false;
            }
            seat_best(&mut score, &to_come, stay, stay[0] + stay[1]);
        }
        score.longest_first();
        score.places = chosen
            .iter()
            .map(|choice| order::place(choice.as_ref()))
            .collect();
        self.is_not_worse(&score)
    }

    fn is_not_worse(&self, score: &Score) -> bool {
        let levels = (self.levels_of)(score, self.setup);
        if levels.iter().zip(&self.limits).any(|(is, most)| is > most) {
            return false;
        }
        let Some((best, _)) = &self.best else {
            return true;
        };
        let (from, to) = (self.limits.len(), self.to);
        let order = levels[from..to].cmp(&(self.levels_of)(best, self.setup)[from..to]);
        if to < levels.len() {
            // Only how little is asked.
            return order.is_lt();
        }
        order.then_with(|| score.places.cmp(&best.places)).is_le()
    }

    /// The soonest that a berth among these can be full, by the aim, whoever comes, and
    /// whether that is late.
    fn soonest_of(&self, berth: Berth<'_>, berths: &[Berth<'_>]) -> (i64, bool) {
        if self.setup.aim == Aim::Best {
            return (berth.1.stay.finish, berth.1.late);
        }
        let finish = self.promises.at_soonest(berth, berths);
        let ready_by = ready_by(self.setup, &self.setup.devices[berth.0]);
        let late = finish > ready_by || finish > end_of(self.setup, berth.1.stay.last);
        (finish, late)
    }

    /// The best of the options that are left to a device, in each respect.
    fn at_best(&self, d: usize, berths: &[Berth<'_>]) -> Option<AtBest> {
        let device = &self.setup.devices[d];
        let left = self.options[d].iter().zip(&self.soonest[d]);
        let left: Vec<(&Choice, &(i64, bool))> = left
            .filter(|(option, _)| self.is_left(berths, option))
            .collect();
        Some(AtBest {
            time: left.iter().map(|(_, soonest)| soonest.0).min()?,
            late: left.iter().all(|(_, soonest)| soonest.1),
            swapped: left.iter().all(|(option, _)| option.stay.first > 0),
            hours: weight(device) * left.iter().map(|(option, _)| option.stay.finish).min()?,
            watts: left.iter().map(|(option, _)| option.held).min()?,
            rank: rank(device),
            missing: micro(device.missing_wh()),
        })
    }

    /// Whether an option's port and cable are left by those who have a berth.
    fn is_left(&self, berths: &[Berth<'_>], option: &Choice) -> bool {
        (option.stay.first..=option.stay.last).all(|session| {
            let there = |b: &&Berth<'_>| (b.1.stay.first..=b.1.stay.last).contains(&session);
            let of_cable = |b: &&Berth<'_>| b.1.cable == option.cable;
            let cables = berths.iter().filter(there).filter(of_cable).count() as u64;
            let port_taken =
                |b: &Berth<'_>| (b.1.charger, b.1.port) == (option.charger, option.port);
            cables < self.setup.cables[option.cable].count
                && !berths.iter().filter(there).any(port_taken)
        })
    }
}

/// The options that no other one of the same place and stay undercuts in what it takes
/// and in its tier.
pub(crate) fn least_of_each_place(setup: &Setup, options: &[Choice]) -> Vec<Choice> {
    let takes = |x: &Choice| (taken(&setup.chargers[x.charger], x), micro(x.tier_w));
    let same_place = |a: &Choice, b: &Choice| {
        (a.charger, a.port, a.cable, a.stay.first, a.stay.last)
            == (b.charger, b.port, b.cable, b.stay.first, b.stay.last)
    };
    let undercut = |i: usize, x: &Choice| {
        options.iter().enumerate().any(|(j, other)| {
            let (less, more) = (takes(other), takes(x));
            let no_more = less.0 <= more.0 && less.1 <= more.1;
            same_place(other, x) && no_more && (less != more || j < i)
        })
    };
    let listed = options.iter().enumerate();
    let kept = listed.filter(|(i, x)| !undercut(*i, x));
    kept.map(|(_, x)| x.clone()).collect()
}

type Rule = fn(&Setup, &[Choice]) -> bool;

/// A device that can sit: the best of its options in each respect.
#[derive(Clone, Copy)]
struct AtBest {
    time: i64,
    late: bool,
    swapped: bool,
    hours: i64,
    watts: i64,
    rank: usize,
    missing: i64,
}

/// So many of the devices stay: those of the lowest priority, and those that miss the
/// least, whether or not they are the same.
fn leave_least(score: &mut Score, devices: &[AtBest], stay: usize) {
    let mut ranks: Vec<usize> = devices.iter().map(|device| device.rank).collect();
    ranks.sort_unstable_by(|a, b| b.cmp(a));
    for &rank in &ranks[..stay] {
        score.unserved[rank] += 1;
    }
    score.missing += least(devices.iter().map(|device| device.missing).collect(), stay);
}

/// All sit but so many of each priority, and so many of 1 and 2 together: in each respect
/// the worst.
fn seat_best(score: &mut Score, devices: &[AtBest], stay: [usize; 3], of_1_and_2: usize) {
    for (rank, &stay) in stay.iter().enumerate() {
        let of_rank = devices.iter().filter(|x| x.rank == rank);
        let late = of_rank.map(|x| i64::from(x.late)).collect();
        score.late[rank] += without_most(late, stay).iter().sum::<i64>();
    }
    let (third, first): (Vec<AtBest>, Vec<AtBest>) = devices.iter().partition(|x| x.rank == 2);
    let times = |of: &[AtBest]| of.iter().map(|x| x.time).collect();
    score.times.extend(without_most(times(&first), of_1_and_2));
    score
        .times_of_3
        .extend(without_most(times(&third), stay[2]));
    let all = (of_1_and_2 + stay[2]).min(devices.len());
    let sum = |of: fn(&AtBest) -> i64| {
        let all_of_it: Vec<i64> = devices.iter().map(of).collect();
        without_most(all_of_it, all).iter().sum::<i64>()
    };
    score.swaps += sum(|x| i64::from(x.swapped));
    score.hours += sum(|x| x.hours);
    score.watts += sum(|x| x.watts);
}

/// The sum of the so many least.
fn least(mut values: Vec<i64>, number: usize) -> i64 {
    values.sort_unstable();
    values.iter().take(number).sum()
}

/// All but the so many greatest.
fn without_most(mut values: Vec<i64>, number: usize) -> Vec<i64> {
    values.sort_unstable();
    values.truncate(values.len().saturating_sub(number));
    values
}

/// Whether there is a legal plan in which each device has what is asked of it: nothing, and
/// then it has no berth; a berth; or one on which it is in time.
pub(crate) fn is_there_a_plan(setup: &Setup, asked: &[Option<bool>]) -> bool {
    let (promises, options) = (Promises::new(setup), sorted_options(setup));
    let search = Search::new(setup, &promises, &options);
    search.goes_on_to_one(asked, &mut Vec::new())
}

impl Search<'_> {
    /// Whether a plan that begins so can be ended with what is asked.
    fn goes_on_to_one(&self, asked: &[Option<bool>], chosen: &mut Vec<Option<Choice>>) -> bool {
        let berths: Vec<Berth<'_>> = berthed(chosen).collect();
        let in_time =
            |berth: &Berth<'_>| asked[berth.0] != Some(true) || !self.soonest_of(*berth, &berths).1;
        if !self.may_be_legal(chosen) || !berths.iter().all(in_time) {
            return false;
        }
        let Some(wanted) = asked.get(chosen.len()) else {
            return self.in_every_session(chosen, &[lines_hold]) && self.all_in_time(asked, chosen);
        };
        let options = self.options[chosen.len()].iter().cloned().map(Some);
        let nothing = wanted.is_none().then_some(None);
        let mut own = options.filter(|_| wanted.is_some()).chain(nothing);
        own.any(|option| {
            chosen.push(option);
            let found = self.goes_on_to_one(asked, chosen);
            chosen.pop();
            found
        })
    }

    fn all_in_time(&self, asked: &[Option<bool>], chosen: &[Option<Choice>]) -> bool {
        let promised = self.promises.of_plan(chosen);
        let each = asked.iter().zip(chosen).zip(promised);
        let mut late = each.map(|((asked, choice), promise)| {
            let late = match self.setup.aim {
                Aim::Best => choice.as_ref().is_some_and(|choice| choice.late),
                Aim::Promise => promise.is_some_and(|promise| promise.late),
            };
            *asked == Some(true) && late
        });
        !late.any(|late| late)
    }
}
