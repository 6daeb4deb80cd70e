//! Puts the page together: `assemble LIBRARY.wasm PAGE.html [wasm-opt]`.
//!
//! The library, its glue, the worker, the scripts and the styles become one file that asks
//! for nothing else. Its policy lets run only what stands in it, by digest.

use std::error::Error;
use std::fs;
use std::path::Path;
use std::process::Command;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};
use wasm_bindgen_cli_support::Bindgen;
use zopfli::{Format, Options};

const PAGE: &str = include_str!("../../page/page.html");
const STYLE: &str = include_str!("../../page/page.css");
const SHOWN_STYLE: &str = include_str!("../../page/shown.css");
const WORKER: &str = include_str!("../../page/worker.js");
/// In this order, as one script.
const SCRIPTS: [&str; 6] = [
    include_str!("../../page/address.js"),
    include_str!("../../page/files.js"),
    include_str!("../../page/marks.js"),
    include_str!("../../page/desk.js"),
    include_str!("../../page/shown.js"),
    include_str!("../../page/main.js"),
];
/// What is printable in ASCII but `&`, `<`, `\\` and the blank.
const ALPHABET: &[u8; 91] =
    b"!\"#$%'()*+,-./0123456789:;=>?@ABCDEFGHIJKLMNOPQRSTUVWXYZ[]^_`abcdefghijklmnopqrstuvwxyz{|}~";
/// Lists to begin with: name, title, text.
const EXAMPLES: [(&str, &str, &str); 3] = [
    (
        "quartet",
        "A string quartet's night",
        include_str!("../../../cli/example.txt"),
    ),
    (
        "tour",
        "Three countries",
        include_str!("../../../cli/example_trip.txt"),
    ),
    (
        "kiosk",
        "A shop to pack from",
        include_str!("../../../../fixtures/kiosk.txt"),
    ),
];

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let (library, page, smaller) = match arguments.as_slice() {
        [library, page] => (library, page, None),
        [library, page, smaller] => (library, page, Some(smaller)),
        _ => return Err("usage: assemble LIBRARY.wasm PAGE.html [wasm-opt]".into()),
    };
    let glued = Glued::of(Path::new(library), smaller.map(String::as_str))?;
    let html = assembled(&glued)?;
    fs::write(page, &html)?;
    let (wasm, whole) = (glued.wasm.len(), html.len());
    println!("{page}: {whole} bytes, of which the library is {wasm} before it is packed");
    Ok(())
}

/// The library with the glue that a browser calls it through.
struct Glued {
    wasm: Vec<u8>,
    script: String,
}

impl Glued {
    fn of(library: &Path, smaller: Option<&str>) -> Result<Self, Box<dyn Error>> {
        let mut output = Bindgen::new()
            .input_path(library)
            .no_modules(true)?
            .typescript(false)
            .omit_default_module_path(true)
            .remove_name_section(true)
            .remove_producers_section(true)
            .generate_output()?;
        let script = output.js().to_owned();
        let wasm = output.wasm_mut().emit_wasm();
        let wasm = match smaller {
            None => wasm,
            Some(program) => shrunk(&wasm, &library.with_extension("small.wasm"), program)?,
        };
        Ok(Self { wasm, script })
    }
}

/// What `wasm-opt` makes of it.
fn shrunk(wasm: &[u8], at: &Path, program: &str) -> Result<Vec<u8>, Box<dyn Error>> {
    fs::write(at, wasm)?;
    let done = Command::new(program)
        .args(["-Oz", "--all-features", "-o"])
        .args([at, at])
        .status()?;
    if !done.success() {
        return Err(format!("{program} ended with {done}").into());
    }
    Ok(fs::read(at)?)
}

fn assembled(glued: &Glued) -> Result<String, Box<dyn Error>> {
    let script = format!("'use strict';\n{}", SCRIPTS.join("\n"));
    let worker = format!("{}\n{WORKER}", glued.script);
    let mut blocks = vec![
        block("shown-style", SHOWN_STYLE)?,
        block("worker", &worker)?,
        block("library", &letters(&packed(&glued.wasm)?))?,
    ];
    for (name, _, text) in EXAMPLES {
        blocks.push(block(name, text)?);
    }
    let option = |(name, title, _)| format!("<option value=\"{name}\">{title}</option>");
    let options: String = EXAMPLES.map(option).concat();
    let policy = format!(
        "default-src 'none'; script-src '{}' 'wasm-unsafe-eval'; style-src '{}'; \
         worker-src blob:; img-src data:; base-uri 'none'; form-action 'none'",
        digest(&script),
        digest(STYLE)
    );
    let parts = [
        ("policy", policy.as_str()),
        ("style", STYLE),
        ("options", options.as_str()),
        ("blocks", &blocks.join("\n")),
        ("script", script.as_str()),
    ];
    Ok(filled(PAGE, &parts))
}

/// The template with its places filled, each part as it is.
fn filled(template: &str, parts: &[(&str, &str)]) -> String {
    let mut page = String::new();
    let mut rest = template;
    while let Some((before, after)) = rest.split_once("{{") {
        let (name, behind) = after.split_once("}}").unwrap_or((after, ""));
        let part = parts.iter().find(|(known, _)| *known == name);
        page += before;
        page += part.map_or("", |(_, text)| text);
        rest = behind;
    }
    page + rest
}

/// A text that the page carries and no browser runs.
fn block(name: &str, text: &str) -> Result<String, Box<dyn Error>> {
    if text.contains("</script") || text.contains("<!--") {
        return Err(format!("{name} would end the block that it stands in").into());
    }
    Ok(format!(
        "<script type=\"text/plain\" id=\"{name}\">{text}</script>"
    ))
}

fn packed(wasm: &[u8]) -> std::io::Result<Vec<u8>> {
    let mut packed = Vec::new();
    zopfli::compress(Options::default(), Format::Gzip, wasm, &mut packed)?;
    Ok(packed)
}

/// Bytes as letters, thirteen bits in two of them, the lowest first: an eighth less than
/// base64 takes. No letter means anything to HTML. `page/address.js` reads it.
fn letters(bytes: &[u8]) -> String {
    let letter = |value: u32| char::from(ALPHABET[(value % 91) as usize]);
    let mut text = String::new();
    let (mut held, mut bits) = (0_u32, 0);
    for byte in bytes {
        held |= u32::from(*byte) << bits;
        bits += 8;
        if bits >= 13 {
            let pair = held & 0x1fff;
            text.extend([letter(pair), letter(pair / 91)]);
            held >>= 13;
            bits -= 13;
        }
    }
    // What is over: one letter where it is enough, so that nobody reads a byte more.
    if bits > 0 {
        text.push(letter(held));
    }
    if bits > 5 {
        text.push(letter(held / 91));
    }
    text
}

/// As a policy names what may run (W3C, Content Security Policy Level 3, section 2.3.1).
fn digest(text: &str) -> String {
    format!("sha256-{}", STANDARD.encode(Sha256::digest(text)))
}
