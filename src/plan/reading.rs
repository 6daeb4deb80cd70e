//! A plan document to a [`Plan`]. A field that nobody knows is a fault: whoever wrote it
//! takes it for checked.

mod cause;
mod rota;
mod way;

use jsonc_parser::ast::Value;

use crate::diagnostics::{Error, Path, Result, Source, close};
use crate::json::locate::{Text, faults};
use crate::json::reader::{Fields, Reader};
use crate::limits::{self, PLAN_COUNT, PLAN_ENTRIES};
use crate::plan::reading::cause::cause;
use crate::plan::{Berth, LimitedBy, Plan, PoolUse, Status, WithoutBerth};
use crate::solve::levels::Until;

pub(crate) const PLAN_FIELDS: [&str; 15] = [
    "version",
    "status",
    "settled",
    "longest_h",
    "reshared_h",
    "bound_h",
    "unserved",
    "bound_unserved",
    "missing_wh",
    "late",
    "bound_late",
    "berths",
    "without_berth",
    "pools",
    "cautions",
];
/// Of [`PLAN_FIELDS`], those that may be absent.
const MAY_BE_ABSENT: [&str; 5] = [
    "settled",
    "reshared_h",
    "bound_h",
    "bound_unserved",
    "bound_late",
];
pub(crate) const BERTH_FIELDS: [&str; 12] = [
    "device",
    "charger",
    "port",
    "cable",
    "volts",
    "amps",
    "tier_w",
    "port_w",
    "inlet_w",
    "hours",
    "late",
    "limited_by",
];
pub(crate) const WITHOUT_FIELDS: [&str; 3] = ["device", "reason", "cause"];
pub(crate) const POOL_FIELDS: [&str; 4] = ["charger", "pool", "used_w", "max_w"];

impl Plan {
    /// Reads a plan document. Only its form is read, and what is no part of it is a fault;
    /// [`verify`](crate::verify()) checks what it says.
    ///
    /// # Errors
    /// [`Error::Input`] with every fault found.
    pub fn from_json(text: &str) -> Result<Self> {
        Self::from_source(Source { file: "", text })
    }

    /// As [`Plan::from_json`], with a name under which faults speak of the text.
    ///
    /// # Errors
    /// As [`Plan::from_json`].
    pub fn from_source(source: Source<'_>) -> Result<Self> {
        whole_text(source, |reader, tree| {
            let f = reader.object(tree, &Path::default(), "a plan", Some(&PLAN_FIELDS))?;
            let (plan, berths, pools) = plan(reader, &f, "a plan", berth, pool_use);
            Some(Self {
                berths,
                pools,
                ..plan
            })
        })
    }
}

