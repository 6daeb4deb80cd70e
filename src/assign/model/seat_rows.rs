//! Which rows a column can take from at all, known from its port and its cable.

use crate::assign::options::Choices;
use crate::solve::model::{Column, Model, Row, RowOrigin};

/// By the port and by the cable of a column, the rows that it may take from, ascending:
/// few of the many that a setup with many pools has.
pub(super) struct SeatRows {
    of_port: Vec<Vec<usize>>,
    of_cable: Vec<Vec<usize>>,
}

impl SeatRows {
    pub(super) fn of(model: &Model, rows: &[Row], options: &Choices) -> Self {
        let mut of_port = vec![Vec::new(); options.ports.len()];
        let mut of_cable = vec![Vec::new(); options.cables.len()];
        let tables = (model.tables.len() / model.sessions).max(1);
        for (r, row) in rows.iter().enumerate() {
            let ports = options.ports.iter().enumerate();
            match row.origin {
                RowOrigin::Cable { group, .. } => of_cable[group].push(r),
                RowOrigin::Ports { group, .. } => of_port[group].push(r),
                RowOrigin::Pool { charger, pool, .. } | RowOrigin::Load { charger, pool, .. } => {
                    for (port, group) in ports {
                        if group.is_in(charger, pool) {
                            of_port[port].push(r);
                        }
                    }
                }
                RowOrigin::Table { table } | RowOrigin::TablePorts { table } => {
                    for (port, _) in ports {
                        let of_table = model.table_of[port];
                        if of_table.is_some_and(|(of, _)| of == table % tables) {
                            of_port[port].push(r);
                        }
                    }
                }
            }
        }
        Self { of_port, of_cable }
    }

    pub(super) fn of_column(&self, column: &Column, rows: &mut Vec<usize>) {
        rows.clear();
        rows.extend_from_slice(&self.of_port[column.port]);
        rows.extend_from_slice(&self.of_cable[column.cable]);
        rows.sort_unstable();
    }
}
