//! Every integration test in one binary.

mod anatomy;
mod cautions;
mod cli;
mod cli_plan;
mod demo;
mod docs;
mod exact;
mod live;
mod pages;
mod plans;
mod published_limits;
mod screens;
mod store;
mod tidy;
