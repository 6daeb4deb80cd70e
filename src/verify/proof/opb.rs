//! Reads a formula, as it is written: a row on a line.

use super::At;
use crate::verify::formula::Row;

/// The rows of a file, in its order.
#[derive(Debug)]
pub(super) struct Opb {
    pub(super) variables: usize,
    pub(super) rows: Vec<Row>,
    /// The line of each.
    pub(super) lines: Vec<usize>,
}

/// More than the variables of any formula, counted from 1.
const MOST_VARIABLES: u32 = 1 << 28;

pub(super) fn read(text: &str) -> Result<Opb, At> {
    let mut rows = Opb {
        variables: 0,
        rows: Vec::new(),
        lines: Vec::new(),
    };
    let mut said = None;
    for (line, content) in (1..).zip(text.lines()) {
        if let Some(comment) = content.strip_prefix('*') {
            said = said.or_else(|| sizes(comment));
            continue;
        }
        let row = row(content).map_err(|message| At::line(line, message))?;
        rows.rows.push(row);
        rows.lines.push(line);
    }
    let Some((variables, constraints)) = said else {
        return Err(At::line(
            1,
            "it must begin with `* #variable= N #constraint= M`",
        ));
    };
    if constraints != rows.rows.len() {
        let message = format!("says {constraints} rows, and there are {}", rows.rows.len());
        return Err(At::line(1, message));
    }
    rows.variables = variables;
    Ok(rows)
}

fn sizes(comment: &str) -> Option<(usize, usize)> {
    let mut words = comment.split_whitespace();
    let mut after = |name: &str| {
        (words.next()? == name)
            .then(|| words.next()?.parse().ok())
            .flatten()
    };
    Some((after("#variable=")?, after("#constraint=")?))
}

fn row(content: &str) -> Result<Row, String> {
    let mut words = content.split_whitespace();
    let mut row = Row {
        terms: Vec::new(),
        at_least: 0,
    };
    loop {
        let word = words.next().ok_or("the row does not end")?;
        if word == ">=" {
            break;
        }
        let n: i64 = whole(word)?;
        let variable = variable(words.next().ok_or("a number has no variable")?)?;
        row.terms.push((variable, n));
    }
    row.at_least = whole(words.next().ok_or("the row does not end")?)?;
    if words.next() != Some(";") || words.next().is_some() {
        return Err("a row ends with `;`".to_owned());
    }
    row.terms.sort_unstable();
    Ok(row)
}

/// A whole number, its sign written or not.
pub(super) fn whole<T: std::str::FromStr>(word: &str) -> Result<T, String> {
    let value = word.parse().ok();
    value.ok_or_else(|| format!("`{}` is no whole number that fits", shown(word)))
}

/// A variable by its name, from 0.
pub(super) fn variable(word: &str) -> Result<u32, String> {
    let number = word
        .strip_prefix('x')
        .filter(|n| n.bytes().all(|b| b.is_ascii_digit()));
    let number: Option<u32> = number.and_then(|number| number.parse().ok());
    match number {
        Some(number @ 1..=MOST_VARIABLES) => Ok(number - 1),
        _ => Err(format!("`{}` is no variable", shown(word))),
    }
}

/// The beginning of a word.
pub(super) fn shown(word: &str) -> String {
    word.chars().take(40).collect()
}
