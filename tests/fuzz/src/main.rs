//! A reader of the library under libFuzzer: which one, the variable `WATTBERTH_FUZZ_TARGET`
//! says. The script `run` builds this with what libFuzzer needs, and runs all of them.

#![no_main]

use std::sync::LazyLock;

use libfuzzer_sys::fuzz_target;

#[path = "../../common/readers.rs"]
mod readers;

static TARGET: LazyLock<readers::Target> = LazyLock::new(|| {
    let name = std::env::var("WATTBERTH_FUZZ_TARGET").unwrap_or_default();
    let target = readers::TARGETS
        .into_iter()
        .find(|target| target.name == name);
    target.unwrap_or_else(|| panic!("there is no reader `{name}`"))
});

fuzz_target!(|bytes: &[u8]| {
    if bytes.len() <= TARGET.most_bytes {
        TARGET.run(bytes);
    }
});
