//! One charger over the night: the watts of each device stacked under its limit, and for
//! each port who sits there, through which cable, at which contract, with its state of
//! charge. Both share one axis of time.

use std::collections::BTreeSet;

use maud::{Markup, html};

use super::drawing::{Anchor, Drawing, Frame, Label, Plot, SMALL, STRONG, path, steps};
use super::palette::Px;
use super::scale::{Scale, Tick, round_step, ticks};
use super::seat::{Columns, Seat, Shape, text};
use crate::units::quantity::{decimals, watts};

/// Bands beyond which their edges are drawn finer.
const CROWD: usize = 16;

/// A charger and the night on it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Board {
    pub(super) span_h: f64,
    /// The same for all boards of a night.
    pub(super) ticks_wide: Vec<Tick>,
    pub(super) ticks_narrow: Vec<Tick>,
    /// Where sessions begin, with their names; none where there is only one.
    pub(super) borders: Vec<(f64, String)>,
    /// What all ports together may give.
    pub(super) limit: Option<Limit>,
    /// How much of each pool is taken, in words.
    pub(super) pools: Vec<String>,
    pub(super) stays: Vec<Stay>,
    pub(super) free: Vec<(String, Shape)>,
    /// What the times at the ends of the rows are.
    pub(super) full: &'static str,
}

/// A limit over all ports.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Limit {
    pub(super) name: String,
    pub(super) max_w: f64,
}

/// A device on a port, from the moment it is plugged in.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Stay {
    pub(super) seat: Seat,
    /// When it is unplugged; the end of the picture where that is not said.
    pub(super) until_h: f64,
    /// When it is full.
    pub(super) full_h: f64,
    /// In order of time; two at one time are a step.
    pub(super) course: Vec<Sample>,
}

/// One moment of a device.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sample {
    pub(super) at_h: f64,
    pub(super) pct: f64,
    pub(super) watts: f64,
}

impl Stay {
    /// The watts just before and just after a moment; none where it is not plugged in.
    fn watts_at(&self, at_h: f64) -> (f64, f64) {
        let after = self.course.partition_point(|sample| sample.at_h <= at_h);
        let before = self.course.partition_point(|sample| sample.at_h < at_h);
        let between = |n: usize| match (
            n.checked_sub(1).map(|m| &self.course[m]),
            self.course.get(n),
        ) {
            (Some(a), Some(b)) if b.at_h > a.at_h => {
                a.watts + (b.watts - a.watts) * (at_h - a.at_h) / (b.at_h - a.at_h)
            }
            _ => 0.0,
        };
        (between(before), between(after))
    }
}

impl Board {
    pub(super) fn draw(&self, frame: Frame) -> Drawing {
        Laid::out(self, frame).drawing(self, frame)
    }
}

/// The drawing, decided.
struct Laid<'f> {
    columns: Columns<'f>,
    plot: Plot,
    header: Vec<String>,
    /// By stay, in their order, the first on top.
    bands: Vec<Band>,
    rows_from: f64,
    rows_to: f64,
}

/// A stay's part of the watts.
struct Band {
    outline: Vec<(f64, f64)>,
    label: Option<Label>,
}

impl<'f> Laid<'f> {
    fn out(board: &Board, frame: Frame<'f>) -> Self {
        let columns = Columns::of(frame);
        let (left, right) = columns.strip();
        let room = frame.pick(frame.width - 8.0, left - 60.0);
        let said = board
            .pools
            .iter()
            .flat_map(|pool| SMALL.wrapped(pool, room));
        let header: Vec<String> = said.collect();
        let lines = f64::from(u16::try_from(header.len()).unwrap_or(u16::MAX));
        let names = if board.borders.is_empty() { 0.0 } else { 12.0 };
        let top = frame.pick(12.0 + lines * 15.0 + names, 12.0);
        let height = frame.pick(150.0, 138.0_f64.max(lines * 15.0));
        let times = times(board);
        let peak = peak(board, &times).max(1.0);
        let top_w = board
            .limit
            .as_ref()
            .map_or(peak, |limit| limit.max_w.max(peak))
            * 1.06;
        let plot = Plot {
            x: Scale::new([0.0, board.span_h], [left, right]),
            y: Scale::new([0.0, top_w], [top + height, top]),
            x_ticks: frame.pick(board.ticks_narrow.clone(), board.ticks_wide.clone()),
            y_ticks: ticks(0.0, top_w, round_step(top_w, 5), watts),
        };
        let rows_from = top + height + 28.0;
        let count = f64::from(u16::try_from(board.stays.len()).unwrap_or(u16::MAX));
        Self {
            bands: bands(board, &plot, &times),
            rows_to: rows_from + columns.row() * count,
            rows_from,
            header,
            columns,
            plot,
        }
    }

