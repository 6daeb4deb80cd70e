//! The watts of a part: `65W`, `(65W Max)`, `45W+20W`, `30W each`.

use std::ops::Range;

use super::parts::Cutter;
use crate::usb::label::token::{Piece, Term};

/// Watts as they stand, one after another.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Powers {
    /// Each with its place.
    pub(super) watts: Vec<(f64, Range<usize>)>,
    /// A second list, behind `=` or in brackets: the sum of the first, or its parts.
    pub(super) other: Vec<(f64, Range<usize>)>,
    /// Joined by `+`.
    pub(super) plus: bool,
    /// `each` stands with them.
    pub(super) each: bool,
    /// `total`, `shared` or the like stands with them.
    pub(super) together: bool,
}

const OPEN: &str = "this bracket is not closed behind the watts";

/// The most pieces that are looked at for the end of a bracket or for watts behind words.
const NEAR: usize = 12;

/// Words that say that watts are those of several ports together.
const TOGETHER: [&str; 6] = [
    "total",
    "shared",
    "combined",
    "together",
    "overall",
    "altogether",
];
const EACH: [&str; 2] = ["each", "per"];

/// Words that say nothing more than the watts beside them.
const NOISE: [&str; 20] = [
    "pd", "qc", "usb", "power", "delivery", "up", "to", "output", "outputs", "out", "port",
    "ports", "fast", "quick", "charge", "charging", "single", "rated", "gan", "only",
];

