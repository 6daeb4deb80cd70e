//! Hours that may be infinite, where something is never: JSON has no number for it, and
//! documents write null.

use serde::{Deserialize, Deserializer};

/// Hours, or null where that is never.
pub(crate) fn or_never<'de, D: Deserializer<'de>>(from: D) -> Result<f64, D::Error> {
    let hours = Option::<f64>::deserialize(from)?;
    Ok(hours.unwrap_or(f64::INFINITY))
}

/// The same of a field that may be absent.
pub(crate) fn there_or_never<'de, D: Deserializer<'de>>(from: D) -> Result<Option<f64>, D::Error> {
    or_never(from).map(Some)
}

/// A list of them.
pub(crate) fn all_or_never<'de, D: Deserializer<'de>>(from: D) -> Result<Vec<f64>, D::Error> {
    let hours = Vec::<Option<f64>>::deserialize(from)?;
    let hours = hours.into_iter();
    Ok(hours.map(|one| one.unwrap_or(f64::INFINITY)).collect())
}