    fn drawing(&self, board: &Board, frame: Frame) -> Drawing {
        let (free, bottom) = self.columns.free(&board.free, self.rows_to);
        let [left, top, right, base] = self.plot.bounds();
        let header_y = frame.pick(10.0, top + 8.0);
        let looks = board.stays.iter().map(|stay| stay.seat.look);
        // Edges would hide what they bound.
        let thin = if board.stays.len() > CROWD {
            "band thin"
        } else {
            "band"
        };
        let body: Markup = html! {
            defs { @for look in looks { (look.pattern(frame.ids)) } }
            @for (line, y) in self.header.iter().zip(steps(header_y, 15.0)) {
                (Label::new((0.0, y), Anchor::Start, SMALL, line.clone()).draw("muted"))
            }
            (self.plot.axes())
            @for (stay, band) in board.stays.iter().zip(&self.bands) {
                path d={ (path(&band.outline)) "Z" } fill=(stay.seat.look.fill(frame.ids)) class=(thin) {
                    title { (stay.seat.device) }
                }
            }
            @for (stay, band) in board.stays.iter().zip(&self.bands) {
                @if let Some(label) = &band.label { (stay.seat.look.on_fill(label)) }
            }
            path d={ "M" (Px(left)) " " (Px(base)) "H" (Px(right)) } class="axis" {}
            @if let Some(limit) = &board.limit {
                @let y = self.plot.y.at(limit.max_w);
                path d={ "M" (Px(left)) " " (Px(y)) "H" (Px(right)) } class="limit" {}
                (text(&limit.name, right - 4.0, y + 14.0, Anchor::End, SMALL, right - left - 8.0, "halo"))
            }
            (self.columns.body(self.rows_from - 2.0, bottom.max(self.rows_to) + 4.0))
            @if !frame.is_narrow() { (self.columns.heading(&[board.full, "limited by"], self.rows_from - 8.0)) }
            @for (stay, y) in board.stays.iter().zip(steps(self.rows_from, self.columns.row())) {
                (self.columns.draw(&stay.seat, y))
                (self.charge(stay, y, frame.ids))
            }
            (free)
            @for (n, (at_h, name)) in board.borders.iter().enumerate() {
                @let x = self.plot.x.at(*at_h);
                @let next = board.borders.get(n + 1).map_or(right, |next| self.plot.x.at(next.0));
                @if n > 0 {
                    path d={ "M" (Px(x)) " " (Px(top - 10.0)) "V" (Px(base)) } class="border" {}
                    // On a phone the names of the devices stand there.
                    @if !frame.is_narrow() {
                        path d={ "M" (Px(x)) " " (Px(self.rows_from)) "V" (Px(self.rows_to)) } class="border" {}
                    }
                }
                (text(name, x + 4.0, top - 3.0, Anchor::Start, SMALL, next - x - 8.0, "muted"))
            }
        };
        Drawing {
            width: frame.width,
            height: bottom.max(self.rows_to) + 8.0,
            body,
        }
    }

    /// A device's state of charge, from empty to its battery's top.
    fn charge(&self, stay: &Stay, y: f64, ids: &str) -> Markup {
        let (offset, height) = self.columns.strip_in_row();
        let (top, base) = (y + offset, y + offset + height);
        let [_, _, right, _] = self.plot.bounds();
        let level = |pct: f64| base - height * pct / 100.0;
        let x = |at_h: f64| self.plot.x.at(at_h).min(right);
        let Some((first, last)) = stay.course.first().zip(stay.course.last()) else {
            return html! {};
        };
        let (from, until) = (x(first.at_h), x(stay.until_h));
        let mut line: Vec<(f64, f64)> = stay
            .course
            .iter()
            .map(|sample| (x(sample.at_h), level(sample.pct)))
            .collect();
        line.push((until, level(last.pct)));
        let mut area = line.clone();
        area.extend([(until, base), (from, base)]);
        let full = x(stay.full_h);
        let start = format!("{} %", decimals(first.pct, 0));
        let end = format!("{} %", decimals(last.pct, 0));
        let end_room = until - full - 8.0;
        html! {
            rect x=(Px(from)) y=(Px(top)) width=(Px(until - from)) height=(Px(height)) class="track" {}
            path d={ (path(&area)) "Z" } fill=(stay.seat.look.fill(ids)) class="charge" {}
            path d=(path(&line)) class="edge" {}
            @if stay.full_h <= stay.until_h {
                path d={ "M" (Px(full)) " " (Px(top)) "V" (Px(base)) } class="full" {}
                @if SMALL.width(&end) <= end_room {
                    (stay.seat.look.on_fill(&Label::new((full + 5.0, f64::midpoint(top, base) + 4.0), Anchor::Start, SMALL, end)))
                }
            }
            @if full - from > SMALL.width(&start) + 12.0 {
                (Label::new((from + 4.0, top + 11.0), Anchor::Start, SMALL, start).draw("onstrip"))
            }
        }
    }
}

