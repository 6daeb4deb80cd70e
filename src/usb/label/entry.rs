//! One entry of a label: its voltages, its current, its watts, each checked.

use std::ops::Range;

use super::reader::{Reader, is_separator, is_sign, is_volts};
use super::token::{Piece, Term};
use super::{MAX_ENTRIES, value};
use crate::usb::{LabelEntry, LabelVolts, Mark};

/// The voltage part of one entry.
struct VoltsPart {
    /// Each voltage or range, with where it stands.
    items: Vec<(LabelVolts, Range<usize>)>,
    span: Range<usize>,
    is_mains: bool,
    /// A range written with `~`.
    tilde: bool,
}

impl Reader<'_> {
    pub(super) fn entry(&mut self) {
        let faults_before = self.faults.len();
        self.words = None;
        self.entry_in_line = true;
        let Some(mut volts) = self.volts() else {
            return self.skip_part();
        };
        let Some(amps) = self.amps(&volts) else {
            return self.skip_part();
        };
        let mut watts = self.watts(&volts, amps);
        self.skip_power_range();
        if self.mark_behind(&mut volts) {
            watts = watts.or_else(|| self.watts(&volts, amps));
        }
        self.entry_end();
        if self.faults.len() > faults_before {
            return;
        }
        if self.entries.len() + volts.items.len() > MAX_ENTRIES {
            self.full = true;
            return self.fault(volts.span, value::too_many());
        }
        let entries = volts.items.into_iter().map(|(volts, _)| {
            // The watts of `5V/9V 2A 18W` are those of 9 V, and no limit at 5 V.
            let most_w = value::bounds(volts).1 * amps;
            let watts = watts.filter(|&watts| value::check_watts(watts, most_w).is_none());
            LabelEntry {
                volts,
                amps,
                watts: watts.unwrap_or(f64::INFINITY),
            }
        });
        self.entries.extend(entries);
    }

    /// The voltages of an entry, checked; nothing where the rest of the part cannot be
    /// read with them.
    fn volts(&mut self) -> Option<VoltsPart> {
        let part = self.volts_written();
        let open_mark = self.open_mark.take();
        if part.is_mains {
            self.mains_in_line = true;
            self.fault(part.span, value::MAINS.to_owned());
            return None;
        }
        if part.tilde {
            self.fault(part.span.clone(), value::TILDE_RANGE.to_owned());
        }
        let several = part.items.len() > 1;
        let mut has_range = false;
        for (volts, span) in &part.items {
            let (low_v, high_v) = value::bounds(*volts);
            if let Some(message) = self.wrong_volts(low_v, high_v) {
                self.fault(span.clone(), message);
            }
            if let LabelVolts::Range { .. } = volts {
                has_range = true;
                if low_v >= high_v && high_v > 0.0 {
                    self.fault(span.clone(), value::REVERSED.to_owned());
                }
            }
        }
        if has_range && several {
            self.fault(part.span.clone(), value::SEVERAL_RANGES.to_owned());
        }
        if !has_range {
            self.mark = Mark::None;
            self.mark_behind = None;
            if let (Some(mark), Some((_, first))) = (open_mark, part.items.first()) {
                let message =
                    value::marked_single(&self.text[mark.clone()], &self.text[first.clone()]);
                self.fault(mark.start..first.end, message);
            }
        }
        Some(part)
    }

    /// What is wrong with the ends of a range; a single voltage is both.
    fn wrong_volts(&self, low_v: f64, high_v: f64) -> Option<String> {
        [low_v, high_v]
            .into_iter()
            .find_map(|volts| value::check_volts(volts, self.held.volts))
    }

    /// The voltages as they stand: `5V`, `5V/9V/12V`, `3.3-11V`.
    fn volts_written(&mut self) -> VoltsPart {
        let start = self.token(0).start;
        let before = self.at.checked_sub(1).map(|at| self.tokens[at].piece);
        let mut part = VoltsPart {
            items: Vec::new(),
            span: start..start,
            is_mains: before == Some(Piece::Word(Term::Alternating)),
            tilde: false,
        };
        loop {
            let start = self.token(0).start;
            let low_v = self.one_voltage(&mut part);
            let volts = if self.range_ahead(0) {
                part.tilde |= self.piece(0) == Piece::Tilde;
                self.at += 1;
                LabelVolts::Range {
                    low_v,
                    high_v: self.one_voltage(&mut part),
                    mark: self.mark,
                }
            } else {
                LabelVolts::Single(low_v)
            };
            part.items.push((volts, start..self.end()));
            if self.piece(0) == Piece::Slash && self.volts_ahead(1) {
                self.at += 1;
            } else {
                break;
            }
        }
        while matches!(self.piece(0), Piece::Tilde | Piece::Word(Term::Alternating)) {
            part.is_mains = true;
            self.at += 1;
        }
        part.span.end = self.end();
        part
    }

    fn one_voltage(&mut self, part: &mut VoltsPart) -> f64 {
        let Piece::Number(volts) = self.piece(0) else {
            return f64::NAN;
        };
        part.is_mains |= volts >= value::MAINS_V;
        self.at += 1;
        if is_volts(self.piece(0)) {
            part.is_mains |= self.piece(0) == Piece::Word(Term::AlternatingVolts);
            self.at += 1;
        }
        volts
    }

    /// The current of an entry, with the sign before it, checked.
    fn amps(&mut self, volts: &VoltsPart) -> Option<f64> {
        self.skip(Piece::Word(Term::Direct));
        if is_sign(self.piece(0)) || self.comma_before_amps() {
            self.at += 1;
        }
        self.skip(Piece::Word(Term::Direct));
        let span = self.token(0).start..self.token(1).end;
        let amps = match (self.piece(0), self.piece(1)) {
            (Piece::Number(amps), Piece::Word(Term::Amps)) => amps,
            (Piece::Number(milliamps), Piece::Word(Term::Milliamps)) => {
                if value::reads_as_thousands(&self.text[self.token(0).span()]) {
                    self.fault(span.clone(), value::THOUSANDS.to_owned());
                }
                milliamps / 1000.0
            }
            _ => {
                self.no_current(volts);
                return None;
            }
        };
        self.at += 2;
        if let Some(message) = value::check_amps(amps, self.held) {
            self.fault(span, message);
        }
        Some(amps)
    }

    /// The comma of `5 VDC, 3 A`.
    fn comma_before_amps(&self) -> bool {
        matches!(
            (self.piece(0), self.piece(1), self.piece(2)),
            (
                Piece::Comma,
                Piece::Number(_),
                Piece::Word(Term::Amps | Term::Milliamps)
            )
        )
    }

    /// A voltage that no current follows: points at what stands in its place, else at
    /// the voltage.
    fn no_current(&mut self, volts: &VoltsPart) {
        let token = self.token(0);
        let part = self.with_glued_word();
        let (span, message) = match (token.piece, self.piece(1)) {
            (Piece::Malformed, _) => (token.span(), value::MALFORMED.to_owned()),
            (Piece::Number(_), Piece::Word(Term::Watts)) => {
                (volts.span.clone(), value::NO_CURRENT.to_owned())
            }
            (Piece::Number(_), _) if !self.volts_ahead(0) => {
                (part, value::NOT_A_CURRENT.to_owned())
            }
            (Piece::Word(Term::Pps | Term::Avs), _) => (part, value::LATE_MARK.to_owned()),
            (Piece::Word(term), _) if term != Term::Or => {
                let message = value::not_between(&self.quote(part.clone()));
                (part, message)
            }
            (Piece::Other | Piece::Tilde, _) => {
                let message = value::not_between(&self.quote(part.clone()));
                (part, message)
            }
            _ => (volts.span.clone(), value::NO_CURRENT.to_owned()),
        };
        self.fault(span, message);
    }

    /// The watts after an entry, bracketed or not, `max` or not, checked.
    fn watts(&mut self, volts: &VoltsPart, amps: f64) -> Option<f64> {
        self.skip_max();
        let product = matches!(self.piece(0), Piece::Slash | Piece::DirectSign)
            && matches!(self.piece(1), Piece::Number(_))
            && self.piece(2) == Piece::Word(Term::Watts);
        self.at += usize::from(product);
        let is_open = self.piece(0) == Piece::Open;
        let bracket = self.token(0).span();
        let mut ahead = usize::from(is_open);
        if self.piece(ahead) == Piece::Word(Term::Max) {
            ahead += 1;
            if matches!(self.piece(ahead), Piece::Dot | Piece::Colon) {
                ahead += 1;
            }
        }
        let (Piece::Number(watts), Piece::Word(Term::Watts)) =
            (self.piece(ahead), self.piece(ahead + 1))
        else {
            return None;
        };
        let span = self.token(ahead).start..self.token(ahead + 1).end;
        self.at += ahead + 2;
        self.skip_max();
        if is_open {
            if self.piece(0) == Piece::Close {
                self.at += 1;
                self.skip_max();
            } else {
                self.fault(bracket, value::OPEN_BRACKET.to_owned());
            }
        }
        let most_w = volts
            .items
            .iter()
            .map(|(volts, _)| value::bounds(*volts).1 * amps)
            .fold(0.0, f64::max);
        if let Some(message) = value::check_watts(watts, most_w) {
            self.fault(span, message);
        }
        Some(watts)
    }

    /// Passes over `max`, `max.`, `(max)`.
    fn skip_max(&mut self) {
        if self.piece(0) == Piece::Word(Term::Max) {
            self.at += 1;
            self.skip(Piece::Dot);
        } else if self.piece(0) == Piece::Open && self.piece(1) == Piece::Word(Term::Max) {
            let dot = usize::from(self.piece(2) == Piece::Dot);
            if self.piece(2 + dot) == Piece::Close {
                self.at += 3 + dot;
            }
        }
    }

    /// Passes over `EPR`, `(SPR)`.
    fn skip_power_range(&mut self) {
        const NAME: Piece = Piece::Word(Term::PowerRange);
        match (self.piece(0), self.piece(1), self.piece(2)) {
            (Piece::Open, NAME, Piece::Close) => self.at += 3,
            (NAME, ..) => self.at += 1,
            _ => {}
        }
    }

    /// Takes the mark behind its range, bracketed or not: `3.3-11V 3A (PPS)`. A mark that
    /// more follows is left to what follows.
    fn mark_behind(&mut self, part: &mut VoltsPart) -> bool {
        let (found, bracketed, pieces) = match (self.piece(0), self.piece(1), self.piece(2)) {
            (Piece::Open, Piece::Word(term), Piece::Close) => (term, true, 3),
            (Piece::Word(term), ..) => (term, false, 1),
            _ => return self.unmarked(part),
        };
        let found = match found {
            Term::Pps => Mark::Pps,
            Term::Avs => Mark::Avs,
            _ => return self.unmarked(part),
        };
        let word = self.token(usize::from(bracketed)).span();
        let before_next = self.mark_before_next(pieces);
        let Some((LabelVolts::Range { mark, .. }, _)) = part.items.last_mut() else {
            if before_next {
                return false;
            }
            self.at += pieces;
            self.fault(word, value::LATE_MARK.to_owned());
            return true;
        };
        if before_next && !bracketed {
            if *mark == Mark::None {
                self.fault(word, value::EITHER_MARK.to_owned());
            }
            return false;
        }
        self.at += pieces;
        if *mark == Mark::None {
            *mark = found;
            self.mark_behind = Some(found);
        } else if *mark != found {
            self.fault(word, value::LATE_MARK.to_owned());
        }
        true
    }

    /// A range without a mark after one whose mark stood behind it: whether that mark is its
    /// own, too, is not said.
    fn unmarked(&mut self, part: &VoltsPart) -> bool {
        if let [(LabelVolts::Range { mark, .. }, span)] = part.items.as_slice()
            && *mark == Mark::None
            && self.mark_behind.is_some()
        {
            self.fault(span.clone(), value::UNMARKED.to_owned());
        }
        false
    }

    /// Whether a mark of so many pieces may be that of an entry behind it.
    fn mark_before_next(&self, pieces: usize) -> bool {
        self.piece(pieces) == Piece::Colon || self.volts_ahead(pieces)
    }

    /// What may stand behind an entry: a separator, `/` or blanks before the next one.
    fn entry_end(&mut self) {
        self.skip(Piece::Word(Term::Direct));
        self.skip(Piece::Dot);
        let piece = self.piece(0);
        if matches!(piece, Piece::Slash | Piece::Ornament) {
            self.at += 1;
            return;
        }
        let bracketed_mark =
            piece == Piece::Open && matches!(self.piece(1), Piece::Word(Term::Pps | Term::Avs));
        let next = match piece {
            Piece::Number(_) => self.volts_ahead(0),
            Piece::Word(Term::Pps | Term::Avs) => self.mark_before_next(1),
            Piece::Word(_) => self.port_name().is_some(),
            _ => bracketed_mark,
        };
        if next || piece == Piece::End || is_separator(piece) {
            return;
        }
        let part = self.with_glued_word();
        let message = match piece {
            Piece::Word(Term::Pps | Term::Avs) => value::LATE_MARK.to_owned(),
            _ => value::not_after(&self.quote(part.clone())),
        };
        self.fault(part, message);
        self.skip_part();
    }
}
