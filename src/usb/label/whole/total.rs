//! What is said of the whole charger: its total, and the mains side, which is passed over.

use super::parts::Cutter;
use crate::usb::label::reader::is_separator;
use crate::usb::label::token::{Piece, Term};
use crate::usb::label::value;

/// Words that begin what is said of the whole charger.
pub(super) const OUTPUT: [&str; 4] = ["output", "outputs", "out", "total"];

/// Words between the total watts and around them.
pub(super) const OF_TOTAL: [&str; 20] = [
    "total",
    "output",
    "outputs",
    "out",
    "power",
    "combined",
    "shared",
    "overall",
    "together",
    "altogether",
    "charger",
    "all",
    "ports",
    "pd",
    "rated",
    "up",
    "to",
    "usb",
    "dc",
    "sum",
];

const WATTS_FIRST: &str = "watts stand behind the name of their port, as in C1 65W";

impl Cutter<'_> {
    /// Whether the mains side begins or goes on here.
    pub(super) fn is_input(&self) -> bool {
        const NEAR: usize = 16;
        if self.is_one_of(0, &["input", "ac"]) {
            return true;
        }
        let amps = matches!(self.r.piece(1), Piece::Word(Term::Amps | Term::Milliamps));
        if self.in_input && matches!(self.r.piece(0), Piece::Number(_)) && amps {
            return true;
        }
        (0..NEAR)
            .take_while(|&ahead| {
                let piece = self.r.piece(ahead);
                let ends = piece == Piece::End || is_separator(piece);
                !ends && !self.group_ahead(ahead)
            })
            .any(|ahead| match self.r.piece(ahead) {
                Piece::Tilde | Piece::Word(Term::AlternatingVolts) => true,
                Piece::Number(volts) => {
                    volts >= value::MAINS_V && self.r.piece(ahead + 1) == Piece::Word(Term::Volts)
                }
                _ => self.is_word(ahead, "hz"),
            })
    }

    /// Passes over the mains side: to the next strong separator, port, or output.
    pub(super) fn skip_input(&mut self) {
        self.in_input = true;
        loop {
            self.r.at += 1;
            let piece = self.r.piece(0);
            let ends = matches!(piece, Piece::End | Piece::Semicolon | Piece::Break);
            if ends || self.group_ahead(0) || self.is_one_of(0, &OUTPUT) {
                return;
            }
        }
    }

    /// The total at the current piece, if it is one: words, and one number of watts.
    pub(super) fn total(&mut self) -> bool {
        const NEAR: usize = 24;
        let (mut ahead, mut found, mut words) = (0, None, false);
        while ahead < NEAR {
            if let (Piece::Number(watts), true) = (self.r.piece(ahead), self.watts_ahead(ahead)) {
                if found.is_some() {
                    break;
                }
                let span = self.r.token(ahead).start..self.r.token(ahead + 1).end;
                found = Some((watts, span));
                ahead += 2;
                continue;
            }
            match self.r.piece(ahead) {
                Piece::Word(Term::Max) => words = true,
                Piece::Word(_) if self.is_one_of(ahead, &OF_TOTAL) && !self.group_ahead(ahead) => {
                    // Of the next part, where its watts are still to come.
                    if found.is_some() && self.is_one_of(ahead, &OUTPUT[..3]) && words {
                        break;
                    }
                    words = true;
                }
                Piece::Colon
                | Piece::Dot
                | Piece::Open
                | Piece::Close
                | Piece::Dash
                | Piece::DirectSign => {}
                _ => break,
            }
            ahead += 1;
        }
        let Some((watts, span)) = found else {
            return false;
        };
        let next = self.r.piece(ahead);
        if next != Piece::End && !is_separator(next) && !self.is_one_of(ahead, &OUTPUT) {
            if !self.group_ahead(ahead) {
                return false;
            }
            if !words {
                self.fault(span, WATTS_FIRST.to_owned());
                self.r.at += ahead;
                if let Some(group) = self.group() {
                    self.refused(group);
                }
                return true;
            }
        }
        self.r.at += ahead;
        self.in_input = false;
        match self.parts.total_w {
            Some(before) if (before - watts).abs() > 1e-9 => {
                let message = format!("a second total: {watts} W, and {before} W before it");
                self.fault(span, message);
            }
            _ => {
                self.check_watts(watts, &span);
                self.parts.total_w = Some(watts);
            }
        }
        true
    }
}
