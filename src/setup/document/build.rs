//! Setup documents without JSON: each thing by its name, then what its label says.

use super::{
    Cable, Charger, Combination, Device, Label, Pool, PoolPorts, Port, Reserve, Session,
    SetupDocument,
};

/// One method per optional field: its value in, the thing itself out.
macro_rules! fields {
    ($($(#[$doc:meta])* $field:ident: $type:ty),+ $(,)?) => {$(
        $(#[$doc])*
        #[must_use]
        pub fn $field(mut self, $field: $type) -> Self {
            self.$field = Some($field);
            self
        }
    )+};
}

// Below the macro, which it uses.
mod trip;

impl SetupDocument {
    /// A setup without anything in it.
    ///
    /// ```
    /// use wattberth::{Cable, Charger, Device, Port, SetupDocument};
    ///
    /// let setup = SetupDocument::new()
    ///     .charger(Charger::new("desk").port(Port::pd("C1", 65.0)).port(Port::pd("C2", 20.0)))
    ///     .cable(Cable::c_to_c("short").count(2))
    ///     .device(Device::new("score tablet", 28.6).pd_w(45.0).start_pct(15.0))
    ///     .session_h(8.0)
    ///     .check()?;
    /// assert_eq!(setup.device_names().collect::<Vec<_>>(), ["score tablet"]);
    /// # Ok::<(), wattberth::Error>(())
    /// ```
    pub fn new() -> Self {
        Self::default()
    }

    /// Names the setup, for people.
    #[must_use]
    pub fn name(mut self, name: impl Into<String>) -> Self {
        self.name = Some(name.into());
        self
    }

    fields! {
        /// Default of every device's `ready_by_h`, in hours.
        session_h: f64,
    }

    /// The time of day at which the first session, or the night, begins: `22:30`.
    #[must_use]
    pub fn start(mut self, start: impl Into<String>) -> Self {
        self.start = Some(start.into());
        self
    }

    /// Adds a session, after those before it.
    #[must_use]
    pub fn session(mut self, session: Session) -> Self {
        self.sessions.push(session);
        self
    }

    /// Adds a charger.
    #[must_use]
    pub fn charger(mut self, charger: Charger) -> Self {
        self.chargers.push(charger);
        self
    }

    /// Adds a cable.
    #[must_use]
    pub fn cable(mut self, cable: Cable) -> Self {
        self.cables.push(cable);
        self
    }

    /// Adds a device.
    #[must_use]
    pub fn device(mut self, device: Device) -> Self {
        self.devices.push(device);
        self
    }
}

impl Session {
    /// A session of so many hours, at whose start plugs can be swapped.
    ///
    /// ```
    /// use wattberth::{Device, Session, SetupDocument};
    ///
    /// let evening = SetupDocument::new()
    ///     .start("19:00")
    ///     .session(Session::new("evening", 3.5))
    ///     .session(Session::new("night", 8.0).swap(false))
    ///     .device(Device::new("lamp", 20.0).pd_w(18.0).sessions(["night"]));
    /// assert_eq!(evening.sessions[1].swap, Some(false));
    /// ```
    pub fn new(name: impl Into<String>, hours: f64) -> Self {
        Self {
            name: name.into(),
            hours,
            ..Self::default()
        }
    }

    fields! {
        /// Whether plugs can be swapped at its start.
        swap: bool,
    }
}

impl Charger {
    /// A charger without ports.
    ///
    /// ```
    /// use wattberth::{Charger, Port};
    ///
    /// let desk = Charger::new("desk")
    ///     .port(Port::pd("C1", 65.0))
    ///     .port(Port::pd("C2", 30.0))
    ///     .port(Port::usb_a("A1", "5V 2.4A"))
    ///     .max_w(75.0)
    ///     .pool("lower bank", ["C2", "A1"], 24.0)
    ///     .combination([("C1", 45.0), ("C2", 20.0)]);
    /// assert_eq!(desk.ports.len(), 3);
    /// ```
    pub fn new(name: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            ..Self::default()
        }
    }

    /// Adds a port.
    #[must_use]
    pub fn port(mut self, port: Port) -> Self {
        self.ports.push(port);
        self
    }

    fields! {
        /// A limit over all ports, in watts.
        max_w: f64,
        /// What a berth takes from the pools.
        reserve: Reserve,
        /// What its ports give over what it takes from the socket, from 0.3 to 1.
        efficiency: f64,
        /// Weight in grams.
        weight_g: f64,
        /// Price, in whatever currency all candidates share.
        price: f64,
    }

    /// Adds a limit of `max_w` watts that the named ports share.
    #[must_use]
    pub fn pool<P: Into<String>>(
        mut self,
        name: impl Into<String>,
        ports: impl IntoIterator<Item = P>,
        max_w: f64,
    ) -> Self {
        let ports = PoolPorts::Named(ports.into_iter().map(Into::into).collect());
        self.pools.push(Pool {
            name: name.into(),
            ports,
            max_w,
        });
        self
    }

    /// Adds a limit of `max_w` watts that all ports share, beside the charger's own.
    #[must_use]
    pub fn pool_of_all(mut self, name: impl Into<String>, max_w: f64) -> Self {
        self.pools.push(Pool {
            name: name.into(),
            ports: PoolPorts::All,
            max_w,
        });
        self
    }

    /// Adds a line of the label's table: these ports in use together, so many watts
    /// each.
    #[must_use]
    pub fn combination<P: Into<String>>(
        mut self,
        watts: impl IntoIterator<Item = (P, f64)>,
    ) -> Self {
        let line = watts
            .into_iter()
            .map(|(port, watts)| (port.into(), watts))
            .collect();
        self.combinations.push(Combination(line));
        self
    }

    /// The power levels between which the ports step, in watts.
    #[must_use]
    pub fn tiers_w(mut self, tiers: impl IntoIterator<Item = f64>) -> Self {
        self.tiers_w = Some(tiers.into_iter().collect());
        self
    }
}

impl Port {
    /// A USB-C port of so many PD watts.
    pub fn pd(name: impl Into<String>, pd_w: f64) -> Self {
        Self {
            name: name.into(),
            pd_w: Some(pd_w),
            ..Self::default()
        }
    }

    /// A USB-C port with the offers printed beside it.
    pub fn usb_c(name: impl Into<String>, offers: impl Into<Label>) -> Self {
        Self {
            name: name.into(),
            offers: Some(offers.into()),
            ..Self::default()
        }
    }

    /// A USB-A port with the offers printed beside it.
    pub fn usb_a(name: impl Into<String>, offers: impl Into<Label>) -> Self {
        Self::usb_c(name, offers).connector("usb-a")
    }

    /// The connector: `usb-c`, `usb-a`, `usb-micro-b`, `usb-mini-b` or `other:NAME`.
    #[must_use]
    pub fn connector(mut self, connector: impl Into<String>) -> Self {
        self.connector = Some(connector.into());
        self
    }

    /// The offers as printed.
    #[must_use]
    pub fn offers(mut self, offers: impl Into<Label>) -> Self {
        self.offers = Some(offers.into());
        self
    }

    fields! {
        /// The port's PD power, in watts.
        pd_w: f64,
        /// The port's cap, in watts.
        max_w: f64,
    }
}

impl Cable {
    /// A cable from the charger's connector to the device's.
    pub fn new(name: impl Into<String>, from: impl Into<String>, to: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            from: Some(from.into()),
            to: Some(to.into()),
            ..Self::default()
        }
    }

    /// A cable with a USB-C plug on both ends.
    pub fn c_to_c(name: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            ..Self::default()
        }
    }

    /// A cable from USB-A to USB-C.
    pub fn a_to_c(name: impl Into<String>) -> Self {
        Self::new(name, "usb-a", "usb-c")
    }

    /// Says that it carries an e-marker: 5 A, unless `max_a` says less.
    #[must_use]
    pub fn e_marked(mut self) -> Self {
        self.e_marked = Some(true);
        self
    }

    /// Makes it an EPR (240 W) cable: e-marked, 5 A and 50 V.
    #[must_use]
    pub fn epr(self) -> Self {
        self.e_marked().max_a(5.0).max_v(50.0)
    }

    fields! {
        /// Rated current, in amperes.
        max_a: f64,
        /// Rated voltage, in volts.
        max_v: f64,
        /// Length, in metres.
        length_m: f64,
        /// Gauge of the power conductors, AWG.
        awg: f64,
        /// Loop resistance, in ohms.
        ohm: f64,
        /// How many of them.
        count: u32,
    }
}

