//! The least bags of the two sorts: with chargers alone, and with adapters that have ports of
//! their own alone. Which of them is enough is no rule: both are asked.

use serde::{Deserialize, Serialize};

use super::answer::longest;
use super::goods::{Goods, Source};
use super::kits::Bag;
use super::rest::Most;
use super::unbeaten::Timed;
use super::{Ask, BagWorth, Question};
use crate::diagnostics::Result;
use crate::setup::document::fields::words;
use crate::solve::budget::Budget;

words! {
    /// What a bag charges with.
    #[derive(PartialOrd, Ord)]
    #[non_exhaustive]
    pub enum ChargeWith {
        /// Chargers, through plain adapters where one is needed.
        Chargers = "chargers",
        /// Adapters with ports of their own.
        Adapters = "adapters",
    }
}

/// The least bag of one sort.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct OtherSort {
    /// What it charges with, and with nothing else.
    pub with: ChargeWith,
    /// The least bag that serves as well; absent where none was found.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bag: Option<BagWorth>,
    /// Whether that is the least, or where it is absent, whether there is none.
    pub proven: bool,
}

impl ChargeWith {
    fn holds(self, source: &Source) -> bool {
        source.adapter.is_some() == (self == Self::Adapters)
    }
}

/// The sorts that a bag is not of; none where there is only one sort to be had.
pub(super) fn other_sorts(
    ask: &Ask<'_, '_>,
    appliances: &[usize],
    bag: &Bag,
    budget: &mut Budget,
) -> Result<Vec<OtherSort>> {
    let question = ask.question;
    let sources = &question.goods.sources;
    let sorts = [ChargeWith::Chargers, ChargeWith::Adapters];
    let is_had = |with: &ChargeWith| sources.iter().any(|source| with.holds(&source.spec));
    if !sorts.iter().all(is_had) {
        return Ok(Vec::new());
    }
    let is_of = |with: ChargeWith| bag.kit.iter().all(|&at| with.holds(&sources[at].spec));
    let mut others = Vec::new();
    for with in sorts.into_iter().filter(|with| !is_of(*with)) {
        others.push(budget.share(2, |part| least(ask, appliances, bag, with, part))?);
    }
    Ok(others)
}

/// The least bag of one sort that serves no worse than a bag of any.
fn least(
    ask: &Ask<'_, '_>,
    appliances: &[usize],
    bag: &Bag,
    with: ChargeWith,
    budget: &mut Budget,
) -> Result<OtherSort> {
    let question = ask.question;
    let mut goods: Goods = question.goods.clone();
    goods.sources.retain(|source| with.holds(&source.spec));
    let only = Question::of(question.setup, question.route, &goods)?;
    let mut asked = only.ask(ask.by, budget)?;
    let found = asked.least(appliances, Most::default(), None, budget)?;
    let mut other = OtherSort {
        with,
        bag: None,
        proven: found.proven,
    };
    if let Some(bag_of_sort) = found.bag {
        // What no source of this sort could serve does not count there.
        let serves = only.expected(&asked, &bag_of_sort) <= question.expected(ask, bag);
        if serves {
            let longest = longest(&mut asked, &bag_of_sort, budget)?;
            let timed = Timed {
                bag: bag_of_sort,
                longest,
            };
            other.bag = Some(only.worth(&timed));
        }
    }
    Ok(other)
}
