//! Random small questions: devices, a route or none, and a shop.

use wattberth::{
    Adapter, Appliance, Cable, Charger, Device, Load, Port, SetupDocument, Shop, Stop, TripDocument,
};

/// Numbers that look random and are the same each time.
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn of(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x5DEE_CE66)
    }

    pub(crate) fn below(&mut self, most: u64) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % most
    }

    fn one<T: Copy>(&mut self, of: &[T]) -> T {
        let at = usize::try_from(self.below(of.len() as u64)).expect("a small number");
        of[at]
    }

    fn worth(&mut self) -> (f64, f64) {
        let weight = 10.0 + 5.0 * f64::from(u32::try_from(self.below(30)).expect("small"));
        let price = f64::from(u32::try_from(1 + self.below(25)).expect("small"));
        (weight, price)
    }
}

fn devices(dice: &mut Dice, seldom: bool) -> Vec<Device> {
    let count = 1 + dice.below(3);
    (0..count)
        .map(|at| {
            let (watts, wh) = dice.one(&[(20.0, 15.0), (30.0, 28.0), (65.0, 56.0), (18.0, 10.0)]);
            let mut device = Device::new(format!("stand {at}"), wh).pd_w(watts);
            if dice.below(3) == 0 {
                device = device.min_w(dice.one(&[10.0, 15.0]));
            }
            if seldom && dice.below(2) == 0 {
                device = device.every_nights(u32::try_from(2 + dice.below(2)).expect("small"));
            }
            device.priority(u8::try_from(1 + dice.below(3)).expect("small"))
        })
        .collect()
}

fn charger(dice: &mut Dice, name: String) -> Charger {
    let (weight, price) = dice.worth();
    let mut charger = Charger::new(name).weight_g(weight).price(price);
    for port in 0..=dice.below(2) {
        let watts = dice.one(&[15.0, 20.0, 30.0, 45.0, 65.0]);
        charger = charger.port(Port::pd(format!("C{port}"), watts));
    }
    if charger.ports.len() > 1 && dice.below(2) == 0 {
        charger = charger.max_w(dice.one(&[30.0, 45.0, 65.0]));
    }
    charger
}

fn cables(dice: &mut Dice) -> Vec<Cable> {
    let kinds = 1 + dice.below(2);
    (0..kinds)
        .map(|at| {
            let (weight, price) = dice.worth();
            let cable = Cable::c_to_c(format!("cable {at}")).watts(dice.one(&[60.0, 100.0]));
            cable.weight_g(weight).price(price).count(2)
        })
        .collect()
}

/// One place, for some nights.
pub(crate) fn at_home(seed: u64) -> SetupDocument {
    let mut dice = Dice::of(seed);
    let mut document = SetupDocument::new().session_h(dice.one(&[2.0, 3.0, 5.0, 8.0]));
    for device in devices(&mut dice, true) {
        document = document.device(device);
    }
    let mut shop = Shop::default();
    for at in 0..2 + dice.below(2) {
        let charger = charger(&mut dice, format!("brick {at}"));
        shop = shop.charger(charger.count(1 + u32::try_from(dice.below(2)).expect("small")));
    }
    for cable in cables(&mut dice) {
        shop = shop.cable(cable);
    }
    if dice.below(3) == 0 {
        document = document.charger(charger(&mut dice, "own".to_owned()));
    }
    document.shop(shop)
}

/// A route of two or three stops.
pub(crate) fn on_tour(seed: u64) -> SetupDocument {
    let mut dice = Dice::of(seed);
    let mut document = SetupDocument::new().session_h(dice.one(&[3.0, 5.0, 8.0]));
    let seldom = dice.below(3) == 0;
    for device in devices(&mut dice, seldom) {
        document = document.device(device);
    }
    let mut trip = TripDocument::new();
    let mut countries = vec!["AT", "GB", "US", "CH"];
    for at in 0..2 + dice.below(2) {
        let country =
            countries.remove(usize::try_from(dice.below(3)).expect("small") % countries.len());
        let mut stop = Stop::new(format!("stop {at}"), country);
        if dice.below(2) == 0 {
            stop = stop.nights(2);
        }
        if dice.below(2) == 0 {
            stop = stop.outlets(1);
        }
        trip = trip.stop(stop);
    }
    if dice.below(2) == 0 {
        let label = dice.one(&["220-240V", "100-240V"]);
        trip = trip.appliance(Appliance::new("iron", "C", label, 400.0, Load::Heating));
    }
    let mut shop = Shop::default();
    for at in 0..2 + dice.below(2) {
        let plug = dice.one(&["C", "G", "A"]);
        let charger = charger(&mut dice, format!("brick {at}"));
        shop = shop.charger(charger.mains(plug, "100-240V").count(1));
    }
    for cable in cables(&mut dice) {
        shop = shop.cable(cable);
    }
    for (at, (takes, makes)) in [
        (vec!["C", "EF"], vec!["G"]),
        (vec!["C", "EF", "G"], vec!["A"]),
        (vec!["C", "G", "A"], vec!["C", "G", "A"]),
    ]
    .into_iter()
    .enumerate()
    {
        let (weight, price) = dice.worth();
        let adapter = Adapter::new(format!("adapter {at}"), takes, makes);
        let adapter = adapter.weight_g(weight).price(price);
        shop = shop.adapter(adapter.count(1));
    }
    document.trip(trip).shop(shop)
}