impl Device {
    /// A device with a USB-C inlet and a battery of so many watt-hours.
    ///
    /// ```
    /// use wattberth::Device;
    ///
    /// let tablets = Device::new("score tablet", 28.6)
    ///     .accepts("5V 3A, 9V 3A")
    ///     .count(4)
    ///     .start_pct(15.0)
    ///     .priority(1);
    /// assert_eq!(tablets.count, Some(4));
    /// ```
    pub fn new(name: impl Into<String>, battery_wh: f64) -> Self {
        Self {
            name: name.into(),
            battery_wh: Some(battery_wh),
            ..Self::default()
        }
    }

    /// A device whose battery is known in milliampere-hours, at 3.7 V unless
    /// `battery_v` says otherwise.
    pub fn with_mah(name: impl Into<String>, battery_mah: f64) -> Self {
        Self {
            name: name.into(),
            battery_mah: Some(battery_mah),
            ..Self::default()
        }
    }

    /// What it accepts, as printed.
    #[must_use]
    pub fn accepts(mut self, accepts: impl Into<Label>) -> Self {
        self.accepts = Some(accepts.into());
        self
    }

    /// The inlet's connector: `usb-c`, `usb-micro-b`, `usb-mini-b` or `other:NAME`.
    #[must_use]
    pub fn inlet(mut self, inlet: impl Into<String>) -> Self {
        self.inlet = Some(inlet.into());
        self
    }

