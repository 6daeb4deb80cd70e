//! Candidates and bags, which lack something that a setup has.

use wattberth::{Bag, Candidate, Setup, Source};

use super::setup::sound;
use super::{Outcome, fixture, refused};

/// Candidates by themselves, one document and one on each line; chargers beside a bag; a shop.
pub(super) fn check(text: &str) -> Outcome {
    let mut outcome = Outcome::Refused;
    for file in ["", "all.ndjson"] {
        let source = Source { file, text };
        match Candidate::from_source(source) {
            Ok(candidates) => {
                outcome = Outcome::Read;
                assert!(!candidates.is_empty());
                candidates.iter().for_each(reads_back);
            }
            Err(error) => refused(text, error, || Candidate::from_source(source)),
        }
    }
    let bag = fixture("quartet-bag.json");
    let bag = Source {
        file: "bag",
        text: &bag,
    };
    let other = Source { file: "", text };
    let names = [None, Some("cube")];
    let setups = names.map(|name| Setup::from_chosen(bag, &[(other, name)]));
    let shop = Setup::with_shops(bag, &[], &[other]);
    for setup in setups.into_iter().chain([shop]) {
        match setup {
            Ok(setup) => sound(&setup),
            // The bag is sound: what is wrong is in the other text, or in both together.
            Err(error) => assert!(!super::sentences(error).is_empty()),
        }
    }
    if let Ok(bag) = Bag::from_source(other) {
        outcome = Outcome::Read;
        bag.assumed();
        let json = bag.document().to_json();
        let again = Bag::from_json(&json).unwrap_or_else(|error| panic!("{error}\n{json}"));
        assert_eq!(again.document(), bag.document());
    }
    outcome
}

fn reads_back(candidate: &Candidate) {
    let json = candidate.to_json();
    let source = Source {
        file: "",
        text: &json,
    };
    let again = Candidate::from_source(source).unwrap_or_else(|error| panic!("{error}\n{json}"));
    assert_eq!(again, std::slice::from_ref(candidate), "{json}");
    let by_serde: Candidate = serde_json::from_str(&json).expect("it is read by serde, too");
    assert_eq!(&by_serde, candidate);
    candidate.title();
}
