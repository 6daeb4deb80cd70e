//! Files that are no proofs: refused in a sentence, never in a crash.

use serde_json::{Value, json};
use wattberth::{Plan, Setup};

use super::{planned, proven, refusal, rehashed, setup};

/// Two devices, one of them too many: claims of three kinds, with a tree of one node each.
fn case() -> (Setup, Plan, Value) {
    let device =
        |name, priority| json!({"name": name, "pd_w": 20, "battery_wh": 20, "priority": priority});
    let document = json!({
        "aim": "best",
        "chargers": [{
            "name": "desk",
            "ports": [{"name": "C1", "pd_w": 20}, {"name": "C2", "pd_w": 30}],
            "combinations": [{"C1": 20}, {"C2": 20}]
        }],
        "cables": [{"name": "braided", "count": 2}],
        "devices": [device("viola", 2), device("cello", 2)]
    });
    let setup = setup(&document.to_string());
    let plan = planned(&setup);
    let proof = serde_json::from_str(&proven(&setup, &plan).to_json()).expect("JSON");
    (setup, plan, proof)
}

/// Changes the first tree; why that is refused.
#[track_caller]
fn with_nodes(change: impl FnOnce(&mut Vec<Value>)) -> String {
    let (setup, plan, mut proof) = case();
    let nodes = proof["body"]["claims"][0]["nodes"].as_array_mut();
    change(nodes.expect("a list of nodes"));
    let text = rehashed(&proof.to_string()).unwrap_or(proof.to_string());
    refusal(&setup, &plan, &text).expect("it is refused")
}

#[track_caller]
fn root(node: &Value) -> String {
    with_nodes(|nodes| *nodes = vec![node.clone()])
}

#[test]
fn trees_that_show_nothing_are_refused_where_they_fail() {
    let at = "proof.body.claims[0].nodes";
    let closed = json!({"steps": []});
    let split = |ways: Value, twins: Value| json!({"steps": [], "branch": {"device": {"device": 0, "ways": ways, "twins": twins}}});
    let lines =
        |sets: Value| json!({"steps": [], "branch": {"lines": {"charger": 0, "sets": sets}}});
    for (node, expected) in [
        (
            closed.clone(),
            format!("{at}[0]: is neither closed nor split"),
        ),
        (
            split(json!("stays"), json!([])),
            format!("{at}: the tree is not complete"),
        ),
        (
            json!({"steps": [{"rows": [[0, 1]], "bound": 7}]}),
            format!("{at}[0].steps[0]: the bound is -2, not 7"),
        ),
        (
            json!({"steps": [{"rows": [[0, -1]], "bound": 0}]}),
            format!("{at}[0].steps[0]: rows must rise, each of the setup's, at prices above 0"),
        ),
        (
            json!({"steps": [{"rows": [[99, 1]], "bound": 0}]}),
            format!("{at}[0].steps[0]: rows must rise, each of the setup's, at prices above 0"),
        ),
        (
            json!({"steps": [{"rows": [[1, 1], [0, 1]], "bound": 0}]}),
            format!("{at}[0].steps[0]: rows must rise, each of the setup's, at prices above 0"),
        ),
        (
            json!({"steps": [{"rows": [[0, 1], [0, 1]], "bound": 0}]}),
            format!("{at}[0].steps[0]: rows must rise, each of the setup's, at prices above 0"),
        ),
        (
            json!({"steps": [{"rows": [], "ports": [[0, 1]], "bound": 0}]}),
            format!("{at}[0].steps[0]: ports must rise, each of the setup's, at prices below 0"),
        ),
        (
            json!({"steps": [{"rows": [], "ports": [[2, -1]], "bound": 0}]}),
            format!("{at}[0].steps[0]: ports must rise, each of the setup's, at prices below 0"),
        ),
        // Late devices are no limit where fewer unserved are asked for.
        (
            json!({"steps": [{"rows": [[6, 1]], "bound": 0}]}),
            format!("{at}[0].steps[0]: a row is priced that has no cap"),
        ),
        (
            split(json!("stays"), json!([0])),
            format!("{at}[0].branch: a twin is listed that has not the same ways open"),
        ),
        (
            split(json!("stays"), json!([7])),
            format!("{at}[0].branch: a twin is listed that has not the same ways open"),
        ),
        (
            split(json!("stays"), json!([1, 1])),
            format!("{at}[0].branch: a twin is listed that has not the same ways open"),
        ),
        (
            json!({"steps": [], "branch": {"device": {"device": 5, "ways": "stays"}}}),
            format!("{at}[0].branch: there is no such device"),
        ),
        (
            json!({"steps": [], "branch": {"lines": {"charger": 1, "sets": [[0, 1]]}}}),
            format!("{at}[0].branch: there is no such table"),
        ),
        (
            lines(json!([[0], [2]])),
            format!("{at}[0].branch: there is no such line"),
        ),
        (
            lines(json!([[0]])),
            format!("{at}[0].branch: a line that is left is in no set"),
        ),
        (
            lines(json!([])),
            format!("{at}[0].branch: a line that is left is in no set"),
        ),
    ] {
        assert_eq!(root(&node), expected, "{node}");
    }
    let after = with_nodes(|nodes| nodes.push(closed.clone()));
    assert!(after.contains("belongs to no tree"), "{after}");
    let none = with_nodes(Vec::clear);
    assert!(none.ends_with("the tree is not complete"), "{none}");
    let twice = with_nodes(|nodes| {
        let last = nodes.last_mut().expect("a node");
        let steps = last["steps"].as_array_mut().expect("steps");
        steps.push(json!({"rows": [], "bound": 0}));
    });
    assert!(twice.contains("the node is closed already"), "{twice}");
}