impl Cutter<'_> {
    /// The watts at the current piece, with the words around them; without any, only the
    /// words are passed over.
    pub(super) fn powers(&mut self, joined: bool) -> Powers {
        let mut powers = Powers::default();
        self.noise(&mut powers);
        self.list(&mut powers, joined);
        if powers.watts.is_empty() {
            return powers;
        }
        self.noise(&mut powers);
        let equals = self.r.piece(0) == Piece::DirectSign && self.watts_ahead(1);
        self.r.at += usize::from(equals);
        if equals || self.bracketed_watts() {
            let mut other = Powers::default();
            self.list(&mut other, true);
            powers.each |= other.each;
            powers.together |= other.together;
            powers.plus |= other.plus;
            powers.other = other.watts;
            self.noise(&mut powers);
        }
        powers
    }

    /// Whether a number of watts stands at a piece.
    pub(super) fn watts_ahead(&self, ahead: usize) -> bool {
        matches!(
            (self.r.piece(ahead), self.r.piece(ahead + 1)),
            (Piece::Number(_), Piece::Word(Term::Watts))
        )
    }

    /// Whether the first of `45+20W` stands at a piece.
    fn sum_ahead(&self, ahead: usize) -> bool {
        matches!(
            (
                self.r.piece(ahead),
                self.r.piece(ahead + 1),
                self.r.piece(ahead + 2)
            ),
            (Piece::Number(_), Piece::Plus, Piece::Number(_))
        )
    }

    /// One list of watts, bracketed or not.
    fn list(&mut self, powers: &mut Powers, joined: bool) {
        let bracket = self.r.token(0).span();
        let is_open = self.bracketed_watts();
        if is_open {
            self.r.at += 1;
            self.noise(powers);
        }
        while self.watts_ahead(0) || self.sum_ahead(0) {
            let Piece::Number(watts) = self.r.piece(0) else {
                break;
            };
            let pieces = 1 + usize::from(self.watts_ahead(0));
            let span = self.r.token(0).start..self.r.token(pieces - 1).end;
            self.r.at += pieces;
            powers.watts.push((watts, span));
            if self.r.piece(0) == Piece::Word(Term::Max) && self.r.piece(1) == Piece::Plus {
                self.r.at += 1;
            }
            let joins = match self.r.piece(0) {
                Piece::Plus | Piece::Slash | Piece::Ampersand => true,
                Piece::Comma => joined,
                _ => false,
            };
            if !joins || !(self.watts_ahead(1) || self.sum_ahead(1)) {
                break;
            }
            powers.plus |= self.r.piece(0) == Piece::Plus;
            self.r.at += 1;
        }
        if is_open {
            self.noise(powers);
            if self.r.piece(0) == Piece::Close {
                self.r.at += 1;
            } else {
                self.fault(bracket, OPEN.to_owned());
            }
        }
    }

    /// Whether a bracket with watts in it begins here: `(65W Max)`, `[max. 45W + 20W]`.
    fn bracketed_watts(&self) -> bool {
        self.r.piece(0) == Piece::Open
            && !self.mark_in_bracket()
            && self
                .in_bracket()
                .any(|ahead| self.watts_ahead(ahead) || self.r.piece(ahead) == Piece::Plus)
    }

    /// The pieces behind a bracket's sign, to its other sign, a line break or a voltage.
    fn in_bracket(&self) -> impl Iterator<Item = usize> {
        (1..NEAR).take_while(|&ahead| {
            let ends = matches!(
                self.r.piece(ahead),
                Piece::Close | Piece::End | Piece::Break
            );
            !ends && !self.r.volts_ahead(ahead)
        })
    }

    fn mark_in_bracket(&self) -> bool {
        matches!(self.r.piece(1), Piece::Word(Term::Pps | Term::Avs))
    }

    /// Where a bracket ends that has nothing but words in it.
    fn bracketed_words(&self) -> Option<usize> {
        if self.r.piece(0) != Piece::Open || self.bracketed_watts() || self.mark_in_bracket() {
            return None;
        }
        let close = 1 + self.in_bracket().count();
        (self.r.piece(close) == Piece::Close).then_some(close)
    }

    /// Whether watts follow a few words, as in `Total output: 65W`: those words are theirs.
    fn words_before_watts(&self) -> bool {
        (0..NEAR)
            .take_while(|&ahead| {
                matches!(
                    self.r.piece(ahead),
                    Piece::Word(_) | Piece::Colon | Piece::Dot
                ) || self.watts_ahead(ahead)
            })
            .any(|ahead| self.watts_ahead(ahead))
    }

    /// Passes over signs and words that say nothing of their own, and notes those that do.
    fn noise(&mut self, powers: &mut Powers) {
        let behind = !powers.watts.is_empty();
        loop {
            match self.r.piece(0) {
                Piece::Colon | Piece::Dot | Piece::Ornament | Piece::Times => self.r.at += 1,
                Piece::Dash | Piece::DirectSign if !behind => self.r.at += 1,
                Piece::Word(Term::Max) if !self.watts_ahead(1) => self.r.at += 1,
                Piece::Word(_) if self.group_ahead(0) => return,
                Piece::Word(_) if behind && self.words_before_watts() => return,
                Piece::Word(term) => {
                    if !self.noise_word(term, powers) {
                        return;
                    }
                }
                Piece::Open => {
                    let Some(close) = self.bracketed_words() else {
                        return;
                    };
                    for _ in 0..close {
                        if let Piece::Word(term) = self.r.piece(0) {
                            let at = self.r.at;
                            self.noise_word(term, powers);
                            self.r.at = at;
                        }
                        self.r.at += 1;
                    }
                    self.r.at += 1;
                }
                _ => return,
            }
        }
    }

    /// Passes over a word, with the number of a version behind it, if it is one of those.
    fn noise_word(&mut self, term: Term, powers: &mut Powers) -> bool {
        let is_one_of = |words: &[&str]| words.iter().any(|word| self.is_word(0, word));
        if is_one_of(&TOGETHER) {
            powers.together = true;
        } else if is_one_of(&EACH) {
            powers.each = true;
        } else if !(matches!(term, Term::Max | Term::PowerRange) || is_one_of(&NOISE)) {
            return false;
        }
        self.r.at += 1;
        let version = matches!(self.r.piece(0), Piece::Number(_))
            && !self.watts_ahead(0)
            && !self.sum_ahead(0)
            && !self.r.volts_ahead(0);
        if version && term != Term::Max {
            self.r.at += 1;
        }
        true
    }
}
