//! The shop, checked and resolved.

use super::ask::{At, unique};
use super::cable::resolve_cable;
use super::check::resolve_chargers;
use super::trip::{MainsSide, resolve_adapters, resolve_converters, resolve_mains_sides};
use super::{AdapterSpec, CableSpec, ChargerSpec, ConverterSpec};
use crate::diagnostics::{Findings, Path, shown};
use crate::limits::{
    CONVERTERS, PRICE, SHOP_ADAPTERS, SHOP_CABLES, SHOP_CHARGERS, SHOP_COUNT, WEIGHT_G,
};
use crate::setup::document::{SetupDocument, Shop};

/// A shop with its names read. What a thing weighs and costs, and how many there are, the
/// document says at the same place of its list.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ShopSpec {
    pub(crate) chargers: Vec<ChargerSpec>,
    /// By charger of the shop.
    pub(crate) sides: Vec<MainsSide>,
    pub(crate) cables: Vec<CableSpec>,
    pub(crate) adapters: Vec<AdapterSpec>,
    pub(crate) converters: Vec<ConverterSpec>,
}

/// Checks the shop of a document, where it has one, and resolves it. Labels are written out.
pub(super) fn resolve_shop(document: &SetupDocument, findings: &mut Findings) -> Option<ShopSpec> {
    let shop = document.shop.as_ref()?;
    let path = Path::default().field("shop");
    if !sizes_hold(shop, &path, findings) {
        return None;
    }
    let list = |name: &str| path.field(name);
    let chargers = resolve_chargers(&shop.chargers, &list("chargers"), findings);
    for (i, charger) in shop.chargers.iter().enumerate() {
        let mut at = At::new(findings, list("chargers").index(i));
        at.number("count", charger.count.map(f64::from), &SHOP_COUNT);
    }
    let cables = shop.cables.iter().enumerate();
    let cables = cables
        .map(|(i, cable)| resolve_cable(cable, findings, list("cables").index(i)))
        .collect();
    let spec = ShopSpec {
        chargers,
        sides: resolve_mains_sides(&shop.chargers, &list("chargers"), findings),
        cables,
        adapters: resolve_adapters(&shop.adapters, &list("adapters"), findings),
        converters: resolve_converters(&shop.converters, &list("converters"), findings),
    };
    for (name, things) in things(shop) {
        for (i, thing) in things.iter().enumerate() {
            worth(thing, At::new(findings, list(name).index(i)));
        }
    }
    names(document, shop, &path, findings);
    Some(spec)
}

/// A thing for sale: its name, its weight and its price.
type Thing<'s> = (&'s str, Option<f64>, Option<f64>);

/// Everything for sale, list by list.
fn things(shop: &Shop) -> [(&'static str, Vec<Thing<'_>>); 4] {
    macro_rules! of {
        ($list:ident) => {{
            let all = shop.$list.iter();
            let all = all.map(|thing| (thing.name.as_str(), thing.weight_g, thing.price));
            (stringify!($list), all.collect())
        }};
    }
    [of!(chargers), of!(cables), of!(adapters), of!(converters)]
}

/// What has no weight or no price would always be bought.
fn worth((_, weight_g, price): &Thing<'_>, mut at: At<'_>) {
    for (field, value, range) in [("weight_g", weight_g, &WEIGHT_G), ("price", price, &PRICE)] {
        if value.is_none() {
            let message = format!("what is for sale needs its `{field}`");
            at.findings
                .add(at.path.clone(), message)
                .about(&["weight_g", "price"]);
        }
        at.number(field, *value, range);
    }
}

fn sizes_hold(shop: &Shop, path: &Path, findings: &mut Findings) -> bool {
    let mut hold = true;
    for (field, count, size) in [
        ("chargers", shop.chargers.len(), SHOP_CHARGERS),
        ("cables", shop.cables.len(), SHOP_CABLES),
        ("adapters", shop.adapters.len(), SHOP_ADAPTERS),
        ("converters", shop.converters.len(), CONVERTERS),
    ] {
        if !size.holds(count) {
            findings.add(path.field(field), size.refusal(count));
            hold = false;
        }
    }
    hold
}

/// Checks that no two things of a kind have one name, in the shop or in the bag.
fn names(document: &SetupDocument, shop: &Shop, path: &Path, findings: &mut Findings) {
    let trip = document.trip.as_ref();
    let owned: [Vec<&str>; 4] = [
        document.chargers.iter().map(|c| c.name.as_str()).collect(),
        document.cables.iter().map(|c| c.name.as_str()).collect(),
        trip.map_or(Vec::new(), |trip| {
            trip.adapters.iter().map(|a| a.name.as_str()).collect()
        }),
        trip.map_or(Vec::new(), |trip| {
            trip.converters.iter().map(|c| c.name.as_str()).collect()
        }),
    ];
    for ((list, things), owned) in things(shop).into_iter().zip(owned) {
        let at = |i: usize| path.field(list).index(i).field("name");
        let listed = things.iter().enumerate();
        for (i, (name, ..)) in listed.clone() {
            if owned.contains(name) {
                let message = format!(
                    "\"{}\" is in the bag, too: give what is for sale another name",
                    shown(name)
                );
                findings.add(at(i), message);
            }
        }
        // The chargers' are checked with them.
        if list != "chargers" {
            let listed = listed.map(|(i, (name, ..))| (at(i), *name));
            unique(findings, listed, list);
        }
    }
}
