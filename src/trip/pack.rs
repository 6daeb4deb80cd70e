//! The adapters and converters to take: the fewest adapters that serve every stop, of
//! these the lightest, then the fewest and lightest converters. An integer program: a
//! cover, with a number of adapters that are in use at the same time.
//!
//! At a stop, the chargers of the night are plugged in together; an appliance is by
//! itself, at another time, so that it may go through an adapter that a charger has at
//! night.

use std::collections::BTreeMap;

use super::bag::PackingCosts;
use super::night::{Plugging, Sources, has, plugging};
use super::site::Site;
use super::thing::{Answer, Role};
use crate::diagnostics::{Error, Result};
use crate::facts::Plug;
use crate::setup::TripSpec;
use crate::solve::backend::{Cover, Covered};
use crate::solve::budget::Budget;
use crate::units::millionths;

/// What a stop needs the adapters for.
pub(super) struct Needs<'a> {
    pub(super) site: &'a Site<'a>,
    /// Of the sources.
    pub(super) sources: &'a [Answer<'a>],
    /// The sets of sources with which the night is best, one of which is needed.
    pub(super) nights: Vec<Sources>,
    /// By appliance, and by the voltages that its label holds and that it does not: the
    /// ways, one of which is needed. Empty where there is none, or nothing is needed.
    pub(super) appliances: Vec<Vec<Route>>,
    /// What of that each kind of socket asks for by itself.
    pub(super) sockets: Vec<InSocket>,
}

/// The ways of a thing into one kind of socket, where it does not go in straight: whichever
/// kind the room has, one of them is to be at hand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct InSocket {
    /// The source, where it is one: asked for where the night has it.
    pub(super) source: Option<usize>,
    pub(super) ways: Vec<Route>,
}

impl InSocket {
    /// Those of a thing that is plugged in at a stop.
    pub(super) fn all(source: Option<usize>, answer: &Answer<'_>, site: &Site<'_>) -> Vec<Self> {
        let of = |socket: Plug| -> Vec<Route> {
            let links = answer.usable().filter(|link| link.goes_into(socket));
            links
                .map(|link| Route {
                    converter: None,
                    adapter: link.adapter,
                })
                .collect()
        };
        let ways = site.systems().into_iter().map(of);
        let asks =
            |ways: &Vec<Route>| !ways.is_empty() && ways.iter().all(|way| way.adapter.is_some());
        ways.filter(asks)
            .map(|ways| Self { source, ways })
            .collect()
    }
}

impl Needs<'_> {
    /// Whether whatever serves this stop serves the other, and the other way round.
    fn asks_as(&self, other: &Self) -> bool {
        let adapters = |needs: &Needs<'_>| -> Vec<Vec<Option<usize>>> {
            let of_source =
                |answer: &Answer<'_>| answer.usable().map(|link| link.adapter).collect();
            needs.sources.iter().map(of_source).collect()
        };
        self.nights == other.nights
            && self.site.stop.outlets == other.site.stop.outlets
            && self.appliances == other.appliances
            && self.sockets == other.sockets
            && adapters(self) == adapters(other)
    }
}

/// A way of an appliance to the wall.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Route {
    pub(super) converter: Option<usize>,
    pub(super) adapter: Option<usize>,
}

/// What is taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Packed {
    /// By adapter, how many.
    pub(super) adapters: Vec<usize>,
    pub(super) converters: Vec<bool>,
    /// By stop, which of the best nights.
    pub(super) nights: Vec<usize>,
    /// Whether fewer, or lighter ones, are known not to do.
    pub(super) least: bool,
}

impl Packed {
    /// The way of an appliance that is taken for it: straight before through something.
    pub(super) fn way(&self, ways: &[Route]) -> Option<Route> {
        ways.iter().copied().find(|way| self.holds(*way))
    }

    /// How much it is.
    pub(super) fn weigh(&self, trip: &TripSpec) -> PackingCosts {
        let mut all = PackingCosts::default();
        for (adapter, &count) in trip.adapters.iter().zip(&self.adapters) {
            let count = u32::try_from(count).unwrap_or(u32::MAX);
            all.adapters += count;
            all.weight_g += adapter.weight_g * f64::from(count);
        }
        for (converter, &taken) in trip.converters.iter().zip(&self.converters) {
            all.converters += u32::from(taken);
            all.weight_g += if taken { converter.weight_g } else { 0.0 };
        }
        all
    }

    fn holds(&self, way: Route) -> bool {
        way.adapter.is_none_or(|adapter| self.adapters[adapter] > 0)
            && way
                .converter
                .is_none_or(|converter| self.converters[converter])
    }

    /// How the sources of a set are plugged in with what is taken.
    pub(super) fn plugging(
        &self,
        set: Sources,
        needs: &Needs<'_>,
        trip: &TripSpec,
    ) -> Option<Plugging> {
        plugging(set, needs.sources, needs.site, trip, &self.adapters)
    }

