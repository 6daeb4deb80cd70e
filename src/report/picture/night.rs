//! A plan or a rota, drawn: each charger over the night.

use super::board::{Board, Limit, Sample, Stay};
use super::palette::Look;
use super::scale::night_ticks;
use super::seat::{Seat, Shape};
use super::{Drawn, Figure};
use crate::plan::rota::Rota;
use crate::plan::shared::governing;
use crate::plan::{Plan, PoolUse};
use crate::report::page::Page;
use crate::report::plan::limit;
use crate::report::printable::{isolated, printable};
use crate::report::seating::{Seating, Sitting};
use crate::setup::{ChargerSpec, PortSpec, Setup};
use crate::timeline::{Series, Timeline};
use crate::units::millionths;
use crate::units::quantity::{contract, watts, watts_of};

impl Page {
    /// The page of `plan`, which is a plan of `setup`, with its night drawn: for each
    /// charger the watts of its devices under its limit, who sits on which port, and how
    /// full each one is.
    #[must_use]
    pub fn with_night(mut self, setup: &Setup, plan: &Plan, timeline: &Timeline) -> Self {
        let night = Night {
            seating: &Seating::of_plan(setup, plan),
            pools: plan.pools.clone(),
            timeline,
            span_h: timeline.until_h * 1.04,
        };
        self.figures.extend(night.figures());
        self
    }

    /// The page of `rota`, which is a rota of `setup`, with its night drawn: as
    /// [`Page::with_night`], with the sessions.
    #[must_use]
    pub fn with_rota_night(mut self, setup: &Setup, rota: &Rota, timeline: &Timeline) -> Self {
        let night = Night {
            seating: &Seating::of_rota(setup, rota),
            pools: most_taken(rota),
            timeline,
            span_h: timeline.until_h,
        };
        self.figures.extend(night.figures());
        self
    }
}

/// The most that is taken of each pool in any session.
fn most_taken(rota: &Rota) -> Vec<PoolUse> {
    let mut most: Vec<PoolUse> = Vec::new();
    for PoolUse {
        charger,
        pool,
        used_w,
        max_w,
    } in rota.pools.iter().map(|pool| &pool.of)
    {
        match most
            .iter_mut()
            .find(|known| known.charger == *charger && known.pool == *pool)
        {
            Some(known) => known.used_w = known.used_w.max(*used_w),
            None => most.push(PoolUse {
                charger: charger.clone(),
                pool: pool.clone(),
                used_w: *used_w,
                max_w: *max_w,
            }),
        }
    }
    most
}

/// What a night is drawn from.
struct Night<'a> {
    seating: &'a Seating<'a>,
    pools: Vec<PoolUse>,
    timeline: &'a Timeline,
    /// What is shown of it.
    span_h: f64,
}

