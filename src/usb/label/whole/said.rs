//! What the watts of a part say: of one port, of each of several, of several together.

use std::ops::Range;

use super::group::Group;
use super::parts::{Cutter, Declared, Entries};
use super::powers::Powers;
use crate::usb::label::token::Piece;

const NO_UNIT: &str = "a number without its unit: write watts as in C1 65W, volts as in C1: 5V 3A";
const EACH_OR_ALL: &str = "so much each, or together? Write C1/C2: 65W for each of them, C1+C2: 65W Max \
     for both together";
const SEVERAL: &str = "several watts for one port: write C1+C2: 45W+20W for ports in use together, \
     C1 45W; C2 20W for each alone";
const AND_VOLTS: &str =
    "watts of several ports together beside voltages: write them apart, as in C1+C2: 65W Max";

impl Cutter<'_> {
    /// Ports in use together: watts each, or one limit.
    pub(super) fn together(&mut self, group: Group, powers: &Powers) {
        let count = group.terms.len();
        let (watts, other) = (&powers.watts, &powers.other);
        let values = |list: &[(f64, Range<usize>)]| list.iter().map(|&(watts, _)| watts).collect();
        let sum_of = |parts: &[(f64, Range<usize>)], sum: &[(f64, Range<usize>)]| {
            let parts: f64 = parts.iter().map(|(watts, _)| watts).sum();
            sum.iter()
                .find(|(sum, _)| (sum - parts).abs() > 0.005 * parts)
                .map(|(sum, span)| {
                    let message = format!("the watts beside it come to {parts} W, not to {sum} W");
                    (span.clone(), message)
                })
        };
        let (line, wrong): (Vec<f64>, _) = match (watts.len(), other.len()) {
            (1, 0) if powers.each => (vec![watts[0].0; count], None),
            (1, 0) => {
                let limit_w = watts[0].0;
                self.parts.limits.push((group, limit_w));
                return;
            }
            (found, 0 | 1) if found == count => (values(watts), sum_of(watts, other)),
            (1, found) if found == count => (values(other), sum_of(other, watts)),
            (0, _) => {
                let name = self.r.quote(group.span.clone());
                let message =
                    format!("no watts stand behind `{name}`: write them, as in C1+C2: 45W+20W");
                return self.fault(group.span, message);
            }
            (found, _) => {
                let message = format!(
                    "{count} ports and {found} numbers of watts: write one for each, as in C1+C2: 45W+20W"
                );
                return self.fault(group.span, message);
            }
        };
        if let Some((span, message)) = wrong {
            self.fault(span, message);
        }
        self.parts.lines.push((group, line));
    }

    /// One port, or several that are alike.
    pub(super) fn alike(&mut self, group: Group, powers: &Powers, entries: Entries) {
        let several = group.is_several();
        let watts = &powers.watts;
        if watts.len() > 1 {
            let together = several && powers.plus && watts.len() == group.alike().len();
            if together && entries == Entries::None {
                let terms = group.terms.into_iter().flatten();
                let terms = terms.map(|port| vec![port]).collect();
                let group = Group { terms, ..group };
                return self.together(group, powers);
            }
            self.fault(watts[0].1.start..self.r.end(), SEVERAL.to_owned());
            return self.refused(group);
        }
        let limit = several && powers.together && !powers.each;
        match (watts.first(), &entries) {
            (Some((limit_w, span)), entries) if limit => {
                if *entries != Entries::None {
                    self.fault(span.clone(), AND_VOLTS.to_owned());
                    return self.refused(group);
                }
                let limit_w = *limit_w;
                let terms = group.terms.into_iter().flatten();
                let terms = terms.map(|port| vec![port]).collect();
                self.parts.limits.push((Group { terms, ..group }, limit_w));
            }
            (Some((_, span)), Entries::None) if several && group.ampersand && !powers.each => {
                self.fault(span.clone(), EACH_OR_ALL.to_owned());
                self.refused(group);
            }
            (None, Entries::None) if matches!(self.r.piece(0), Piece::Number(_)) => {
                self.fault(self.r.token(0).span(), NO_UNIT.to_owned());
                self.r.at += 1;
                self.refused(group);
            }
            (None, Entries::None) => {
                let name = self.r.quote(group.span.clone());
                let message = format!(
                    "no watts and no voltages stand behind `{name}`: write them, as in C1 65W or C1: 5V 3A"
                );
                self.fault(group.span.clone(), message);
                self.refused(group);
            }
            _ => self.parts.declared.push(Declared {
                watts: watts.first().cloned(),
                ports: group,
                entries,
            }),
        }
    }

    /// Keeps the names of ports of which the rest was refused, for those who name them.
    pub(super) fn refused(&mut self, ports: Group) {
        self.parts.declared.push(Declared {
            ports,
            watts: None,
            entries: Entries::Refused,
        });
    }
}
