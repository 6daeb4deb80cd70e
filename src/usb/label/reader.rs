//! Pieces of a label to entries: one pass, and on past each fault to the next part.

use std::ops::Range;

use super::port_name::PortName;
use super::token::{Piece, Term, Token, tokens};
use super::{Held, value};
use crate::usb::{LabelEntry, Mark};

/// A fault by its byte range in the whole text.
pub(super) type Found = (Range<usize>, String);

/// Reads a text; every fault in the order of the text, or every entry.
pub(super) fn read(text: &str, held: Held) -> Result<Vec<LabelEntry>, Vec<Found>> {
    let mut reader = Reader::new(text, held);
    reader.run();
    if reader.faults.is_empty() {
        Ok(reader.entries)
    } else {
        reader.faults.sort_by_key(|(span, _)| span.start);
        Err(reader.faults)
    }
}

pub(super) struct Reader<'text> {
    pub(super) text: &'text str,
    pub(super) held: Held,
    /// Never empty: the last one is [`Piece::End`].
    pub(super) tokens: Vec<Token>,
    pub(super) at: usize,
    /// What the ranges from here on are marked as.
    pub(super) mark: Mark,
    /// A mark that no range has followed yet.
    pub(super) open_mark: Option<Range<usize>>,
    /// The mark of the last range, where it stood behind it.
    pub(super) mark_behind: Option<Mark>,
    /// Leading words that no entry has followed yet.
    pub(super) words: Option<Range<usize>>,
    /// The port whose name stood last, where, and how many entries were before it.
    port: Option<(PortName, Range<usize>, usize)>,
    pub(super) entry_in_line: bool,
    /// Whether a mains rating was found in this line: what follows it (`50/60Hz,
    /// 1.5A`) belongs to it and is no fault of its own.
    pub(super) mains_in_line: bool,
    pub(super) full: bool,
    pub(super) entries: Vec<LabelEntry>,
    pub(super) faults: Vec<Found>,
}

impl<'text> Reader<'text> {
    pub(super) fn new(text: &'text str, held: Held) -> Self {
        Self {
            text,
            held,
            tokens: tokens(text),
            at: 0,
            mark: Mark::None,
            open_mark: None,
            mark_behind: None,
            words: None,
            port: None,
            entry_in_line: false,
            mains_in_line: false,
            full: false,
            entries: Vec::new(),
            faults: Vec::new(),
        }
    }
}

