//! Every integration test in one binary.

mod cli;
mod demo;
mod exact;
mod live;
mod plans;
mod store;
mod tidy;
