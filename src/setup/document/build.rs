//! Setup documents without JSON: each thing by its name, then what its label says.

mod trip;

use std::convert::Infallible;
use std::fmt;
use std::str::FromStr;

use super::{
    Cable, Charger, Combination, Device, Label, Lead, Pool, PoolPorts, Port, Session,
    SetupDocument, Shop, Span,
};

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
}

impl Shop {
    /// A shop without anything in it.
    ///
    /// ```
    /// use wattberth::{Cable, Charger, Port, Shop};
    ///
    /// let cube = Charger::new("cube").port(Port::pd("C1", 45.0));
    /// let shop = Shop::new()
    ///     .charger(cube.weight_g(95.0).price(29.0).count(1))
    ///     .cable(Cable::c_to_c("braided").weight_g(30.0).price(7.0));
    /// assert_eq!(shop.chargers[0].count, Some(1));
    /// ```
    pub fn new() -> Self {
        Self::default()
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

    /// Makes it an EPR (240 W) cable: e-marked, 5 A and 50 V.
    #[must_use]
    pub fn epr(self) -> Self {
        self.e_marked().max_a(5.0).max_v(50.0)
    }
}

impl Lead {
    /// A lead that ends in a USB-C plug.
    pub fn new() -> Self {
        Self::default()
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
            battery_wh: Some(Span::Of(battery_wh)),
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
}

impl Device {
    /// A device of a kind, such as `laptop`, of which nothing else is said.
    ///
    /// ```
    /// use wattberth::Device;
    ///
    /// assert_eq!(Device::of_kind("laptop", "laptop").kind.as_deref(), Some("laptop"));
    /// ```
    pub fn of_kind(name: impl Into<String>, kind: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            kind: Some(kind.into()),
            ..Self::default()
        }
    }
}

impl From<f64> for Span {
    fn from(value: f64) -> Self {
        Self::Of(value)
    }
}

impl From<(f64, f64)> for Span {
    fn from((low, high): (f64, f64)) -> Self {
        Self::Between(low, high)
    }
}

impl From<[f64; 2]> for Span {
    fn from([low, high]: [f64; 2]) -> Self {
        Self::Between(low, high)
    }
}

impl FromStr for Label {
    type Err = Infallible;

    /// As printed; [`SetupDocument::check`] reads what it says.
    fn from_str(text: &str) -> Result<Self, Infallible> {
        Ok(text.into())
    }
}

/// Its lines.
impl fmt::Display for Label {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0.join("\n"))
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
