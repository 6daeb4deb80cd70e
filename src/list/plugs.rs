//! Plugs by the names that people have for them, and the mains side of a label.

use std::ops::Range;

use super::amount::Unit;
use super::line::Line;
use super::text::Piece;
use crate::diagnostics::shown;
use crate::facts::Plug;

/// The plugs that are named here, one after another.
pub(super) fn plugs(line: &mut Line<'_>, found: &mut Vec<String>) {
    loop {
        while matches!(line.sign(0), Some('/' | '+'))
            || line.word(0) == "or"
            || line.word(0) == "and"
            || line.sign(0) == Some(',') && plug_ahead(line, 1).is_some()
        {
            line.next();
        }
        match plug_ahead(line, 0) {
            Some((plug, words)) => {
                line.skip(words);
                found.push(plug);
            }
            None if found.is_empty() => {
                let names = [
                    "A", "B", "C", "D", "E", "F", "EF", "G", "H", "I", "J", "K", "L10", "L16", "M",
                    "N10", "N20", "N-ZA", "O",
                ];
                let message = format!(
                    "`{}` is no kind of plug: write its letter, as in {}",
                    shown(line.text(0)),
                    names.join(", ")
                );
                line.fault_here(message);
                line.next();
                return;
            }
            None => return,
        }
    }
}

/// The one plug that a thing has, named here; what it says begins at `start`.
pub(super) fn one_plug(line: &mut Line<'_>, into: &mut String, start: usize) {
    let mut found = Vec::new();
    plugs(line, &mut found);
    line.take(&["plug"]);
    let found: Vec<&str> = found.iter().map(String::as_str).collect();
    match found.as_slice() {
        [one] => (*one).clone_into(into),
        // The plug for both, as it is on most leads (CEE 7/7).
        ["E", "F"] | ["F", "E"] => "EF".clone_into(into),
        [] => {}
        _ => line.fault(start..line.end(), "a thing has one plug"),
    }
}

/// The plug that is named `ahead`, and in how many words.
pub(super) fn plug_ahead(line: &Line<'_>, ahead: usize) -> Option<(String, usize)> {
    (1..=5).rev().find_map(|words| {
        let first = line.piece(ahead)?;
        let last = line.piece(ahead + words - 1)?;
        if !matches!(
            (first, last),
            (
                Piece::Word(_) | Piece::Quoted(_),
                Piece::Word(_) | Piece::Number(_) | Piece::Quoted(_)
            )
        ) {
            return None;
        }
        let text = &line.all[line.span(ahead).start..line.span(ahead + words - 1).end];
        let plug = Plug::named(text.trim_matches('"')).ok()?.plug;
        Some((plug.to_string(), words))
    })
}

/// The volts or hertz of the mains side that are printed here: `100-240 V`, `50/60 Hz`.
pub(super) fn mains_label(line: &mut Line<'_>) -> Option<(&'static str, Range<usize>)> {
    let start = line.span(0).start;
    let mark = line.mark();
    let mut most = 0.0_f64;
    while let Some(&Piece::Number(value)) = line.piece(0) {
        most = most.max(value);
        line.next();
        if matches!(line.sign(0), Some('-' | '/')) || line.word(0) == "to" {
            line.next();
            continue;
        }
        let field = if line.has_unit(0, Unit::Volts) && most >= 90.0 {
            "input_v"
        } else if line.has_unit(0, Unit::Hertz) {
            "input_hz"
        } else {
            break;
        };
        line.next();
        let end = line.end();
        if matches!(line.piece(0), Some(Piece::Sign('-' | '/')))
            && matches!(line.piece(1), Some(Piece::Number(_)))
        {
            line.next();
            continue;
        }
        // `230 V~`, `230 V AC`.
        while line.sign(0) == Some('~') || line.word(0) == "ac" {
            line.next();
        }
        return Some((field, start..end));
    }
    line.back_to(mark);
    None
}

/// Whether what stands on the line plugs into the wall.
pub(super) fn is_for_the_wall(line: &mut Line<'_>) -> bool {
    let mark = line.mark();
    let mut found = false;
    while !line.is_done() {
        let volts = matches!(line.piece(0), Some(Piece::Number(volts)) if *volts >= 90.0)
            && line.has_unit(1, Unit::Volts);
        let plug = line.word(0) == "plug" && plug_ahead(line, 1).is_some();
        found |= volts || plug;
        line.next();
    }
    line.back_to(mark);
    found
}
