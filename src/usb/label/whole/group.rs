//! The ports before the colon of a part: `C1`, `C1/C2`, `C3-C5`, `2x USB-C`, `C1+C2`.

use std::ops::Range;

use super::parts::Cutter;
use crate::usb::label::port_name::PortName;
use crate::usb::label::token::{Piece, Term};

/// A port that is named, or several by a number before it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Named {
    pub(super) name: PortName,
    /// The 2 of `2x USB-C`.
    pub(super) count: Option<u16>,
    pub(super) span: Range<usize>,
}

/// The ports that a part speaks of.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Group {
    /// The terms between `+`, each with its alternatives; one term where there is no `+`.
    pub(super) terms: Vec<Vec<Named>>,
    pub(super) span: Range<usize>,
    /// Joined by `&`: each of them, or all together.
    pub(super) ampersand: bool,
}

impl Group {
    /// Whether its ports are in use together.
    pub(super) fn is_joined(&self) -> bool {
        self.terms.len() > 1
    }

    /// All ports of a group that is not joined.
    pub(super) fn alike(&self) -> &[Named] {
        &self.terms[0]
    }

    /// Whether it is more than one port.
    pub(super) fn is_several(&self) -> bool {
        let alike = self.alike();
        alike.len() > 1 || alike.iter().any(|port| port.count.unwrap_or(1) > 1)
    }
}

/// The most ports that one range or number may stand for, as many as a setup may have.
const MOST: u16 = 256;

pub(super) const SEVERAL_TIMES: &str = "a number of ports is from 1 to 256, as in 2x USB-C 30W";
const RANGE: &str = "a range of ports goes from the lower to the higher number, as in C3-C5 30W";
const MIXED: &str = "ports in use together are joined by + alone, as in C1+C2+A1, with / for either, as in C1/C2+A1";

/// What stands between two ports.
#[derive(Clone, Copy, PartialEq)]
enum Joint {
    Plus,
    Either,
    Loose,
    Ampersand,
    Range,
}

