//! The least watts for each longest time, with what the labels add up to beside it.

use maud::{Markup, html};

use super::drawing::{Anchor, Drawing, Frame, Label, Labels, Plot, SMALL, STRONG, path};
use super::lettering::Font;
use super::palette::Px;
use super::scale::{Scale, hour_step, hours, round_step, ticks};
use crate::decide::size::Sizing;
use crate::units::millionths;
use crate::units::quantity::{time, watts};

/// Points beyond which they are drawn as a line only.
const DOTS: usize = 60;

/// What is drawn, in hours and watts.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Frontier {
    /// The shortest time first.
    points: Vec<(f64, f64)>,
    chosen: Option<(f64, f64)>,
    by_h: Option<f64>,
    labels_w: f64,
}

impl Frontier {
    /// Of a sizing that has a frontier.
    pub(super) fn of(sizing: &Sizing) -> Option<Self> {
        let points: Vec<(f64, f64)> = sizing
            .frontier
            .iter()
            .map(|point| (point.longest_h, point.total_w))
            .collect();
        let is_chosen = |point: &&(f64, f64)| millionths(point.0) == millionths(sizing.longest_h);
        (!points.is_empty()).then(|| Self {
            chosen: points.iter().find(is_chosen).copied(),
            points,
            by_h: sizing.by_h,
            labels_w: sizing.labels_sum_w,
        })
    }

    /// The same in a sentence.
    pub(super) fn words(&self) -> String {
        let pair =
            |&(longest, total): &(f64, f64)| format!("{} for {}", watts(total), time(longest));
        let mut words = match (self.points.first(), self.points.last()) {
            (Some(first), Some(last)) if first != last => {
                format!(
                    "The least watts for each longest time: from {} to {}.",
                    pair(first),
                    pair(last)
                )
            }
            (Some(only), _) => format!("The least watts for the longest time: {}.", pair(only)),
            (None, _) => String::new(),
        };
        if let Some(chosen) = &self.chosen {
            words = format!("{words} Chosen: {}.", pair(chosen));
        }
        words
            + &format!(
                " The labels of the devices add up to {}.",
                watts(self.labels_w)
            )
    }

    pub(super) fn draw(&self, frame: Frame) -> Drawing {
        Laid::out(self, frame).drawing(frame)
    }
}

/// The drawing, decided.
#[derive(Debug)]
struct Laid {
    plot: Plot,
    /// The steps between the points, and the area of what can be had.
    stairs: Vec<(f64, f64)>,
    can: Vec<(f64, f64)>,
    dots: Vec<(f64, f64)>,
    chosen: Option<(f64, f64)>,
    labels_y: f64,
    by_x: Option<f64>,
    /// Each with its class.
    labels: Vec<(Label, &'static str)>,
}

impl Laid {
    fn out(frontier: &Frontier, frame: Frame) -> Self {
        let plot = plot(frontier, frame);
        let [left, top, right, bottom] = plot.bounds();
        let mut stairs = Vec::new();
        for pair in frontier.points.windows(2) {
            stairs.push(plot.point(pair[0].0, pair[0].1));
            stairs.push(plot.point(pair[1].0, pair[0].1));
        }
        if let Some(&(longest, total)) = frontier.points.last() {
            stairs.push(plot.point(longest, total));
            stairs.push((right, plot.y.at(total)));
        }
        let mut can = stairs.clone();
        if let Some(&(x, _)) = stairs.first() {
            can.extend([(right, top), (x, top)]);
        }
        let mut labels = Vec::new();
        let mut room = Labels::within([left, top, right, bottom]);
        let labels_y = plot.y.at(frontier.labels_w);
        room.keep_clear([left, labels_y - 1.0, right, labels_y + 1.0]);
        for pair in stairs.windows(2) {
            let ((x1, y1), (x2, y2)) = (pair[0], pair[1]);
            room.keep_clear([x1 - 3.0, y1.min(y2) - 3.0, x2 + 3.0, y1.max(y2) + 3.0]);
        }
        let said = format!("the labels add up to {}", watts(frontier.labels_w));
        let at = |x: f64, y: f64, anchor: Anchor, font: Font, text: &str| {
            Label::new((x, y), anchor, font, text.to_owned())
        };
        let beside_line = [
            (right - 6.0, labels_y - 6.0),
            (right - 6.0, labels_y + 16.0),
        ];
        let sum = room.place(beside_line.map(|(x, y)| at(x, y, Anchor::End, SMALL, &said)));
        labels.extend(sum.map(|label| (label, "alarm halo")));
        let chosen = frontier
            .chosen
            .map(|(longest, total)| plot.point(longest, total));
        if let (Some((x, y)), Some((longest, total))) = (chosen, frontier.chosen) {
            room.keep_clear([x - 9.0, y - 9.0, x + 9.0, y + 9.0]);
            let said = format!("{}, {}", watts(total), time(longest));
            let places = [
                at(x + 12.0, y - 12.0, Anchor::Start, STRONG, &said),
                at(x + 12.0, y + 22.0, Anchor::Start, STRONG, &said),
                at(x - 8.0, y + 24.0, Anchor::End, STRONG, &said),
                at(x - 12.0, y - 12.0, Anchor::End, STRONG, &said),
                at(right - 4.0, y - 14.0, Anchor::End, STRONG, &said),
                at(left + 4.0, y + 26.0, Anchor::Start, STRONG, &said),
            ];
            labels.extend(room.place(places).map(|label| (label, "halo")));
        }
        let by_x = frontier.by_h.map(|by| plot.x.at(by));
        if let (Some(x), Some(by)) = (by_x, frontier.by_h) {
            let said = format!("needed after {}", time(by));
            let beside = [(x + 6.0, Anchor::Start), (x - 6.0, Anchor::End)];
            let places = beside.map(|(x, anchor)| at(x, bottom - 8.0, anchor, SMALL, &said));
            labels.extend(room.place(places).map(|label| (label, "muted halo")));
        }
        let ends = [frontier.points.last(), frontier.points.first()];
        for &(longest, total) in ends.into_iter().flatten() {
            let (x, y) = plot.point(longest, total);
            let said = format!("{}, {}", watts(total), time(longest));
            let places = [
                at(x - 6.0, y + 17.0, Anchor::End, SMALL, &said),
                at(x + 7.0, y - 7.0, Anchor::Start, SMALL, &said),
                at(x - 4.0, y - 7.0, Anchor::Start, SMALL, &said),
            ];
            if frontier.chosen != Some((longest, total)) {
                labels.extend(room.place(places).map(|label| (label, "muted halo")));
            }
        }
        let dots = frontier
            .points
            .iter()
            .filter(|_| frontier.points.len() <= DOTS);
        Self {
            dots: dots.map(|&(x, y)| plot.point(x, y)).collect(),
            plot,
            stairs,
            can,
            chosen,
            labels_y,
            by_x,
            labels,
        }
    }

