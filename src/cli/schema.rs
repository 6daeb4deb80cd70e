//! `wattberth schema`: the JSON Schema of the documents.

use clap::ValueEnum;
use serde_json::{Map, Value};

use super::Exit;
use super::output::{self, Ended};

/// Print the JSON Schema of a document.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Which document; without it, an object that holds every schema.
    #[arg(value_enum)]
    document: Option<Document>,
}

/// Each document, by the function that gives its schema.
macro_rules! documents {
    ($($document:ident by $schema:ident,)*) => {
        #[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
        enum Document {
            $($document,)*
        }

        impl Document {
            fn schema(self) -> Value {
                match self {
                    $(Self::$document => crate::$schema(),)*
                }
            }
        }
    };
}

documents! {
    Setup by setup_schema,
    Bag by bag_schema,
    Candidate by candidate_schema,
    Berths by berths_schema,
    Plan by plan_schema,
    Rota by rota_schema,
    Score by score_schema,
    Improve by improve_schema,
    Guest by guest_schema,
    Wish by wish_schema,
    Size by size_schema,
    Rank by rank_schema,
    BatchLine by batch_line_schema,
    BatchAnswer by batch_answer_schema,
    Timeline by timeline_schema,
    SharingRules by sharing_rules_schema,
    Calendar by calendar_schema,
    Trip by trip_schema,
    Pack by pack_schema,
    Faults by faults_schema,
}

pub(super) fn run(args: &Args) -> Result<Exit, Ended> {
    let schema = match args.document {
        Some(document) => document.schema(),
        None => Value::Object(all()),
    };
    output::data(&format!("{schema:#}"))?;
    Ok(Exit::Done)
}

fn all() -> Map<String, Value> {
    let documents = Document::value_variants().iter();
    let named = documents.filter_map(|document| {
        let name = document.to_possible_value()?.get_name().to_owned();
        Some((name, document.schema()))
    });
    named.collect()
}
