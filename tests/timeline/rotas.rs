//! Rotas: several sessions, and plugs that are pulled before a device is full.

use serde_json::Value;
use wattberth::{
    Happening, Rota, Setup, Sharing, Timeline, TimelineOptions, rota, rota_timeline_with,
};

use crate::model::rounding::micro;
use crate::random_setup::crowd::crowded_setup;
use crate::random_setup::small_setup;

const SESSIONS: [(&str, f64); 3] = [("evening", 0.7), ("night", 1.6), ("morning", 0.4)];

fn with_sessions(json: &str) -> Setup {
    let mut document: Value = serde_json::from_str(json).expect("the generator writes JSON");
    let sessions = SESSIONS.map(
        |(name, hours)| serde_json::json!({"name": name, "hours": hours, "swap": name != "night"}),
    );
    document["sessions"] = sessions.to_vec().into();
    Setup::from_json(&document.to_string()).expect("it is a setup")
}

fn night(setup: &Setup, rota: &Rota, sharing: Sharing) -> Timeline {
    let mut options = TimelineOptions::default();
    options.sharing = sharing;
    rota_timeline_with(setup, rota, &options).expect("its own rota")
}

/// The state of charge of every series at a time that is one of its points: the last there.
fn pct_at(night: &Timeline, at_h: f64) -> Vec<f64> {
    let at = |series: &wattberth::Series| {
        let after = series.at_h.partition_point(|point| *point <= at_h + 1e-9);
        series.soc_pct[after - 1]
    };
    night.series.iter().map(at).collect()
}

#[test]
fn berths_charge_in_their_sessions_and_nobody_falls_behind() {
    let (mut swaps, mut unfinished, mut sooner) = (0, 0, 0);
    for seed in 0..300 {
        for json in [small_setup(seed), crowded_setup(seed)] {
            let setup = with_sessions(&json);
            let rota = rota(&setup).expect("it is planned");
            let held = night(&setup, &rota, Sharing::Held);
            let anew = night(&setup, &rota, Sharing::Reshared);
            swaps += rota.swaps;
            unfinished += held.not_full;
            for (of, series) in rota.berths.iter().zip(&held.series) {
                assert_eq!(of.berth.device, series.device);
                let bounds = |name: &str| rota.sessions.iter().find(|s| s.name == name);
                let first = bounds(&of.session).expect("a session").start_h;
                let last = bounds(&of.until_session).expect("a session").end_h;
                match series.full_h {
                    Some(full_h) => assert_eq!(micro(full_h), micro(of.finish_h), "{json}"),
                    None => assert!(of.finish_h > last && of.berth.late, "{json}"),
                }
                for (&at_h, &watts) in series.at_h.iter().zip(&series.watts) {
                    let plugged = first <= at_h && at_h <= last;
                    assert!(plugged || watts == 0.0, "{} at {at_h} h", series.device);
                }
            }
            let mut end_h = 0.0;
            for (_, hours) in SESSIONS {
                end_h += hours;
                let (planned, reached) = (pct_at(&held, end_h), pct_at(&anew, end_h));
                let some_are_not_full = held.not_full > 0;
                if end_h < held.until_h - 1e-9 || some_are_not_full {
                    for (planned, reached) in planned.iter().zip(&reached) {
                        assert!(
                            *reached >= planned - 1e-6,
                            "after {end_h} h: {reached} < {planned}\n{json}"
                        );
                    }
                }
            }
            assert!(anew.not_full <= held.not_full, "{json}");
            if held.not_full == 0 {
                let reshared_h = anew.reshared_h.expect("it was asked for");
                assert!(micro(reshared_h) <= micro(held.longest_h) + 1, "{json}");
                sooner += usize::from(micro(reshared_h) < micro(held.longest_h));
            }
            let ends = anew
                .events
                .iter()
                .filter(|e| e.what == Happening::SessionEnds);
            assert_eq!(ends.count(), SESSIONS.len());
        }
    }
    assert!(
        swaps > 100 && unfinished > 100 && sooner > 0,
        "{swaps} {unfinished} {sooner}"
    );
}
