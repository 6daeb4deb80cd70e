//! The names by which labels call ports: `USB-C1`, `C2`, `Type-A`, `Output 1`.

use super::reader::is_volts;
use super::token::{Piece, Term, Token};
use crate::usb::Connector;

/// A port as a label calls it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct PortName {
    /// Not known from `Output 1`.
    pub(super) connector: Option<Connector>,
    pub(super) number: Option<u16>,
    /// How many pieces its name has.
    pub(super) pieces: usize,
}

/// The largest number that a port may have.
const MOST: f64 = 999.0;

/// Words before the number of a port whose connector they do not say.
const PLACES: [&str; 7] = ["port", "output", "out", "outlet", "input", "in", "usb"];

impl PortName {
    /// The name that begins at a piece, if one does.
    pub(super) fn at(text: &str, tokens: &[Token], at: usize) -> Option<Self> {
        let pieces = Pieces { text, tokens };
        let (connector, end) = match pieces.connector(at) {
            Some((connector, end)) => (Some(connector), end),
            None if PLACES.iter().any(|place| pieces.is(at, place)) => (None, at + 1),
            None => return None,
        };
        let (number, end) = match pieces.number(end) {
            Some((number, end)) => (Some(number), end),
            None => (None, end),
        };
        (connector.is_some() || number.is_some()).then_some(Self {
            connector,
            number,
            pieces: end - at,
        })
    }

    /// Its short name: `C1`.
    pub(super) fn short(&self) -> String {
        let letter = self.connector.as_ref().map_or("", letter);
        match self.number {
            Some(number) => format!("{letter}{number}"),
            None => letter.to_owned(),
        }
    }
}

/// What a port with a connector is called by, before its number.
pub(super) fn letter(connector: &Connector) -> &str {
    match connector {
        Connector::UsbC => "C",
        Connector::UsbA => "A",
        Connector::UsbMicroB => "Micro-B",
        Connector::UsbMiniB => "Mini-B",
        Connector::Other(name) => name,
    }
}

struct Pieces<'t> {
    text: &'t str,
    tokens: &'t [Token],
}

impl Pieces<'_> {
    fn token(&self, at: usize) -> Token {
        self.tokens[at.min(self.tokens.len() - 1)]
    }

    fn is(&self, at: usize, word: &str) -> bool {
        let token = self.token(at);
        matches!(token.piece, Piece::Word(_)) && self.text[token.span()].eq_ignore_ascii_case(word)
    }

    /// Behind a dash, if one stands there.
    fn past_dash(&self, at: usize) -> usize {
        at + usize::from(self.token(at).piece == Piece::Dash)
    }

    /// A connector that is named at a piece, and where its name ends.
    fn connector(&self, at: usize) -> Option<(Connector, usize)> {
        let mut at = at;
        if self.is(at, "port") {
            at += 1;
        }
        let words = [
            ("usbc", Connector::UsbC),
            ("typec", Connector::UsbC),
            ("usba", Connector::UsbA),
            ("typea", Connector::UsbA),
        ];
        for (word, connector) in words {
            if self.is(at, word) {
                return Some((connector, at + 1));
            }
        }
        let (mut led, mut letter) = (false, at);
        if self.is(letter, "usb") {
            (led, letter) = (true, self.past_dash(letter + 1));
        }
        if self.is(letter, "type") {
            (led, letter) = (true, self.past_dash(letter + 1));
        }
        for (word, connector) in [
            ("micro", Connector::UsbMicroB),
            ("mini", Connector::UsbMiniB),
        ] {
            if self.is(letter, word) {
                return self.small(led, letter + 1).map(|end| (connector, end));
            }
        }
        if self.is(letter, "c") {
            Some((Connector::UsbC, letter + 1))
        } else if self.is(letter, "a") && (led || !self.is_amps(letter)) {
            Some((Connector::UsbA, letter + 1))
        } else {
            None
        }
    }

    /// Where the name of a small plug ends: `micro-USB`, `USB micro-B`.
    fn small(&self, led: bool, at: usize) -> Option<usize> {
        let next = self.past_dash(at);
        if self.is(next, "usb") || self.is(next, "b") {
            Some(next + 1)
        } else {
            led.then_some(at)
        }
    }

    /// Whether an `A` is a unit: it follows a number that is not that of a port.
    fn is_amps(&self, at: usize) -> bool {
        let before = |back: usize| at.checked_sub(back).map(|at| self.token(at));
        let is_number = before(1).is_some_and(|token| matches!(token.piece, Piece::Number(_)));
        let of_port = before(1).is_some_and(|token| token.glued)
            && before(2)
                .is_some_and(|token| matches!(token.piece, Piece::Word(Term::Name | Term::Amps)))
            && !self.token(at).glued;
        is_number && !of_port
    }

    /// The number of a port at a piece, and where it ends.
    fn number(&self, at: usize) -> Option<(u16, usize)> {
        let dash = self.token(at).piece == Piece::Dash && self.token(at).glued;
        let at = at + usize::from(dash);
        let token = self.token(at);
        let Piece::Number(value) = token.piece else {
            return None;
        };
        let digits = self.text[token.span()].bytes().all(|b| b.is_ascii_digit());
        if !digits || value > MOST || (dash && !token.glued) || self.has_unit(at) {
            return None;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a few digits, at most 999"
        )]
        let number = value as u16;
        Some((number, at + 1))
    }

    /// Whether a number belongs to what follows it: `5V`, `5-9V`, `2x`. Behind a number
    /// that is glued to its word, only what is glued to it.
    fn has_unit(&self, at: usize) -> bool {
        let next = self.token(at + 1);
        let ranged = matches!(next.piece, Piece::Dash | Piece::Tilde)
            && matches!(self.token(at + 2).piece, Piece::Number(_))
            && is_volts(self.token(at + 3).piece);
        let unit = match next.piece {
            Piece::Word(term) => term.is_unit() || term == Term::Times,
            piece => piece == Piece::Times,
        };
        let of_word = self.token(at).glued;
        (unit && (!of_word || next.glued)) || (ranged && !of_word)
    }
}
