//! A drawing: a piece of SVG with its size, and what plots have in common.

use maud::{Markup, html};

use super::lettering::Font;
use super::palette::Px;
use super::scale::{Scale, Tick};

/// Letters of names and facts.
pub(super) const TEXT: Font = Font::plain(13.0);
/// Letters of names that matter.
pub(super) const STRONG: Font = Font::bold(13.0);
/// Letters of ticks and notes.
pub(super) const SMALL: Font = Font::plain(11.0);

/// What a drawing is made for.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frame<'a> {
    /// How wide it is to be.
    pub(super) width: f64,
    /// What the names in it begin with, so that two on one page do not meet.
    pub(super) ids: &'a str,
}

impl Frame<'_> {
    /// Whether it is for a page as wide as a phone.
    pub(super) fn is_narrow(self) -> bool {
        self.width < 500.0
    }

    /// What is for such a page, or what is for a wider one.
    pub(super) fn pick<T>(self, narrow: T, wide: T) -> T {
        if self.is_narrow() { narrow } else { wide }
    }
}

/// A piece of SVG from (0, 0) to (`width`, `height`).
#[derive(Debug)]
pub(super) struct Drawing {
    pub(super) width: f64,
    pub(super) height: f64,
    pub(super) body: Markup,
}

/// Which end of a text stands at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// A text with its place: `y` is its base line.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Label {
    pub(super) x: f64,
    pub(super) y: f64,
    pub(super) anchor: Anchor,
    pub(super) font: Font,
    pub(super) text: String,
}

impl Label {
    pub(super) fn new(
        (x, y): (f64, f64),
        anchor: Anchor,
        font: Font,
        text: impl Into<String>,
    ) -> Self {
        Self {
            x,
            y,
            anchor,
            font,
            text: text.into(),
        }
    }

    /// Left, top, right and bottom of what it takes.
    fn bounds(&self) -> [f64; 4] {
        let width = self.font.width(&self.text);
        let left = match self.anchor {
            Anchor::Start => self.x,
            Anchor::Middle => self.x - width / 2.0,
            Anchor::End => self.x - width,
        };
        let size = self.font.size;
        [
            left,
            self.y - size * 0.95,
            left + width,
            self.y + size * 0.3,
        ]
    }

    pub(super) fn draw(&self, class: &str) -> Markup {
        let anchor = match self.anchor {
            Anchor::Start => "",
            Anchor::Middle => " mid",
            Anchor::End => " end",
        };
        let size = if self.font.size < TEXT.size {
            " small"
        } else {
            ""
        };
        let weight = if self.font.bold { " strong" } else { "" };
        html! {
            text x=(Px(self.x)) y=(Px(self.y)) class={ (class) (anchor) (size) (weight) } { (self.text) }
        }
    }
}

/// Labels that keep clear of each other.
#[derive(Debug)]
pub(super) struct Labels {
    /// The place that there is: left, top, right, bottom.
    within: [f64; 4],
    taken: Vec<[f64; 4]>,
}

impl Labels {
    pub(super) fn within(within: [f64; 4]) -> Self {
        Self {
            within,
            taken: Vec::new(),
        }
    }

    /// Keeps what is drawn here free of labels.
    pub(super) fn keep_clear(&mut self, bounds: [f64; 4]) {
        self.taken.push(bounds);
    }

    /// The first of `places` that is free.
    pub(super) fn place(&mut self, places: impl IntoIterator<Item = Label>) -> Option<Label> {
        let [left, top, right, bottom] = self.within;
        let free = |label: &Label| {
            let [l, t, r, b] = label.bounds();
            l >= left
                && t >= top
                && r <= right
                && b <= bottom
                && self
                    .taken
                    .iter()
                    .all(|&[tl, tt, tr, tb]| r < tl || tr < l || b < tt || tb < t)
        };
        let label = places.into_iter().find(free)?;
        self.taken.push(label.bounds());
        Some(label)
    }
}

/// The two axes of a plot, and what is named on them.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Plot {
    pub(super) x: Scale,
    pub(super) y: Scale,
    pub(super) x_ticks: Vec<Tick>,
    pub(super) y_ticks: Vec<Tick>,
}

impl Plot {
    pub(super) fn point(&self, x: f64, y: f64) -> (f64, f64) {
        (self.x.at(x), self.y.at(y))
    }

    /// Left, top, right and bottom of it.
    pub(super) fn bounds(&self) -> [f64; 4] {
        [self.x.start, self.y.end, self.x.end, self.y.start]
    }

    /// Fine lines at the ticks, and their labels below and on the left.
    pub(super) fn axes(&self) -> Markup {
        let [left, top, right, bottom] = self.bounds();
        html! {
            @for tick in &self.y_ticks {
                @let y = self.y.at(tick.at);
                path d={ "M" (Px(left)) " " (Px(y)) "H" (Px(right)) } class="grid" {}
                (Label::new((left - 6.0, y + 4.0), Anchor::End, SMALL, tick.label.clone()).draw("muted"))
            }
            (self.x_lines(top, bottom))
            (self.x_labels(bottom + 15.0))
        }
    }

