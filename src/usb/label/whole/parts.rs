//! A whole label cut into its parts: ports with their watts or voltages, lines of ports in
//! use together, limits, the total.

use std::ops::Range;

use super::HELD;
use super::group::{Group, SEVERAL_TIMES};
use super::total::{OF_TOTAL, OUTPUT};
use crate::usb::LabelEntry;
use crate::usb::label::reader::{Found, Reader, is_separator, read};
use crate::usb::label::token::{Piece, Term};
use crate::usb::label::value;

/// What a label says, by the names that it uses.
#[derive(Debug, Default)]
pub(super) struct Parts {
    pub(super) declared: Vec<Declared>,
    /// Ports in use together, and the watts of each.
    pub(super) lines: Vec<(Group, Vec<f64>)>,
    /// Ports that have so many watts together.
    pub(super) limits: Vec<(Group, f64)>,
    pub(super) total_w: Option<f64>,
}

/// Ports alike, with what is said of them.
#[derive(Debug)]
pub(super) struct Declared {
    pub(super) ports: Group,
    pub(super) watts: Option<(f64, Range<usize>)>,
    pub(super) entries: Entries,
}

/// The voltages of a port.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Entries {
    None,
    /// Its faults are noted.
    Refused,
    Read(Vec<LabelEntry>),
}

/// The most ports that the ranges of one text may stand for: far more than a charger has.
const MOST_IN_RANGES: usize = 4096;

const NO_PORT: &str =
    "no port is named before this: write it, as in USB-C: 5V 3A or USB-A: 5V 2.4A";
const JOINED_VOLTS: &str = "ports in use together have watts, as in C1+C2: 45W+20W, or C1+C2: 15W Max \
     for what they have together";
/// Cuts a text; what it says, and its faults.
pub(super) fn parts(text: &str) -> (Parts, Vec<Found>) {
    let mut cutter = Cutter {
        r: Reader::new(text, HELD),
        parts: Parts::default(),
        in_input: false,
        ranges_left: MOST_IN_RANGES,
    };
    while cutter.r.piece(0) != Piece::End {
        cutter.part();
    }
    (cutter.parts, cutter.r.faults)
}

pub(super) struct Cutter<'text> {
    /// The pieces, and where in them it is.
    pub(super) r: Reader<'text>,
    pub(super) parts: Parts,
    /// Whether the mains side was passed over last.
    pub(super) in_input: bool,
    /// How many ports ranges may still stand for.
    pub(super) ranges_left: usize,
}

