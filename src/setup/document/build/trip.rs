//! Trips without JSON.

use super::super::{
    Adapter, Appliance, Battery, BatteryKind, Charger, Combination, Converter, Load, Pool,
    PoolPorts, Stop, TripDocument,
};

/// The texts of a list.
fn texts<T: Into<String>>(list: impl IntoIterator<Item = T>) -> Vec<String> {
    list.into_iter().map(Into::into).collect()
}

impl Charger {
    /// Its mains plug and the mains voltage it runs on, as printed: `"EF"`,
    /// `"100-240V"`.
    #[must_use]
    pub fn mains(mut self, plug: impl Into<String>, input_v: impl Into<String>) -> Self {
        self.plug = Some(plug.into());
        self.input_v = Some(input_v.into());
        self
    }
}

impl TripDocument {
    /// A trip without stops.
    ///
    /// ```
    /// use wattberth::{Adapter, Appliance, Battery, BatteryKind, Load, Stop, TripDocument};
    ///
    /// let trip = TripDocument::new()
    ///     .travellers(2)
    ///     .stop(Stop::new("London", "GB").nights(2).outlets(1))
    ///     .adapter(Adapter::new("Europe to UK", ["C", "EF"], ["G"]).earthed().fuse_a(13.0))
    ///     .appliance(Appliance::new("kettle", "EF", "220-240V", 1000.0, Load::Heating))
    ///     .battery(Battery::new("power bank", BatteryKind::PowerBank, 74.0));
    /// assert_eq!(trip.stops[0].country, "GB");
    /// ```
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds the plug of a thing that is not listed.
    #[must_use]
    pub fn plug(mut self, plug: impl Into<String>) -> Self {
        self.plugs.push(plug.into());
        self
    }
}

impl Stop {
    /// A stop in a country, by its two letters (ISO 3166-1).
    pub fn new(name: impl Into<String>, country: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            country: country.into(),
            ..Self::default()
        }
    }
}

impl Adapter {
    /// An adapter from the plugs that go into it to those that it has for the wall.
    pub fn new<T: Into<String>, M: Into<String>>(
        name: impl Into<String>,
        takes: impl IntoIterator<Item = T>,
        makes: impl IntoIterator<Item = M>,
    ) -> Self {
        Self {
            name: name.into(),
            takes: texts(takes),
            makes: texts(makes),
            ..Self::default()
        }
    }

    /// Adds a limit of `max_w` watts that the named USB ports share.
    #[must_use]
    pub fn pool<P: Into<String>>(
        mut self,
        name: impl Into<String>,
        ports: impl IntoIterator<Item = P>,
        max_w: f64,
    ) -> Self {
        self.pools.push(Pool {
            name: name.into(),
            ports: PoolPorts::Named(texts(ports)),
            max_w,
        });
        self
    }

    /// Adds a line of the label's table: these USB ports in use together, so many watts
    /// each.
    #[must_use]
    pub fn combination<P: Into<String>>(
        mut self,
        line: impl IntoIterator<Item = (P, f64)>,
    ) -> Self {
        let line = line.into_iter().map(|(port, watts)| (port.into(), watts));
        self.combinations.push(Combination(line.collect()));
        self
    }

    /// The mains that its USB ports are supplied from, as printed: `"100-240V"`,
    /// `"50/60Hz"`.
    #[must_use]
    pub fn input(mut self, input_v: impl Into<String>, input_hz: impl Into<String>) -> Self {
        self.input_v = Some(input_v.into());
        self.input_hz = Some(input_hz.into());
        self
    }
}

impl Appliance {
    /// An appliance by its plug, the mains voltage on its label, the most watts that it
    /// draws, and what it does with them.
    pub fn new(
        name: impl Into<String>,
        plug: impl Into<String>,
        input_v: impl Into<String>,
        max_w: f64,
        kind: Load,
    ) -> Self {
        Self {
            name: name.into(),
            plug: plug.into(),
            input_v: input_v.into(),
            max_w,
            kind,
            ..Self::default()
        }
    }
}

impl Converter {
    /// A converter by the mains voltages that it runs on, as printed, the voltage that
    /// it makes of them, and the most watts that it gives. What kinds of load, which plug
    /// and what it takes are fields, too.
    pub fn new(name: impl Into<String>, from_v: impl Into<String>, to_v: f64, max_w: f64) -> Self {
        Self {
            name: name.into(),
            from_v: from_v.into(),
            to_v,
            max_w,
            ..Self::default()
        }
    }

    /// The kinds of load that it is made for.
    #[must_use]
    pub fn kinds(mut self, kinds: impl IntoIterator<Item = Load>) -> Self {
        self.kinds = kinds.into_iter().collect();
        self
    }

    /// Its plug, and the plugs that go into it.
    #[must_use]
    pub fn plugs<T: Into<String>>(
        mut self,
        plug: impl Into<String>,
        takes: impl IntoIterator<Item = T>,
    ) -> Self {
        self.plug = plug.into();
        self.takes = texts(takes);
        self
    }
}

impl Battery {
    /// A battery of so many watt-hours, as printed.
    pub fn new(name: impl Into<String>, kind: BatteryKind, battery_wh: f64) -> Self {
        Self {
            name: name.into(),
            kind,
            battery_wh: Some(battery_wh),
            ..Self::default()
        }
    }

    /// A battery of so many milliampere-hours at its cells' voltage.
    pub fn with_mah(
        name: impl Into<String>,
        kind: BatteryKind,
        battery_mah: f64,
        battery_v: f64,
    ) -> Self {
        Self {
            name: name.into(),
            kind,
            battery_mah: Some(battery_mah),
            battery_v: Some(battery_v),
            ..Self::default()
        }
    }

    /// A battery of so many grams of lithium metal, which is not charged again.
    ///
    /// ```
    /// use wattberth::{Battery, BatteryKind};
    ///
    /// let cells = Battery::with_lithium("camera cells", BatteryKind::Spare, 0.6).count(4);
    /// assert_eq!(cells.lithium_g, Some(0.6));
    /// ```
    pub fn with_lithium(name: impl Into<String>, kind: BatteryKind, lithium_g: f64) -> Self {
        Self {
            name: name.into(),
            kind,
            lithium_g: Some(lithium_g),
            ..Self::default()
        }
    }

    /// The battery of the device of that name, counted as another kind.
    pub fn of_device(name: impl Into<String>, kind: BatteryKind) -> Self {
        Self {
            name: name.into(),
            kind,
            ..Self::default()
        }
    }
}
