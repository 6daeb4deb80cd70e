//! Rows of a formula added up, each so many times as its price says: of each group exactly one
//! variable is 1, so that the cheapest open one is paid in any case.

use super::relaxed::Relaxed;
use super::trail::{Constraint, Trail};

/// A sum, and what it shows where some variables are ruled out.
pub(super) struct Sum {
    /// Rows of the formula, each so many times.
    pub(super) rows: Vec<(usize, i128)>,
    /// Above 0 where nothing is left.
    bound: i128,
    /// The open variables that it rules out.
    pub(super) ruled_out: Vec<u32>,
}

impl Sum {
    /// What one row shows at a price of 1, if it shows anything: a glance spares the sum for
    /// most rows.
    pub(super) fn of_row(relaxed: &Relaxed<'_>, trail: &Trail, row: usize) -> Option<Self> {
        let formula = relaxed.formula;
        let terms = &formula.rows[row].terms;
        let mut bound = formula.rows[row].at_least;
        let mut most_above = 0;
        let in_one_group =
            |a: &(u32, i64), b: &(u32, i64)| relaxed.group_of(a.0) == relaxed.group_of(b.0);
        for own in terms.chunk_by(in_one_group) {
            let group = formula.groups[relaxed.group_of(own[0].0)].clone();
            let open = group.filter(|&variable| trail.may_be_one(variable)).count();
            let costs = own
                .iter()
                .filter(|(variable, _)| trail.may_be_one(*variable));
            let costs: Vec<i64> = costs.map(|(_, n)| -n).collect();
            let rest = (open > costs.len()).then_some(0);
            let Some(least) = costs.iter().copied().chain(rest).min() else {
                continue;
            };
            let most = costs.iter().copied().max().unwrap_or(0);
            bound += least;
            most_above = most_above.max(most - least);
        }
        if bound <= 0 && most_above <= -bound {
            return None;
        }
        Self::of(relaxed, trail, &[(row, 1)]).filter(Self::shows)
    }

    /// By prices of rows; `None` where a group has nothing open.
    pub(super) fn of(
        relaxed: &Relaxed<'_>,
        trail: &Trail,
        prices: &[(usize, i64)],
    ) -> Option<Self> {
        let formula = relaxed.formula;
        let mut cost = vec![0_i128; formula.variables.len()];
        let mut bound = 0;
        let mut rows = Vec::new();
        for &(row, price) in prices {
            let of = &formula.rows[row];
            let price = i128::from(price);
            bound += price * i128::from(of.at_least);
            for &(variable, n) in &of.terms {
                cost[variable as usize] -= price * i128::from(n);
            }
            rows.push((row, price));
        }
        let mut above = Vec::new();
        for (at, group) in formula.groups.iter().enumerate() {
            let open = || group.clone().filter(|&variable| trail.may_be_one(variable));
            let least = open().map(|variable| cost[variable as usize]).min()?;
            bound += least;
            above.extend(open().map(|variable| (variable, cost[variable as usize] - least)));
            match least {
                0 => {}
                1.. => rows.push((2 * at, least)),
                _ => rows.push((2 * at + 1, -least)),
            }
        }
        let free = |variable: u32| trail.value(variable).is_none();
        let over = above
            .into_iter()
            .filter(|&(v, above)| above > -bound && free(v));
        let ruled_out = over.map(|(variable, _)| variable).collect();
        Some(Self {
            rows,
            bound,
            ruled_out,
        })
    }

    pub(super) fn closes(&self) -> bool {
        self.bound > 0
    }

    /// Whether it says anything.
    pub(super) fn shows(&self) -> bool {
        self.closes() || !self.ruled_out.is_empty()
    }

    /// Whether it shows all that another does.
    pub(super) fn shows_as_much_as(&self, other: &Self) -> bool {
        if other.closes() {
            return self.closes();
        }
        let known = |variable: &u32| self.ruled_out.binary_search(variable).is_ok();
        self.closes() || other.ruled_out.iter().all(known)
    }

    /// The row that it comes to.
    pub(super) fn constraint(&self, relaxed: &Relaxed<'_>) -> Constraint {
        let formula = relaxed.formula;
        let mut terms = vec![0_i128; formula.variables.len()];
        let mut at_least = 0;
        for &(row, times) in &self.rows {
            let row = &formula.rows[row];
            at_least += times * i128::from(row.at_least);
            for &(variable, n) in &row.terms {
                terms[variable as usize] += times * i128::from(n);
            }
        }
        let terms = (0..).zip(terms).filter(|(_, n)| *n != 0).collect();
        Constraint { terms, at_least }
    }
}
