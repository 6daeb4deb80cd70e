//! A line and its answer as data, for who writes the one and reads the other.

use serde::de::IgnoredAny;
use serde::{Deserialize, Deserializer, Serialize};
use serde_json::Value;
#[cfg(feature = "schema")]
use serde_json::json;

use crate::diagnostics::Fault;
#[cfg(feature = "schema")]
use crate::json::{bag_schema, candidate_schema, schema_by_hand, schema_of, setup_schema};
use crate::json::{by_reader, in_full_on_one_line, setup_without_chargers};
#[cfg(feature = "schema")]
use crate::limits::CHARGERS;
use crate::plan::Plan;
use crate::setup::candidate::Candidate;
use crate::setup::document::{Charger, SetupDocument};

/// A line of [`batch`](crate::batch()).
///
/// ```
/// use wattberth::{BatchAnswer, BatchLine, Cable, Charger, Device, Port, SetupDocument};
/// use wattberth::{SolveOptions, answer_line};
///
/// let bag = SetupDocument::new()
///     .cable(Cable::c_to_c("braided"))
///     .device(Device::new("phone", 15.0).pd_w(18.0));
/// let cube = Charger::new("cube").port(Port::pd("C1", 20.0));
/// let line = BatchLine::new(7, bag).charger(cube).to_line();
/// let answer = answer_line(line.as_bytes(), &SolveOptions::default())?;
/// let answer: BatchAnswer = serde_json::from_str(&answer).expect("an answer");
/// assert_eq!((answer.id, answer.plan.expect("a plan").unserved), (7.into(), 0));
/// # Ok::<(), wattberth::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[non_exhaustive]
pub struct BatchLine {
    /// Whatever the answer is to be known by; null where absent.
    #[serde(default, skip_serializing_if = "Value::is_null")]
    pub id: Value,
    /// The setup, which may lack chargers where the line has some.
    pub setup: SetupDocument,
    /// Chargers that replace the setup's, where there are some.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub chargers: Vec<Charger>,
}

impl BatchLine {
    /// A line of a setup.
    pub fn new(id: impl Into<Value>, setup: SetupDocument) -> Self {
        Self {
            id: id.into(),
            setup,
            chargers: Vec::new(),
        }
    }

    /// Adds a charger to those that replace the setup's.
    #[must_use]
    pub fn charger(mut self, charger: Charger) -> Self {
        self.chargers.push(charger);
        self
    }

    /// The line as JSON, without a line break.
    pub fn to_line(&self) -> String {
        in_full_on_one_line(self)
    }
}

impl<'de> Deserialize<'de> for BatchLine {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        /// A setup that may lack chargers.
        struct Bag(SetupDocument);
        impl<'de> Deserialize<'de> for Bag {
            fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
                by_reader(from, setup_without_chargers).map(Self)
            }
        }
        #[derive(Deserialize)]
        #[serde(deny_unknown_fields)]
        struct Line {
            #[serde(rename = "$schema", default)]
            _schema: IgnoredAny,
            #[serde(default)]
            id: Value,
            setup: Value,
            #[serde(default)]
            charger: Option<Candidate>,
            #[serde(default)]
            chargers: Vec<Candidate>,
        }
        let line = Line::deserialize(from)?;
        let chargers = line.charger.into_iter().chain(line.chargers);
        let chargers: Vec<Charger> = chargers.flat_map(|candidate| candidate.chargers).collect();
        let setup = if chargers.is_empty() {
            SetupDocument::deserialize(line.setup)
        } else {
            Bag::deserialize(line.setup).map(|Bag(setup)| setup)
        };
        Ok(Self {
            id: line.id,
            setup: setup.map_err(serde::de::Error::custom)?,
            chargers,
        })
    }
}

/// The answer to a line of [`batch`](crate::batch()): a plan or faults.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct BatchAnswer {
    /// The line's `id`; null where it has none.
    pub id: Value,
    /// The plan.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plan: Option<Plan>,
    /// Where there is none, every fault of the line, its columns counted in the line.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub errors: Vec<Fault>,
}

/// The JSON Schema (2020-12) of a line of [`batch`](crate::batch()).
#[cfg(feature = "schema")]
pub fn batch_line_schema() -> Value {
    let (setup, bag) = (setup_schema(), bag_schema());
    let candidate = candidate_schema();
    let of = |schema: &Value| json!({"$ref": schema["$id"]});
    let schema = json!({
        "$defs": {"setup": setup, "bag": bag, "candidate": candidate},
        "type": "object",
        "properties": {
            "id": {"description": "Whatever the answer is to be known by."},
            "setup": {"description": "The setup, which may lack chargers where the line has some."},
            "charger": of(&candidate),
            "chargers": {
                "description": "Chargers that replace the setup's.",
                "type": "array", "items": of(&candidate),
                "minItems": 1, "maxItems": CHARGERS.most,
            },
        },
        "required": ["setup"],
        "additionalProperties": false,
        "dependentSchemas": {"charger": {"properties": {"chargers": false}}},
        "if": {"anyOf": [{"required": ["charger"]}, {"required": ["chargers"]}]},
        "then": {"properties": {"setup": of(&bag)}},
        "else": {"properties": {"setup": of(&setup)}},
    });
    schema_by_hand("batch_line_schema", "line of `batch`", schema)
}

/// The JSON Schema (2020-12) of an answer of [`batch`](crate::batch()).
#[cfg(feature = "schema")]
pub fn batch_answer_schema() -> Value {
    let mut schema = schema_of::<BatchAnswer>("batch_answer_schema", "answer of `batch`");
    schema["oneOf"] = json!([{"required": ["plan"]}, {"required": ["errors"]}]);
    schema
}
