//! Names are for people, and the order of the lists decides nothing but ties.

use serde_json::{Map, Value};

use super::{Solve, Verdict};
use crate::random_setup::rng::Rng;

pub(crate) fn renaming(_: &mut Rng, setup: &Value, solve: Solve) -> Verdict {
    let mut renamed = setup.clone();
    for list in ["chargers", "cables", "devices"] {
        for thing in renamed[list].as_array_mut()? {
            rename_in(thing);
        }
    }
    let (before, after) = (solve(setup), solve(&renamed));
    let (before, after) = (before.by_position(setup), after.by_position(&renamed));
    Some(if before == after {
        Ok(())
    } else {
        Err(format!("{before:?} became {after:?}"))
    })
}

/// Another name, which also sorts differently.
fn new_name(name: &str) -> String {
    let reversed = |name: &str| format!("~{}", name.chars().rev().collect::<String>());
    name.split('/').map(reversed).collect::<Vec<_>>().join("/")
}

/// Renames a thing, what it holds, and what it points at.
fn rename_in(thing: &mut Value) {
    let Some(fields) = thing.as_object_mut() else {
        return;
    };
    for (field, value) in fields {
        match (field.as_str(), value) {
            ("name" | "port" | "cable", Value::String(name)) => *name = new_name(name),
            ("combinations", Value::Array(lines)) => {
                for line in lines.iter_mut().filter_map(Value::as_object_mut) {
                    let renamed = std::mem::take(line);
                    *line = renamed
                        .into_iter()
                        .map(|(p, w)| (new_name(&p), w))
                        .collect::<Map<_, _>>();
                }
            }
            // A charger's ports are things; a pool's are names, or the word "all".
            ("ports" | "pools", Value::Array(items)) => {
                for item in items {
                    match item {
                        Value::String(name) => *name = new_name(name),
                        thing => rename_in(thing),
                    }
                }
            }
            _ => {}
        }
    }
}

pub(crate) fn reordering(rng: &mut Rng, setup: &Value, solve: Solve) -> Verdict {
    let mut reordered = setup.clone();
    for list in ["chargers", "cables", "devices"] {
        rng.shuffle(reordered[list].as_array_mut()?);
    }
    for charger in reordered["chargers"].as_array_mut()? {
        for list in ["ports", "pools", "combinations"] {
            if let Some(list) = charger.get_mut(list).and_then(Value::as_array_mut) {
                rng.shuffle(list);
            }
        }
    }
    let (before, after) = (solve(setup).levels, solve(&reordered).levels);
    Some(if before == after {
        Ok(())
    } else {
        Err(format!("{before:?} became {after:?}"))
    })
}

/// Byte for byte.
#[expect(clippy::unnecessary_wraps, reason = "laws have one shape")]
pub(crate) fn same_twice(_: &mut Rng, setup: &Value, solve: Solve) -> Verdict {
    let (once, twice) = (solve(setup).document, solve(setup).document);
    Some(if once == twice {
        Ok(())
    } else {
        Err(format!("{once}\nbecame\n{twice}"))
    })
}
