//! `wattberth try`: a plan of things that are named on the command line.

use super::Exit;
use super::assign::{AnswerArgs, Asked, answer};
use super::input::Text;
use super::output::{Ended, Output};
use super::read::as_understood;
use crate::Setup;

/// Plan what is named right here, each thing in quotes as on a line of a list.
///
/// wattberth try "charger: C1 65 W; C2 30 W; total 80 W" "laptop 30 % left" "2 phones"
///
/// What is not said is assumed, cables too, and listed under the plan. `--list` prints the
/// list instead, to keep it in a file and go on from there.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The chargers, cables and devices, each as it would stand on a line of a list.
    #[arg(required = true, value_name = "THING")]
    things: Vec<String>,
    /// Print the list that was understood, with every guess marked, and no plan.
    #[arg(long, conflicts_with_all = ["json", "card", "proof", "html", "svg"])]
    list: bool,
    #[command(flatten)]
    answer: AnswerArgs,
}

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    let read = || {
        let text = Text {
            file: "<arguments>".to_owned(),
            // A line break in a thing would move every fault below it to another line.
            text: args
                .things
                .iter()
                .map(|thing| thing.replace(['\n', '\r'], " ") + "\n")
                .collect(),
        };
        let texts = vec![text];
        let setup = Setup::from_sources(texts[0].source(), &[]);
        match setup {
            Ok(setup) => Ok(Asked {
                texts,
                setup,
                at_hand: None,
                start: None,
            }),
            Err(error) => Err(out.refuse(&error, &texts, args.answer.json)),
        }
    };
    if args.list {
        return as_understood(&read()?.setup);
    }
    answer(&args.answer, std::iter::empty(), read, out)
}