impl Night<'_> {
    fn figures(&self) -> Vec<Figure> {
        let mut looks = (0..).map(Look);
        let chargers = self.seating.in_use().into_iter();
        let figures = chargers.map(|(charger, taken)| Figure {
            title: printable(&charger.name),
            words: self.words(charger, &taken),
            caption: Vec::new(),
            under: None,
            drawn: Drawn::Board(self.board(charger, &taken, &mut looks)),
        });
        figures.collect()
    }

    fn board(
        &self,
        charger: &ChargerSpec,
        taken: &[&Sitting],
        looks: &mut impl Iterator<Item = Look>,
    ) -> Board {
        let free = |port: &&PortSpec| taken.iter().all(|of| of.berth.port != port.name);
        let free = charger.ports.iter().filter(free);
        let pools = self
            .pools
            .iter()
            .filter(|pool| pool.charger == charger.name);
        let most = if self.seating.borders.is_empty() {
            ""
        } else {
            " up to"
        };
        Board {
            span_h: self.span_h,
            ticks_wide: night_ticks(self.seating.clock, self.span_h, 7),
            ticks_narrow: night_ticks(self.seating.clock, self.span_h, 4),
            borders: self.seating.borders.clone(),
            limit: self.limit(charger, taken),
            pools: pools
                .map(|pool| {
                    let name = isolated(&printable(&pool.pool));
                    format!("{name}{most} {}", watts_of(pool.used_w, pool.max_w))
                })
                .collect(),
            stays: self.stays(charger, taken, looks),
            free: free
                .map(|port| (printable(&port.name), Shape::of(&port.connector)))
                .collect(),
            full: if self.seating.clock.is_known() {
                "full at"
            } else {
                "full after"
            },
        }
    }

    fn stays(
        &self,
        charger: &ChargerSpec,
        taken: &[&Sitting],
        looks: &mut impl Iterator<Item = Look>,
    ) -> Vec<Stay> {
        let mut stays = Vec::new();
        for sitting in taken {
            let berth = sitting.berth;
            let series = self
                .timeline
                .series
                .iter()
                .find(|series| series.device == berth.device);
            let port = charger.ports.iter().find(|port| port.name == berth.port);
            let (Some(series), Some(port), Some(look)) = (series, port, looks.next()) else {
                continue;
            };
            stays.push(Stay {
                seat: Seat {
                    socket: printable(&berth.port),
                    shape: Shape::of(&port.connector),
                    cable: printable(&berth.cable),
                    device: printable(&berth.device),
                    contract: contract(berth.volts, berth.amps),
                    end: self.seating.full(sitting),
                    late: berth.late,
                    limited_by: limit(berth.limited_by),
                    look,
                },
                until_h: sitting.until_h.unwrap_or(self.span_h),
                full_h: sitting.full_h().unwrap_or(f64::INFINITY),
                course: samples(series, sitting, self.span_h),
            });
        }
        stays
    }

    fn words(&self, charger: &ChargerSpec, taken: &[&Sitting]) -> String {
        let when = if self.seating.clock.is_known() {
            "at"
        } else {
            "after"
        };
        let each = taken.iter().map(|sitting| {
            let berth = sitting.berth;
            let full = match sitting.full_h() {
                Some(full_h) => format!("full {when} {}", self.seating.clock.full(full_h)),
                None => "not full".to_owned(),
            };
            let sessions = sitting.sessions.as_ref();
            let sessions = sessions.map_or_else(String::new, |names| format!(", {names}"));
            format!(
                "{} on {} through {} at {}{sessions}, {full}",
                printable(&berth.device),
                printable(&berth.port),
                printable(&berth.cable),
                contract(berth.volts, berth.amps),
            )
        });
        let limit = self.limit(charger, taken);
        let limit = limit.map_or_else(String::new, |limit| format!(" ({})", limit.name));
        format!(
            "The watts of each device over time{limit}, and each one's state of charge. {}.",
            each.collect::<Vec<_>>().join("; ")
        )
    }

    /// What the ports may give together: the least of the pools over all of them, and of
    /// the line of the table that is kept, where the same ports are in use all night.
    fn limit(&self, charger: &ChargerSpec, taken: &[&Sitting]) -> Option<Limit> {
        let line = line_w(charger, taken).filter(|_| self.seating.borders.is_empty());
        let line = line.map(|max_w| Limit {
            name: format!("its table: at most {}", watts(max_w)),
            max_w,
        });
        let both = pool_limit(charger).into_iter().chain(line);
        both.min_by(|a, b| a.max_w.total_cmp(&b.max_w))
    }
}

/// A device's night while it is plugged in.
fn samples(series: &Series, sitting: &Sitting, span_h: f64) -> Vec<Sample> {
    let shown = sitting.from_h..=sitting.until_h.unwrap_or(span_h);
    let points = series.at_h.iter().zip(&series.soc_pct).zip(&series.watts);
    let points = points.map(|((&at_h, &pct), &watts)| Sample { at_h, pct, watts });
    points
        .filter(|sample| shown.contains(&sample.at_h))
        .collect()
}

/// What the line of the table that is kept grants the ports in use together.
fn line_w(charger: &ChargerSpec, taken: &[&Sitting]) -> Option<f64> {
    let tiers: Vec<Option<i64>> = charger
        .ports
        .iter()
        .map(|port| {
            let sitting = taken.iter().find(|of| of.berth.port == port.name)?;
            Some(millionths(sitting.berth.tier_w))
        })
        .collect();
    let in_use: Vec<bool> = tiers.iter().map(Option::is_some).collect();
    let mut sums = governing(charger, &in_use).filter_map(|line| {
        let granted = tiers.iter().zip(&line.watts);
        let in_use = granted.filter_map(|(tier, granted)| Some(((*tier)?, *granted)));
        in_use
            .map(|(tier, granted)| granted.filter(|&watts| tier <= millionths(watts)))
            .sum::<Option<f64>>()
    });
    sums.next()
}

fn pool_limit(charger: &ChargerSpec) -> Option<Limit> {
    let of_all = charger
        .pools
        .iter()
        .filter(|pool| pool.ports.len() == charger.ports.len());
    let least = of_all.min_by(|a, b| a.max_w.total_cmp(&b.max_w))?;
    Some(Limit {
        name: format!(
            "{}: at most {}",
            isolated(&printable(&least.name)),
            watts(least.max_w)
        ),
        max_w: least.max_w,
    })
}
