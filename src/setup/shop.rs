//! The shop, checked and resolved.

use super::ask::{At, unique};
use super::cable::resolve_cable;
use super::check::resolve_chargers;
use super::trip::{MainsSide, resolve_adapters, resolve_converters, resolve_mains_sides};
use super::{AdapterSpec, CableSpec, ChargerSpec, ConverterSpec};
use crate::diagnostics::{Findings, Path, shown};
use crate::limits::{CONVERTERS, SHOP_ADAPTERS, SHOP_CABLES, SHOP_CHARGERS, SHOP_COUNT};
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
            worth(thing, &mut At::new(findings, list(name).index(i)));
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
fn worth((_, weight_g, price): &Thing<'_>, at: &mut At<'_>) {
    for (field, value) in [("weight_g", weight_g), ("price", price)] {
        if value.is_none() {
            let message = format!("what is for sale needs its `{field}`");
            at.findings
                .add(at.path.clone(), message)
                .about(&["weight_g", "price"]);
        }
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

#[cfg(test)]
mod tests {
    use super::super::check;
    use super::*;
    use crate::setup::Setup;
    use crate::setup::document::{Cable, Charger, Device, Port};

    fn cube(name: &str) -> Charger {
        let cube = Charger::new(name).port(Port::pd("C1", 45.0));
        cube.weight_g(95.0).price(29.0)
    }

    fn checked(document: SetupDocument) -> Result<Setup, Vec<String>> {
        let mut findings = Findings::new();
        let setup = check(document, &mut findings);
        let said = |finding: &crate::diagnostics::Finding| finding.message.clone();
        setup.ok_or_else(|| findings.all.iter().map(said).collect())
    }

    fn refused(document: SetupDocument) -> Vec<String> {
        checked(document).expect_err("it has faults")
    }

    fn bag() -> SetupDocument {
        SetupDocument::new().device(Device::new("phone", 15.0).pd_w(18.0))
    }

    #[test]
    fn a_bag_without_chargers_may_have_a_shop_with_labels_alone() {
        let label = Charger::new("desk").label(["C1 65W; A1 12W; Total 65W"]);
        let shop = Shop::new()
            .charger(label.weight_g(180.0).price(45.0).mains("EF", "100-240V"))
            .charger(cube("cube").count(2));
        let setup = checked(bag().nights(6).shop(shop)).expect("it is sound");
        let shop = setup.shop.expect("it has one");
        assert_eq!(shop.chargers[0].ports.len(), 2);
        assert!(shop.sides[0].plug.is_some() && shop.sides[1].plug.is_none());
        assert!(shop.cables.is_empty() && shop.adapters.is_empty() && shop.converters.is_empty());
        assert_eq!(
            setup.document.shop.expect("it has one").chargers[0]
                .ports
                .len(),
            2
        );
        assert_eq!(
            refused(bag()),
            ["`chargers` is empty; at least one is needed"]
        );
    }

    #[test]
    fn what_is_for_sale_has_its_weight_and_its_price_and_a_name_of_its_own() {
        let bare = Charger::new("cube").port(Port::pd("C1", 45.0));
        let shop = Shop::new()
            .charger(bare)
            .cable(Cable::c_to_c("braided").weight_g(25.0).price(6.0));
        let owned = bag()
            .charger(Charger::new("cube").port(Port::pd("C1", 45.0)))
            .cable(Cable::c_to_c("braided"));
        let faults = refused(owned.shop(shop));
        assert_eq!(
            faults,
            [
                "what is for sale needs its `weight_g`",
                "what is for sale needs its `price`",
                "\"cube\" is in the bag, too: give what is for sale another name",
                "\"braided\" is in the bag, too: give what is for sale another name",
            ]
        );
    }

    #[test]
    fn every_list_has_its_size_and_every_count_its_range() {
        let many = |count: usize| {
            let names = (0..count).map(|n| cube(&format!("cube {n}")));
            bag().shop(names.fold(Shop::new(), Shop::charger))
        };
        assert!(checked(many(256)).is_ok());
        assert_eq!(refused(many(257)).len(), 1);
        for (count, holds) in [(0, false), (1, true), (1000, true), (1001, false)] {
            let shop = Shop::new().charger(cube("cube").count(count));
            assert_eq!(checked(bag().shop(shop)).is_ok(), holds, "{count}");
        }
        let counted = refused(bag().charger(cube("cube").count(1)));
        assert!(counted[0].contains("only a `shop` counts"), "{counted:?}");
    }

    #[test]
    fn how_often_a_thing_is_charged_is_every_night_unless_it_is_said() {
        let phone = || Device::new("phone", 15.0).pd_w(18.0);
        let bag = |phone: Device| SetupDocument::new().charger(cube("cube")).device(phone);
        let every = |setup: Setup| setup.devices[0].every_nights;
        assert_eq!(checked(bag(phone())).map(every), Ok(1));
        assert_eq!(checked(bag(phone().every_nights(14))).map(every), Ok(14));
        for out in [0, 15] {
            assert!(checked(bag(phone().every_nights(out))).is_err(), "{out}");
        }
    }
}
