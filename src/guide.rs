//! How to use Wattberth, page by page.
//!
//! # Begin
//!
//! - [Getting started](start)
//! - [Lists](lists): things and labels, one a line
//! - [The input](input): the JSON document, every field
//! - [Label text](labels), [kinds of devices](kinds), and the [ranges of numbers](ranges)
//!
//! # Ask
//!
//! - [The plan: certain, and at best](plan)
//! - [How good is my own way?](score)
//! - [What would help most?](improve)
//! - [Somebody comes late](late)
//! - [What would have to change?](wish)
//! - [More devices than ports](rota)
//! - [What charger to look for](size)
//! - [Which of these chargers?](rank)
//! - [Thousands of setups](batch)
//! - [The night as it happens](timeline)
//! - [What need not be charged every night](calendar)
//! - [Where it goes](trip)
//! - [What to buy, what to take](packing)
//! - [Pictures, and a card for the bedside](pictures)
//! - [In a browser, without a network](browser)
//! - [Checking a plan, and proofs](verify)
//! - [From Python](python)
//!
//! # Look up
//!
//! - [Why has it no berth, and what can be done](without)
//! - [What is wrong with a document](faults)
//! - [Words](words)
//! - [Exit codes and files](running)
//! - [Safety](safety)
//!
//! # Understand
//!
//! - [What is modelled, and what is not](model)
//! - [How it is proven](proven)
//! - [The formulas of a proof](formulas)
//! - [Performance](performance)
//! - [The library](library), and [having it inside of something else](embedding)

/// One page each, `guide/NAME.md`; no binary carries them. What its links lead to here is laid before it: of two
/// meanings of a link the first counts, and those of the file itself are for who reads it
/// as a file.
macro_rules! pages {
    ($($name:ident)*) => {$(
        #[doc = include_str!("guide/links.txt")]
        #[doc = include_str!(concat!("guide/", stringify!($name), ".md"))]
        pub mod $name {}
    )*};
}

pages! {
    start lists input labels kinds ranges
    plan score improve late wish rota size rank batch timeline calendar trip packing pictures verify
    browser python
    without faults words running safety
    model proven formulas performance library embedding
}
