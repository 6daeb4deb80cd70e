//! A linear program without whole numbers, for bounds: what it gives is checked by who asks.

use good_lp::{
    Expression, ProblemVariables, Solution, SolverModel, Variable, constraint, variable,
};

use crate::units::as_float;

/// Values from 0 with which `gains` come to the most, each limit kept: the sum of its
/// factors times the values at most so much. All 0 where the engine gives no answer.
pub(crate) fn most_within(gains: &[i64], limits: &[(Vec<i64>, i64)]) -> Vec<f64> {
    let scale = |values: &mut dyn Iterator<Item = i64>| as_float(values.max().unwrap_or(1).max(1));
    let dearest = scale(&mut limits.iter().map(|(_, most)| *most));
    // Each value is counted in what makes its factors at most 1.
    let units: Vec<f64> = (0..gains.len())
        .map(|at| scale(&mut limits.iter().map(|(factors, _)| factors[at])))
        .collect();
    let mut variables = ProblemVariables::new();
    let values: Vec<Variable> = gains
        .iter()
        .map(|_| variables.add(variable().min(0.0)))
        .collect();
    let mut goal = Expression::default();
    for ((&value, &gain), unit) in values.iter().zip(gains).zip(&units) {
        goal += as_float(gain) / unit * value;
    }
    #[cfg(feature = "highs")]
    let mut program = variables.maximise(goal).using(good_lp::highs);
    #[cfg(not(feature = "highs"))]
    let mut program = variables.maximise(goal).using(good_lp::microlp);
    for (factors, most) in limits {
        let mut sum = Expression::default();
        for ((&value, &factor), unit) in values.iter().zip(factors).zip(&units) {
            if factor != 0 {
                sum += as_float(factor) / unit * value;
            }
        }
        program = program.with(constraint!(sum <= as_float(*most) / dearest));
    }
    let Ok(found) = program.solve() else {
        return vec![0.0; gains.len()];
    };
    values
        .iter()
        .zip(&units)
        .map(|(&value, unit)| found.value(value).max(0.0) * dearest / unit)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::most_within;

    /// Three kinds of goods and two needs, by hand: at prices 2 and 3 both goods of 5 and 7
    /// are sold at what they are worth, and 4 · 2 + 6 · 3 is 26.
    #[test]
    fn prices_come_to_the_most() {
        let limits = [(vec![1, 1], 5), (vec![2, 1], 7), (vec![1, 3], 11)];
        let found = most_within(&[4, 6], &limits);
        let sum = 4.0 * found[0] + 6.0 * found[1];
        assert!((sum - 26.0).abs() < 1e-6, "{found:?}");
    }

    #[test]
    fn what_has_no_limit_is_left() {
        assert_eq!(most_within(&[1, 1], &[(vec![1, 0], 5)]), [0.0, 0.0]);
        assert!(most_within(&[], &[]).is_empty());
    }
}
