//! x
mod finding;
mod link;
mod site;
