//! Kinds of devices, and kinds of ports: what takes the same wherever it sits is counted, not
//! told apart.

use crate::solve::model::ANY_LOAD;
use crate::solve::subproblem::{NodeDomains, Subproblem};

/// What a way takes, apart from whose it is.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Takes {
    pub(super) rows: Vec<(u32, i64)>,
    /// As [`Way::slack`](crate::solve::subproblem::Way).
    pub(super) slack: i64,
    /// Where the port is in a table: what its line must grant, and leave.
    pub(super) tier: i64,
    pub(super) needs: i64,
}

impl Takes {
    pub(super) fn of(subproblem: &Subproblem<'_>, way: u32) -> Self {
        let of_way = subproblem.way(way);
        let model = subproblem.model;
        let table = of_way
            .column
            .filter(|&c| model.in_tables(c).next().is_some());
        let (tier, needs) = table.map_or((0, 0), |column| {
            let column = model.column(column);
            (column.tier, column.needs)
        });
        let slack = if of_way.column.is_some() {
            of_way.slack
        } else {
            ANY_LOAD
        };
        Self {
            rows: subproblem.takes(way).to_vec(),
            slack,
            tier,
            needs,
        }
    }
}

/// Devices with the same ways.
#[derive(Debug)]
pub(super) struct DeviceKind {
    pub(super) devices: Vec<usize>,
    /// By kind of ports, what it can take there.
    pub(super) at: Vec<Vec<Takes>>,
    /// What staying takes, where that is open.
    pub(super) stay: Option<Takes>,
}

/// Ports at which every device has the same ways.
#[derive(Debug)]
pub(super) struct PortKind {
    /// The groups of ports, each with its number.
    pub(super) groups: Vec<usize>,
    pub(super) seats: usize,
}

#[derive(Debug)]
pub(super) struct Kinds {
    pub(super) devices: Vec<DeviceKind>,
    pub(super) ports: Vec<PortKind>,
}

impl Kinds {
    pub(super) fn of(subproblem: &Subproblem<'_>, live: &NodeDomains) -> Self {
        let model = subproblem.model;
        // By group of ports, every device's ways there.
        let mut open: Vec<Vec<(usize, Takes)>> = vec![Vec::new(); model.seats.len()];
        for (device, ways) in live.each() {
            for &way in ways {
                let of_way = subproblem.way(way);
                if of_way.column.is_some() {
                    open[of_way.port].push((device, Takes::of(subproblem, way)));
                }
            }
        }
        let mut ports: Vec<PortKind> = Vec::new();
        let mut kind_of = vec![usize::MAX; model.seats.len()];
        for group in 0..model.seats.len() {
            open[group].sort_unstable();
            open[group].dedup();
            if open[group].is_empty() {
                continue;
            }
            // Ports of a table stand for themselves.
            let alone = model.table_of.get(group).is_some_and(Option::is_some);
            let same = ports
                .iter()
                .position(|kind| !alone && open[kind.groups[0]] == open[group]);
            let kind = same.unwrap_or_else(|| {
                ports.push(PortKind {
                    groups: Vec::new(),
                    seats: 0,
                });
                ports.len() - 1
            });
            ports[kind].groups.push(group);
            ports[kind].seats += model.seats[group];
            kind_of[group] = kind;
        }
        let mut devices: Vec<DeviceKind> = Vec::new();
        for (device, ways) in live.each() {
            let mut at = vec![Vec::new(); ports.len()];
            let mut stay = None;
            for &way in ways {
                let takes = Takes::of(subproblem, way);
                let of_way = subproblem.way(way);
                if of_way.column.is_none() {
                    stay = Some(takes);
                } else {
                    at[kind_of[of_way.port]].push(takes);
                }
            }
            for takes in &mut at {
                takes.sort_unstable();
                takes.dedup();
            }
            let same = devices
                .iter_mut()
                .find(|kind| kind.at == at && kind.stay == stay);
            match same {
                Some(kind) => kind.devices.push(device),
                None => devices.push(DeviceKind {
                    devices: vec![device],
                    at,
                    stay,
                }),
            }
        }
        Self { devices, ports }
    }

    /// Whether some device may stay without a seat.
    pub(super) fn may_stay(&self) -> bool {
        self.devices.iter().any(|kind| kind.stay.is_some())
    }

    /// How many seats may be empty; `None` where there are too few.
    pub(super) fn spare(&self) -> Option<usize> {
        let seats: usize = self.ports.iter().map(|kind| kind.seats).sum();
        let devices: usize = self.devices.iter().map(|kind| kind.devices.len()).sum();
        if self.may_stay() {
            Some(seats)
        } else {
            seats.checked_sub(devices)
        }
    }

    /// Whether anything on a kind of ports takes from a row.
    pub(super) fn take_from(&self, port: usize, row: usize) -> bool {
        let mut ways = self.devices.iter().flat_map(|device| &device.at[port]);
        ways.any(|takes| takes.rows.iter().any(|&(of, _)| of as usize == row))
    }

    /// By block, its kinds of ports: those of one table, and those that draw on a limit
    /// together, by row one of `own`.
    pub(super) fn blocks(
        &self,
        own: &[bool],
        table_of: impl Fn(usize) -> Option<usize>,
    ) -> Vec<Vec<usize>> {
        let kinds = 0..self.ports.len();
        let limits = |kind: usize| {
            let rows = (0..own.len()).filter(|&row| own[row]);
            rows.filter(|&row| self.take_from(kind, row)).collect()
        };
        let limits: Vec<Vec<usize>> = kinds.clone().map(limits).collect();
        let mut blocks: Vec<Vec<usize>> = Vec::new();
        for kind in kinds {
            let together = |&other: &usize| {
                (table_of(kind).is_some() && table_of(kind) == table_of(other))
                    || limits[kind].iter().any(|row| limits[other].contains(row))
            };
            let (with, without): (Vec<Vec<usize>>, _) = blocks
                .into_iter()
                .partition(|block| block.iter().any(together));
            blocks = without;
            let mut one: Vec<usize> = with.into_iter().flatten().collect();
            one.push(kind);
            blocks.push(one);
        }
        blocks
    }
}
