//! That a plan keeps all rows: the variables that are 1.

use super::no_proof;
use crate::diagnostics::Result;
use crate::verify::formula::{Formula, Variable};
use crate::verify::proof::Subject;

/// The proof's text.
pub(super) fn written(subject: &Subject, formula: &Formula) -> Result<String> {
    let ones = ones(subject, formula)
        .filter(|ones| formula.holds(|variable| ones[variable as usize]))
        .ok_or_else(|| no_proof("the plan does not keep the rows that it is claimed to keep"))?;
    let literals = ones.iter().enumerate().map(|(at, is_one)| {
        let sign = if *is_one { "" } else { "~" };
        format!(" {sign}x{}", at + 1)
    });
    let rows = formula.rows.len();
    let literals: String = literals.collect();
    Ok(format!(
        "pseudo-Boolean proof version 3.0\nf {rows};\noutput NONE;\nconclusion SAT :{literals};\n\
         end pseudo-Boolean proof;\n"
    ))
}

fn ones(subject: &Subject, formula: &Formula) -> Option<Vec<bool>> {
    let agents = &subject.program.agents;
    let mut ones: Vec<bool> = formula
        .variables
        .iter()
        .map(|variable| match variable {
            Variable::Way { agent, way } => *way == agents[*agent].ways[subject.chosen[*agent]],
            _ => false,
        })
        .collect();
    // Of lines, sets and levels one row speaks of one group, beside the ways.
    for group in &formula.groups {
        if matches!(
            formula.variables[group.start as usize],
            Variable::Way { .. }
        ) {
            continue;
        }
        let touches = |terms: &[(u32, i64)]| terms.iter().any(|(v, _)| group.contains(v));
        let rows: Vec<_> = formula
            .rows
            .iter()
            .filter(|row| touches(&row.terms))
            .collect();
        let fits = |&one: &u32| {
            rows.iter()
                .all(|row| row.holds(|v| ones[v as usize] || v == one))
        };
        let one = group.clone().find(fits)?;
        ones[one as usize] = true;
    }
    Some(ones)
}
