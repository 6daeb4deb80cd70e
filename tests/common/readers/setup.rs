//! Setups, as documents and as lists.

use wattberth::{Bag, Error, Setup, SetupCounts, SetupDocument, Source};

use super::{Outcome, refused, sentences};

/// A setup document, its draft, its bag, and a text that may be either.
pub(super) fn document(text: &str) -> Outcome {
    let setup = Setup::from_json(text);
    let draft = SetupDocument::from_json(text);
    if let Ok(draft) = &draft {
        draft_reads_back(draft);
        let checked = draft.clone().check();
        assert_eq!(checked.as_ref().ok(), setup.as_ref().ok());
        if let Err(error) = checked {
            sentences(error);
        }
    } else {
        assert!(setup.is_err(), "a setup whose document cannot be read");
    }
    if let Err(error) = draft {
        refused(text, error, || SetupDocument::from_json(text));
    }
    match Bag::from_json(text) {
        Ok(bag) => {
            let document = bag.document();
            let json = document.to_json();
            let again = Bag::from_json(&json).unwrap_or_else(|error| panic!("{error}\n{json}"));
            assert_eq!(again.document(), document);
        }
        Err(error) => {
            assert!(setup.is_err(), "a setup whose bag is refused: {error}");
            refused(text, error, || Bag::from_json(text));
        }
    }
    let outcome = Outcome::of(&setup);
    match setup {
        Ok(setup) => {
            sound(&setup);
            let by_text = Setup::from_text(text).expect("it is a setup document");
            assert_eq!(by_text, setup);
            let plain = Source { file: "", text }.plain_json();
            let plain = plain.trim_start_matches('\u{feff}');
            serde_json::from_str::<serde_json::Value>(plain).expect("it is plain JSON");
        }
        Err(error) => refused(text, error, || Setup::from_json(text)),
    }
    outcome
}

/// A list; what begins as a document does is one.
pub(super) fn list(text: &str) -> Outcome {
    let setup = Setup::from_text(text);
    let outcome = Outcome::of(&setup);
    match setup {
        Ok(setup) => sound(&setup),
        Err(error) => refused(text, error, || Setup::from_text(text)),
    }
    let source = Source { file: "", text };
    if let Err(error) = Bag::from_source(source) {
        refused(text, error, || Bag::from_source(source));
    }
    outcome
}

/// A draft is written and read back, though its values may mean nothing.
fn draft_reads_back(draft: &SetupDocument) {
    let json = draft.to_json();
    let again = SetupDocument::from_json(&json).unwrap_or_else(|error| panic!("{error}\n{json}"));
    assert_eq!(&again, draft, "{json}");
    assert_eq!(again.to_json(), json);
    let by_serde: SetupDocument = serde_json::from_str(&json).expect("it is read by serde, too");
    assert_eq!(&by_serde, draft, "{json}");
}

/// What holds of every setup that was read.
pub(super) fn sound(setup: &Setup) {
    let document = setup.document();
    draft_reads_back(document);
    let json = document.to_json();
    let again = Setup::from_json(&json).unwrap_or_else(|error| panic!("{error}\n{json}"));
    assert_eq!(again.document(), document, "{json}");
    if let Some(list) = setup.to_list() {
        let again = Setup::from_text(&list).unwrap_or_else(|error| panic!("{error}\n{list}"));
        assert_eq!(again.document(), document, "{list}");
        let written = again.to_list();
        assert!(written.is_some(), "{list}");
    }
    let counts = SetupCounts::of(document);
    let text = serde_json::to_string(&counts).expect("it is JSON");
    assert_eq!(
        serde_json::from_str::<SetupCounts>(&text).expect("it is read back"),
        counts
    );
    setup.assumed();
    assert_eq!(&setup.bag().document().devices, &document.devices);
    match setup.check_ways() {
        Ok(()) => {}
        Err(Error::Input(faults)) => assert!(!faults.is_empty()),
        Err(other) => panic!("{other}"),
    }
}
