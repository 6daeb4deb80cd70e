//! What stands in for what nobody said, as the answers list it.

use super::{Assumed, AssumedValue};
use crate::setup::{AssumedSpec, AssumedValue as Stands, Setup};
use crate::units::rounded;

/// The field of what a list leaves open: nothing of a document is about it.
pub(crate) const GUESSED: &str = "list";
/// Where that comes from.
const GUESSED_BY: &str = "not said, and assumed where the list was read";

impl Setup {
    /// What is assumed where nobody said it: by the kinds of the devices, device by device,
    /// then by the list that it was read from.
    pub fn assumed(&self) -> Vec<Assumed> {
        let devices = self.devices.iter();
        let each = devices.flat_map(|device| device.assumed.iter().map(move |one| (device, one)));
        let by_kind = each.map(|(device, AssumedSpec { field, value, kind })| {
            let (value, low, high) = match *value {
                Stands::Connector(name) => (AssumedValue::Text(name.to_owned()), None, None),
                Stands::Number(number) => (AssumedValue::Number(rounded(number)), None, None),
                Stands::Between(usual, low, high) => {
                    (AssumedValue::Number(rounded(usual)), Some(low), Some(high))
                }
            };
            Assumed {
                device: device.name.clone(),
                field: (*field).to_owned(),
                value,
                low,
                high,
                source: kind.source.title.to_owned(),
            }
        });
        let guessed = self.guesses.iter().map(|guess| Assumed {
            device: guess.of.clone(),
            field: GUESSED.to_owned(),
            value: AssumedValue::Text(guess.text.clone()),
            low: None,
            high: None,
            source: GUESSED_BY.to_owned(),
        });
        by_kind.chain(guessed).collect()
    }
}
