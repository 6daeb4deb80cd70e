//! `wattberth schema`: the JSON Schema of the documents.

use clap::ValueEnum;
use serde_json::json;

use super::Exit;
use super::output::{self, Ended};
use crate::{
    calendar_schema, guest_schema, improve_schema, pack_schema, plan_schema, proof_schema,
    rank_schema, rota_schema, score_schema, setup_schema, size_schema, timeline_schema,
    trip_schema, wish_schema,
};

/// Print the JSON Schema of a document.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Which document; without it, an object that holds every schema.
    #[arg(value_enum)]
    document: Option<Document>,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Document {
    Setup,
    Plan,
    Rota,
    Proof,
    Score,
    Improve,
    Guest,
    Wish,
    Size,
    Rank,
    Timeline,
    Calendar,
    Trip,
    Pack,
}

pub(super) fn run(args: &Args) -> Result<Exit, Ended> {
    let schema = match args.document {
        Some(Document::Setup) => setup_schema(),
        Some(Document::Plan) => plan_schema(),
        Some(Document::Rota) => rota_schema(),
        Some(Document::Proof) => proof_schema(),
        Some(Document::Score) => score_schema(),
        Some(Document::Improve) => improve_schema(),
        Some(Document::Guest) => guest_schema(),
        Some(Document::Wish) => wish_schema(),
        Some(Document::Size) => size_schema(),
        Some(Document::Rank) => rank_schema(),
        Some(Document::Timeline) => timeline_schema(),
        Some(Document::Calendar) => calendar_schema(),
        Some(Document::Trip) => trip_schema(),
        Some(Document::Pack) => pack_schema(),
        None => json!({
            "setup": setup_schema(),
            "plan": plan_schema(),
            "rota": rota_schema(),
            "proof": proof_schema(),
            "score": score_schema(),
            "improve": improve_schema(),
            "guest": guest_schema(),
            "wish": wish_schema(),
            "size": size_schema(),
            "rank": rank_schema(),
            "timeline": timeline_schema(),
            "calendar": calendar_schema(),
            "trip": trip_schema(),
            "pack": pack_schema(),
        }),
    };
    output::data(&format!("{schema:#}"))?;
    Ok(Exit::Done)
}
