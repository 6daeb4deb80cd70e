//! Plan documents read back. A field that nobody knows is a fault: whoever wrote it takes
//! it for checked.

mod cause;
mod rota;
mod way;
#[cfg(feature = "schema")]
pub use way::berths_schema;

use jsonc_parser::ast::Value;

use crate::json::fields::{Field, Part, answer_part, word};
use crate::json::reader::{Fields, Reader};
use crate::plan::because::{
    Because, BindingLimit, LimitKind, Shortfall, because_fields, binding_limit_fields,
};
use crate::plan::bounds::{BoundedLevel, LevelBound, level_bound_fields};
use crate::plan::moves::{Move, Place, move_fields, place_fields};
use crate::plan::origin::{Program, program_fields};
use crate::plan::{
    Assumed, AssumedValue, Berth, LimitedBy, Plan, PoolUse, Status, WithoutBerth, assumed_fields,
    berth_fields, plan_fields, pool_use_fields, without_berth_fields,
};
use crate::solve::levels::Level;

plan_fields!(answer_part);
program_fields!(answer_part);
berth_fields!(answer_part);
assumed_fields!(answer_part);
without_berth_fields!(answer_part);
pool_use_fields!(answer_part);
because_fields!(answer_part);
level_bound_fields!(answer_part);
binding_limit_fields!(answer_part);
move_fields!(answer_part);
place_fields!(answer_part);

word!(Status, LimitedBy, Level, Shortfall, LimitKind, BoundedLevel);

impl Field<()> for Program {
    fn field(reader: &mut Reader, f: &Fields<'_, '_>, name: &str, (): ()) -> Option<Self> {
        let value = reader.any(f, name)?;
        Self::object(reader, value, &f.path.field(name))
    }
}

impl Field<()> for Place {
    fn field(reader: &mut Reader, f: &Fields<'_, '_>, name: &str, (): ()) -> Option<Self> {
        let value = reader.any(f, name)?;
        Self::object(reader, value, &f.path.field(name))
    }
}

