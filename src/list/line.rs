//! One line of a list, read from left to right; its faults, and the small questions that
//! every kind of thing asks of it.

use std::ops::Range;

use super::amount::Unit;
use super::price::currency;
use super::text::{Piece, Token, time};
use crate::diagnostics::near;

/// The most of one kind of devices, and of other things, that a line may count: limits of
/// the document, which its checks hold for all lines together.
pub(super) const MOST_DEVICES: u32 = 256;
pub(super) const MOST_THINGS: u32 = 1_000;

/// The fields that a line gives, each with where.
pub(super) type Places = Vec<(&'static str, Range<usize>)>;

/// A fault of a line: where, one sentence, the word that was perhaps meant.
pub(super) type Fault = (Range<usize>, String, Option<String>);

pub(super) struct Line<'t> {
    /// The whole list.
    pub(super) all: &'t str,
    tokens: &'t [Token],
    at: usize,
    pub(super) faults: Vec<Fault>,
    /// That of the prices of the list so far.
    pub(super) currency: Option<&'static str>,
}

/// Words that say nothing by themselves.
const FILLERS: [&str; 10] = [
    "and", "with", "has", "a", "an", "the", "of", "each", "about", "is",
];

impl<'t> Line<'t> {
    pub(super) fn new(all: &'t str, tokens: &'t [Token]) -> Self {
        Self {
            all,
            tokens,
            at: 0,
            faults: Vec::new(),
            currency: None,
        }
    }

    pub(super) fn is_done(&self) -> bool {
        self.at >= self.tokens.len()
    }

    pub(super) fn piece(&self, ahead: usize) -> Option<&'t Piece> {
        self.tokens.get(self.at + ahead).map(|token| &token.piece)
    }

    pub(super) fn glued(&self, ahead: usize) -> bool {
        self.tokens
            .get(self.at + ahead)
            .is_some_and(|token| token.glued)
    }

    /// The word that stands `ahead`, in lower case; empty where none does.
    pub(super) fn word(&self, ahead: usize) -> &'t str {
        match self.piece(ahead) {
            Some(Piece::Word(word)) => word,
            _ => "",
        }
    }

    pub(super) fn sign(&self, ahead: usize) -> Option<char> {
        match self.piece(ahead) {
            Some(Piece::Sign(sign)) => Some(*sign),
            _ => None,
        }
    }

    /// The bytes of what stands `ahead`; at the end, the end.
    pub(super) fn span(&self, ahead: usize) -> Range<usize> {
        let end = self.tokens.last().map_or(0, |last| last.span.end);
        self.tokens
            .get(self.at + ahead)
            .map_or(end..end, |token| token.span.clone())
    }

    pub(super) fn text(&self, ahead: usize) -> &'t str {
        &self.all[self.span(ahead)]
    }

    /// The end of what was passed last.
    pub(super) fn end(&self) -> usize {
        self.at
            .checked_sub(1)
            .map_or(0, |at| self.tokens[at].span.end)
    }

    pub(super) fn next(&mut self) {
        self.skip(1);
    }

    pub(super) fn skip(&mut self, tokens: usize) {
        self.at = (self.at + tokens).min(self.tokens.len());
    }

    /// Where the reading stands, to come back to.
    pub(super) fn mark(&self) -> usize {
        self.at
    }

    pub(super) fn back_to(&mut self, mark: usize) {
        self.at = mark;
    }

    pub(super) fn fault(&mut self, span: Range<usize>, message: impl Into<String>) {
        self.faults.push((span, message.into(), None));
    }

    pub(super) fn fault_here(&mut self, message: impl Into<String>) {
        let span = self.span(0);
        self.fault(span, message);
    }

    /// Refuses the word here, which is none of those that `known` says, and passes its part.
    pub(super) fn not_understood<'k>(&mut self, known: impl IntoIterator<Item = &'k str>) {
        let text = self.text(0).to_owned();
        let near = near(&text.to_lowercase(), known);
        let message = format!(
            "`{}` is not understood here",
            crate::diagnostics::shown(&text)
        );
        self.faults.push((self.span(0), message, near));
        // What follows is of the same part, and would only be misread.
        while !self.part_ends() {
            self.next();
        }
    }

    /// Whether these words stand here, one after another.
    pub(super) fn says(&self, words: &str) -> bool {
        words
            .split(' ')
            .enumerate()
            .all(|(ahead, word)| self.word(ahead) == word)
    }

    /// Passes the first of these phrases that stands here.
    pub(super) fn take<'p>(&mut self, phrases: &[&'p str]) -> Option<&'p str> {
        let found = phrases.iter().copied().find(|phrase| self.says(phrase))?;
        self.skip(found.split(' ').count());
        Some(found)
    }

    /// Passes what only separates.
    pub(super) fn separators(&mut self) {
        loop {
            let filler = FILLERS.contains(&self.word(0)) && self.text(0) != "A";
            // A dash before a number could be a minus.
            let dash = self.sign(0) == Some('-')
                && !matches!(self.piece(1), Some(Piece::Number(_) | Piece::Time(_)));
            let mark = matches!(
                self.sign(0),
                Some(',' | ';' | '|' | '.' | ':' | '~' | '/' | ')' | '@')
            );
            if !(filler || dash || mark) {
                return;
            }
            self.next();
        }
    }

    /// Passes what separates; whether something stands behind it.
    pub(super) fn goes_on(&mut self) -> bool {
        self.separators();
        !self.is_done()
    }

    /// Whether a number stands here, or so many of the thing.
    pub(super) fn is_number(&self) -> bool {
        let number = Piece::is_number;
        self.piece(0).is_some_and(number) || self.counted_at(0)
    }

    /// Whether the part ends here.
    pub(super) fn part_ends(&self) -> bool {
        self.is_done() || matches!(self.sign(0), Some(',' | ';' | '|'))
    }

    /// A time of day, in minutes after midnight: `7:30`, `7h30`, `7 am`, `19:30`.
    pub(super) fn time_of_day(&mut self) -> Option<u32> {
        let (minutes, taken) = match (self.piece(0)?, self.word(1)) {
            (Piece::Time(minutes), half) => match half {
                "am" | "a" if *minutes < 13 * 60 => (minutes % (12 * 60), 2),
                "pm" if *minutes < 13 * 60 => (minutes % (12 * 60) + 12 * 60, 2),
                _ => (*minutes, 1),
            },
            (Piece::Number(hour), half @ ("am" | "pm")) if hour.fract() == 0.0 && *hour <= 12.0 => {
                let hour = time(&format!("{}", hour % 12.0), "0")?;
                (if half == "pm" { hour + 12 * 60 } else { hour }, 2)
            }
            (Piece::Number(hour), rest) if self.glued(1) && rest.len() == 3 => {
                (time(&hour.to_string(), rest.strip_prefix('h')?)?, 2)
            }
            (Piece::Word(word), _) => match word.as_str() {
                "noon" => (12 * 60, 1),
                "midnight" => (0, 1),
                _ => return None,
            },
            _ => return None,
        };
        self.skip(taken);
        Some(minutes)
    }
}

