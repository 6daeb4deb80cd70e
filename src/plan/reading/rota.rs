//! Rota documents read back.

use crate::json::fields::answer_part;
use crate::plan::rota::{
    Rota, RotaBerth, RotaPoolUse, RotaSession, rota_berth_fields, rota_fields,
    rota_pool_use_fields, rota_session_fields,
};
use crate::plan::{Berth, PoolUse};

rota_fields!(answer_part);
rota_berth_fields!(answer_part);
rota_pool_use_fields!(answer_part);
rota_session_fields!(answer_part);

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{LimitedBy, Status};
    use crate::setup::document::Aim;

    fn rota() -> Rota {
        let berth = Berth {
            device: "laptop".to_owned(),
            charger: "desk".to_owned(),
            port: "C1".to_owned(),
            cable: "short".to_owned(),
            volts: 20.0,
            amps: 2.25,
            tier_w: 45.0,
            port_w: 45.0,
            inlet_w: 44.2,
            hours: 1.903_125,
            late: false,
            promised_w: None,
            promised_h: None,
            limited_by: LimitedBy::Device,
        };
        let pool = PoolUse {
            charger: "desk".to_owned(),
            pool: "total".to_owned(),
            used_w: 45.0,
            max_w: 75.0,
        };
        Rota {
            version: 1,
            program: None,
            setup_sha256: None,
            status: Status::Optimal,
            settled: None,
            aim: Aim::Best,
            longest_h: 5.403_125,
            promised_longest_h: None,
            reshared_h: Some(5.25),
            bound_h: Some(5.403_125),
            unserved: 0,
            bound_unserved: None,
            missing_wh: 0.0,
            late: 0,
            promised_late: 1,
            bound_late: None,
            bounds: Vec::new(),
            berths: vec![RotaBerth {
                berth,
                session: "night".to_owned(),
                until_session: "night".to_owned(),
                finish_h: 5.403_125,
                promised_finish_h: None,
            }],
            assumed: Vec::new(),
            without_berth: Vec::new(),
            pools: vec![RotaPoolUse {
                of: pool,
                session: "night".to_owned(),
            }],
            cautions: vec!["a pool binds".to_owned()],
            because: Vec::new(),
            start: Some("19:00".to_owned()),
            sessions: vec![RotaSession {
                name: "night".to_owned(),
                start_h: 3.5,
                end_h: 11.5,
            }],
            swaps: 1,
            held_wh: 360.0,
        }
    }

    #[test]
    fn rotas_are_read_back_as_they_were_written() {
        let json = rota().to_json();
        assert_eq!(Rota::from_json(&json).expect(&json), rota());
    }

    #[test]
    fn a_rota_is_no_plan_and_what_is_no_part_of_it_is_a_fault() {
        let json = rota().to_json();
        let Err(crate::Error::Input(faults)) = crate::plan::Plan::from_json(&json) else {
            panic!("a rota is no plan")
        };
        let paths: Vec<&str> = faults.iter().map(|fault| fault.path.as_str()).collect();
        for path in [
            "sessions",
            "swaps",
            "berths[0].finish_h",
            "pools[0].session",
        ] {
            assert!(paths.contains(&path), "{path}: {paths:?}");
        }
        for (from, to, path, near) in [
            ("\"swaps\": 1", "\"swaps\": 1, \"swap\": 1", "swap", "swaps"),
            (
                "\"end_h\": ",
                "\"ends_h\": 1, \"end_h\": ",
                "sessions[0].ends_h",
                "end_h",
            ),
            (
                "\"finish_h\": ",
                "\"finnish_h\": 1, \"finish_h\": ",
                "berths[0].finnish_h",
                "finish_h",
            ),
        ] {
            let changed = json.replacen(from, to, 1);
            let Err(crate::Error::Input(faults)) = Rota::from_json(&changed) else {
                panic!("{path} is read")
            };
            assert_eq!(faults.len(), 1, "{faults:?}");
            assert_eq!(faults[0].path, path);
            assert_eq!(faults[0].suggestion.as_deref(), Some(near));
        }
    }

    #[test]
    fn what_a_rota_adds_is_required() {
        let json = rota().to_json();
        for (field, fault) in [
            (
                "\"finish_h\"",
                "berths[0]: a berth of a rota needs the field `finish_h`",
            ),
            (
                "\"until_session\"",
                "berths[0]: a berth of a rota needs the field `until_session`",
            ),
            (
                "\"end_h\"",
                "sessions[0]: a session needs the field `end_h`",
            ),
            ("\"swaps\"", "a rota needs the field `swaps`"),
        ] {
            let without = json.replace(field, "\"other\"");
            let found = Rota::from_json(&without).map_err(|error| error.to_string());
            assert!(
                matches!(&found, Err(error) if error.contains(fault)),
                "{field}: {found:?}"
            );
        }
    }
}
