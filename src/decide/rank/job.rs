//! The kits of a ranking, settled one after the other: planned, or known without that to be
//! none of those that are wanted.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

use super::alone::Alone;
use super::bound::{Bound, Bounds};
use super::members::{Kit, Member, compared};
use super::order::{NOBODY, Order, never_last};
use super::standing::{Row, Standing};
use super::threads::Threads;
use super::unbeaten::Merits;
use super::{DeviceTime, OnKitPlan, RankProgress, Ranked};
use crate::assign::counts::{counted, first_model};
use crate::assign::planned;
use crate::decide::bag::Bag;
use crate::diagnostics::{Error, Result};
use crate::plan::Plan;
use crate::plan::objective::{ObjectiveValue, full_in_plan};
use crate::plan::promise::NEVER;
use crate::setup::Setup;
use crate::solve::backend::ENGINE;
use crate::solve::budget::Budget;
use crate::solve::levels::Levels;
use crate::solve::options::Wanted;
use crate::solve::search::Search;
use crate::units::{from_millionths, millionths};

/// What all kits of a ranking have in common.
pub(super) struct Job<'a> {
    pub(super) bag: &'a Bag,
    pub(super) members: &'a [Member<'a>],
    pub(super) kits: &'a [Vec<usize>],
    pub(super) wanted: Wanted,
    pub(super) order: Order,
    /// Whose times are told: indices into the setup's devices.
    pub(super) times_of: &'a [usize],
    /// How many kits of the order are wanted, whatever beats them.
    pub(super) top: Option<usize>,
    /// Whether the others need not be planned.
    pub(super) bound: bool,
    /// How many of the first have their plan.
    pub(super) plans: usize,
    pub(super) progress: &'a (dyn Fn(RankProgress) + Sync),
    pub(super) threads: usize,
    /// Who is handed each plan.
    pub(super) on_plan: Option<&'a OnKitPlan>,
    pub(super) told: Told,
}

/// How far the kits are.
#[derive(Default)]
pub(super) struct Told {
    planned: AtomicUsize,
    settled: AtomicUsize,
}

/// What became of a kit.
enum Settled {
    Planned(Box<Row>),
    RuledOut,
    /// The clock or the flag has ended the call before.
    Stopped,
}

/// Kits settled side by side, whatever the number of threads: what they have spent, and what
/// they say of others, is known when all of them are done. Few at first, then as many as are
/// worth it.
const FIRST_AT_A_TIME: usize = 16;
const MOST_AT_A_TIME: usize = 512;

/// The same where each may rule out those after it.
const MOST_WITH_BOUND: usize = 32;

/// What is done for every kit beside the search: its setup, its ways, the check.
const STEPS_FOR_A_KIT: u64 = 64;

/// The same where it need not be planned.
const STEPS_TO_RULE_OUT: u64 = 8;

/// Steps that a kit may take, where others have taken few.
const MOST_FOR_ONE: u64 = 20_000;

/// The time that a kit may take at least, where there is as much: less gets nowhere.
const LEAST_TIME_FOR_ONE: Duration = Duration::from_millis(20);

/// Of how many parts of the budget one may go to what each candidate can do alone.
const PARTS_TO_ALONE: u64 = 8;

