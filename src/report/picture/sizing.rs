//! The least charger, drawn.

use super::frontier::Frontier;
use super::wanted::Wanted;
use super::{Drawn, Figure};
use crate::decide::bag::Bag;
use crate::decide::size::Sizing;
use crate::report::page::Page;
use crate::report::printable::sentence;
use crate::report::sizing::{sums, tiers};

impl Page {
    /// The page of `sizing`, which is one of `bag`, with the ports to look for, and the
    /// frontier with what the labels add up to, drawn.
    #[must_use]
    pub fn with_ports(mut self, bag: &Bag, sizing: &Sizing) -> Self {
        let wanted = Wanted::of(bag, sizing).map(|wanted| Figure {
            title: format!("Ports to look for: {}", tiers(&sizing.ports)),
            words: wanted.words(),
            caption: vec![
                "What is drawn of the most that each device's label asks for.".to_owned(),
            ],
            under: None,
            drawn: Drawn::Wanted(wanted),
        });
        let frontier = Frontier::of(sizing).map(|frontier| Figure {
            title: "The least watts for each time".to_owned(),
            words: frontier.words(),
            caption: sums(sizing).iter().map(|sum| sentence(sum)).collect(),
            under: None,
            drawn: Drawn::Frontier(frontier),
        });
        self.figures.extend(wanted);
        self.figures.extend(frontier);
        self
    }
}
