//! A plan or a rota, drawn: each charger over the night.

use super::board::{Board, Limit, Sample, Stay};
use super::palette::Look;
use super::scale::night_ticks;
use super::seat::{Seat, Shape};
use super::table::{Row, Table, columns};
use super::{Drawn, Figure, Picture};
use crate::plan::place::governing;
use crate::plan::rota::Rota;
use crate::plan::{Berth, Plan, PoolUse};
use crate::report::Page;
use crate::report::clock::Clock;
use crate::report::plan::limited_by;
use crate::report::printable::{isolated, printable};
use crate::report::rota::sessions;
use crate::setup::{ChargerSpec, PortSpec, Setup};
use crate::timeline::{Series, Timeline};
use crate::units::millionths;
use crate::units::quantity::{contract, watts, watts_of};

/// The picture of `plan`, which is a plan of `setup`, and of its night: for each charger
/// the watts of its devices under its limit, who sits on which port, and how full each one
/// is; then the same as a table, and what to keep in mind.
pub fn night(setup: &Setup, plan: &Plan, timeline: &Timeline) -> Picture {
    let span_h = timeline.until_h * 1.04;
    let sittings = plan.berths.iter().map(|berth| Sitting {
        berth,
        from_h: 0.0,
        until_h: span_h,
        full_h: Some(berth.hours),
        sessions: None,
    });
    let night = Night {
        setup,
        clock: Clock::of(setup.start),
        sittings: sittings.collect(),
        pools: plan.pools.clone(),
        borders: Vec::new(),
        timeline,
        span_h,
    };
    night.picture(Page::of_plan(setup, plan))
}

/// The picture of `rota`, which is a rota of `setup`, and of its night: as [`night`], with
/// the sessions, and with what is to be done at the start of each.
pub fn rota(setup: &Setup, rota: &Rota, timeline: &Timeline) -> Picture {
    let session = |name: &str| rota.sessions.iter().find(|session| session.name == name);
    let sittings = rota.berths.iter().filter_map(|of| {
        let until_h = session(&of.until_session)?.end_h;
        Some(Sitting {
            berth: &of.berth,
            from_h: session(&of.session)?.start_h,
            until_h,
            full_h: (of.finish_h <= until_h).then_some(of.finish_h),
            sessions: Some(sessions(of, printable)),
        })
    });
    let borders = rota.sessions.iter().filter(|_| rota.sessions.len() > 1);
    let night = Night {
        setup,
        clock: Clock::of(setup.start),
        sittings: sittings.collect(),
        pools: most_taken(rota),
        borders: borders
            .map(|session| (session.start_h, printable(&session.name)))
            .collect(),
        timeline,
        span_h: timeline.until_h,
    };
    night.picture(Page::of_rota(setup, rota))
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

/// A device on its port, from when to when.
struct Sitting<'a> {
    berth: &'a Berth,
    from_h: f64,
    until_h: f64,
    /// When it is full, where that is before its plug is pulled.
    full_h: Option<f64>,
    /// The sessions that it takes.
    sessions: Option<String>,
}

/// What a night is drawn from.
struct Night<'a> {
    setup: &'a Setup,
    clock: Clock,
    sittings: Vec<Sitting<'a>>,
    pools: Vec<PoolUse>,
    borders: Vec<(f64, String)>,
    timeline: &'a Timeline,
    /// What is shown of it.
    span_h: f64,
}