    fn drawing(&self, frame: Frame) -> Drawing {
        let [left, top, right, bottom] = self.plot.bounds();
        let body: Markup = html! {
            (self.plot.axes())
            path d={ (path(&self.can)) "Z" } class="can" {}
            path d={ "M" (Px(left)) " " (Px(bottom)) "H" (Px(right)) } class="axis" {}
            @if let Some(x) = self.by_x {
                path d={ "M" (Px(x)) " " (Px(top)) "V" (Px(bottom)) } class="border" {}
            }
            path d={ "M" (Px(left)) " " (Px(self.labels_y)) "H" (Px(right)) } class="naive" {}
            path d=(path(&self.stairs)) class="line" {}
            @for (x, y) in &self.dots {
                circle cx=(Px(*x)) cy=(Px(*y)) r="3" class="dot" {}
            }
            @if let Some((x, y)) = self.chosen {
                path d={ "M" (Px(x)) " " (Px(y - 8.0)) "l8 8l-8 8l-8-8Z" } class="chosen" {}
            }
            @for (label, class) in &self.labels { (label.draw(class)) }
        };
        Drawing {
            width: frame.width,
            height: bottom + 24.0,
            body,
        }
    }
}

/// The axes: from a round time before the first point, and from no watts at all.
fn plot(frontier: &Frontier, frame: Frame) -> Plot {
    let (left, height) = frame.pick((46.0, 250.0), (56.0, 280.0));
    let right = frame.width - 8.0;
    let times = frontier
        .points
        .iter()
        .map(|point| point.0)
        .chain(frontier.by_h);
    let first = times.clone().fold(f64::INFINITY, f64::min);
    let last = times.fold(0.0, f64::max);
    let count = frame.pick(4, 9);
    let step = hour_step(last - first, count).max(1.0 / 12.0);
    let from = ((first / step - 0.2).floor() * step).max(0.0);
    let to = last + (last - from).max(step) * 0.06;
    let most = frontier
        .points
        .iter()
        .map(|point| point.1)
        .fold(frontier.labels_w, f64::max);
    let top_w = most * 1.12;
    Plot {
        x: Scale::new([from, to], [left, right]),
        y: Scale::new([0.0, top_w], [height, 6.0]),
        x_ticks: ticks(from, to, step, hours),
        y_ticks: ticks(0.0, top_w, round_step(top_w, 6), watts),
    }
}