/// Devices that are not alike are no twins.
#[test]
fn twins_must_be_alike() {
    let document = json!({
        "chargers": [{"name": "desk", "ports": [{"name": "C1", "pd_w": 20}]}],
        "cables": [{"name": "braided"}],
        "devices": [
            {"name": "viola", "pd_w": 20, "battery_wh": 20},
            {"name": "cello", "pd_w": 15, "battery_wh": 21}
        ]
    });
    let setup = setup(&document.to_string());
    let plan = planned(&setup);
    let mut proof: Value = serde_json::from_str(&proven(&setup, &plan).to_json()).expect("JSON");
    // One of them is left out. To the number left out they are alike, to the watt-hours
    // missing they are not.
    for (claim, expected) in [(0, "not complete"), (1, "has not the same ways open")] {
        proof["body"]["claims"][claim]["nodes"] = json!([
            {"steps": [], "branch": {"device": {"device": 0, "ways": "stays", "twins": [1]}}}
        ]);
        let text = rehashed(&proof.to_string()).expect("the form is kept");
        let why = refusal(&setup, &plan, &text).expect("it is refused");
        assert!(why.contains(expected), "{why}");
        let whole = proven(&setup, &plan).to_json();
        proof = serde_json::from_str(&whole).expect("JSON");
    }
}

#[test]
fn what_is_missing_or_unknown_is_refused() {
    let (setup, plan, proof) = case();
    let refused = |change: &dyn Fn(&mut Value)| {
        let mut changed = proof.clone();
        change(&mut changed);
        let text = rehashed(&changed.to_string()).unwrap_or(changed.to_string());
        refusal(&setup, &plan, &text).expect("it is refused")
    };
    for (expected, change) in [
        (
            "proof.body.version: must be 2",
            (|p| p["body"]["version"] = json!(1)) as fn(&mut Value),
        ),
        ("proof.body.claimed: these", |p| {
            p["body"]["claimed"]["late"] = json!([0, 1, 0]);
        }),
        ("the number 1 cannot stand here", |p| {
            p["body"]["claimed"]["late"] = json!(1);
        }),
        ("proof.body.claims: there must be one", |p| {
            p["body"]["claims"] = json!([]);
        }),
        ("proof.body.claims: there must be one", |p| {
            p["body"]["claims"][0]["less"] = json!("late-2");
        }),
        ("another setup", |p| p["body"]["setup_sha256"] = json!("")),
        ("another plan", |p| p["body"]["plan_sha256"] = json!("")),
        ("`word` is no field here, but one of", |p| {
            p["body"]["word"] = json!(2);
        }),
        ("the field `claimed` is missing", |p| {
            p["body"]
                .as_object_mut()
                .expect("an object")
                .remove("claimed");
        }),
        ("`least` is not known here, but one of", |p| {
            p["body"]["claims"][0]["less"] = json!("least");
        }),
        ("this must be a list, not the number 2.5", |p| {
            p["body"]["claims"][0]["nodes"][0]["steps"] = json!(2.5);
        }),
        ("this is no proof", |p| *p = json!([])),
    ] {
        let why = refused(&change);
        assert!(why.contains(expected), "{why}, not {expected}");
    }
}

#[test]
fn texts_that_are_no_proofs_are_refused() {
    let (setup, plan, _) = case();
    for text in ["", "{", "null", "[]", "{\"body\":{}}", "\u{0}", "proof"] {
        let why = refusal(&setup, &plan, text).expect("it is refused");
        assert!(why.contains("this is no proof"), "{text}: {why}");
    }
    let deep = "[".repeat(1 << 20);
    assert!(refusal(&setup, &plan, &deep).is_some());
    let deep = format!("{{\"body\":{}", "{\"body\":".repeat(1 << 18));
    assert!(refusal(&setup, &plan, &deep).is_some());
}

#[test]
fn sizes_are_limited() {
    let (setup, plan, proof) = case();
    let text = proof.to_string();
    let with = |nodes: &str| {
        let nodes = format!("\"nodes\":[{nodes}]");
        let of = serde_json::to_string(&proof["body"]["claims"][0]["nodes"]).expect("JSON");
        text.replacen(&format!("\"nodes\":{of}"), &nodes, 1)
    };
    let many = vec!["{\"steps\":[]}"; 200_001].join(",");
    let why = refusal(&setup, &plan, &with(&many)).expect("too many nodes");
    assert!(why.contains("at most 200000 nodes"), "{why}");
    let many = vec!["{\"rows\":[],\"bound\":0}"; 1_000_001].join(",");
    let many = format!("{{\"steps\":[{many}]}}");
    let why = refusal(&setup, &plan, &with(&many)).expect("too many steps");
    assert!(why.contains("at most 1000000 steps"), "{why}");
    let why = refusal(&setup, &plan, &" ".repeat((64 << 20) + 1)).expect("too long");
    assert!(why.contains("at most 64 MiB"), "{why}");
}

/// A chain of splits of which each leaves all to its second half.
#[test]
fn depth_is_limited() {
    let chain = |splits: usize| {
        with_nodes(|nodes| {
            let branch = json!({"device": {"device": 0, "ways": {"ports": []}}});
            let split = json!({"steps": [], "branch": branch});
            let closed = json!({"steps": []});
            *nodes = (0..splits)
                .flat_map(|_| [split.clone(), closed.clone()])
                .collect();
            nodes.push(closed);
        })
    };
    assert!(chain(2_000).ends_with("nodes[4000]: is neither closed nor split"));
    let too_deep = chain(2_001);
    assert!(
        too_deep.ends_with("nodes[4000]: lies below 2000 others"),
        "{too_deep}"
    );
}
