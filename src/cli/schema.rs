//! `wattberth schema`: the JSON Schema of the documents.

use clap::ValueEnum;
use serde_json::json;

use super::output::{self, Ended};
use super::{Exit, seam};

/// Print the JSON Schema of the setup document or of the plan document.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Which document; without it, an object that holds both schemas.
    #[arg(value_enum)]
    document: Option<Document>,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Document {
    Setup,
    Plan,
}

pub(super) fn run(args: &Args) -> Result<Exit, Ended> {
    let schema = match args.document {
        Some(Document::Setup) => seam::setup_schema(),
        Some(Document::Plan) => seam::plan_schema(),
        None => json!({ "setup": seam::setup_schema(), "plan": seam::plan_schema() }),
    };
    output::data(&format!("{schema:#}"))?;
    Ok(Exit::Done)
}