/// What `read` makes of a text, unless anything was found.
pub(super) fn whole_text<T>(
    source: Source<'_>,
    read: impl FnOnce(&mut Reader, &Value<'_>) -> Option<T>,
) -> Result<T> {
    let (text, fault) = Text::parse(source);
    let mut reader = Reader::new();
    reader.findings.all.extend(fault);
    let found = text.tree.as_ref().and_then(|tree| read(&mut reader, tree));
    let more = reader.findings.more;
    match found {
        Some(found) if reader.findings.is_empty() => Ok(found),
        _ => {
            let findings = reader.findings.all.into_iter().map(|f| (0, f)).collect();
            let mut faults = faults(&[text], findings);
            close(&mut faults, more);
            Err(Error::Input(faults))
        }
    }
}

/// A plan without its berths and pools, and these, read by the functions given.
pub(super) fn plan<B, P>(
    reader: &mut Reader,
    f: &Fields<'_, '_>,
    what: &str,
    berth: fn(&mut Reader, &Value<'_>, &Path) -> Option<B>,
    pool_use: fn(&mut Reader, &Value<'_>, &Path) -> Option<P>,
) -> (Plan, Vec<B>, Vec<P>) {
    for field in PLAN_FIELDS
        .iter()
        .filter(|field| !MAY_BE_ABSENT.contains(field))
    {
        reader.require(f, field, what);
    }
    let version = reader.whole(f, "version", &limits::VERSION);
    if let Some(version) = version
        && version != 1
    {
        let refusal = limits::VERSION.refusal(f64::from(version));
        reader.refuse(f.path.field("version"), refusal);
    }
    let statuses = [("optimal", Status::Optimal), ("feasible", Status::Feasible)];
    let levels = [
        ("longest", Until::Longest),
        ("times", Until::Times),
        ("everything", Until::Everything),
    ];
    let plan = Plan {
        version: 1,
        status: reader
            .word(f, "status", &statuses)
            .unwrap_or(Status::Feasible),
        settled: reader.word(f, "settled", &levels),
        longest_h: number(reader, f, "longest_h"),
        reshared_h: reader.number(f, "reshared_h"),
        bound_h: reader.number(f, "bound_h"),
        unserved: count(reader, f, "unserved").unwrap_or_default(),
        bound_unserved: count(reader, f, "bound_unserved"),
        missing_wh: number(reader, f, "missing_wh"),
        late: count(reader, f, "late").unwrap_or_default(),
        bound_late: count(reader, f, "bound_late"),
        berths: Vec::new(),
        without_berth: list(reader, f, "without_berth", without_berth),
        pools: Vec::new(),
        cautions: list(reader, f, "cautions", |reader, value, path| {
            reader.text_of(value, path, "a caution")
        }),
    };
    let berths = list(reader, f, "berths", berth);
    let pools = list(reader, f, "pools", pool_use);
    (plan, berths, pools)
}

/// A list of a plan. What is `None` left a fault behind.
pub(super) fn list<T>(
    reader: &mut Reader,
    f: &Fields<'_, '_>,
    name: &str,
    read: impl FnMut(&mut Reader, &Value<'_>, &Path) -> Option<T>,
) -> Vec<T> {
    let entries = reader.list(f, name, PLAN_ENTRIES, read).unwrap_or_default();
    entries.into_iter().flatten().collect()
}

pub(super) fn number(reader: &mut Reader, f: &Fields<'_, '_>, name: &str) -> f64 {
    reader.number(f, name).unwrap_or_default()
}

pub(super) fn text(reader: &mut Reader, f: &Fields<'_, '_>, name: &str) -> String {
    reader.text(f, name).unwrap_or_default()
}

pub(super) fn count(reader: &mut Reader, f: &Fields<'_, '_>, name: &str) -> Option<usize> {
    usize::try_from(reader.whole(f, name, &PLAN_COUNT)?).ok()
}

fn berth(reader: &mut Reader, value: &Value<'_>, path: &Path) -> Option<Berth> {
    let f = reader.object(value, path, "a berth", Some(&BERTH_FIELDS))?;
    Some(berth_of(reader, &f))
}

pub(super) fn berth_of(reader: &mut Reader, f: &Fields<'_, '_>) -> Berth {
    for field in BERTH_FIELDS {
        reader.require(f, field, "a berth");
    }
    let limits = [
        ("pool", LimitedBy::Pool),
        ("combination", LimitedBy::Combination),
        ("port", LimitedBy::Port),
        ("cable", LimitedBy::Cable),
        ("device", LimitedBy::Device),
    ];
    Berth {
        device: text(reader, f, "device"),
        charger: text(reader, f, "charger"),
        port: text(reader, f, "port"),
        cable: text(reader, f, "cable"),
        volts: number(reader, f, "volts"),
        amps: number(reader, f, "amps"),
        tier_w: number(reader, f, "tier_w"),
        port_w: number(reader, f, "port_w"),
        inlet_w: number(reader, f, "inlet_w"),
        hours: number(reader, f, "hours"),
        late: reader.flag(f, "late").unwrap_or_default(),
        limited_by: reader
            .word(f, "limited_by", &limits)
            .unwrap_or(LimitedBy::Device),
    }
}

fn without_berth(reader: &mut Reader, value: &Value<'_>, path: &Path) -> Option<WithoutBerth> {
    let f = reader.object(
        value,
        path,
        "a device without a berth",
        Some(&WITHOUT_FIELDS),
    )?;
    for field in WITHOUT_FIELDS {
        reader.require(&f, field, "a device without a berth");
    }
    let device = text(reader, &f, "device");
    let reason = text(reader, &f, "reason");
    let value = reader.any(&f, "cause")?;
    let cause = cause(reader, value, &f.path.field("cause"))?;
    Some(WithoutBerth {
        device,
        reason,
        cause,
    })
}

fn pool_use(reader: &mut Reader, value: &Value<'_>, path: &Path) -> Option<PoolUse> {
    let f = reader.object(value, path, "a pool's use", Some(&POOL_FIELDS))?;
    Some(pool_use_of(reader, &f))
}

pub(super) fn pool_use_of(reader: &mut Reader, f: &Fields<'_, '_>) -> PoolUse {
    for field in POOL_FIELDS {
        reader.require(f, field, "a pool's use");
    }
    PoolUse {
        charger: text(reader, f, "charger"),
        pool: text(reader, f, "pool"),
        used_w: number(reader, f, "used_w"),
        max_w: number(reader, f, "max_w"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::json::tests::{fields_of, sorted};
    use crate::plan::rota::rota_schema;
    use crate::plan::{Reason, plan_schema};

    fn plan_with(causes: &[Reason]) -> Plan {
        let without = causes.iter().enumerate().map(|(i, cause)| WithoutBerth {
            device: format!("phone {i}"),
            reason: "there are fewer ports than devices".to_owned(),
            cause: cause.clone(),
        });
        Plan {
            version: 1,
            status: Status::Feasible,
            settled: Some(Until::Longest),
            longest_h: 1.903_125,
            reshared_h: Some(1.75),
            bound_h: Some(1.0),
            unserved: causes.len(),
            bound_unserved: Some(0),
            missing_wh: 12.5,
            late: 1,
            bound_late: None,
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
                limited_by: LimitedBy::Combination,
            }],
            without_berth: without.collect(),
            pools: vec![PoolUse {
                charger: "desk".to_owned(),
                pool: "total".to_owned(),
                used_w: 45.0,
                max_w: 75.0,
            }],
            cautions: vec!["a pool binds".to_owned()],
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

    #[test]
    fn the_reader_knows_the_fields_of_the_schemas() {
        let schema = plan_schema();
        assert_eq!(fields_of(&schema), sorted(&PLAN_FIELDS));
        for (name, fields) in [
            ("Berth", &BERTH_FIELDS[..]),
            ("WithoutBerth", &WITHOUT_FIELDS),
            ("PoolUse", &POOL_FIELDS),
        ] {
            assert_eq!(fields_of(&schema["$defs"][name]), sorted(fields), "{name}");
        }
        let schema = rota_schema();
        let with = |plan: &[&'static str], rota: &[&'static str]| sorted(&[plan, rota].concat());
        assert_eq!(fields_of(&schema), with(&PLAN_FIELDS, &rota::ROTA_FIELDS));
        for (name, of_plan, of_rota) in [
            ("RotaBerth", &BERTH_FIELDS[..], &rota::BERTH_FIELDS[..]),
            ("RotaPoolUse", &POOL_FIELDS, &rota::POOL_FIELDS),
            ("RotaSession", &[], &rota::SESSION_FIELDS),
        ] {
            let fields = fields_of(&schema["$defs"][name]);
            assert_eq!(fields, with(of_plan, of_rota), "{name}");
        }
    }
}