    /// Fine upright lines at the ticks.
    pub(super) fn x_lines(&self, top: f64, bottom: f64) -> Markup {
        html! {
            @for tick in &self.x_ticks {
                path d={ "M" (Px(self.x.at(tick.at))) " " (Px(top)) "V" (Px(bottom)) } class="grid" {}
            }
        }
    }

    /// What stands under them, none outside the drawing.
    pub(super) fn x_labels(&self, y: f64) -> Markup {
        html! {
            @for tick in &self.x_ticks {
                @let x = self.x.at(tick.at);
                @let half = SMALL.width(&tick.label) / 2.0;
                @let x = x.min(self.x.end + END_ROOM - half).max(half);
                (Label::new((x, y), Anchor::Middle, SMALL, tick.label.clone()).draw("muted"))
            }
        }
    }
}

/// What is left beside the end of an axis for half of a tick's label.
pub(super) const END_ROOM: f64 = 4.0;

/// `from`, and on in steps.
pub(super) fn steps(from: f64, step: f64) -> impl Iterator<Item = f64> {
    (0_u16..).map(move |n| from + step * f64::from(n))
}

/// A line through points, to a tenth of a unit; what lies on a straight line between
/// others is left out.
pub(super) fn path(points: &[(f64, f64)]) -> String {
    use std::fmt::Write as _;
    let mut path = String::new();
    for (n, (x, y)) in thinned(points).into_iter().enumerate() {
        let command = if n == 0 { 'M' } else { 'L' };
        // Writing to a string never fails.
        let _ = write!(path, "{command}{} {}", short(x), short(y));
    }
    path
}

fn short(value: f64) -> String {
    crate::units::quantity::decimals(value, 1)
}

/// What a point may be off the line that replaces it.
const FLAT: f64 = 0.15;

/// The points without those that lie on the line between their neighbours that stay.
fn thinned(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut kept = vec![false; points.len()];
    let mut open = Vec::new();
    if let Some(last) = points.len().checked_sub(1) {
        kept[0] = true;
        kept[last] = true;
        open.push((0, last));
    }
    // Ramer, Douglas and Peucker: the point that is farthest off splits a stretch.
    while let Some((from, to)) = open.pop() {
        let off = |at: &usize| off_line(points[*at], points[from], points[to]);
        let farthest = (from + 1..to).max_by(|a, b| off(a).total_cmp(&off(b)));
        if let Some(at) = farthest.filter(|at| off(at) > FLAT) {
            kept[at] = true;
            open.extend([(from, at), (at, to)]);
        }
    }
    let kept = points.iter().zip(kept).filter(|(_, kept)| *kept);
    kept.map(|(point, _)| *point).collect()
}

/// How far a point lies from the stretch between two others.
fn off_line((x, y): (f64, f64), (x1, y1): (f64, f64), (x2, y2): (f64, f64)) -> f64 {
    let (dx, dy) = (x2 - x1, y2 - y1);
    let length = dx.hypot(dy);
    if length == 0.0 {
        return (x - x1).hypot(y - y1);
    }
    let along = (((x - x1) * dx + (y - y1) * dy) / (length * length)).clamp(0.0, 1.0);
    (x - x1 - along * dx).hypot(y - y1 - along * dy)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_keeps_its_corners_only() {
        for (points, drawn) in [
            (vec![], ""),
            (vec![(1.0, 2.0)], "M1 2"),
            (
                vec![(0.0, 0.0), (1.0, 1.0), (2.0, 2.0), (2.0, 5.0)],
                "M0 0L2 2L2 5",
            ),
            (vec![(0.0, 0.0), (4.0, 0.0), (1.0, 0.0)], "M0 0L4 0L1 0"),
        ] {
            assert_eq!(path(&points), drawn);
        }
    }

    #[test]
    fn labels_keep_clear_of_each_other_and_inside() {
        let label = |x: f64, y: f64| Label::new((x, y), Anchor::Start, TEXT, "65 W".to_owned());
        let mut labels = Labels::within([0.0, 0.0, 100.0, 50.0]);
        labels.keep_clear([0.0, 0.0, 10.0, 40.0]);
        assert!(
            labels.place([label(5.0, 20.0)]).is_none(),
            "over what is kept clear"
        );
        assert!(labels.place([label(80.0, 20.0)]).is_none(), "over the edge");
        assert_eq!(labels.place([label(15.0, 20.0)]).map(|l| l.x), Some(15.0));
        assert!(
            labels.place([label(30.0, 22.0)]).is_none(),
            "over the first"
        );
        let second = labels.place([label(30.0, 22.0), label(15.0, 40.0)]);
        assert_eq!(second.map(|l| l.y), Some(40.0));
    }
}
