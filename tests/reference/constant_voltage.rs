//! The closed form of charging at constant current, then at constant voltage.
//!
//! Where the open-circuit voltage is a straight line near the top, the current falls
//! in proportion to what is missing once the voltage limit is reached, so the rest
//! takes `tau × ln(I0 / I_end)` with `tau = (1 - z_c) × Q / I0`. The resistance model
//! is textbook material (Plett, *Battery Management Systems*, vol. I, 2015; memory);
//! the table is computed from it. No published numeric example was at hand.

use serde_json::{Value, json};

use crate::common::{berth_of, charger, ideal_cable, near, setup};

/// One row: `amps` into a cell of `amp_hours` until `taper_pct`, then falling to
/// `end_amps`; the time from `start_pct`, and the state of charge at the end.
struct Row {
    amp_hours: f64,
    amps: f64,
    taper_pct: f64,
    end_amps: f64,
    start_pct: f64,
    minutes: f64,
    end_pct: f64,
}

impl Row {
    /// A device in which a watt-hour stands for an ampere-hour: the formula is the
    /// same in energy and power as in charge and current.
    fn device(&self, draw_w: &Value) -> Value {
        json!({
            "name": "device", "accepts": "5V 3A", "battery_wh": self.amp_hours,
            "start_pct": self.start_pct, "target_pct": self.end_pct,
            "draw_w": draw_w, "efficiency": 1
        })
    }

    #[track_caller]
    fn check(&self) {
        let ample = 3.0;
        let to_the_end = json!([[self.taper_pct, self.amps], [self.end_pct, self.end_amps]]);
        // The same line drawn on to where it would reach nothing.
        let beyond_the_end = json!([[0, self.amps], [self.taper_pct, self.amps], [100, 0]]);
        // The same line drawn back to the start: now the charger holds the current.
        let at_0_pct = self.amps * 100.0 / (100.0 - self.taper_pct);
        let line_alone = json!([[0, at_0_pct], [100, 0]]);
        for (draw_w, port_a) in [
            (to_the_end, ample),
            (beyond_the_end, ample),
            (line_alone, self.amps / 5.0),
        ] {
            let charger = charger(&json!({"name": "C1", "offers": format!("5V {port_a}A")}));
            let berth = berth_of(&setup(&charger, &ideal_cable(), &self.device(&draw_w)));
            near("minutes", berth.hours * 60.0, self.minutes, 1e-3);
        }
    }
}

#[test]
fn closed_form() {
    for [
        amp_hours,
        amps,
        taper_pct,
        end_amps,
        start_pct,
        minutes,
        end_pct,
    ] in [
        [5.0, 5.0, 80.0, 0.25, 0.0, 83.949, 99.0],
        [5.0, 5.0, 80.0, 0.50, 0.0, 75.631, 98.0],
        [5.0, 5.0, 80.0, 0.25, 50.0, 53.949, 99.0],
        [5.0, 2.5, 90.0, 0.25, 0.0, 135.631, 99.0],
        [4.0, 2.0, 85.0, 0.20, 20.0, 119.447, 98.5],
    ] {
        Row {
            amp_hours,
            amps,
            taper_pct,
            end_amps,
            start_pct,
            minutes,
            end_pct,
        }
        .check();
    }
}
