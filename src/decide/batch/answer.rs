//! One line to its answer.

use std::panic::{AssertUnwindSafe, catch_unwind};

use super::cache::Bags;
use super::lines::LINE_BYTES;
use crate::assign::assign_within;
use crate::decide::batch::line::{Line, read_line};
use crate::diagnostics::{Error, Fault, Result};
use crate::json::{Faults, on_one_line, text_of};
use crate::plan::Plan;
use crate::solve::options::SolveOptions;

/// The answer to one line, without a line break.
pub(super) fn answer(line: &[u8], options: &SolveOptions, bags: &Bags) -> String {
    // A bug that one line brings to light costs that line's answer, not the stream.
    catch_unwind(AssertUnwindSafe(|| answered(line, options, bags))).unwrap_or_else(|_| {
        let error = Error::Internal {
            message: "the line could not be worked out".to_owned(),
        };
        written("null", Err(error))
    })
}

fn answered(line: &[u8], options: &SolveOptions, bags: &Bags) -> String {
    if line.len() > LINE_BYTES {
        let fault = Fault {
            message: format!("the line is longer than {} MiB", LINE_BYTES >> 20),
            ..Fault::default()
        };
        return written("null", Err(Error::Input(vec![fault])));
    }
    let text = match text_of(line) {
        Ok(text) => text,
        Err(error) => return written("null", Err(error)),
    };
    if let Some((id, plan)) = by_bag(text, options, bags) {
        return written(id, plan);
    }
    let (id, setup) = read_line(text);
    // Not signed: a digest of each setup would take longer than many a plan.
    let plan = setup.map_err(Error::Input).and_then(|setup| {
        setup.check_plannable().map_err(of_setup)?;
        let (mut budget, wanted) = options.begin();
        assign_within(&setup, wanted, &mut budget).map_err(of_setup)
    });
    written(&id, plan)
}

/// The usual line: a setup whose chargers are replaced. `None` where it is another, or
/// where anything is wrong: what, is found by reading it again in full.
fn by_bag<'a>(
    text: &'a str,
    options: &SolveOptions,
    bags: &Bags,
) -> Option<(&'a str, Result<Plan>)> {
    let line = Line::parts(text)?;
    let (chargers, specs) = line.chargers()?;
    let bag = bags.of(line.setup())?;
    let setup = bag.with(chargers, specs).ok()?;
    let (mut budget, wanted) = options.begin();
    let plan = bag.assign(&setup, wanted, &mut budget);
    Some((line.id(), plan.map_err(of_setup)))
}

/// What planning refuses stands in the line's setup.
fn of_setup(error: Error) -> Error {
    match error {
        Error::Input(mut faults) => {
            for fault in &mut faults {
                fault.path = format!("setup.{}", fault.path);
            }
            Error::Input(faults)
        }
        other => other,
    }
}

fn written(id: &str, plan: Result<Plan>) -> String {
    // A carriage return in the id can only be blank space, and some readers of lines
    // would end the line there.
    let id = id.replace('\r', " ");
    match plan {
        Ok(plan) => format!("{{\"id\":{id},\"plan\":{}}}", on_one_line(&plan)),
        Err(error) => {
            let mut errors = Faults::from(&error).errors;
            // Which line it is, is known by its answer alone.
            for fault in &mut errors {
                fault.line = 0;
            }
            format!("{{\"id\":{id},\"errors\":{}}}", on_one_line(&errors))
        }
    }
}
