//! Every integration test in one binary.

mod anatomy;
mod cli;
mod cli_plan;
mod demo;
mod exact;
mod live;
mod plans;
mod store;
mod tidy;
