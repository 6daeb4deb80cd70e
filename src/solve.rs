//! The kernel: each agent takes one of its columns or none, columns take from rows with
//! capacities, and of all assignments that keep the rows the best is found, level by level.
//! It knows whole numbers and no chargers.
//!
//! # Symbols
//!
//! | symbol | in the code | what it is |
//! |---|---|---|
//! | d ∈ D | `device` | an agent; it has `Model::rank` and `Model::missing` for the levels that count who takes none |
//! | c ∈ C(d) | [`model::Column`], `column` | a column of d: group, time, amounts |
//! | x(c) ∈ {0, 1} | [`model::Assignment`] | whether c is taken; Σ x(c) over C(d) ≤ 1 |
//! | g ∈ G, n(g) | `Column::port`, `Model::seats` | a group of equal places and how many there are: Σ x(c) over g ≤ n(g) |
//! | r ∈ R, b(r) | [`model::Row`], `Row::cap` | a row and its capacity |
//! | a(r, c) | `Model::takes` | what c takes from r: Σ a(r, c) x(c) ≤ b(r) |
//! | t ∈ T | [`model::Table`] | a table: some line of it must grant all columns on its groups |
//! | z | [`goal::Goal`] | the cost of a level, in whole numbers |
//! | λ(r) ≥ 0 | [`bound::Multipliers`] | the multiplier of a row |
//! | L(λ) | `bound.rs` | Σ least (z + λa) − Σ λ(r) b(r): a lower bound for every λ |
//!
//! # The levels
//!
//! The order of plans is settled level by level ([`levels`]): who takes none by rank, what is
//! missing in them, late ones, the sorted times, moves where they are counted, hours, watts, the
//! listed order. Each level asks
//! yes/no or least-cost queries ([`search::Query`]): is there an assignment that keeps the
//! limits of the levels before, at a cost of at most the cutoff? A settled level becomes a
//! limit on all later queries, and columns that can no longer be part of a best assignment are
//! closed for good ([`goal::Domains`]).
//!
//! - Least cost: a proven floor is asked for first, since often it can be had; then the least
//!   below the incumbent. Over sessions, who takes none is settled rank by rank, and where a
//!   level ends above its floor, the bound at the settled cost closes what no assignment at
//!   that cost takes.
//! - Times: for each place of the sorted list, the least time that so many devices need exceed
//!   (a lexicographic bottleneck assignment). The candidates are the distinct times, from
//!   lower bounds that need no search ([`lower_bounds`]). For the first place the lowest is
//!   tried first; for the others the one just below the incumbent, then the lowest; then
//!   halves. The limit is a count ("at most n take longer than t"), never a pin on one of
//!   several equals.
//! - Ties: device by device, the earliest port, cable and contract with which the rest still
//!   works out.
//!
//! # A query
//!
//! It is first written down as a [`subproblem`]: the rows that can bind at all, and by device
//! the ways open to it, without those that another of the same device in the same group
//! dominates. Then branch and bound ([`search`]); at each node, in this order:
//!
//! 1. Presolve of the node ([`propagate`]): columns go that every line left of a table forbids,
//!    and those that a row or the cutoff has no room for when all other devices take their
//!    least.
//! 2. The Lagrangian bound ([`bound`]): rows get multipliers; what remains is a transportation
//!    problem between devices and groups ([`transport`]: shortest augmenting paths with
//!    capacities, exact, with duals). Above the cutoff nothing is possible here. Otherwise
//!    reduced costs delete columns, and the multipliers take a deflected subgradient step.
//!    Along the way [`local_search`] tries to repair the assignment at hand.
//! 3. Branching: first the line of a table that governs, then [`split`]: one half gives one
//!    device a part of its columns; the other denies that part to all devices whose open
//!    columns take the same, so that interchangeable ones are never permuted.
//! 4. After a number of nodes, what is left of a node goes to an engine ([`backend`]) as an
//!    integer program, with limits of its own. Where it does not answer, branching goes on.
//!
//! A question that is open after a few nodes is begun anew from its root:
//!
//! - by whole chargers ([`blocks`]), where there are several: all that each can seat, priced by
//!   generating columns, then joined;
//! - at the best multipliers that there are (`bound/exact.rs`: a matrix game between rows and
//!   assignments), with forced prices (`bound/forced.rs`: what the cheapest assignment costs that
//!   contains a column, by shortest paths between groups), and with repairs only now and then.
//!
//! Which of the two comes first, and how far, depends on what the questions before were answered
//! by. All of it is charged to the budget.
//!
//! The prover of `assign` grows the same tree on the rows of the check, without 4: the bound
//! then keeps a record of the whole multipliers by which it ruled something out.
//!
//! Whatever the heuristics in 2 and 4 propose, a verdict rests on the whole-number bound, on an
//! exhausted tree, or on the engine's word that a node is empty. Multipliers are found in
//! floating point and rounded to whole numbers before the bound is computed: any whole
//! multipliers give a valid bound, so rounding makes it weaker, never wrong.
//!
//! # Where the methods come from
//!
//! All from memory; none was read again for this page.
//!
//! - Lexicographic bottleneck assignment by thresholds: Burkard, Dell'Amico and Martello,
//!   *Assignment Problems* (SIAM, revised 2012), chapter 6. Here the limits are counts, and
//!   rows couple the agents.
//! - Shortest augmenting paths: Jonker and Volgenant, *Computing* 38 (1987). Here groups have
//!   capacities, and staying away is a column.
//! - Lagrangian bounds by subgradients: Held and Karp, *Mathematical Programming* 1 (1971);
//!   Fisher, *Management Science* 27 (1981). Here every multiplier is whole before it counts.
//! - Deflected subgradients: Camerini, Fratta and Maffioli, *Mathematical Programming Study* 3
//!   (1975).
//! - Fixing by reduced costs: Geoffrion, *Mathematical Programming Study* 2 (1974).
//! - Columns of whole knapsacks, priced: Gilmore and Gomory, *Operations Research* 9 (1961);
//!   Barnhart and others, *Operations Research* 46 (1998). Here the columns of a charger are
//!   listed, so that what is left out is left out for good.
//! - Dual values by a game whose answers are generated: Kelley, *J. SIAM* 8 (1960); smoothed as by
//!   Wentges, *Int. Trans. Oper. Res.* 4 (1997).
//! - Thresholds on unrelated machines: Martello, Soumis and Toth, *Discrete Applied
//!   Mathematics* 75 (1997).

pub(crate) mod backend;
mod blocks;
pub(crate) mod bound;
pub(crate) mod budget;
mod compiled;
pub(crate) mod goal;
pub(crate) mod levels;
mod loads;
mod local_search;
pub(crate) mod lower_bounds;
pub(crate) mod model;
pub(crate) mod node;
pub(crate) mod options;
mod polish;
pub(crate) mod progress;
mod propagate;
pub(crate) mod search;
pub(crate) mod split;
pub(crate) mod subproblem;
pub(crate) mod transport;

#[cfg(test)]
mod tests;