impl Cutter<'_> {
    pub(super) fn fault(&mut self, span: Range<usize>, message: String) {
        self.r.fault(span, message);
    }

    pub(super) fn is_word(&self, ahead: usize, word: &str) -> bool {
        let token = self.r.token(ahead);
        matches!(token.piece, Piece::Word(_))
            && self.r.text[token.span()].eq_ignore_ascii_case(word)
    }

    pub(super) fn is_one_of(&self, ahead: usize, words: &[&str]) -> bool {
        words.iter().any(|word| self.is_word(ahead, word))
    }

    /// One part, or the signs before it.
    fn part(&mut self) {
        let token = self.r.token(0);
        match token.piece {
            Piece::Comma
            | Piece::Semicolon
            | Piece::Break
            | Piece::Colon
            | Piece::Dot
            | Piece::Dash
            | Piece::Ornament
            | Piece::Times
            | Piece::Plus
            | Piece::Ampersand
            | Piece::Slash
            | Piece::Word(Term::Or) => self.r.at += 1,
            Piece::DirectSign if !self.r.text[token.span()].contains('=') => self.r.at += 1,
            _ if self.is_input() => self.skip_input(),
            _ if self.group_ahead(0) => self.ports(),
            _ if self.total() => {}
            _ if self.is_one_of(0, &["output", "outputs", "out"]) => self.r.at += 1,
            Piece::Word(Term::Direct) => self.r.at += 1,
            _ => self.no_part(),
        }
    }

    /// What is no part, to where the next may begin.
    fn no_part(&mut self) {
        let span = self.r.with_glued_word();
        let volts =
            self.r.volts_ahead(0) || matches!(self.r.piece(0), Piece::Word(Term::Pps | Term::Avs));
        let message = if volts {
            NO_PORT.to_owned()
        } else if self.is_word(0, "usb") {
            "this does not say which connector it has: write USB-C or USB-A".to_owned()
        } else if matches!(self.r.piece(0), Piece::Number(_)) && self.group_ahead(1) {
            SEVERAL_TIMES.to_owned()
        } else if self.is_word(0, "total") {
            let word = self.r.quote(span.clone());
            format!("no watts stand behind `{word}`: write them, as in Total 65W")
        } else {
            format!(
                "`{}` is not understood: a part is a port with its watts or voltages, as in C1 65W, \
                 ports together, as in C1+C2: 45W+20W, or Total 65W",
                self.r.quote(span.clone())
            )
        };
        self.fault(span, message);
        if volts {
            self.entries_end();
        } else {
            self.skip_to_part();
        }
    }

    /// To the next separator, or the next name of a port.
    fn skip_to_part(&mut self) {
        loop {
            self.r.at += 1;
            let piece = self.r.piece(0);
            if piece == Piece::End || is_separator(piece) || self.group_ahead(0) {
                return;
            }
        }
    }

    /// Ports, and what is said of them.
    fn ports(&mut self) {
        self.in_input = false;
        let Some(group) = self.group() else {
            self.r.at += 1;
            return;
        };
        let mut powers = self.powers(group.is_joined());
        let apart = matches!(self.r.piece(0), Piece::Break | Piece::Comma);
        if powers.watts.is_empty() && apart && (self.watts_behind(1) || self.entry_at(1)) {
            self.r.at += 1;
            powers = self.powers(group.is_joined());
        }
        let volts = self.entries_ahead();
        if group.is_joined() {
            if volts {
                self.fault(group.span.clone(), JOINED_VOLTS.to_owned());
                self.entries_end();
            } else {
                self.together(group, &powers);
            }
        } else {
            let mut entries = Entries::None;
            if volts {
                entries = self.entries();
                if powers.watts.is_empty() {
                    // `20V 5A, 100W Max`.
                    let comma = usize::from(self.r.piece(0) == Piece::Comma);
                    if self.watts_behind(comma) {
                        self.r.at += comma;
                        powers = self.powers(false);
                    }
                }
            }
            self.alike(group, &powers, entries);
        }
        self.part_end();
    }

    /// Whether watts that belong to a port, not to all of them, stand at a piece.
    fn watts_behind(&self, ahead: usize) -> bool {
        let max = ahead + usize::from(self.r.piece(ahead) == Piece::Word(Term::Max));
        self.watts_ahead(max) && !self.is_one_of(max + 2, &OF_TOTAL)
    }

    /// Whether voltages begin here, over line breaks, too.
    fn entries_ahead(&self) -> bool {
        const NEAR: usize = 8;
        let ahead = (0..NEAR)
            .find(|&ahead| {
                !matches!(
                    self.r.piece(ahead),
                    Piece::Break | Piece::Word(Term::Direct | Term::PowerRange) | Piece::Open
                )
            })
            .unwrap_or(NEAR);
        let amps = matches!(
            (self.r.piece(ahead), self.r.piece(ahead + 1)),
            (Piece::Number(_), Piece::Word(Term::Amps | Term::Milliamps))
        );
        (ahead == 0 && amps) || self.entry_at(ahead)
    }

    fn entry_at(&self, ahead: usize) -> bool {
        let mains = matches!(self.r.piece(ahead), Piece::Number(volts) if volts >= value::MAINS_V);
        (self.r.volts_ahead(ahead) && !mains)
            || matches!(self.r.piece(ahead), Piece::Word(Term::Pps | Term::Avs))
    }

    /// The voltages from here to the next part.
    fn entries(&mut self) -> Entries {
        // `(5V 3A, 9V 2A)`, but not `(PPS) 3.3-11V 3A`.
        let bracketed = self.r.piece(0) == Piece::Open && self.r.piece(2) != Piece::Close;
        self.r.at += usize::from(bracketed);
        let start = self.r.token(0).start;
        let end = if bracketed {
            self.bracket_end()
        } else {
            self.entries_end();
            self.r.end().max(start)
        };
        match read(&self.r.text[start..end], HELD) {
            Ok(entries) => Entries::Read(entries),
            Err(faults) => {
                for (span, message) in faults {
                    self.fault(span.start + start..span.end + start, message);
                }
                Entries::Refused
            }
        }
    }

    /// Behind the voltages that begin here.
    fn entries_end(&mut self) {
        loop {
            self.r.at += 1;
            let piece = self.r.piece(0);
            let ends = match piece {
                Piece::End => true,
                Piece::Semicolon | Piece::Break => !self.entries_behind(),
                Piece::Comma => self.watts_ahead(1) || self.watts_behind(1),
                _ => {
                    self.group_ahead(0)
                        || self.is_one_of(0, &OUTPUT)
                        || self.is_one_of(0, &["combined", "shared", "overall", "input"])
                }
            };
            if ends {
                return;
            }
        }
    }

    /// Where the bracket ends that was opened before the current piece; goes behind it.
    fn bracket_end(&mut self) -> usize {
        let mut open = 1_usize;
        loop {
            match self.r.piece(0) {
                Piece::End | Piece::Semicolon | Piece::Break => return self.r.end(),
                Piece::Open => open += 1,
                Piece::Close => open -= 1,
                _ => {}
            }
            let end = self.r.end();
            self.r.at += 1;
            if open == 0 {
                return end;
            }
        }
    }

    /// Whether more voltages of the same port stand behind separators.
    fn entries_behind(&self) -> bool {
        const NEAR: usize = 4;
        (1..=NEAR)
            .find(|&ahead| !matches!(self.r.piece(ahead), Piece::Semicolon | Piece::Break))
            .is_some_and(|ahead| self.entry_at(ahead))
    }

    /// What may stand behind a part: a separator, or the next one.
    fn part_end(&mut self) {
        let and = self.r.piece(0) == Piece::Ampersand || self.is_word(0, "and");
        if and && self.group_ahead(1) {
            self.r.at += 1;
            return;
        }
        let piece = self.r.piece(0);
        if piece == Piece::End
            || is_separator(piece)
            || self.group_ahead(0)
            || self.is_one_of(0, &OF_TOTAL)
            || piece == Piece::Word(Term::Max)
            || self.is_input()
        {
            return;
        }
        let span = self.r.with_glued_word();
        let message = format!(
            "`{}` is not understood here: separate parts by ;",
            self.r.quote(span.clone())
        );
        self.fault(span, message);
        self.skip_to_part();
    }
}
