//! How far a search is, as a dict.

use pyo3::prelude::*;
use pyo3::types::PyDict;
use wattberth::{Progress, RankProgress, Settling};

/// What a callback is told.
pub(crate) enum Progressed {
    Search(Box<Progress>),
    Kits(RankProgress),
}

impl Progressed {
    pub(crate) fn as_dict<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let dict = PyDict::new(py);
        match self {
            Self::Kits(told) => {
                dict.set_item("planned", told.planned)?;
                dict.set_item("settled", told.settled)?;
                dict.set_item("kits", told.kits)?;
            }
            Self::Search(told) => {
                dict.set_item("steps", told.steps)?;
                dict.set_item("nodes", told.nodes)?;
                dict.set_item("unserved", told.unserved)?;
                dict.set_item("missing_wh", told.missing_wh)?;
                dict.set_item("late", told.late)?;
                dict.set_item("longest_h", told.longest_h)?;
                dict.set_item("settling", word(told.settling))?;
                dict.set_item("value", told.value)?;
                dict.set_item("bound", told.bound)?;
            }
        }
        Ok(dict)
    }
}

/// A level of the plan's order, with its priority or its place where it has one.
fn word(settling: Settling) -> String {
    match settling {
        Settling::Unserved => "unserved".to_owned(),
        Settling::Missing => "missing".to_owned(),
        Settling::Late { priority } => format!("late-{priority}"),
        Settling::Longest => "longest".to_owned(),
        Settling::Time {
            spare: false,
            place,
        } => format!("time-{place}"),
        Settling::Time { spare: true, place } => format!("spare-time-{place}"),
        Settling::Moves => "moves".to_owned(),
        Settling::Hours => "hours".to_owned(),
        Settling::AfterFirst => "after-first".to_owned(),
        Settling::Watts => "watts".to_owned(),
        _ => "other".to_owned(),
    }
}
