//! Kits as hours against weight, with those that nothing beats joined.
//!
//! A kit that leaves somebody out is not quicker for it, so kits are told apart by how
//! many devices they leave without a berth or late, and joined among their like only.

use std::collections::BTreeSet;

use maud::{Markup, html};

use super::drawing::{Anchor, Drawing, Frame, Label, Labels, Plot, SMALL, STRONG, path};
use super::palette::Px;
use super::scale::{Scale, hour_step, hours, round_step, ticks};
use crate::decide::rank::{Ranked, Ranking};
use crate::report::printable;
use crate::units::quantity::{decimals, time};

/// Dots that are drawn at most of the kits that something beats, and of the others.
const BEATEN: usize = 600;
const UNBEATEN: usize = 300;

/// Kinds that have a mark of their own; the kits of all further ones share the last.
const KINDS: usize = 4;

/// What is drawn, in hours and grams.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Scatter {
    /// What the dots are: kits.
    what: &'static str,
    /// In the order of the ranking.
    dots: Vec<Dot>,
    /// The best first.
    kinds: Vec<Kind>,
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
    /// What stands beside it.
    beside: String,
    /// Its place in the ranking, from 1.
    place: usize,
    kind: usize,
}

/// Kits that leave as many devices without a berth, and as many late.
#[derive(Debug, Clone, PartialEq)]
struct Kind {
    name: String,
    /// Indices of its unbeaten dots that no other of them beats in hours and weight, the
    /// quickest first.
    joined: Vec<usize>,
    /// Indices of those with something beside them, as far as there is room.
    labelled: Vec<usize>,
}

/// A bag as a dot.
pub(super) struct BagDot {
    pub(super) longest_h: f64,
    pub(super) weight_g: f64,
    pub(super) name: String,
    /// What stands beside it.
    pub(super) beside: String,
    /// What it is told apart by, in words.
    pub(super) kind: String,
}

impl Scatter {
    /// Of bags of which no other beats one, the best first; kinds in the order in which they
    /// come. Nothing where fewer than two can be drawn.
    pub(super) fn of_bags(bags: Vec<BagDot>, mut names: Vec<String>) -> Option<Self> {
        if bags.len() < 2 {
            return None;
        }
        let kind_of = |kind: &String| names.iter().position(|name| name == kind).unwrap_or(0);
        let dots: Vec<Dot> = bags
            .into_iter()
            .enumerate()
            .map(|(at, bag)| Dot {
                longest_h: bag.longest_h,
                weight_g: bag.weight_g,
                unbeaten: true,
                kind: kind_of(&bag.kind).min(KINDS - 1),
                name: bag.name,
                beside: bag.beside,
                place: at + 1,
            })
            .collect();
        if names.len() > KINDS {
            let rest = names.split_off(KINDS - 1);
            names.push(rest.join(" or "));
        }
        let kinds = names.into_iter().enumerate().map(|(n, name)| Kind {
            name,
            joined: lower_left(&dots, n),
            labelled: (0..dots.len()).filter(|&at| dots[at].kind == n).collect(),
        });
        let kinds = kinds.collect();
        Some(Self {
            what: "bags",
            dots,
            kinds,
            left_out: Vec::new(),
        })
    }

    /// Of the kits of a ranking whose weight is known.
    pub(super) fn of(ranking: &Ranking) -> Option<Self> {
        let mut counts: Vec<(usize, usize)> = Vec::new();
        let (mut unweighed, mut never) = (0, 0);
        let mut dots = Vec::new();
        for (at, kit) in ranking.ranked.iter().enumerate() {
            let Some(weight_g) = kit.weight_g else {
                unweighed += 1;
                continue;
            };
            if kit.longest_h.is_infinite() {
                never += 1;
                continue;
            }
            let count = (kit.unserved, kit.late);
            let kind = counts
                .iter()
                .position(|known| *known == count)
                .unwrap_or_else(|| {
                    counts.push(count);
                    counts.len() - 1
                });
            dots.push(dot(kit, weight_g, at + 1, kind.min(KINDS - 1)));
        }
        let all = dots.len();
        let dots = drawn(dots);
        let mut left_out = Vec::new();
        if unweighed > 0 {
            left_out.push(format!("{unweighed} of unknown weight"));
        }
        if never > 0 {
            left_out.push(format!("{never} not certain to fill all"));
        }
        if dots.len() < all {
            left_out.push(format!("{} further down the ranking", all - dots.len()));
        }
        let more = counts.len() > KINDS;
        let kinds = counts
            .iter()
            .take(KINDS)
            .enumerate()
            .map(|(n, &(unserved, late))| Kind {
                name: kind_name(unserved, late, more && n + 1 == KINDS),
                joined: lower_left(&dots, n),
                labelled: if n == 0 {
                    lower_left(&dots, n)
                } else {
                    Vec::new()
                },
            });
        let kinds = kinds.collect();
        (!dots.is_empty()).then_some(Self {
            what: "kits",
            dots,
            kinds,
            left_out,
        })
    }

