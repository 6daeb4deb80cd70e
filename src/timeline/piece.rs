//! One device's night in pieces on each of which everything has a closed form.
//!
//! On a piece what goes into charging is constant, or linear in the state of charge s:
//! d(s) = d₀ + m (s − s₀). Then ds/dt = κ d, with κ in percent per watt-hour at the inlet,
//! has the solution d(t) = d₀ exp(m κ t), s(t) = s₀ + d₀ κ t · (exp(m κ t) − 1) / (m κ t).
//!
//! What arrives is p = V I − I² R, so that the port gives V I with
//! I = 2 p / (V + √(V² − 4 R p)): more than p by what the cable turns into heat. With
//! p = r + d(t) the integral of I over time is elementary too (see [`Piece::port_wh`]).

use crate::setup::DeviceSpec;

/// Where a device is plugged in: what turns inlet watts into port watts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Line {
    pub(super) volts: f64,
    /// Of the contract: no rounding takes the current past it.
    pub(super) max_a: f64,
    pub(super) ohm: f64,
}

impl Line {
    /// Watts at the port while `inlet_w` arrive.
    pub(super) fn port_w(&self, inlet_w: f64) -> f64 {
        let amps = 2.0 * inlet_w / (self.volts + self.root(inlet_w));
        self.volts * amps.min(self.max_a)
    }

    /// √(V² − 4 R p), the volts left and right of the point of most power.
    fn root(&self, inlet_w: f64) -> f64 {
        (self.volts * self.volts - 4.0 * self.ohm * inlet_w)
            .max(0.0)
            .sqrt()
    }
}

/// A time in which one contract holds and the charging power is constant or linear in the
/// state of charge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Piece {
    pub(super) from_h: f64,
    pub(super) to_h: f64,
    pub(super) from_pct: f64,
    pub(super) to_pct: f64,
    /// Into charging, at the inlet, at its start and its end.
    pub(super) from_w: f64,
    pub(super) to_w: f64,
    /// The m of the power, in watts per percent.
    pub(super) slope: f64,
    /// Drawn beside charging, at the inlet.
    pub(super) running_w: f64,
    /// `None` while nothing is plugged in.
    pub(super) line: Option<Line>,
}

/// Percent of a device's battery per watt-hour at its inlet.
pub(super) fn percent_per_wh(device: &DeviceSpec) -> f64 {
    device.efficiency * 100.0 / device.battery_wh
}

impl Piece {
    /// The state of charge and the charging power `at_h`, within the piece.
    pub(super) fn at(&self, at_h: f64, kappa: f64) -> (f64, f64) {
        if at_h >= self.to_h {
            return (self.to_pct, self.to_w);
        }
        let after = (at_h - self.from_h).max(0.0);
        let x = self.slope * kappa * after;
        let grown = x.exp_m1();
        // (exp(x) − 1) / x, which tends to 1.
        let ratio = if x.abs() < 1e-9 {
            1.0 + x / 2.0
        } else {
            grown / x
        };
        let pct = self.from_pct + self.from_w * kappa * after * ratio;
        (pct.min(self.to_pct), self.from_w * (1.0 + grown))
    }

    /// Its part up to `at_h`.
    pub(super) fn until(&self, at_h: f64, kappa: f64) -> Self {
        let (to_pct, to_w) = self.at(at_h, kappa);
        Self {
            to_h: at_h,
            to_pct,
            to_w,
            ..*self
        }
    }

    /// Watts at the port while `charging_w` go into charging.
    pub(super) fn port_w(&self, charging_w: f64) -> f64 {
        self.line
            .map_or(0.0, |line| line.port_w(self.running_w + charging_w))
    }

    pub(super) fn hours(&self) -> f64 {
        self.to_h - self.from_h
    }

    /// Watt-hours that arrive at the inlet for charging.
    pub(super) fn charging_wh(&self, kappa: f64) -> f64 {
        (self.to_pct - self.from_pct) / kappa
    }