impl Cutter<'_> {
    /// Whether the name of a port begins at a piece, or a number of them.
    pub(super) fn group_ahead(&self, ahead: usize) -> bool {
        self.port_at(ahead).is_some() || self.counted_at(ahead).is_some()
    }

    fn port_at(&self, ahead: usize) -> Option<PortName> {
        PortName::at(self.r.text, &self.r.tokens, self.r.at + ahead)
    }

    /// The number before a port, and how many pieces it has: `2x`, `2 ×`.
    fn counted_at(&self, ahead: usize) -> Option<(f64, usize)> {
        let Piece::Number(count) = self.r.piece(ahead) else {
            return None;
        };
        let times = is_times(self.r.piece(ahead + 1)) && self.port_at(ahead + 2).is_some();
        times.then_some((count, 2))
    }

    /// The ports at the current piece, of which there is one at least.
    pub(super) fn group(&mut self) -> Option<Group> {
        let start = self.r.token(0).start;
        let mut terms = vec![vec![self.named()?]];
        let (mut loose, mut ampersand) = (None, false);
        while let Some((joint, pieces)) = self.joint() {
            self.r.at += pieces;
            let from = self.r.token(0).start;
            if joint == Joint::Range {
                let Some(first) = terms.last().and_then(|term| term.last()).cloned() else {
                    break;
                };
                let more = self.range_from(&first);
                terms.last_mut()?.extend(more);
                loose = loose.or(Some(from));
                continue;
            }
            let Some(next) = self.named() else {
                break;
            };
            match joint {
                Joint::Plus => terms.push(Vec::new()),
                Joint::Ampersand => ampersand = true,
                Joint::Loose => loose = loose.or(Some(from)),
                Joint::Either | Joint::Range => {}
            }
            terms.last_mut()?.push(next);
        }
        let span = start..self.r.end();
        let counted = terms.iter().flatten().any(|port| port.count.is_some());
        if terms.len() > 1 && (loose.is_some() || ampersand || counted) {
            self.fault(span.clone(), MIXED.to_owned());
        }
        Some(Group {
            terms,
            span,
            ampersand,
        })
    }

    /// What joins the next port to those before it, and how many pieces it has.
    fn joint(&self) -> Option<(Joint, usize)> {
        let joint = match self.r.piece(0) {
            Piece::Plus => Joint::Plus,
            Piece::Slash | Piece::Word(Term::Or) => Joint::Either,
            Piece::Comma => Joint::Loose,
            Piece::Ampersand => Joint::Ampersand,
            Piece::Word(_) if self.is_word(0, "and") => Joint::Ampersand,
            Piece::Dash | Piece::Tilde => Joint::Range,
            Piece::Word(_) if self.is_word(0, "to") => Joint::Range,
            _ => return self.group_ahead(0).then_some((Joint::Loose, 0)),
        };
        if self.group_ahead(1) {
            return Some((joint, 1));
        }
        // `C3-5`, but not the sign of `C3-5V 3A` and `C1 - 65W`.
        let ends = match self.r.piece(2) {
            Piece::Word(term) => !term.is_unit(),
            piece => !matches!(piece, Piece::Plus | Piece::Slash | Piece::Dash),
        };
        let bare = matches!(self.r.piece(1), Piece::Number(_)) && ends;
        (joint == Joint::Range && bare).then_some((joint, 1))
    }

    /// One port, with the number of them before or behind it.
    fn named(&mut self) -> Option<Named> {
        let start = self.r.token(0).start;
        let mut count = None;
        if let Some((before, pieces)) = self.counted_at(0) {
            count = Some(before);
            self.r.at += pieces;
        }
        let name = self.port_at(0)?;
        self.r.at += name.pieces;
        let open = usize::from(self.r.piece(0) == Piece::Open);
        let behind = match (self.r.piece(open), self.r.piece(open + 1)) {
            (times, Piece::Number(behind)) if is_times(times) && !self.watts_ahead(open + 1) => {
                Some(behind)
            }
            (Piece::Number(behind), times) if open == 1 && is_times(times) => Some(behind),
            _ => None,
        };
        let closed = open == 0 || self.r.piece(open + 2) == Piece::Close;
        if let Some(behind) = behind
            && closed
            && count.is_none()
        {
            count = Some(behind);
            self.r.at += 2 + 2 * open;
        }
        let span = start..self.r.end();
        let count = match count {
            None => None,
            Some(count)
                if name.number.is_none()
                    && count.fract() == 0.0
                    && (1.0..=f64::from(MOST)).contains(&count) =>
            {
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "whole, from 1 to 256"
                )]
                Some(count as u16)
            }
            Some(_) => {
                self.fault(span.clone(), SEVERAL_TIMES.to_owned());
                None
            }
        };
        Some(Named { name, count, span })
    }

    /// The ports behind the first of a range, up to its last.
    fn range_from(&mut self, first: &Named) -> Vec<Named> {
        let start = self.r.token(0).start;
        let last = match (self.r.piece(0), self.port_at(0)) {
            (Piece::Number(last), _) => {
                self.r.at += 1;
                Some(last)
            }
            (_, Some(last)) => {
                self.r.at += last.pieces;
                let alike = last.connector == first.name.connector;
                last.number.filter(|_| alike).map(f64::from)
            }
            _ => None,
        };
        let span = start..self.r.end();
        let from = first.name.number;
        let (Some(from), Some(last)) = (from, last) else {
            self.fault(span, RANGE.to_owned());
            return Vec::new();
        };
        let numbers = (from + 1..=from.saturating_add(MOST)).take_while(|&n| f64::from(n) <= last);
        let more: Vec<Named> = numbers
            .map(|number| Named {
                name: PortName {
                    number: Some(number),
                    ..first.name.clone()
                },
                count: None,
                span: span.clone(),
            })
            .collect();
        let reached = more.last().and_then(|port| port.name.number).map(f64::from);
        if reached != Some(last) || more.len() > self.ranges_left {
            self.fault(span, RANGE.to_owned());
            return Vec::new();
        }
        self.ranges_left -= more.len();
        more
    }
}

fn is_times(piece: Piece) -> bool {
    matches!(piece, Piece::Times | Piece::Word(Term::Times))
}
