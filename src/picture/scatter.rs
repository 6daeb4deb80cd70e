//! Kits as hours against weight, with those that nothing beats joined.

use std::collections::BTreeSet;

use maud::{Markup, html};

use super::drawing::{Anchor, Drawing, Frame, Label, Labels, Plot, SMALL, STRONG, path};
use super::palette::Px;
use super::scale::{Scale, hour_step, hours, round_step, ticks};
use crate::rank::{Ranked, Ranking};
use crate::report::printable;
use crate::report::quantity::{decimals, time};

/// Dots that are drawn at most of the kits that something beats, and of the others.
const BEATEN: usize = 600;
const UNBEATEN: usize = 300;

/// What is drawn, in hours and grams. Only kits that serve as many devices as the best
/// are set side by side: a kit that leaves somebody out is not quicker for it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Scatter {
    dots: Vec<Dot>,
    /// Indices of the dots that no other beats in hours and weight, the quickest first.
    joined: Vec<usize>,
    /// What is not drawn, in sentences.
    pub(super) left_out: Vec<String>,
}

/// One kit.
#[derive(Debug, Clone, PartialEq)]
struct Dot {
    longest_h: f64,
    weight_g: f64,
    unbeaten: bool,
    name: String,
    /// Its place in the ranking, from 1.
    place: usize,
}

impl Scatter {
    /// Of the kits of a ranking whose weight is known.
    pub(super) fn of(ranking: &Ranking) -> Option<Self> {
        let best = ranking.ranked.first()?;
        let as_good = |kit: &Ranked| {
            kit.unserved_by_priority == best.unserved_by_priority && kit.late == best.late
        };
        let mut unweighed = 0;
        let mut dots = Vec::new();
        for (at, kit) in ranking.ranked.iter().enumerate() {
            match kit.weight_g {
                _ if !as_good(kit) => {}
                None => unweighed += 1,
                Some(weight_g) => dots.push(Dot {
                    longest_h: kit.longest_h,
                    weight_g,
                    unbeaten: kit.unbeaten,
                    name: printable(&kit.candidate.join(" + ")),
                    place: at + 1,
                }),
            }
        }
        let all = dots.len();
        let dots = drawn(dots);
        let left = ranking.ranked.iter().filter(|kit| !as_good(kit)).count();
        let mut left_out = Vec::new();
        let mut say = |count: usize, what: &str| {
            if count > 0 {
                left_out.push(format!("{count} {what}"));
            }
        };
        say(
            left,
            "that leave more devices without a berth, or more late",
        );
        say(unweighed, "of unknown weight");
        say(all - dots.len(), "further down the ranking");
        (!dots.is_empty()).then(|| Self {
            joined: lower_left(&dots),
            dots,
            left_out,
        })
    }

    /// The same in a sentence.
    pub(super) fn words(&self) -> String {
        let named = self.joined.iter().map(|&at| {
            let dot = &self.dots[at];
            format!(
                "{} ({}, {} g)",
                dot.name,
                time(dot.longest_h),
                decimals(dot.weight_g, 1)
            )
        });
        format!(
            "{} kits by the time until the last device is full and by weight. Nothing is both \
             quicker and lighter than: {}.",
            self.dots.len(),
            named.collect::<Vec<_>>().join("; ")
        )
    }

    pub(super) fn draw(&self, frame: Frame) -> Drawing {
        let plot = plot(&self.dots, frame);
        let [left, top, right, bottom] = plot.bounds();
        let at = |dot: &Dot| plot.point(dot.longest_h, dot.weight_g);
        let mut room = Labels::within([left, top, right, bottom]);
        // Equal places are drawn once.
        let mut drawn = BTreeSet::new();
        let mut once = |dot: &&Dot| {
            let (x, y) = at(dot);
            drawn.insert((dot.unbeaten, Px(x).to_tenth(), Px(y).to_tenth()))
        };
        let dots: Vec<&Dot> = self.dots.iter().filter(|dot| once(dot)).collect();
        for dot in dots.iter().filter(|dot| dot.unbeaten) {
            let (x, y) = at(dot);
            room.keep_clear([x - 5.0, y - 5.0, x + 5.0, y + 5.0]);
        }
        let joined: Vec<(f64, f64)> = self.joined.iter().map(|&n| at(&self.dots[n])).collect();
        let labels = self.labels(&plot, &joined, &mut room);
        let body: Markup = html! {
            (plot.axes())
            path d={ "M" (Px(left)) " " (Px(bottom)) "H" (Px(right)) } class="axis" {}
            @for dot in dots.iter().filter(|dot| !dot.unbeaten) {
                @let (x, y) = at(dot);
                circle cx=(Px(x)) cy=(Px(y)) r="3" class="other" { title { (dot.said()) } }
            }
            path d=(path(&joined)) class="line" {}
            @for dot in dots.iter().filter(|dot| dot.unbeaten) {
                @let (x, y) = at(dot);
                circle cx=(Px(x)) cy=(Px(y)) r="4.5" class="ring" { title { (dot.said()) } }
            }
            @for (x, y) in &joined {
                circle cx=(Px(*x)) cy=(Px(*y)) r="4.5" class="ring" {}
                circle cx=(Px(*x)) cy=(Px(*y)) r="2" class="dot" {}
            }
            @for label in &labels { (label.draw("halo")) }
        };
        Drawing {
            width: frame.width,
            height: bottom + 24.0,
            body,
        }
    }