    /// The same in a sentence.
    pub(super) fn words(&self) -> String {
        let kinds = self.kinds.iter().map(|kind| {
            let named = kind.joined.iter().map(|&at| {
                let dot = &self.dots[at];
                format!(
                    "{} ({}, {} g)",
                    dot.name,
                    time(dot.longest_h),
                    decimals(dot.weight_g, 1)
                )
            });
            let named: Vec<String> = named.collect();
            match named.len() {
                0 => format!("{}: none unbeaten.", kind.name),
                _ => format!(
                    "{}: unbeaten in time and weight {}.",
                    kind.name,
                    named.join("; ")
                ),
            }
        });
        format!(
            "{} {} by the time until the last device is full and by weight. {}",
            self.dots.len(),
            self.what,
            kinds.collect::<Vec<_>>().join(" ")
        )
    }

    pub(super) fn draw(&self, frame: Frame) -> Drawing {
        let plot = plot(&self.dots, frame);
        let [left, top, right, bottom] = plot.bounds();
        let at = |dot: &Dot| plot.point(dot.longest_h, dot.weight_g);
        let mut room = Labels::within([left, top, right, bottom]);
        // Equal places are drawn once.
        let mut places = BTreeSet::new();
        let mut once = |dot: &&Dot| {
            let (x, y) = at(dot);
            places.insert((dot.unbeaten, dot.kind, Px(x).to_tenth(), Px(y).to_tenth()))
        };
        let dots: Vec<&Dot> = self.dots.iter().filter(|dot| once(dot)).collect();
        for dot in dots.iter().filter(|dot| dot.unbeaten) {
            let (x, y) = at(dot);
            room.keep_clear([x - 5.0, y - 5.0, x + 5.0, y + 5.0]);
        }
        let labels = self.labels(&plot, &mut room);
        let (legend, height) = self.legend(bottom + 34.0, frame.width);
        let body: Markup = html! {
            (plot.axes())
            path d={ "M" (Px(left)) " " (Px(bottom)) "H" (Px(right)) } class="axis" {}
            @for dot in dots.iter().filter(|dot| !dot.unbeaten) {
                @let (x, y) = at(dot);
                path d=(mark(dot.kind, x, y, 2.6)) class="other" { title { (dot.said()) } }
            }
            @for (n, kind) in self.kinds.iter().enumerate().rev() {
                @let joined: Vec<_> = kind.joined.iter().map(|&n| at(&self.dots[n])).collect();
                path d=(path(&joined)) class={ "line kind" (n) } {}
            }
            @for dot in dots.iter().rev().filter(|dot| dot.unbeaten) {
                @let (x, y) = at(dot);
                path d=(mark(dot.kind, x, y, 4.4)) class="ring" { title { (dot.said()) } }
            }
            @for label in &labels { (label.draw("halo")) }
            (legend)
        };
        Drawing {
            width: frame.width,
            height,
            body,
        }
    }

