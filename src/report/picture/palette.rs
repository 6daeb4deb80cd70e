//! Colours and hatches: which look each device has.
//!
//! The fills are the qualitative scheme *light* of Paul Tol, Colour Schemes, technical
//! note SRON/EPS/TN/09-002, issue 3.2 (2021), without its pale grey: made for areas with
//! dark letters on them, and distinct in normal and colour-blind vision. Lines and marks
//! are of the scheme *vibrant* of the same note. No colour says anything alone: every
//! look has a hatch of its own, and every area its name.

use maud::{Markup, Render, html};

use super::drawing::Label;

/// Light blue, orange, mint, light yellow, pink, pear, light cyan, olive.
const FILLS: [&str; 8] = [
    "#77AADD", "#EE8866", "#44BB99", "#EEDD88", "#FFAABB", "#BBCC33", "#99DDFF", "#AAAA00",
];

/// What is drawn over a fill: nothing, or lines and rings on a tile of 8 by 8. One more
/// than there are fills, so that 72 looks differ.
const HATCHES: [&str; 9] = [
    "",
    "M-2 2L2-2M0 8L8 0M6 10L10 6",
    "M2 2h.01M6 6h.01",
    "M0 2H8M0 6H8",
    "M-2 6L2 10M0 0L8 8M6-2L10 2",
    "M2 0V8M6 0V8",
    "M0 8L8 0M0 0L8 8",
    "M4 2.2a1.8 1.8 0 1 0 .01 0",
    "M0 3L2 5L4 3L6 5L8 3",
];

/// How one device is filled, everywhere in a picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Look(pub(super) usize);

impl Look {
    /// The name of its pattern in a drawing whose names begin with `ids`.
    pub(super) fn id(self, ids: &str) -> String {
        format!("{ids}look{}", self.0)
    }

    /// As the value of `fill`.
    pub(super) fn fill(self, ids: &str) -> String {
        format!("url(#{})", self.id(ids))
    }

    /// A label on it, clear of its hatch.
    pub(super) fn on_fill(self, label: &Label) -> Markup {
        html! {
            g stroke=(FILLS[self.0 % FILLS.len()]) class="tag" { (label.draw("onfill")) }
        }
    }

    /// Its pattern, for the `defs` of a drawing.
    pub(super) fn pattern(self, ids: &str) -> Markup {
        let hatch = HATCHES[self.0 % HATCHES.len()];
        html! {
            pattern id=(self.id(ids)) width="8" height="8" patternUnits="userSpaceOnUse" {
                rect width="8" height="8" fill=(FILLS[self.0 % FILLS.len()]) {}
                @if !hatch.is_empty() {
                    path d=(hatch) class="hatch" {}
                }
            }
        }
    }
}

/// A length in the units of a drawing, to a tenth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Px(pub(super) f64);

impl Px {
    /// As it is written.
    pub(super) fn to_tenth(self) -> String {
        crate::units::quantity::decimals(self.0, 1)
    }
}

impl Render for Px {
    fn render_to(&self, buffer: &mut String) {
        buffer.push_str(&self.to_tenth());
    }
}

#[cfg(test)]
mod tests {
    use super::{FILLS, HATCHES};

    #[test]
    fn neighbours_differ_in_fill_and_in_hatch() {
        let looks: Vec<_> = (0..72)
            .map(|n| (FILLS[n % FILLS.len()], HATCHES[n % HATCHES.len()]))
            .collect();
        for (n, look) in looks.iter().enumerate() {
            assert!(!looks[..n].contains(look), "look {n} is there before");
        }
        for pair in looks.windows(2) {
            assert!(pair[0].0 != pair[1].0 && pair[0].1 != pair[1].1, "{pair:?}");
        }
    }
}
