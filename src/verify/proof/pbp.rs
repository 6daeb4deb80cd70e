//! Reads a proof line by line: of the text format of `VeriPB` 3.0 the part that is written here.

use super::opb::{shown, variable, whole};

/// A step of a proof.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Step {
    /// How many rows the formula has.
    Formula(usize),
    /// Rows added, each with a factor.
    Sum(Vec<Part>),
    /// A row that follows by propagation from those named: terms, at least, those.
    Follows(Vec<(u32, i128)>, i128, Vec<usize>),
    /// Rows that are needed no more.
    Forget(Vec<usize>),
    /// Nothing is to be put out.
    Output,
    /// This row cannot be kept.
    Contradiction(usize),
    /// By variable that is named, whether it is 1.
    Solution(Vec<(u32, bool)>),
    End,
}

/// A part of a sum, as it is written: in reverse Polish notation.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Part {
    Row(usize),
    Times(i128),
    Plus,
}

/// The first line.
pub(super) const HEADER: &str = "pseudo-Boolean proof version 3.0";

/// The step of a line but the first.
pub(super) fn step(line: &str) -> Result<Step, String> {
    let line = line.trim_end();
    let content = line.strip_suffix(';').ok_or("a line ends with `;`")?;
    let (rule, rest) = content.split_once(' ').unwrap_or((content, ""));
    match rule {
        "f" => Ok(Step::Formula(id(rest.trim())?)),
        "pol" => sum(rest),
        "rup" => follows(rest),
        "del" => {
            let ids = rest
                .strip_prefix("id ")
                .ok_or("only `del id` is read here")?;
            Ok(Step::Forget(list(ids)?))
        }
        "output" if rest.trim() == "NONE" => Ok(Step::Output),
        "conclusion" => conclusion(rest),
        "end" if rest.trim() == "pseudo-Boolean proof" => Ok(Step::End),
        _ => Err(format!("`{}` is no rule that is read here", shown(rule))),
    }
}

fn id(word: &str) -> Result<usize, String> {
    match whole(word)? {
        0 => Err("rows are numbered from 1".to_owned()),
        number => Ok(number),
    }
}

fn list(words: &str) -> Result<Vec<usize>, String> {
    words.split_whitespace().map(id).collect()
}

fn sum(words: &str) -> Result<Step, String> {
    let mut parts = Vec::new();
    let mut words = words.split_whitespace().peekable();
    while let Some(word) = words.next() {
        if word == "+" {
            parts.push(Part::Plus);
        } else if words.next_if_eq(&"*").is_some() {
            let factor: i128 = whole(word)?;
            if factor <= 0 {
                return Err("a factor is above 0".to_owned());
            }
            parts.push(Part::Times(factor));
        } else {
            parts.push(Part::Row(id(word)?));
        }
    }
    Ok(Step::Sum(parts))
}

fn follows(words: &str) -> Result<Step, String> {
    let (row, rows) = words
        .split_once(':')
        .ok_or("`rup` must name the rows that it follows from")?;
    let mut terms: Vec<(u32, i128)> = Vec::new();
    let mut at_least: i128 = 0;
    let mut words = row.split_whitespace();
    loop {
        let word = words.next().ok_or("the row does not end")?;
        if word == ">=" {
            break;
        }
        let n: i128 = whole(word)?;
        let literal = words.next().ok_or("a number has no variable")?;
        match literal.strip_prefix('~') {
            None => terms.push((variable(literal)?, n)),
            Some(name) => {
                terms.push((
                    variable(name)?,
                    n.checked_neg().ok_or("too large a number")?,
                ));
                at_least = at_least.checked_sub(n).ok_or("too large a number")?;
            }
        }
    }
    let most: i128 = whole(words.next().ok_or("the row does not end")?)?;
    at_least = at_least.checked_add(most).ok_or("too large a number")?;
    if words.next().is_some() {
        return Err("a row ends before `:`".to_owned());
    }
    terms.sort_unstable();
    if terms.windows(2).any(|two| two[0].0 == two[1].0) {
        return Err("a variable is named twice".to_owned());
    }
    Ok(Step::Follows(terms, at_least, list(rows)?))
}

fn conclusion(words: &str) -> Result<Step, String> {
    let (what, how) = words.split_once(':').ok_or("a conclusion names how")?;
    match what.trim() {
        "UNSAT" => Ok(Step::Contradiction(id(how.trim())?)),
        "SAT" => {
            let literal = |word: &str| match word.strip_prefix('~') {
                None => Ok((variable(word)?, true)),
                Some(name) => Ok((variable(name)?, false)),
            };
            let literals: Result<_, String> = how.split_whitespace().map(literal).collect();
            Ok(Step::Solution(literals?))
        }
        other => Err(format!("`{}` is no conclusion here", shown(other))),
    }
}