/// Every moment at which the watts of any device bend or step, in order.
fn times(board: &Board) -> Vec<f64> {
    let at = board
        .stays
        .iter()
        .flat_map(|stay| &stay.course)
        .map(|sample| sample.at_h);
    // Not negative, so that their bits are in their order.
    let bits: BTreeSet<u64> = at.filter(|at_h| *at_h >= 0.0).map(f64::to_bits).collect();
    bits.into_iter().map(f64::from_bits).collect()
}

/// The most watts at any moment.
fn peak(board: &Board, times: &[f64]) -> f64 {
    let sums = times.iter().map(|&at_h| {
        let (before, after) = board.stays.iter().fold((0.0, 0.0), |sum, stay| {
            let (before, after) = stay.watts_at(at_h);
            (sum.0 + before, sum.1 + after)
        });
        f64::max(before, after)
    });
    sums.fold(0.0, f64::max)
}

/// By stay its part of the stack, the last one at the bottom.
fn bands(board: &Board, plot: &Plot, times: &[f64]) -> Vec<Band> {
    let moments: Vec<f64> = times.iter().flat_map(|&at_h| [at_h, at_h]).collect();
    let mut below = vec![0.0; moments.len()];
    let mut bands: Vec<Band> = board
        .stays
        .iter()
        .rev()
        .map(|stay| {
            let mut above = below.clone();
            for (n, &at_h) in times.iter().enumerate() {
                let (before, after) = stay.watts_at(at_h);
                above[2 * n] += before;
                above[2 * n + 1] += after;
            }
            let edge = |watts: &[f64]| -> Vec<(f64, f64)> {
                let points = moments.iter().zip(watts);
                points
                    .map(|(&at_h, &watts)| plot.point(at_h, watts))
                    .collect()
            };
            let (upper, lower) = (edge(&above), edge(&below));
            below = above;
            let label = label(&stay.seat, &upper, &lower, plot);
            Band {
                outline: outline(&upper, &lower),
                label,
            }
        })
        .collect();
    bands.reverse();
    bands
}

/// Along the upper edge and back along the lower one, where there is anything between them.
fn outline(upper: &[(f64, f64)], lower: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let apart = |n: &usize| lower[*n].1 - upper[*n].1 > 0.01;
    let (Some(first), Some(last)) = (
        (0..upper.len()).find(apart),
        (0..upper.len()).rev().find(apart),
    ) else {
        return Vec::new();
    };
    let (first, last) = (first.saturating_sub(1), (last + 1).min(upper.len() - 1));
    let mut outline = upper[first..=last].to_vec();
    outline.extend(lower[first..=last].iter().rev());
    outline
}

/// The device's name in its band, or the port's, where one of them has room.
fn label(seat: &Seat, upper: &[(f64, f64)], lower: &[(f64, f64)], plot: &Plot) -> Option<Label> {
    let [left, _, right, _] = plot.bounds();
    let fonts = [
        (STRONG, &seat.device),
        (SMALL, &seat.device),
        (SMALL, &seat.socket),
    ];
    fonts.into_iter().find_map(|(font, text)| {
        let width = font.width(text);
        let high = font.size + 2.0;
        steps(left + 7.0, 12.0)
            .take_while(|x| x + width + 5.0 <= right)
            .find_map(|x| {
                let (from, to) = (x - 4.0, x + width + 4.0);
                let top = extreme(upper, from, to, f64::max)?;
                let base = extreme(lower, from, to, f64::min)?;
                (base - top >= high).then(|| {
                    Label::new(
                        (x, f64::midpoint(top, base) + font.size * 0.36),
                        Anchor::Start,
                        font,
                        text.clone(),
                    )
                })
            })
    })
}

/// The worst height of an edge between two places, where it reaches from one to the other.
fn extreme(edge: &[(f64, f64)], from: f64, to: f64, worse: fn(f64, f64) -> f64) -> Option<f64> {
    let ends = worse(height_at(edge, from)?, height_at(edge, to)?);
    let inside = edge.iter().filter(|(x, _)| (from..=to).contains(x));
    Some(inside.map(|(_, y)| *y).fold(ends, worse))
}

/// How high an edge is at `x`.
fn height_at(edge: &[(f64, f64)], x: f64) -> Option<f64> {
    let pair = edge
        .windows(2)
        .find(|pair| pair[0].0 <= x && x <= pair[1].0 && pair[0].0 < pair[1].0)?;
    let ((x1, y1), (x2, y2)) = (pair[0], pair[1]);
    Some(y1 + (y2 - y1) * (x - x1) / (x2 - x1))
}