    /// The names of the joined kits, as far as there is room for them.
    fn labels(&self, plot: &Plot, joined: &[(f64, f64)], room: &mut Labels) -> Vec<Label> {
        let [left, _, right, _] = plot.bounds();
        let most = (right - left) * 0.6;
        let mut labels = Vec::new();
        // The first of the ranking is the quickest one that is joined.
        for (n, (&at, &(x, y))) in self.joined.iter().zip(joined).enumerate() {
            let font = if n == 0 { STRONG } else { SMALL };
            let text = font.fitted(&self.dots[at].name, most);
            let label = |dx: f64, dy: f64, anchor: Anchor| Label {
                x: x + dx,
                y: y + dy,
                anchor,
                font,
                text: text.clone(),
            };
            labels.extend(room.place([
                label(9.0, 4.0, Anchor::Start),
                label(9.0, -7.0, Anchor::Start),
                label(-9.0, 14.0, Anchor::End),
                label(9.0, 15.0, Anchor::Start),
                label(-9.0, 4.0, Anchor::End),
                label(0.0, 20.0, Anchor::Middle),
            ]));
        }
        labels
    }
}

impl Dot {
    /// What is shown where a pointer rests on it.
    fn said(&self) -> String {
        let (longest, weight) = (time(self.longest_h), decimals(self.weight_g, 1));
        format!("{}. {}: {longest}, {weight} g", self.place, self.name)
    }
}

/// Of thousands, those that are joined, and the first of the others by the ranking.
fn drawn(dots: Vec<Dot>) -> Vec<Dot> {
    let joined: BTreeSet<usize> = lower_left(&dots).into_iter().collect();
    let (mut beaten, mut unbeaten) = (0, 0);
    let mut keep = |(at, dot): &(usize, Dot)| {
        let (count, most) = if dot.unbeaten {
            (&mut unbeaten, UNBEATEN)
        } else {
            (&mut beaten, BEATEN)
        };
        *count += 1;
        *count <= most || joined.contains(at)
    };
    let kept = dots.into_iter().enumerate().filter(|dot| keep(dot));
    kept.map(|(_, dot)| dot).collect()
}

/// The dots that no other beats in hours and weight, the quickest first.
fn lower_left(dots: &[Dot]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..dots.len()).collect();
    let key = |n: usize| (dots[n].longest_h, dots[n].weight_g);
    order.sort_by(|&a, &b| {
        let ((ha, wa), (hb, wb)) = (key(a), key(b));
        let unbeaten = dots[b].unbeaten.cmp(&dots[a].unbeaten);
        ha.total_cmp(&hb)
            .then(wa.total_cmp(&wb))
            .then(unbeaten)
            .then(a.cmp(&b))
    });
    let mut least = f64::INFINITY;
    order.retain(|&n| {
        let lighter = dots[n].weight_g < least;
        if lighter {
            least = dots[n].weight_g;
        }
        lighter
    });
    order
}

fn plot(dots: &[Dot], frame: Frame) -> Plot {
    let (left, height) = if frame.is_narrow() {
        (52.0, 300.0)
    } else {
        (64.0, 380.0)
    };
    let right = frame.width - 8.0;
    let ends = |value: fn(&Dot) -> f64| {
        let values = dots.iter().map(value);
        (
            values.clone().fold(f64::INFINITY, f64::min),
            values.fold(0.0, f64::max),
        )
    };
    let (first, last) = ends(|dot| dot.longest_h);
    let (lightest, heaviest) = ends(|dot| dot.weight_g);
    let step_h = hour_step(last - first, if frame.is_narrow() { 4 } else { 8 });
    let span_h = (last - first).max(0.25);
    let span_g = (heaviest - lightest).max(20.0);
    let (from_h, to_h) = ((first - span_h * 0.08).max(0.0), last + span_h * 0.08);
    let (from_g, to_g) = (
        (lightest - span_g * 0.12).max(0.0),
        heaviest + span_g * 0.08,
    );
    let grams = |value: f64| format!("{} g", decimals(value, 1));
    Plot {
        x: Scale {
            from: from_h,
            to: to_h,
            start: left,
            end: right,
        },
        y: Scale {
            from: from_g,
            to: to_g,
            start: height,
            end: 6.0,
        },
        x_ticks: ticks(from_h, to_h, step_h.max(1.0 / 12.0), hours),
        y_ticks: ticks(from_g, to_g, round_step(span_g, 6), grams),
    }
}