impl Job<'_> {
    /// Settles the kits, the most promising first, as far as the budget goes.
    pub(super) fn settle_all(&self, mut budget: Budget) -> Result<Standing> {
        let threads = Threads::new(self.threads)?;
        let bounds = self.bounds(&mut budget, &threads);
        let kits = self.most_promising_first(&bounds, &budget, &threads);
        let (bounds, most_at_a_time) = match self.top {
            Some(_) if self.bound => (Some(&bounds), MOST_WITH_BOUND),
            _ => (None, MOST_AT_A_TIME),
        };
        let mut standing = Standing::new(self.top, self.plans);
        let (mut done, mut at_a_time) = (0, FIRST_AT_A_TIME);
        while done < kits.len() && (done == 0 || !budget.is_spent()) {
            let together = &kits[done..kits.len().min(done + at_a_time)];
            let fair = budget.left() / parts(kits.len() - done);
            let most = budget
                .left()
                .div_ceil(parts(together.len()))
                .min(MOST_FOR_ONE);
            let each = budget
                .with_steps(fair.max(most))
                .within_time(self.time_for_one(&budget, kits.len() - done));
            let outcomes = threads.map(together, |&kit| {
                let mut own = each.clone();
                let settled = self.settle(kit, bounds, &standing, &mut own);
                (settled, own.spent())
            });
            for (&kit, (outcome, spent)) in together.iter().zip(outcomes) {
                budget.spend(spent);
                self.note(kit, outcome, &mut standing)?;
            }
            standing.drop_unwanted();
            done += together.len();
            // A quarter of what is left, at the price of those before.
            let price = budget.spent() / parts(done) + 1;
            let next = usize::try_from(budget.left() / 4 / price).unwrap_or(MOST_AT_A_TIME);
            at_a_time = next.clamp(FIRST_AT_A_TIME, most_at_a_time);
        }
        Ok(standing)
    }

    /// How long a kit may take where so many are left, if there is a limit.
    fn time_for_one(&self, budget: &Budget, left: usize) -> Option<Duration> {
        let side_by_side = u32::try_from(self.threads).unwrap_or(u32::MAX);
        let fair = budget.time_left()? * side_by_side / u32::try_from(left).unwrap_or(u32::MAX);
        Some(fair.max(LEAST_TIME_FOR_ONE))
    }

    /// Notes what became of a kit.
    fn note(&self, kit: usize, outcome: Result<Settled>, standing: &mut Standing) -> Result<()> {
        match outcome {
            Ok(Settled::Planned(row)) => standing.add(*row),
            Ok(Settled::RuledOut) => standing.ruled_out += 1,
            Ok(Settled::Stopped) => {}
            Err(Error::Input(faults)) => {
                standing.left_out.note(kit, self.kit(kit).titles(), faults);
            }
            Err(other) => return Err(other),
        }
        Ok(())
    }

    fn kit(&self, number: usize) -> Kit<'_> {
        Kit {
            all: self.members,
            own: &self.kits[number],
        }
    }

    /// What each candidate can do alone.
    fn bounds(&self, budget: &mut Budget, threads: &Threads) -> Bounds {
        let members: Vec<usize> = (0..self.members.len()).collect();
        let share = budget.left() / PARTS_TO_ALONE / parts(members.len());
        let each = budget.with_steps(share.min(MOST_FOR_ONE));
        let known = threads.map(&members, |&member| {
            let mut own = each.clone();
            let kit = Kit {
                all: self.members,
                own: &[member],
            };
            (Alone::of(kit, self.bag, &mut own), own.spent())
        });
        let (alone, spent): (Vec<_>, Vec<u64>) = known.into_iter().unzip();
        budget.spend(spent.iter().sum());
        Bounds::of(self.bag, alone)
    }

    /// The kits by what they do not better, then as listed.
    fn most_promising_first(
        &self,
        bounds: &Bounds,
        budget: &Budget,
        threads: &Threads,
    ) -> Vec<usize> {
        let mut kits: Vec<usize> = (0..self.kits.len()).collect();
        let places = threads.map(&kits, |&kit| {
            let bound = (!budget.is_stopped()).then(|| bounds.of_kit(self.kit(kit)));
            bound.flatten().map(|bound| bound.place(self.order))
        });
        // Those that nothing is known of come first.
        kits.sort_by_key(|&kit| (places[kit], kit));
        kits
    }

    /// Plans a kit, or finds with the `bounds` that it need not be planned.
    fn settle(
        &self,
        number: usize,
        bounds: Option<&Bounds>,
        standing: &Standing,
        budget: &mut Budget,
    ) -> Result<Settled> {
        if budget.is_stopped() {
            return Ok(Settled::Stopped);
        }
        let kit = self.kit(number);
        let setup = kit.setup(self.bag)?;
        // As many steps as where nothing is tried before.
        let mut whole = budget.clone();
        budget.spend(STEPS_TO_RULE_OUT);
        let mut known = bounds.and_then(|bounds| Some((bounds, bounds.of_kit(kit)?)));
        let at_once = |(_, bound): &(_, Bound)| standing.rules_out(bound.place(self.order), number);
        if known.as_ref().is_some_and(at_once) {
            self.tell(false);
            return Ok(Settled::RuledOut);
        }
        let choices = self.bag.choices(&setup, budget)?;
        known.take_if(|_| !choices.are_complete());
        if let Some((bounds, mut bound)) = known {
            let model = first_model(&setup, &choices);
            let mut levels = Levels::new(Search::new(&model, &ENGINE, budget.clone()));
            let ruled_out = levels.solve_counts() && {
                bounds.counted(&mut bound, &counted(&model, levels.incumbent()));
                self.is_ruled_out(number, &bound, standing, &mut levels)
            };
            budget.go_on_after(levels.search.budget);
            if ruled_out {
                self.tell(false);
                return Ok(Settled::RuledOut);
            }
        }
        whole.spend(STEPS_FOR_A_KIT);
        let plan = planned(&setup, &choices, self.wanted, &mut whole)?.plan;
        budget.spend(whole.spent());
        if let Some(on_plan) = self.on_plan {
            on_plan.hand_over(kit.own, &plan);
        }
        let row = self.row(number, &setup, plan);
        self.tell(true);
        Ok(Settled::Planned(Box::new(row)))
    }

    /// Whether a kit whose counts are known is surely none of those that are wanted: for what
    /// it is, or for the longest time that it must have.
    fn is_ruled_out(
        &self,
        number: usize,
        bound: &Bound,
        standing: &Standing,
        levels: &mut Levels<'_>,
    ) -> bool {
        let place = |longest| bound.place_with(longest, self.order);
        standing.rules_out(bound.place(self.order), number)
            || standing
                .rules_out_from(number, place)
                .is_some_and(|time| levels.none_is_full_by(time - 1))
    }

    fn tell(&self, planned: bool) {
        let planned = usize::from(planned);
        let before = self.told.planned.fetch_add(planned, Ordering::Relaxed);
        let settled = self.told.settled.fetch_add(1, Ordering::Relaxed) + 1;
        (self.progress)(RankProgress {
            planned: before + planned,
            settled,
            kits: self.kits.len(),
        });
    }

    fn row(&self, number: usize, setup: &Setup, plan: Plan) -> Row {
        let kit = self.kit(number);
        let value = ObjectiveValue::of(setup, &plan);
        let times = times(setup, &plan);
        let ranked = Ranked {
            candidate: kit.titles(),
            members: kit.own.to_vec(),
            unserved: plan.unserved,
            unserved_by_priority: value.unserved_by_priority,
            late: value.late,
            longest_h: value.longest_h,
            reshared_h: plan.reshared_h,
            weight_g: kit.weight_g(),
            price: kit.price(),
            unbeaten: false,
            status: plan.status,
            times: self.told_times(setup, &times),
            plan: (self.plans > 0).then(|| Box::new(plan)),
        };
        let of_first = setup.devices.iter().zip(&times);
        let of_first = of_first.filter(|&(device, &time)| device.priority == 1 && time < NOBODY);
        let of_first = of_first.map(|(_, time)| *time).max().unwrap_or(0);
        Row {
            kit: number,
            place: self.order.place(merits(&ranked), of_first, &times),
            ranked,
        }
    }

    fn told_times(&self, setup: &Setup, times: &[i64]) -> Vec<DeviceTime> {
        let told = self.times_of.iter().map(|&device| DeviceTime {
            device: setup.devices[device].name.clone(),
            hours: match times[device] {
                NOBODY => None,
                NEVER => Some(f64::INFINITY),
                time => Some(from_millionths(time)),
            },
        });
        told.collect()
    }
}

fn merits(ranked: &Ranked) -> Merits {
    let small = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
    Merits {
        unserved: ranked.unserved_by_priority.map(small),
        late: small(ranked.late),
        longest: never_last(millionths(ranked.longest_h)),
        weight: compared(ranked.weight_g),
        price: compared(ranked.price),
    }
}

/// By device of the setup, when a plan has it full, by the aim; [`NOBODY`] without a berth.
fn times(setup: &Setup, plan: &Plan) -> Vec<i64> {
    let mut times = vec![NOBODY; setup.devices.len()];
    for (berth, full) in full_in_plan(setup, plan) {
        if let Some(device) = setup.device_names().position(|name| name == berth.device) {
            times[device] = full.time;
        }
    }
    times
}

fn parts(kits: usize) -> u64 {
    u64::try_from(kits).unwrap_or(u64::MAX)
}