impl Line<'_> {
    /// Whether a number with its unit begins here.
    pub(super) fn begins_amount(&self) -> bool {
        match self.piece(0) {
            Some(Piece::Number(_) | Piece::TwoNumbers) => {
                let range =
                    matches!(self.sign(1), Some('-')) || matches!(self.word(1), "to" | "or");
                self.unit(1).is_some()
                    || range
                        && matches!(self.piece(2), Some(Piece::Number(_)))
                        && self.unit(3).is_some()
            }
            _ => false,
        }
    }

    /// Whether `x4` or `×4` stands `ahead`.
    pub(super) fn counted_at(&self, ahead: usize) -> bool {
        let digits = self.word(ahead).strip_prefix('x');
        let word = digits.is_some_and(|digits| {
            !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit())
        });
        let apart = self.word(ahead) == "x"
            && matches!(self.piece(ahead + 1), Some(Piece::Number(_)))
            && self.unit(ahead + 2).is_none();
        word || apart
            || self.sign(ahead) == Some('×')
                && matches!(self.piece(ahead + 1), Some(Piece::Number(_)))
    }

    /// Whether the line says how many people travel, or for how many nights.
    pub(super) fn is_of_the_night(&self) -> bool {
        let nights = self.has_unit(1, Unit::Nights) && self.piece(2).is_none();
        matches!(self.piece(0), Some(Piece::Number(_)))
            && (self.has_unit(1, Unit::People) || nights)
    }

    /// A count that comes first: `2 cables`, `2x`.
    pub(super) fn leading_count(&mut self, into: &mut Option<u32>, most: u32) {
        let Some(&Piece::Number(count)) = self.piece(0) else {
            return;
        };
        if currency(self, 1).is_some() {
            return;
        }
        let start = self.span(0).start;
        let word = matches!(self.piece(1), Some(Piece::Word(_) | Piece::Quoted(_)));
        let taken = if self.has_unit(1, Unit::Pieces) {
            2
        } else if word && !self.glued(1) && !self.begins_amount() {
            1
        } else {
            return;
        };
        self.skip(taken);
        self.set_count(into, count, start..self.end(), most);
    }

    /// Sets how many there are of a thing.
    pub(super) fn set_count(
        &mut self,
        into: &mut Option<u32>,
        count: f64,
        span: Range<usize>,
        most: u32,
    ) {
        if into.is_some() {
            self.fault(span, "how many of them is said twice");
        } else if count.fract() != 0.0 || !(1.0..=f64::from(most)).contains(&count) {
            let message =
                format!("so many things must be a whole number from 1 to {most}, not {count}");
            self.fault(span, message);
        } else {
            *into = format!("{count}").parse().ok();
        }
    }

    /// A name in quotes, or one that ends with a colon before anything else separates; with
    /// where it stands, passed over.
    pub(super) fn quoted_or_before_colon(&mut self) -> Option<(String, Range<usize>)> {
        if let Some(Piece::Quoted(name)) = self.piece(0) {
            let span = self.span(0);
            self.next();
            if self.sign(0) == Some(':') {
                self.next();
            }
            return Some((name.clone(), span));
        }
        let before =
            |token: &&Token| !matches!(token.piece, Piece::Sign(',' | ';' | '|' | ':' | '('));
        let length = self.tokens[self.at..].iter().take_while(before).count();
        if length == 0 || self.sign(length) != Some(':') {
            return None;
        }
        let span = self.span(0).start..self.span(length - 1).end;
        self.skip(length + 1);
        Some((self.all[span.clone()].to_owned(), span))
    }
}
