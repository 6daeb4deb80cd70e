//! Label text: what chargers, ports and devices have printed on them, and the mains side.

use serde_json::json;
use wattberth::facts::{Bare, MainsLabel};
use wattberth::{Cable, Charger, Device, Error, Fault, Port, Setup, SetupDocument};

use super::setup::sound;
use super::{Outcome, refused};

/// Each line of the text as a line of the label.
pub(super) fn check(text: &str) -> Outcome {
    let lines: Vec<String> = text.split('\n').take(20).map(str::to_owned).collect();
    let bag = || {
        SetupDocument::new()
            .cable(Cable::c_to_c("braided"))
            .charger(Charger::new("other").port(Port::pd("C9", 30.0)))
            .device(Device::new("phone", 15.0).pd_w(18.0))
    };
    let whole = bag().charger(Charger::new("cube").label(lines.clone()));
    let ports = bag().charger(
        Charger::new("cube")
            .port(Port::usb_c("C1", lines.clone()))
            .port(Port::usb_a("A1", text)),
    );
    let device = bag().device(Device::new("lamp", 20.0).accepts(lines));
    let mut outcome = Outcome::Refused;
    for document in [whole, ports, device] {
        let json = document.to_json();
        let setup = Setup::from_json(&json);
        // Built, it is what its text is, faults and their paths included.
        match (&setup, document.check()) {
            (Ok(read), Ok(built)) => assert_eq!(*read, built),
            (Err(Error::Input(read)), Err(Error::Input(built))) => {
                assert_eq!(said(read), said(&built));
            }
            (read, built) => panic!("{read:?}\n{built:?}"),
        }
        match setup {
            Ok(setup) => {
                outcome = Outcome::Read;
                sound(&setup);
            }
            Err(error) => refused(&json, error, || Setup::from_json(&json)),
        }
    }
    for bare in [Bare::Volts, Bare::Hertz] {
        match MainsLabel::parse(text, bare) {
            Ok(label) => assert_eq!(MainsLabel::parse(text, bare), Ok(label)),
            Err(faults) => {
                assert!(!faults.is_empty());
                for fault in faults {
                    assert!(text.get(fault.span.clone()).is_some(), "{fault:?}");
                    assert!(!fault.message.is_empty(), "{fault:?}");
                }
            }
        }
    }
    let mains = json!({
        "trip": {"stops": [{"name": "Bern", "country": "CH"}]},
        "chargers": [{
            "name": "cube", "plug": "EF", "input_v": text, "input_hz": text,
            "ports": [{"name": "C1", "pd_w": 30}]
        }],
        "devices": []
    });
    let mains = mains.to_string();
    match Setup::from_json(&mains) {
        Ok(setup) => sound(&setup),
        Err(error) => refused(&mains, error, || Setup::from_json(&mains)),
    }
    outcome
}

/// What is said of what, in no order: a text's faults are in that of the text.
fn said(faults: &[Fault]) -> Vec<(&str, &str)> {
    let said = faults.iter();
    let mut said: Vec<_> = said
        .map(|fault| (fault.path.as_str(), fault.message.as_str()))
        .collect();
    said.sort_unstable();
    said
}