impl Reader<'_> {
    fn run(&mut self) {
        while self.piece(0) != Piece::End && !self.full {
            if self.mains_in_line && !self.part_has_volts() {
                self.skip_part();
                self.separator();
            } else {
                self.part();
            }
        }
        if self.full {
            return;
        }
        self.refuse_open_mark();
        if let Some(words) = self.words.take() {
            self.refuse_words(words);
        }
        if self.entries.is_empty() && self.faults.is_empty() {
            self.fault(0..self.text.len(), value::NOTHING.to_owned());
        }
    }

    pub(super) fn token(&self, ahead: usize) -> Token {
        let last = self.tokens.len() - 1;
        self.tokens[(self.at + ahead).min(last)]
    }

    pub(super) fn piece(&self, ahead: usize) -> Piece {
        self.token(ahead).piece
    }

    /// The end of the piece before the current one.
    pub(super) fn end(&self) -> usize {
        self.at.checked_sub(1).map_or(0, |at| self.tokens[at].end)
    }

    pub(super) fn fault(&mut self, span: Range<usize>, message: String) {
        self.faults.push((span, message));
    }

    pub(super) fn quote(&self, span: Range<usize>) -> String {
        value::quoted(&self.text[span])
    }

    /// From the start of a part through its leading words to its entry, or to the
    /// separator behind it.
    fn part(&mut self) {
        loop {
            let token = self.token(0);
            match token.piece {
                Piece::End => return,
                piece if is_separator(piece) => return self.separator(),
                Piece::Word(Term::Pps) => self.take_mark(Mark::Pps),
                Piece::Word(Term::Avs) => self.take_mark(Mark::Avs),
                Piece::Number(number) if self.port_or_volts(number) => {
                    return self.refuse_part(token.span(), value::PORT_OR_VOLTS.to_owned());
                }
                Piece::Number(_) if self.volts_ahead(0) => return self.entry(),
                Piece::Number(_) if self.number_in_name() => self.take_word(),
                Piece::Number(_) | Piece::Malformed => return self.stray_number(),
                Piece::Word(_) => match self.port_name() {
                    Some(name) => self.take_port(name),
                    None => self.take_word(),
                },
                Piece::Dash if self.minus_ahead() => {
                    let number = self.token(1);
                    let span = token.start..number.end;
                    return self.refuse_part(span, value::not_positive("voltage"));
                }
                Piece::Colon
                | Piece::Dash
                | Piece::Dot
                | Piece::Slash
                | Piece::Open
                | Piece::Close
                | Piece::Times
                | Piece::Plus
                | Piece::Ampersand
                | Piece::Ornament => self.at += 1,
                // A bullet.
                Piece::DirectSign if !self.text[token.span()].contains('=') => self.at += 1,
                Piece::Comma
                | Piece::Semicolon
                | Piece::Break
                | Piece::DirectSign
                | Piece::Tilde
                | Piece::At
                | Piece::Other => return self.not_understood(),
            }
        }
    }

    fn take_mark(&mut self, mark: Mark) {
        self.refuse_open_mark();
        self.mark = mark;
        self.mark_behind = None;
        self.open_mark = Some(self.token(0).span());
        self.at += 1;
    }

    fn take_word(&mut self) {
        let token = self.token(0);
        let start = self.words.as_ref().map_or(token.start, |words| words.start);
        self.words = Some(start..token.end);
        self.at += 1;
    }

    /// The name of a port at the current piece.
    pub(super) fn port_name(&self) -> Option<PortName> {
        PortName::at(self.text, &self.tokens, self.at)
    }

    /// Passes over the name of a port. Two of them may have the same entries, but what
    /// stands behind one and behind another is not of the same port.
    fn take_port(&mut self, name: PortName) {
        let span = self.token(0).start..self.token(name.pieces - 1).end;
        if let Some((other, before, entries)) = &self.port
            && *other != name
            && *entries < self.entries.len()
        {
            let message = value::second_port(&self.text[span.clone()], &self.text[before.clone()]);
            self.fault(span.clone(), message);
        }
        for _ in 0..name.pieces {
            self.take_word();
        }
        self.port = Some((name, span, self.entries.len()));
    }

    /// Whether a number that is no voltage belongs to a name, as in `Output 1:`,
    /// `USB-C2`, `1)`.
    fn number_in_name(&self) -> bool {
        let unit_follows = matches!(
            self.piece(1),
            Piece::Word(Term::Amps | Term::Milliamps | Term::Watts)
        );
        let listed = matches!(self.piece(1), Piece::Colon | Piece::Dot | Piece::Close);
        !unit_follows && (listed || self.words.is_some() || self.open_mark.is_some())
    }

    /// Whether a number may be a port's as well as the low end of a range, as in
    /// `Output 1 - 5V 3A`: read as a range it would be wrong without a word said.
    fn port_or_volts(&self, number: f64) -> bool {
        let after_word = self.at.checked_sub(1).is_some_and(|at| {
            matches!(
                self.tokens[at].piece,
                Piece::Word(Term::Name | Term::Volts | Term::Amps)
            )
        });
        let set_apart = !self.token(1).glued && !self.token(2).glued;
        after_word
            && number.fract() == 0.0
            && (number < 3.0 || (number < 5.0 && set_apart))
            && self.range_ahead(1)
            && self.volts_ahead(0)
    }

    fn minus_ahead(&self) -> bool {
        let number = self.token(1);
        let apart = !self.token(0).glued
            || self
                .at
                .checked_sub(1)
                .is_none_or(|at| is_separator(self.tokens[at].piece));
        apart && number.glued && matches!(number.piece, Piece::Number(_))
    }

    /// Whether a voltage or a range of voltages begins at a piece.
    pub(super) fn volts_ahead(&self, ahead: usize) -> bool {
        let token = self.token(ahead);
        if !matches!(token.piece, Piece::Number(_)) {
            return false;
        }
        if is_volts(self.piece(ahead + 1)) {
            return true;
        }
        self.range_ahead(ahead + 1) && !self.ends_name(ahead)
    }

    /// Whether `-` and a second voltage stand at a piece.
    pub(super) fn range_ahead(&self, ahead: usize) -> bool {
        matches!(self.piece(ahead), Piece::Dash | Piece::Tilde)
            && matches!(self.piece(ahead + 1), Piece::Number(_))
            && is_volts(self.piece(ahead + 2))
    }

    /// Whether a number is glued to a single letter: the `1` of `C1-5V 3A`.
    fn ends_name(&self, ahead: usize) -> bool {
        let before = (self.at + ahead).checked_sub(1).map(|at| self.tokens[at]);
        self.token(ahead).glued
            && before.is_some_and(|word| {
                matches!(word.piece, Piece::Word(_)) && self.text[word.span()].chars().count() == 1
            })
    }

    /// A number that neither begins a voltage nor belongs to a name.
    fn stray_number(&mut self) {
        let part = self.with_glued_word();
        let with_unit = self.token(0).start..self.token(1).end;
        let (span, message) = match (self.piece(0), self.piece(1)) {
            (Piece::Malformed, _) => (self.token(0).span(), value::MALFORMED.to_owned()),
            (Piece::Number(amps), Piece::Word(Term::Amps)) => (with_unit, self.amps_alone(amps)),
            (_, Piece::Word(Term::Milliamps)) => (with_unit, self.amps_alone(0.0)),
            (Piece::Number(watts), Piece::Word(Term::Watts)) => {
                (with_unit, value::watts_alone(watts, self.held))
            }
            _ => (part, value::NOT_A_VOLTAGE.to_owned()),
        };
        self.refuse_part(span, message);
    }

    /// What is wrong with a current that no voltage stands before.
    fn amps_alone(&mut self, amps: f64) -> String {
        let ahead = 2 + usize::from(is_sign(self.piece(2)));
        if self.held.usb && value::looks_like_watts(amps) {
            value::check_amps(amps, self.held).unwrap_or_default()
        } else if self.volts_ahead(ahead) && !self.amps_behind_volts(ahead) {
            // The voltage is no part of its own.
            self.at += ahead;
            value::CURRENT_FIRST.to_owned()
        } else {
            value::NO_VOLTAGE.to_owned()
        }
    }

    /// Whether a voltage that stands at a piece has a current of its own.
    fn amps_behind_volts(&self, ahead: usize) -> bool {
        let at = ahead + 2 + usize::from(is_sign(self.piece(ahead + 2)));
        matches!(
            self.piece(at + 1),
            Piece::Word(Term::Amps | Term::Milliamps)
        )
    }

    fn not_understood(&mut self) {
        let part = self.with_glued_word();
        let message = value::not_understood(&self.quote(part.clone()));
        self.refuse_part(part, message);
    }

    /// One fault for a part that cannot be an entry, whatever stood before it.
    fn refuse_part(&mut self, span: Range<usize>, message: String) {
        self.words = None;
        self.open_mark = None;
        self.entry_in_line = true;
        self.fault(span, message);
        self.skip_part();
    }

    fn refuse_open_mark(&mut self) {
        if let Some(mark) = self.open_mark.take() {
            let message = value::empty_mark(&self.text[mark.clone()]);
            self.fault(mark, message);
        }
    }

    fn refuse_words(&mut self, words: Range<usize>) {
        let message = if self.entries.is_empty() && self.faults.is_empty() {
            value::NOTHING
        } else {
            value::ONLY_WORDS
        };
        self.fault(words, message.to_owned());
    }

    /// Passes over a separator, if one stands here, and closes the part before it.
    fn separator(&mut self) {
        match self.piece(0) {
            // A mark, and words such as `Output:`, hold for the lines below them.
            Piece::Break => {
                self.entry_in_line = false;
                self.mains_in_line = false;
            }
            piece if is_separator(piece) => {
                self.refuse_open_mark();
                if self.entry_in_line
                    && let Some(words) = self.words.take()
                {
                    self.refuse_words(words);
                }
            }
            _ => return,
        }
        self.at += 1;
    }

    /// To the next separator, or behind the next `/` that a voltage follows.
    pub(super) fn skip_part(&mut self) {
        loop {
            let piece = self.piece(0);
            if piece == Piece::End || is_separator(piece) {
                return;
            }
            self.at += 1;
            if piece == Piece::Slash && self.volts_ahead(0) {
                return;
            }
        }
    }

    /// Whether a voltage stands before the next separator.
    fn part_has_volts(&self) -> bool {
        self.tokens[self.at..]
            .windows(2)
            .take_while(|pair| !is_separator(pair[0].piece))
            .any(|pair| matches!(pair[0].piece, Piece::Number(_)) && is_volts(pair[1].piece))
    }

    pub(super) fn skip(&mut self, piece: Piece) {
        if self.piece(0) == piece {
            self.at += 1;
        }
    }

    /// The current piece with the word glued to it: `5Q`.
    pub(super) fn with_glued_word(&self) -> Range<usize> {
        let (token, next) = (self.token(0), self.token(1));
        let is_number = matches!(token.piece, Piece::Number(_) | Piece::Malformed);
        if is_number && next.glued && matches!(next.piece, Piece::Word(_)) {
            token.start..next.end
        } else {
            token.span()
        }
    }
}

pub(super) fn is_separator(piece: Piece) -> bool {
    matches!(
        piece,
        Piece::Comma | Piece::Semicolon | Piece::Break | Piece::Word(Term::Or)
    )
}

/// Whether a piece may stand between a voltage and its current.
pub(super) fn is_sign(piece: Piece) -> bool {
    matches!(
        piece,
        Piece::DirectSign
            | Piece::Slash
            | Piece::Dash
            | Piece::Colon
            | Piece::At
            | Piece::Times
            | Piece::Word(Term::Times)
    )
}

pub(super) fn is_volts(piece: Piece) -> bool {
    matches!(piece, Piece::Word(Term::Volts | Term::AlternatingVolts))
}
