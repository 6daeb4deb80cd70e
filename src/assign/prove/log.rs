//! The rows of a proof, those of its formula first, and how each follows from those before it.

use std::fmt::Write as _;

/// How a row follows.
pub(super) enum How {
    /// Rows added, each so many times.
    Sum(Vec<(usize, i128)>),
    /// By propagation from these rows: one of the variables is 1.
    OneOf(Vec<u32>, Vec<usize>),
}

/// The rows behind those of the formula.
pub(super) struct Log {
    of_formula: usize,
    steps: Vec<How>,
}

impl Log {
    pub(super) fn new(of_formula: usize) -> Self {
        Self {
            of_formula,
            steps: Vec::new(),
        }
    }

    /// The number of the row, from 0.
    pub(super) fn add(&mut self, how: How) -> usize {
        self.steps.push(how);
        self.of_formula + self.steps.len() - 1
    }

    /// The whole text, which ends with the last row: what that does not rest on is left out.
    pub(super) fn to_text(&self) -> String {
        let first = self.of_formula;
        let mut needed = vec![false; self.steps.len()];
        // By row, the one that needs it last.
        let mut last_needed = vec![0; self.steps.len()];
        if let Some(last) = needed.last_mut() {
            *last = true;
        }
        for at in (0..self.steps.len()).rev() {
            if !needed[at] {
                continue;
            }
            for row in self.steps[at].from() {
                if let Some(own) = row.checked_sub(first) {
                    if !needed[own] {
                        last_needed[own] = at;
                    }
                    needed[own] = true;
                }
            }
        }
        let mut text = format!("pseudo-Boolean proof version 3.0\nf {first};\n");
        let mut numbers = vec![0; self.steps.len()];
        let mut count = first;
        for (at, how) in self.steps.iter().enumerate().filter(|(at, _)| needed[*at]) {
            count += 1;
            numbers[at] = count;
            how.write(&mut text, |row| {
                row.checked_sub(first).map_or(row + 1, |own| numbers[own])
            });
            let mut done: Vec<usize> = how
                .from()
                .filter_map(|row| row.checked_sub(first))
                .filter(|&own| last_needed[own] == at)
                .map(|own| numbers[own])
                .collect();
            done.sort_unstable();
            done.dedup();
            if !done.is_empty() {
                let done: Vec<String> = done.iter().map(ToString::to_string).collect();
                let _ = writeln!(text, "del id {};", done.join(" "));
            }
        }
        let _ = write!(
            text,
            "output NONE;\nconclusion UNSAT : {count};\nend pseudo-Boolean proof;\n"
        );
        text
    }
}

impl How {
    fn from(&self) -> Box<dyn Iterator<Item = usize> + '_> {
        match self {
            Self::Sum(rows) => Box::new(rows.iter().map(|(row, _)| *row)),
            Self::OneOf(_, rows) => Box::new(rows.iter().copied()),
        }
    }

    // Text can be written to.
    fn write(&self, text: &mut String, number: impl Fn(usize) -> usize) {
        match self {
            Self::Sum(rows) => {
                text.push_str("pol");
                for (at, &(row, times)) in rows.iter().enumerate() {
                    let _ = write!(text, " {}", number(row));
                    if times != 1 {
                        let _ = write!(text, " {times} *");
                    }
                    if at > 0 {
                        text.push_str(" +");
                    }
                }
                text.push_str(";\n");
            }
            Self::OneOf(variables, rows) => {
                text.push_str("rup");
                for variable in variables {
                    let _ = write!(text, " 1 x{}", variable + 1);
                }
                text.push_str(" >= 1 :");
                for row in rows {
                    let _ = write!(text, " {}", number(*row));
                }
                text.push_str(";\n");
            }
        }
    }
}