    /// Whether everything that is needed can be done with it.
    pub(super) fn serves(&self, needs: &[Needs<'_>], trip: &TripSpec) -> bool {
        needs.iter().zip(&self.nights).all(|(needs, &night)| {
            let set = needs.nights.get(night).copied().unwrap_or(0);
            self.plugging(set, needs, trip).is_some()
                && needs
                    .appliances
                    .iter()
                    .all(|ways| ways.is_empty() || self.way(ways).is_some())
                && needs.sockets.iter().all(|of| {
                    let asked = of.source.is_none_or(|source| has(set, source));
                    !asked || self.way(&of.ways).is_some()
                })
        })
    }
}

/// What to take.
///
/// # Errors
/// [`Error::Internal`] where the answer of the engine does not serve.
pub(super) fn pack(needs: &[Needs<'_>], trip: &TripSpec, budget: &mut Budget) -> Result<Packed> {
    let mut program = Program::new(trip);
    for (stop, own) in needs.iter().enumerate() {
        // What one stop asks for serves all that ask for the same.
        if let Some(like) = needs[..stop].iter().position(|other| other.asks_as(own)) {
            program.nights.push(program.nights[like].clone());
            continue;
        }
        program.add_nights(own);
        let of_sockets = own.sockets.iter().filter(|of| of.source.is_none());
        for ways in own.appliances.iter().chain(of_sockets.map(|of| &of.ways)) {
            program.add_appliance(ways);
        }
    }
    let packed = program.solve(needs, trip, budget);
    if packed.serves(needs, trip) {
        Ok(packed)
    } else {
        Err(Error::Internal {
            message: "the adapters that were found do not serve every stop".to_owned(),
        })
    }
}

/// The integer program: a variable for each piece that could be taken, and for each way
/// in which it could be used.
struct Program {
    cover: Cover,
    /// By stop, the variables of its nights.
    nights: Vec<Vec<usize>>,
    /// By adapter, the variables of its pieces.
    adapters: Vec<Vec<usize>>,
    converters: Vec<usize>,
}

impl Program {
    fn new(trip: &TripSpec) -> Self {
        let mut cover = Cover::default();
        let mut adapters = Vec::with_capacity(trip.adapters.len());
        for adapter in &trip.adapters {
            let pieces: Vec<usize> = (0..adapter.count).map(|_| cover.variable(0)).collect();
            // Equal pieces are taken in order.
            for pair in pieces.windows(2) {
                cover.at_least(0, [(pair[0], 1), (pair[1], -1)]);
            }
            adapters.push(pieces);
        }
        let converters = trip.converters.iter().map(|_| cover.variable(0)).collect();
        Self {
            cover,
            nights: Vec::new(),
            adapters,
            converters,
        }
    }

    /// One of the best nights of a stop.
    fn add_nights(&mut self, needs: &Needs<'_>) {
        let nights: Vec<usize> = needs
            .nights
            .iter()
            .map(|_| self.cover.variable(0))
            .collect();
        if !nights.is_empty() {
            self.cover
                .at_least(1, nights.iter().map(|&night| (night, 1)));
        }
        for (&night, &set) in nights.iter().zip(&needs.nights) {
            self.add_night(night, set, needs);
        }
        self.nights.push(nights);
    }

    /// Where it is this night: the chargers of its set, each straight or through an adapter,
    /// within the outlets.
    fn add_night(&mut self, night: usize, set: Sources, needs: &Needs<'_>) {
        let mut as_source = vec![false; self.adapters.len()];
        let mut sources = 0_i64;
        let mut chargers = 0_i64;
        for (i, answer) in needs.sources.iter().enumerate() {
            if !has(set, i) {
                continue;
            }
            if let Role::Ports(adapter, _) = answer.thing.role {
                as_source[adapter] = true;
                sources += 1;
                let piece = self.adapters[adapter][0];
                self.cover.at_least(0, [(piece, 1), (night, -1)]);
            } else {
                chargers += 1;
            }
        }
        let mut uses: Vec<Vec<usize>> = vec![Vec::new(); self.adapters.len()];
        for (i, answer) in needs.sources.iter().enumerate() {
            if !has(set, i) || matches!(answer.thing.role, Role::Ports(..)) {
                continue;
            }
            let mut ways = Vec::new();
            for link in answer.usable() {
                let way = self.cover.variable(0);
                ways.push((way, 1));
                if let Some(adapter) = link.adapter {
                    uses[adapter].push(way);
                }
            }
            ways.push((night, -1));
            self.cover.at_least(0, ways);
        }
        for (uses, pieces) in uses.iter().zip(&self.adapters) {
            if uses.is_empty() {
                continue;
            }
            let taken = pieces.iter().map(|&piece| (piece, 1));
            let used = uses.iter().map(|&way| (way, -1));
            self.cover.at_least(0, taken.chain(used));
        }
        for of in &needs.sockets {
            if of.source.is_some_and(|source| has(set, source)) {
                self.add_in_socket(night, &of.ways);
            }
        }
        // Every source takes an outlet, and so does every charger that does not go through
        // one of them.
        let Some(outlets) = needs.site.stop.outlets else {
            return;
        };
        let outlets = i64::from(outlets);
        let passing = uses
            .iter()
            .zip(&as_source)
            .filter(|(_, source)| **source)
            .flat_map(|(uses, _)| uses.iter().map(|&way| (way, 1)));
        let too_many = sources + chargers - outlets;
        self.cover.at_least(0, passing.chain([(night, -too_many)]));
    }

    /// A source of a night needs one of its ways into a kind of socket.
    fn add_in_socket(&mut self, night: usize, ways: &[Route]) {
        let mut any = vec![(night, -1)];
        for adapter in ways.iter().filter_map(|way| way.adapter) {
            let taken = self.cover.variable(0);
            any.push((taken, 1));
            let piece = self.adapters[adapter][0];
            self.cover.at_least(0, [(piece, 1), (taken, -1)]);
        }
        self.cover.at_least(0, any);
    }

    /// An appliance needs one of its ways.
    fn add_appliance(&mut self, ways: &[Route]) {
        let needs_nothing = |way: &Route| way.adapter.is_none() && way.converter.is_none();
        if ways.is_empty() || ways.iter().any(needs_nothing) {
            return;
        }
        let mut any = Vec::new();
        for way in ways {
            let taken = self.cover.variable(0);
            any.push((taken, 1));
            let pieces = way.adapter.map(|adapter| self.adapters[adapter][0]);
            let converter = way.converter.map(|converter| self.converters[converter]);
            for piece in pieces.into_iter().chain(converter) {
                self.cover.at_least(0, [(piece, 1), (taken, -1)]);
            }
        }
        self.cover.at_least(1, any);
    }

    /// Level by level: a settled level becomes a row.
    fn solve(mut self, needs: &[Needs<'_>], trip: &TripSpec, budget: &mut Budget) -> Packed {
        let adapters = |price: &dyn Fn(usize) -> i64| -> Vec<(usize, i64)> {
            let pieces = self.adapters.iter().enumerate();
            pieces
                .flat_map(|(at, pieces)| pieces.iter().map(move |&piece| (piece, at)))
                .map(|(piece, at)| (piece, price(at)))
                .collect()
        };
        let converters = |price: &dyn Fn(usize) -> i64| -> Vec<(usize, i64)> {
            let all = self.converters.iter().enumerate();
            all.map(|(at, &converter)| (converter, price(at))).collect()
        };
        // Stops that ask for the same share their variables.
        let mut nights: BTreeMap<usize, i64> = BTreeMap::new();
        for of_stop in &self.nights {
            for (at, &night) in (0..).zip(of_stop) {
                *nights.entry(night).or_default() += at;
            }
        }
        let nights: Vec<(usize, i64)> = nights.into_iter().collect();
        let levels = [
            adapters(&|_| 1),
            adapters(&|at| tenths(trip.adapters[at].weight_g)),
            converters(&|_| 1),
            converters(&|at| tenths(trip.converters[at].weight_g)),
            // Of equals those listed first.
            nights,
            adapters(&|at| i64::try_from(at).unwrap_or(i64::MAX)),
        ];
        let mut taken = None;
        let mut least = true;
        let all = levels.len();
        for (settled, level) in levels.into_iter().enumerate() {
            self.cover.costs.fill(0);
            for &(variable, cost) in &level {
                self.cover.costs[variable] = cost;
            }
            let cover = &self.cover;
            let found = budget.share(all - settled, |part| cover.solve(part));
            let Covered::By(found) = found else {
                least = false;
                break;
            };
            let cost = self.cover.cost(&found);
            let row = level.into_iter().filter(|(_, cost)| *cost != 0);
            self.cover
                .at_least(-cost, row.map(|(variable, cost)| (variable, -cost)));
            taken = Some(found);
        }
        match taken {
            Some(taken) => self.read(&taken, least),
            None => spared(needs, trip),
        }
    }

    fn read(&self, taken: &[bool], least: bool) -> Packed {
        let pieces = |pieces: &Vec<usize>| pieces.iter().filter(|&&piece| taken[piece]).count();
        Packed {
            adapters: self.adapters.iter().map(pieces).collect(),
            converters: self.converters.iter().map(|&at| taken[at]).collect(),
            nights: self
                .nights
                .iter()
                .map(|nights| nights.iter().position(|&at| taken[at]).unwrap_or(0))
                .collect(),
            least,
        }
    }
}

/// Grams in whole tenths, as they are compared.
fn tenths(grams: f64) -> i64 {
    millionths(grams / 1e5)
}

/// Everything, without what can be spared, one after the other: where the engine gave no
/// answer within its limits.
fn spared(needs: &[Needs<'_>], trip: &TripSpec) -> Packed {
    let mut packed = Packed {
        adapters: super::night::all_counts(trip),
        converters: vec![true; trip.converters.len()],
        nights: vec![0; needs.len()],
        least: false,
    };
    for at in 0..packed.adapters.len() {
        while packed.adapters[at] > 0 {
            packed.adapters[at] -= 1;
            if !packed.serves(needs, trip) {
                packed.adapters[at] += 1;
                break;
            }
        }
    }
    for at in 0..packed.converters.len() {
        packed.converters[at] = false;
        packed.converters[at] = !packed.serves(needs, trip);
    }
    packed
}
