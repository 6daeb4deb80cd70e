//! A formula as a file: OPB, a row on a line.

use std::fmt::Write as _;

use super::{Formula, Row};

impl Formula {
    pub(crate) fn to_opb(&self) -> String {
        let (variables, rows) = (self.variables.len(), self.rows.len());
        let mut text = format!("* #variable= {variables} #constraint= {rows}\n");
        for row in &self.rows {
            row.write(&mut text);
        }
        text
    }
}

impl Row {
    fn write(&self, text: &mut String) {
        // Text can be written to.
        for (variable, n) in &self.terms {
            let _ = write!(text, "{n:+} x{} ", variable + 1);
        }
        let _ = writeln!(text, ">= {} ;", self.at_least);
    }
}
