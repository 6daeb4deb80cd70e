//! Propagation: what rows imply, one after the other, and why.

/// Σ coefficient · variable ≥ `at_least`.
#[derive(Debug, Clone, Default)]
pub(super) struct Constraint {
    pub(super) terms: Vec<(u32, i128)>,
    pub(super) at_least: i128,
}

/// The values of variables in the order in which they were set.
#[derive(Debug, Clone)]
pub(super) struct Trail {
    values: Vec<Option<bool>>,
    /// By variable, its place in `set`.
    place: Vec<usize>,
    /// With the row that implies it; none where it was decided.
    set: Vec<(u32, Option<usize>)>,
    /// How many of `set` have been followed.
    followed: usize,
}

/// All rows that are known, and where each variable of the formula's stands.
pub(super) struct Rows {
    pub(super) all: Vec<Constraint>,
    of_formula: usize,
    /// By variable, rows of the formula.
    with: Vec<Vec<usize>>,
}

impl Rows {
    pub(super) fn of(formula: Vec<Constraint>, variables: usize) -> Self {
        let mut with = vec![Vec::new(); variables];
        for (at, row) in formula.iter().enumerate() {
            for (variable, _) in &row.terms {
                with[*variable as usize].push(at);
            }
        }
        Self {
            of_formula: formula.len(),
            all: formula,
            with,
        }
    }

    /// Sets a row that has the number.
    pub(super) fn put(&mut self, number: usize, row: Constraint) {
        if self.all.len() <= number {
            self.all.resize(number + 1, Constraint::default());
        }
        self.all[number] = row;
    }
}

impl Trail {
    pub(super) fn new(variables: usize) -> Self {
        Self {
            values: vec![None; variables],
            place: vec![usize::MAX; variables],
            set: Vec::new(),
            followed: 0,
        }
    }

    pub(super) fn value(&self, variable: u32) -> Option<bool> {
        self.values[variable as usize]
    }

    pub(super) fn may_be_one(&self, variable: u32) -> bool {
        self.value(variable) != Some(false)
    }

    /// Decides that a variable is 0.
    pub(super) fn decide(&mut self, variable: u32) {
        if self.value(variable).is_none() {
            self.put(variable, false, None);
        }
    }

    fn put(&mut self, variable: u32, value: bool, why: Option<usize>) {
        self.values[variable as usize] = Some(value);
        self.place[variable as usize] = self.set.len();
        self.set.push((variable, why));
    }

    /// Follows the rows of the formula and these others until nothing more is implied. The row
    /// that cannot be kept, if there is one.
    pub(super) fn follow(&mut self, rows: &Rows, others: &[usize]) -> Option<usize> {
        let mut waiting: Vec<usize> = Vec::new();
        let mut waits = vec![false; rows.of_formula];
        if self.set.is_empty() {
            waiting.extend((0..rows.of_formula).rev());
            waits.fill(true);
        }
        loop {
            while let Some(&(variable, _)) = self.set.get(self.followed) {
                self.followed += 1;
                for &row in &rows.with[variable as usize] {
                    if !std::mem::replace(&mut waits[row], true) {
                        waiting.push(row);
                    }
                }
            }
            if let Some(row) = waiting.pop() {
                waits[row] = false;
                if self.implied(row, &rows.all[row]) {
                    return Some(row);
                }
                continue;
            }
            let before = self.set.len();
            for &row in others {
                if self.implied(row, &rows.all[row]) {
                    return Some(row);
                }
            }
            if self.set.len() == before {
                return None;
            }
        }
    }

    /// Sets what a row implies. Whether it cannot be kept.
    fn implied(&mut self, number: usize, row: &Constraint) -> bool {
        let counts = |&(variable, n): &(u32, i128)| {
            let value = self.value(variable);
            if value.unwrap_or(n > 0) { n } else { 0 }
        };
        let slack = row.terms.iter().map(counts).sum::<i128>() - row.at_least;
        if slack < 0 {
            return true;
        }
        for &(variable, n) in &row.terms {
            if n.abs() > slack && self.value(variable).is_none() {
                self.put(variable, n > 0, Some(number));
            }
        }
        false
    }

    /// Why a row cannot be kept: the variables decided to be 0 that it rests on, and the rows
    /// that led there, itself among them.
    pub(super) fn why(&self, rows: &Rows, broken: usize) -> (Vec<u32>, Vec<usize>) {
        let mut asked = vec![false; self.set.len()];
        let mut from = vec![broken];
        let mut decided = Vec::new();
        self.ask(&rows.all[broken], self.set.len(), 0, &mut asked);
        for at in (0..self.set.len()).rev() {
            if !asked[at] {
                continue;
            }
            let (variable, why) = self.set[at];
            let Some(row) = why else {
                decided.push(variable);
                continue;
            };
            from.push(row);
            let terms = &rows.all[row].terms;
            let own = terms.binary_search_by_key(&variable, |(v, _)| *v);
            let own = own.map_or(0, |own| terms[own].1.abs());
            self.ask(&rows.all[row], at, own, &mut asked);
        }
        decided.sort_unstable();
        from.reverse();
        let mut known = std::collections::BTreeSet::new();
        from.retain(|row| known.insert(*row));
        (decided, from)
    }

    /// Marks what was set before `place` and takes from a row, the first ones first, until no
    /// more than `own` would be left.
    fn ask(&self, row: &Constraint, place: usize, own: i128, asked: &mut [bool]) {
        let most: i128 = row.terms.iter().map(|(_, n)| (*n).max(0)).sum();
        let mut left = most - row.at_least - own;
        let mut against: Vec<(usize, i128)> = Vec::new();
        for &(variable, n) in &row.terms {
            let at = self.place[variable as usize];
            if at < place && self.value(variable) != Some(n > 0) {
                against.push((at, n.abs()));
            }
        }
        against.sort_unstable();
        for (at, n) in against {
            if left < 0 {
                break;
            }
            asked[at] = true;
            left -= n;
        }
    }
}
