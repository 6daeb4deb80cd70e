//! The library as a Python module: each question is one function that takes what is asked, in
//! one object, and gives the answer as JSON text.
//!
//! What Python users call, with its options, documentation and types, is the package
//! `wattberth/` beside this folder; this is its private half.

mod ask;
mod given;
mod lines;
mod many;
mod questions;
mod raised;
mod told;
mod tree;
mod work;

/// The private half of the package.
#[pyo3::pymodule]
mod _wattberth {
    #[pymodule_export]
    use super::lines::Lines;
    #[pymodule_export]
    use super::many::Plans;
    #[pymodule_export]
    use super::questions::{
        assign, calendar, check, guest, improve, pack, prove, rank, read, rota, score, size,
        timeline, to_list, trip, verify, wish,
    };
}
