//! What is in a bag, thing by thing: bought, taken and left.

use super::goods::{From, Goods, Worth};
use super::kits::Bag;
use super::{Piece, Question};
use crate::trip::bag::PackingKind;

impl Question<'_> {
    /// Everything of a bag by kind, place and count.
    pub(super) fn contents(&self, bag: &Bag) -> Vec<Content> {
        let Goods {
            sources,
            cables,
            adapters,
            converters,
        } = self.goods;
        let mut all = Vec::new();
        let mut kit = bag.kit.clone();
        kit.dedup();
        for source in kit {
            let good = &sources[source];
            let count = bag.kit.iter().filter(|&&other| other == source).count();
            let (kind, name) = match &good.spec.adapter {
                None => (PackingKind::Charger, &good.spec.charger.name),
                Some(adapter) => (PackingKind::Adapter, &adapter.name),
            };
            all.push(Content::of(kind, name, good.from, good.worth, count));
        }
        for (good, &count) in adapters.iter().zip(&bag.rest.adapters) {
            let kind = PackingKind::Adapter;
            let content = Content::of(kind, &good.spec.name, good.from, good.worth, count);
            match all.iter_mut().find(|known| known.is_like(&content)) {
                Some(known) => known.count += count,
                None => all.push(content),
            }
        }
        for (good, &taken) in converters.iter().zip(&bag.rest.converters) {
            let kind = PackingKind::Converter;
            let count = usize::from(taken);
            all.push(Content::of(
                kind,
                &good.spec.name,
                good.from,
                good.worth,
                count,
            ));
        }
        for (good, &count) in cables.iter().zip(&bag.rest.cables) {
            let kind = PackingKind::Cable;
            all.push(Content::of(
                kind,
                &good.spec.name,
                good.from,
                good.worth,
                count,
            ));
        }
        all.retain(|content| content.count > 0);
        all
    }

    pub(super) fn pieces(&self, bag: &Bag, buy: bool) -> Vec<Piece> {
        let all = self.contents(bag).into_iter();
        let mut all: Vec<Piece> = all
            .filter(|content| content.from.is_bought() == buy)
            .map(|content| self.piece(&content, None))
            .collect();
        all.sort_by_key(|piece| piece.kind);
        all
    }

    /// What of one's own is taken, the appliances last.
    pub(super) fn own_pieces(&self, bag: &Bag, appliances: &[usize]) -> Vec<Piece> {
        let mut all = self.pieces(bag, false);
        all.extend(self.setup.trip.iter().flat_map(|trip| {
            let taken = appliances.iter().map(|&at| &trip.appliances[at].name);
            taken.map(|name| plain(name, PackingKind::Appliance, None))
        }));
        all
    }

    fn piece(&self, content: &Content, reason: Option<String>) -> Piece {
        let weighed = match content.from {
            From::Shop(_) => true,
            From::Bag(at) => self.is_weighed(content.kind, at, &content.name),
        };
        Piece {
            thing: content.name.clone(),
            kind: content.kind,
            count: u32::try_from(content.count).unwrap_or(u32::MAX),
            weight_g: weighed.then(|| content.worth.weight_g()),
            price: content.from.is_bought().then(|| content.worth.price()),
            reason,
        }
    }

    /// Whether somebody said what a thing of the bag weighs.
    fn is_weighed(&self, kind: PackingKind, at: usize, name: &str) -> bool {
        let document = self.setup.document();
        match kind {
            PackingKind::Charger => document.chargers[at].weight_g.is_some(),
            PackingKind::Cable => document.cables[at].weight_g.is_some(),
            PackingKind::Converter => {
                let trip = document.trip.as_ref();
                trip.is_some_and(|trip| trip.converters[at].weight_g.is_some())
            }
            PackingKind::Adapter => {
                let trip = document.trip.iter();
                let mut adapters = trip.flat_map(|trip| &trip.adapters);
                // Those with ports of their own may be numbered.
                adapters.any(|own| name.starts_with(&own.name) && own.weight_g.is_some())
            }
            PackingKind::Appliance => false,
        }
    }

    /// What of one's own is not taken.
    pub(super) fn left(&self, bag: &Bag, appliances: &[usize]) -> Vec<Piece> {
        let taken = self.contents(bag);
        let count = |kind: PackingKind, from: From| {
            let same = taken
                .iter()
                .filter(|one| one.kind == kind && one.from == from);
            same.map(|one| one.count).sum::<usize>()
        };
        let mut left = Vec::new();
        let mut put = |kind: PackingKind, name: &str, from: From, worth: Worth, most: usize| {
            let rest = most.saturating_sub(count(kind, from));
            if rest > 0 && !from.is_bought() {
                left.push(self.piece(&Content::of(kind, name, from, worth, rest), None));
            }
        };
        for good in &self.goods.adapters {
            put(
                PackingKind::Adapter,
                &good.spec.name,
                good.from,
                good.worth,
                good.most,
            );
        }
        for good in &self.goods.converters {
            put(
                PackingKind::Converter,
                &good.spec.name,
                good.from,
                good.worth,
                good.most,
            );
        }
        for good in self
            .goods
            .sources
            .iter()
            .filter(|good| good.spec.adapter.is_none())
        {
            put(
                PackingKind::Charger,
                &good.spec.charger.name,
                good.from,
                good.worth,
                good.most,
            );
        }
        for good in &self.goods.cables {
            put(
                PackingKind::Cable,
                &good.spec.name,
                good.from,
                good.worth,
                good.most,
            );
        }
        let all = self.setup.trip.iter().flat_map(|trip| &trip.appliances);
        for (at, appliance) in all.enumerate() {
            if !appliances.contains(&at) {
                let (nights, all) = self.usable[at];
                let reason = match nights {
                    0 => "it can be used at no stop, with nothing that is there".to_owned(),
                    _ => format!("it can be used on {nights} of {all} nights only"),
                };
                left.push(plain(&appliance.name, PackingKind::Appliance, Some(reason)));
            }
        }
        left
    }
}

/// A thing without a worth.
fn plain(name: &str, kind: PackingKind, reason: Option<String>) -> Piece {
    Piece {
        thing: name.to_owned(),
        kind,
        count: 1,
        weight_g: None,
        price: None,
        reason,
    }
}

/// So many of one thing in a bag.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Content {
    kind: PackingKind,
    name: String,
    from: From,
    /// Of one.
    worth: Worth,
    count: usize,
}

impl Content {
    fn of(kind: PackingKind, name: &str, from: From, worth: Worth, count: usize) -> Self {
        Self {
            kind,
            name: name.to_owned(),
            from,
            worth,
            count,
        }
    }

    fn is_like(&self, other: &Self) -> bool {
        (self.kind, self.from) == (other.kind, other.from)
    }

    /// What one has beyond another, counted.
    pub(super) fn beyond(one: &[Self], other: &[Self]) -> Vec<String> {
        let rest = one.iter().filter_map(|content| {
            let there = other.iter().find(|other| other.is_like(content));
            let there = there.map_or(0, |there| there.count);
            let count = content.count.saturating_sub(there);
            (count > 0).then(|| Self {
                count,
                ..content.clone()
            })
        });
        rest.map(|content| content.counted()).collect()
    }

    pub(super) fn counted(&self) -> String {
        format!("{} × {}", self.count, self.name)
    }
}