    /// Watt-hours at the port: V ∫ I dt.
    ///
    /// With a = V² − 4 R r, u = √(a − 4 R d) and dt = dd / (m κ d), the integral of
    /// I = (V − u) / 2 R has the terms ln d, u and √a · ln(√a + u). They are written by
    /// the differences Δt, Δs and Δd = m Δs over which they are taken, so that R and m may
    /// vanish.
    pub(super) fn port_wh(&self, kappa: f64) -> f64 {
        let Some(line) = self.line else {
            return 0.0;
        };
        let (first, last) = (self.running_w + self.from_w, self.running_w + self.to_w);
        let (u0, u1) = (line.root(first), line.root(last));
        if self.from_w == self.to_w || u0 + u1 <= 0.0 {
            return line.port_w(first) * self.hours();
        }
        let a = line.root(self.running_w);
        // ln(1 + w) / w for w = (u1 − u0) / (√a + u0).
        let w = -4.0 * line.ohm * (self.to_w - self.from_w) / ((u0 + u1) * (a + u0));
        let ratio = if w.abs() < 1e-9 {
            1.0 - w / 2.0
        } else {
            w.ln_1p() / w
        };
        let running = 2.0 * self.running_w / (line.volts + a) * self.hours();
        let charging = 4.0 * self.charging_wh(kappa) / (u0 + u1) * (1.0 - a * ratio / (a + u0));
        line.volts * (running + charging)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A piece that falls or rises from `from_w` to `to_w` over 20 % of a battery.
    fn piece(from_w: f64, to_w: f64, running_w: f64, ohm: f64, kappa: f64) -> Piece {
        let slope = (to_w - from_w) / 20.0;
        let hours = if slope == 0.0 {
            20.0 / (kappa * from_w)
        } else {
            (to_w / from_w).ln() / (slope * kappa)
        };
        Piece {
            from_h: 1.0,
            to_h: 1.0 + hours,
            from_pct: 70.0,
            to_pct: 90.0,
            from_w,
            to_w,
            slope,
            running_w,
            line: Some(Line {
                volts: 9.0,
                max_a: 5.0,
                ohm,
            }),
        }
    }

    #[test]
    fn energy_at_the_port_is_the_integral_of_its_power() {
        let kappa = 88.0 / 30.0;
        for (from_w, to_w, running_w, ohm) in [
            (20.0, 2.0, 0.0, 0.15),
            (20.0, 2.0, 3.0, 0.15),
            (20.0, 2.0, 3.0, 0.0),
            (20.0, 2.0, 3.0, 1e-12),
            (20.0, 20.0 - 1e-9, 3.0, 0.2),
            (2.0, 20.0, 1.0, 0.2),
            (15.0, 15.0, 1.0, 0.2),
            (30.0, 1e-6, 0.0, 0.5),
        ] {
            let piece = piece(from_w, to_w, running_w, ohm, kappa);
            // The midpoint rule, written without the closed form.
            let steps = 200_000;
            let dt = piece.hours() / f64::from(steps);
            let sum: f64 = (0..steps)
                .map(|i| {
                    let at = piece.from_h + (f64::from(i) + 0.5) * dt;
                    piece.port_w(piece.at(at, kappa).1) * dt
                })
                .sum();
            let got = piece.port_wh(kappa);
            assert!(
                (got - sum).abs() < 1e-8 * sum,
                "{from_w} {to_w} {ohm}: {got} ≠ {sum}"
            );
        }
    }

    #[test]
    fn a_piece_ends_where_its_closed_form_says() {
        let kappa = 88.0 / 30.0;
        for (from_w, to_w) in [(20.0, 2.0), (2.0, 20.0), (20.0, 20.0), (20.0, 19.999_999)] {
            let piece = piece(from_w, to_w, 0.0, 0.1, kappa);
            let (pct, watts) = piece.at(piece.to_h - 1e-12, kappa);
            assert!((pct - 90.0).abs() < 1e-6, "{pct}");
            assert!((watts - to_w).abs() < 1e-6, "{watts}");
            assert_eq!(piece.at(piece.from_h, kappa), (70.0, from_w));
        }
    }
}