    /// What stands beside the dots, as far as there is room for it.
    fn labels(&self, plot: &Plot, room: &mut Labels) -> Vec<Label> {
        let [left, _, right, _] = plot.bounds();
        let most = (right - left) * 0.6;
        let mut labels = Vec::new();
        let labelled = self.kinds.iter().flat_map(|kind| &kind.labelled);
        let mut labelled: Vec<&Dot> = labelled.map(|&at| &self.dots[at]).collect();
        // What the page is about gets its place before the others.
        labelled.sort_by_key(|dot| dot.place != 1);
        for (n, dot) in labelled.into_iter().enumerate() {
            let (x, y) = plot.point(dot.longest_h, dot.weight_g);
            let font = if n == 0 { STRONG } else { SMALL };
            let text = font.fitted(&dot.beside, most);
            let label = |dx: f64, dy: f64, anchor: Anchor| {
                Label::new((x + dx, y + dy), anchor, font, text.clone())
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

    /// What the marks mean, in rows from `y` on, and where they end.
    fn legend(&self, y: f64, width: f64) -> (Markup, f64) {
        let (mut x, mut y) = (8.0, y);
        let mut items = Vec::new();
        for (n, kind) in self.kinds.iter().enumerate() {
            let takes = 36.0 + SMALL.width(&kind.name) + 12.0;
            if x > 8.0 && x + takes > width {
                (x, y) = (8.0, y + 18.0);
            }
            let text = SMALL.fitted(&kind.name, width - x - 36.0);
            items.push(html! {
                path d={ "M" (Px(x)) " " (Px(y - 4.0)) "h28" } class={ "line kind" (n) } {}
                path d=(mark(n, x + 14.0, y - 4.0, 4.4)) class="ring" {}
                (Label::new((x + 34.0, y), Anchor::Start, SMALL, text).draw("muted"))
            });
            x += takes;
        }
        (html! { @for item in items { (item) } }, y + 10.0)
    }
}

impl Dot {
    /// What is shown where a pointer rests on it.
    fn said(&self) -> String {
        let (longest, weight) = (time(self.longest_h), decimals(self.weight_g, 1));
        format!("{}. {}: {longest}, {weight} g", self.place, self.name)
    }
}

fn dot(kit: &Ranked, weight_g: f64, place: usize, kind: usize) -> Dot {
    Dot {
        longest_h: kit.longest_h,
        weight_g,
        unbeaten: kit.unbeaten,
        name: printable(&kit.candidate.join(" + ")),
        beside: printable(&kit.candidate.join(" + ")),
        place,
        kind,
    }
}

fn kind_name(unserved: usize, late: usize, or_more: bool) -> String {
    let mut name = match unserved {
        0 => "all have a port".to_owned(),
        some => format!("{some} without a port"),
    };
    if late > 0 {
        name = format!("{name}, {late} late");
    }
    if or_more {
        name += ", or worse";
    }
    name
}

/// The outline of a kind's mark around a place: circle, square, triangle, diamond.
fn mark(kind: usize, x: f64, y: f64, r: f64) -> String {
    let [x, y, r, d] = [x, y, r, 2.0 * r].map(|value| decimals(value, 1));
    match kind {
        0 => format!("M{x} {y}m-{r} 0a{r} {r} 0 1 0 {d} 0a{r} {r} 0 1 0-{d} 0Z"),
        1 => format!("M{x} {y}m-{r}-{r}h{d}v{d}h-{d}Z"),
        2 => format!("M{x} {y}m0-{r}l{r} {d}h-{d}Z"),
        _ => format!("M{x} {y}m0-{r}l{r} {r}l-{r} {r}l-{r}-{r}Z"),
    }
}

/// Of thousands, those that are joined, and the first of the others by the ranking.
fn drawn(dots: Vec<Dot>) -> Vec<Dot> {
    let joined: BTreeSet<usize> = (0..KINDS)
        .flat_map(|kind| lower_left(&dots, kind))
        .collect();
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

/// The unbeaten dots of a kind that no other of them beats in hours and weight, the
/// quickest first.
fn lower_left(dots: &[Dot], kind: usize) -> Vec<usize> {
    let of_kind = |&n: &usize| dots[n].unbeaten && dots[n].kind == kind;
    let mut order: Vec<usize> = (0..dots.len()).filter(of_kind).collect();
    order.sort_by(|&a, &b| {
        let by_hours = dots[a].longest_h.total_cmp(&dots[b].longest_h);
        by_hours
            .then(dots[a].weight_g.total_cmp(&dots[b].weight_g))
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
    let (left, height) = frame.pick((52.0, 300.0), (64.0, 380.0));
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
    let step_h = hour_step(last - first, frame.pick(4, 8));
    let span_h = (last - first).max(0.25);
    let span_g = (heaviest - lightest).max(20.0);
    let (from_h, to_h) = ((first - span_h * 0.08).max(0.0), last + span_h * 0.08);
    let (from_g, to_g) = (
        (lightest - span_g * 0.12).max(0.0),
        heaviest + span_g * 0.08,
    );
    let grams = |value: f64| format!("{} g", decimals(value, 1));
    Plot {
        x: Scale::new([from_h, to_h], [left, right]),
        y: Scale::new([from_g, to_g], [height, 6.0]),
        x_ticks: ticks(from_h, to_h, step_h.max(1.0 / 12.0), hours),
        y_ticks: ticks(from_g, to_g, round_step(span_g, 6), grams),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kit(longest_h: f64, weight_g: f64, kind: usize, unbeaten: bool) -> Dot {
        Dot {
            longest_h,
            weight_g,
            unbeaten,
            name: String::new(),
            beside: String::new(),
            place: 1,
            kind,
        }
    }

    #[test]
    fn only_unbeaten_kits_of_one_kind_are_joined() {
        let dots = [
            kit(2.0, 500.0, 0, true),
            kit(1.0, 900.0, 0, true),
            // Heavier and slower: unbeaten for its price.
            kit(2.5, 600.0, 0, true),
            kit(3.0, 100.0, 0, false),
            kit(0.5, 90.0, 1, true),
            kit(1.0, 900.0, 0, true),
        ];
        assert_eq!(lower_left(&dots, 0), [1, 0]);
        assert_eq!(lower_left(&dots, 1), [4]);
        assert!(lower_left(&dots, 2).is_empty());
    }

    #[test]
    fn of_thousands_the_first_and_the_joined_are_drawn() {
        let mut dots = vec![kit(2.0, 500.0, 0, false); 5000];
        dots.extend(vec![kit(2.0, 400.0, 0, true); 5000]);
        dots.push(kit(9.0, 10.0, 0, true));
        let drawn = drawn(dots);
        assert_eq!(drawn.len(), BEATEN + UNBEATEN + 1);
        assert_eq!(drawn.last().map(|dot| dot.weight_g), Some(10.0));
    }

    #[test]
    fn a_kind_says_what_it_leaves_out() {
        assert_eq!(kind_name(0, 0, false), "all have a port");
        assert_eq!(kind_name(0, 2, false), "all have a port, 2 late");
        assert_eq!(kind_name(3, 0, true), "3 without a port, or worse");
    }
}