    /// The charging curve: points (state of charge in percent, watts at the inlet).
    #[must_use]
    pub fn draw_w(mut self, points: impl IntoIterator<Item = (f64, f64)>) -> Self {
        self.draw_w = Some(points.into_iter().collect());
        self
    }

    /// The names of the sessions in which it is at hand.
    #[must_use]
    pub fn sessions<S: Into<String>>(mut self, names: impl IntoIterator<Item = S>) -> Self {
        self.sessions = Some(names.into_iter().map(Into::into).collect());
        self
    }

    /// Pins it to a port: `C1`, or `CHARGER/C1`.
    #[must_use]
    pub fn port(mut self, port: impl Into<String>) -> Self {
        self.port = Some(port.into());
        self
    }

    /// Pins it to a cable.
    #[must_use]
    pub fn cable(mut self, cable: impl Into<String>) -> Self {
        self.cable = Some(cable.into());
        self
    }

    fields! {
        /// How many of them.
        count: u32,
        /// Accepts the fixed PD voltages up to this power, in watts.
        pd_w: f64,
        /// The most it draws at the port, in watts.
        max_w: f64,
        /// The least inlet power with which it charges at all, in watts.
        min_w: f64,
        /// Cell voltage for milliampere-hours.
        battery_v: f64,
        /// State of charge at the start, in percent.
        start_pct: f64,
        /// State of charge that counts as full, in percent.
        target_pct: f64,
        /// Inlet to battery, from 0.3 to 1.
        efficiency: f64,
        /// Watts that the running device uses itself.
        running_w: f64,
        /// When it must be full, in hours.
        ready_by_h: f64,
        /// 1 (must be charged), 2, or 3 (if there is room).
        priority: u8,
        /// How far from the charger it lies, in metres.
        reach_m: f64,
    }
}

impl From<&str> for Label {
    fn from(text: &str) -> Self {
        Self(vec![text.to_owned()])
    }
}

impl From<String> for Label {
    fn from(text: String) -> Self {
        Self(vec![text])
    }
}

impl From<Vec<String>> for Label {
    fn from(lines: Vec<String>) -> Self {
        Self(lines)
    }
}

impl<const N: usize> From<[&str; N]> for Label {
    fn from(lines: [&str; N]) -> Self {
        Self(lines.map(str::to_owned).to_vec())
    }
}
