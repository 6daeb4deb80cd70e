//! A formula as the kernel's problem: of each group one way is taken, ports are seats, and
//! every other row that caps what is taken is a row. What has no cap is left to propagation.

use crate::solve::bound::Prices;
use crate::solve::goal::{Domains, Goal, Limits};
use crate::solve::model::{ANY_LOAD, Column, DominanceKey, Model, Row, RowOrigin, index};
use crate::solve::subproblem::{Buffers, Keep, RowKind, Subproblem};
use crate::verify::formula::{Formula, Variable};

/// A formula with the kernel's model of it: column by variable, device by group.
pub(super) struct Relaxed<'f> {
    pub(super) formula: &'f Formula,
    model: Model,
    /// By row of the model, that of the formula.
    rows: Vec<usize>,
    /// By variable.
    group: Vec<usize>,
}

impl<'f> Relaxed<'f> {
    pub(super) fn of(formula: &'f Formula) -> Self {
        let mut relaxed = Self {
            formula,
            model: Model {
                sessions: 1,
                starts: vec![0],
                ..Model::default()
            },
            rows: Vec::new(),
            group: Vec::with_capacity(formula.variables.len()),
        };
        for (at, group) in formula.groups.iter().enumerate() {
            relaxed.group.extend(group.clone().map(|_| at));
        }
        relaxed.add_rows();
        relaxed.add_columns();
        let Model { seats, .. } = &mut relaxed.model;
        // What takes no seat of its own has one behind those of the ports.
        seats.extend(formula.ports.iter().map(|_| 1));
        seats.push(formula.groups.len());
        relaxed.model.table_of = vec![None; relaxed.model.seats.len()];
        relaxed.model.number_signatures();
        relaxed
    }

    pub(super) fn group_of(&self, variable: u32) -> usize {
        self.group[variable as usize]
    }

    fn first_port(&self) -> usize {
        2 * self.formula.groups.len()
    }

    /// The row of a port in a session, among the ports.
    fn port(&self, port: usize, session: usize) -> Option<usize> {
        let ports = &self.formula.ports;
        ports.iter().position(|&of| of == (port, session))
    }

    fn add_rows(&mut self) {
        let first = self.first_port();
        for (at, row) in self.formula.rows.iter().enumerate().skip(first) {
            // In the first session the seats say as much.
            let seat = self.formula.ports.get(at - first);
            let is_seat = seat.is_some_and(|(_, session)| *session == 0);
            if !is_seat && row.at_least <= 0 && row.terms.iter().all(|(_, n)| *n < 0) {
                self.model.rows.push(Row {
                    origin: RowOrigin::Pool {
                        charger: 0,
                        pool: at,
                        session: 0,
                    },
                    cap: -row.at_least,
                });
                self.rows.push(at);
            }
        }
    }

    fn add_columns(&mut self) {
        let mut takes = vec![Vec::new(); self.formula.variables.len()];
        for (number, &at) in self.rows.iter().enumerate() {
            for &(variable, n) in &self.formula.rows[at].terms {
                takes[variable as usize].push((index(number), -n));
            }
        }
        for (device, group) in self.formula.groups.iter().enumerate() {
            self.model.devices.push(device);
            self.model.rank.push(0);
            self.model.missing.push(0);
            self.model.of_device.push(group.clone());
            for variable in group.clone() {
                let port = self.seat_of(variable);
                let model = &mut self.model;
                model.coefficients.append(&mut takes[variable as usize]);
                model.starts.push(index(model.coefficients.len()));
                model.columns.push(column(port));
                model.dominance_keys.push(dominance_key(port));
            }
        }
    }

    fn seat_of(&self, variable: u32) -> usize {
        let none = self.formula.ports.len();
        match &self.formula.variables[variable as usize] {
            Variable::Way { way, .. } => way.seat.map_or(none, |seat| {
                self.port(seat.port, seat.first).unwrap_or(none)
            }),
            _ => none,
        }
    }

    /// The question whether the formula can be kept.
    pub(super) fn subproblem(&self) -> Subproblem<'_> {
        let mut domains = Domains::all(&self.model);
        domains.may_stay.fill(false);
        Subproblem::of(
            &self.model,
            Goal::Any,
            &Limits::none(),
            0,
            &domains,
            Keep::All,
            Buffers::default(),
        )
    }

    /// The prices by row of the formula, each above 0.
    pub(super) fn by_row(&self, lanes: &[RowKind], prices: &Prices) -> Vec<(usize, i64)> {
        let mut by_row = Vec::new();
        for (lane, &price) in lanes.iter().zip(&prices.rows) {
            if let RowKind::Fixed(row) = *lane {
                by_row.push((self.rows[row], price));
            }
        }
        let seats = prices.groups.iter().take(self.formula.ports.len());
        by_row.extend((self.first_port()..).zip(seats.map(|price| -price)));
        by_row.retain(|(_, price)| *price > 0);
        by_row.sort_unstable();
        // A port in a later session is a row, and a seat of what starts with it.
        by_row.dedup_by(|next, before| {
            let same = next.0 == before.0;
            if same {
                before.1 = before.1.saturating_add(next.1);
            }
            same
        });
        by_row
    }
}

fn column(port: usize) -> Column {
    Column {
        listed: 0,
        port,
        cable: 0,
        time: 0,
        watts: 0,
        contract: (0, 0),
        tier: 0,
        takes: 0,
        hours: 0,
        load: 0,
        needs: 0,
        assured: true,
        late: false,
        moved: false,
        first: 0,
        last: 0,
    }
}

fn dominance_key(port: usize) -> DominanceKey {
    DominanceKey {
        time: 0,
        takes: 0,
        tier: 0,
        needs: 0,
        load: 0,
        slack: ANY_LOAD,
        port: index(port),
        last: 0,
        in_need: false,
        cable: None,
        late: false,
    }
}