impl Night<'_> {
    fn picture(&self, page: Page) -> Picture {
        let mut looks = (0..).map(Look);
        let mut figures = Vec::new();
        let mut tables = Vec::new();
        for charger in &self.setup.chargers {
            let taken = self.on(charger);
            if taken.is_empty() {
                continue;
            }
            figures.push(Figure {
                title: printable(&charger.name),
                words: self.words(charger, &taken),
                caption: Vec::new(),
                drawn: Drawn::Board(self.board(charger, &taken, &mut looks)),
            });
            tables.push(self.table(charger, &taken));
        }
        Picture {
            figures,
            tables,
            ..Picture::of(page)
        }
    }

    /// Who sits on a charger, in the order of its ports, then of time.
    fn on(&self, charger: &ChargerSpec) -> Vec<&Sitting<'_>> {
        let mut taken = Vec::new();
        for port in &charger.ports {
            let here = |sitting: &&Sitting| {
                sitting.berth.charger == charger.name && sitting.berth.port == port.name
            };
            let first = taken.len();
            taken.extend(self.sittings.iter().filter(here));
            taken[first..].sort_by(|a: &&Sitting, b| a.from_h.total_cmp(&b.from_h));
        }
        taken
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
        let most = if self.borders.is_empty() {
            ""
        } else {
            " up to"
        };
        Board {
            span_h: self.span_h,
            ticks_wide: night_ticks(self.clock, self.span_h, 7),
            ticks_narrow: night_ticks(self.clock, self.span_h, 4),
            borders: self.borders.clone(),
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
            full: if self.clock.is_known() {
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
                    end: self.full(sitting),
                    late: berth.late,
                    limited_by: limited_by(berth.limited_by),
                    look,
                },
                until_h: sitting.until_h,
                full_h: sitting.full_h.unwrap_or(f64::INFINITY),
                course: samples(series, sitting),
            });
        }
        stays
    }

    /// When a device is full: a time of day, where it is known when the night begins.
    fn full(&self, sitting: &Sitting) -> String {
        sitting
            .full_h
            .map_or_else(|| "not full".to_owned(), |full_h| self.clock.full(full_h))
    }

    fn words(&self, charger: &ChargerSpec, taken: &[&Sitting]) -> String {
        let when = if self.clock.is_known() { "at" } else { "after" };
        let each = taken.iter().map(|sitting| {
            let berth = sitting.berth;
            let full = match sitting.full_h {
                Some(full_h) => format!("full {when} {}", self.clock.full(full_h)),
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

    fn table(&self, charger: &ChargerSpec, taken: &[&Sitting]) -> Table {
        let full = if self.clock.is_known() {
            "Full at"
        } else {
            "Full after"
        };
        let mut header = columns([
            "Device",
            "Port",
            "Cable",
            "Contract",
            "Watts",
            full,
            "Limited by",
        ]);
        if !self.borders.is_empty() {
            header.push("Sessions".into());
        }
        let rows = taken.iter().map(|sitting| {
            let berth = sitting.berth;
            let late = if berth.late { ", late" } else { "" };
            let mut cells = vec![
                printable(&berth.device),
                printable(&berth.port),
                printable(&berth.cable),
                contract(berth.volts, berth.amps),
                watts(berth.port_w),
                self.full(sitting) + late,
                limited_by(berth.limited_by).to_owned(),
            ];
            cells.extend(
                sitting
                    .sessions
                    .clone()
                    .filter(|_| !self.borders.is_empty()),
            );
            Row {
                cells,
                chosen: false,
            }
        });
        Table {
            title: format!("{}: who sits where", printable(&charger.name)),
            header,
            rows: rows.collect(),
            notes: Vec::new(),
            drawn: true,
        }
    }

    /// What the ports may give together: the least of the pools over all of them, and of
    /// the line of the table that is kept, where the same ports are in use all night.
    fn limit(&self, charger: &ChargerSpec, taken: &[&Sitting]) -> Option<Limit> {
        let line = line_w(charger, taken).filter(|_| self.borders.is_empty());
        let line = line.map(|max_w| Limit {
            name: format!("its table: at most {}", watts(max_w)),
            max_w,
        });
        let both = pool_limit(charger).into_iter().chain(line);
        both.min_by(|a, b| a.max_w.total_cmp(&b.max_w))
    }
}

/// A device's night while it is plugged in.
fn samples(series: &Series, sitting: &Sitting) -> Vec<Sample> {
    let points = series.at_h.iter().zip(&series.soc_pct).zip(&series.watts);
    let points = points.map(|((&at_h, &pct), &watts)| Sample { at_h, pct, watts });
    points
        .filter(|sample| (sitting.from_h..=sitting.until_h).contains(&sample.at_h))
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
