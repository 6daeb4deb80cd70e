//! Documents to JSON and back, in one place.

use serde_json::Value;

use crate::{Plan, Result, Source};

pub(super) fn read_plan(source: Source<'_>) -> Result<Plan> {
    Plan::from_source(source)
}

pub(super) fn plan_json(plan: &Plan) -> String {
    plan.to_json()
}

pub(super) fn setup_schema() -> Value {
    crate::setup_schema()
}

pub(super) fn plan_schema() -> Value {
    crate::plan_schema()
}