impl Field<()> for AssumedValue {
    fn field(reader: &mut Reader, f: &Fields<'_, '_>, name: &str, (): ()) -> Option<Self> {
        match reader.any(f, name)? {
            Value::StringLit(text) => Some(Self::Text(text.value.clone().into_owned())),
            Value::NumberLit(_) => reader.number(f, name).map(Self::Number),
            value => {
                let what = format!("`{name}`");
                reader.wrong_type(f.path.field(name), &what, "a number or a text", value);
                None
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostics::Error;
    use crate::plan::Reason;
    use crate::setup::document::Aim;

    fn two_bounds() -> Vec<LevelBound> {
        vec![
            LevelBound {
                level: BoundedLevel::Time,
                priority: Some(3),
                place: Some(2),
                value: None,
                bound: 1.5,
            },
            LevelBound {
                level: BoundedLevel::Hours,
                priority: None,
                place: None,
                value: Some(3.8),
                bound: 3.5,
            },
        ]
    }

    fn plan_with(causes: &[Reason]) -> Plan {
        let without = causes.iter().enumerate().map(|(i, cause)| WithoutBerth {
            device: format!("phone {i}"),
            reason: "there are fewer ports than devices".to_owned(),
            cause: cause.clone(),
        });
        Plan {
            version: 1,
            program: Some(Program::this()),
            setup_sha256: Some("0a".repeat(32)),
            status: Status::Feasible,
            settled: Some(Level::Longest),
            aim: Aim::Promise,
            longest_h: 1.903_125,
            promised_longest_h: Some(2.5),
            reshared_h: Some(1.75),
            bound_h: Some(1.0),
            unserved: causes.len(),
            bound_unserved: Some(0),
            missing_wh: 12.5,
            late: 1,
            promised_late: 1,
            bound_late: None,
            bounds: two_bounds(),
            berths: vec![Berth {
                device: "laptop".to_owned(),
                charger: "desk".to_owned(),
                port: "C1".to_owned(),
                cable: "short".to_owned(),
                volts: 15.0,
                amps: 3.0,
                tier_w: 45.0,
                port_w: 45.0,
                inlet_w: 44.2,
                hours: 1.903_125,
                late: true,
                promised_w: Some(30.0),
                promised_h: Some(2.5),
                limited_by: LimitedBy::Combination,
            }],
            assumed: vec![
                Assumed {
                    device: "laptop".to_owned(),
                    field: "battery_wh".to_owned(),
                    value: AssumedValue::Number(54.0),
                    low: Some(41.0),
                    high: Some(76.0),
                    source: "a list".to_owned(),
                },
                Assumed {
                    device: "laptop".to_owned(),
                    field: "inlet".to_owned(),
                    value: AssumedValue::Text("usb-c".to_owned()),
                    low: None,
                    high: None,
                    source: "a list".to_owned(),
                },
            ],
            without_berth: without.collect(),
            moves: Some(vec![Move {
                device: "laptop".to_owned(),
                from: Place {
                    charger: "desk".to_owned(),
                    port: "C2".to_owned(),
                    cable: "long".to_owned(),
                },
                to: Some(Place {
                    charger: "desk".to_owned(),
                    port: "C1".to_owned(),
                    cable: "short".to_owned(),
                }),
            }]),
            pools: vec![PoolUse {
                charger: "desk".to_owned(),
                pool: "total".to_owned(),
                used_w: 45.0,
                max_w: 75.0,
            }],
            cautions: vec!["a pool binds".to_owned()],
            because: vec![Because {
                about: Shortfall::Longest,
                devices: vec!["laptop".to_owned()],
                beside: vec!["phone".to_owned()],
                limits: vec![BindingLimit {
                    device: Some("laptop".to_owned()),
                    by_h: Some(2.0),
                    ..BindingLimit::of(LimitKind::Device)
                }],
                least: true,
            }],
        }
    }

    #[test]
    fn plans_are_read_back_as_they_were_written() {
        let pinned = Reason::PinnedImpossible {
            pin: "desk/C1".to_owned(),
            because: Box::new(Reason::BelowMinimum {
                best_w: 10.0,
                min_w: 15.5,
            }),
        };
        let cables = Reason::FewerCables {
            cables: vec!["short".to_owned()],
        };
        let plan = plan_with(&[pinned, cables, Reason::NoRoom, Reason::NoCommonSupply]);
        let json = plan.to_json();
        assert!(json.contains("\"tier_w\": 45,\n"), "{json}");
        assert_eq!(Plan::from_json(&json), Ok(plan));
    }

    #[test]
    fn what_is_no_part_of_a_plan_is_a_fault_with_a_near_name() {
        let json = plan_with(&[Reason::FewerPorts {
            devices: 12,
            ports: 8,
        }])
        .to_json();
        for (from, to, path, near) in [
            ("\"late\": 1", "\"late\": 1, \"zzz\": 1", "zzz", None),
            (
                "\"volts\": 15",
                "\"volts\": 15, \"voltz\": 15",
                "berths[0].voltz",
                Some("volts"),
            ),
            (
                "\"reason\": ",
                "\"reasons\": [], \"reason\": ",
                "without_berth[0].reasons",
                Some("reason"),
            ),
            (
                "\"devices\": 12",
                "\"devices\": 12, \"port\": 8",
                "without_berth[0].cause.port",
                Some("ports"),
            ),
            (
                "\"to\": {",
                "\"to\": {\"prot\": \"C1\", ",
                "moves[0].to.prot",
                Some("port"),
            ),
            (
                "\"used_w\": 45",
                "\"used_w\": 45, \"used\": 45",
                "pools[0].used",
                Some("used_w"),
            ),
        ] {
            let changed = json.replacen(from, to, 1);
            let Err(Error::Input(faults)) = Plan::from_json(&changed) else {
                panic!("{path} is read")
            };
            assert_eq!(faults.len(), 1, "{faults:?}");
            assert_eq!(faults[0].path, path);
            assert_eq!(faults[0].suggestion.as_deref(), near, "{path}");
        }
    }

    #[test]
    fn every_fault_of_a_plan_is_reported_with_its_place() {
        let json = plan_with(&[Reason::NoRoom])
            .to_json()
            .replace("\"feasible\"", "\"feasable\"")
            .replace("\"volts\": 15", "\"volts\": \"15\"")
            .replace("\"late\": 1", "\"late\": -1")
            .replace("no-room", "no-rum")
            .replace("\"max_w\": 75", "\"max\": 75");
        let Err(Error::Input(faults)) = Plan::from_json(&json) else {
            panic!("it has faults")
        };
        let paths: Vec<&str> = faults.iter().map(|fault| fault.path.as_str()).collect();
        assert_eq!(
            paths,
            [
                "status",
                "late",
                "berths[0].volts",
                "without_berth[0].cause.kind",
                "pools[0]",
                "pools[0].max"
            ]
        );
        assert_eq!(faults[0].suggestion.as_deref(), Some("feasible"));
        assert!(
            faults
                .iter()
                .all(|fault| fault.line > 1 && !fault.span.is_empty())
        );
    }
}

#[cfg(all(test, feature = "schema"))]
mod schema_tests {
    use super::*;
    use crate::json::tests::{fields_of, sorted, top_fields_of};
    use crate::plan::plan_schema;
    use crate::plan::rota::{Rota, RotaBerth, RotaPoolUse, RotaSession, rota_schema};

    #[test]
    fn the_reader_knows_the_fields_of_the_schemas() {
        let schema = plan_schema();
        assert_eq!(top_fields_of(&schema), sorted(&Plan::known()));
        for (name, fields) in [
            ("Berth", Berth::known()),
            ("WithoutBerth", WithoutBerth::known()),
            ("PoolUse", PoolUse::known()),
            ("Move", Move::known()),
            ("Place", Place::known()),
            ("LevelBound", LevelBound::known()),
        ] {
            assert_eq!(fields_of(&schema["$defs"][name]), sorted(&fields), "{name}");
        }
        let schema = rota_schema();
        assert_eq!(top_fields_of(&schema), sorted(&Rota::known()));
        for (name, fields) in [
            ("RotaBerth", RotaBerth::known()),
            ("RotaPoolUse", RotaPoolUse::known()),
            ("RotaSession", RotaSession::known()),
        ] {
            assert_eq!(fields_of(&schema["$defs"][name]), sorted(&fields), "{name}");
        }
    }
}
