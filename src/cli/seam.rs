//! Documents to JSON and back, in one place.

use serde_json::Value;

use crate::{Error, Fault, Plan, Result, SetupDocument, Source};

pub(super) fn read_plan(source: Source<'_>) -> Result<Plan> {
    Err(Error::Input(vec![Fault {
        file: source.file.to_owned(),
        message: "plan documents cannot be read yet".to_owned(),
        ..Fault::default()
    }]))
}

pub(super) fn plan_json(plan: &Plan) -> String {
    serde_json::to_string_pretty(plan).unwrap_or_default()
}

pub(super) fn setup_schema() -> Value {
    schemars::schema_for!(SetupDocument).to_value()
}

pub(super) fn plan_schema() -> Value {
    schemars::schema_for!(Plan).to_value()
}
