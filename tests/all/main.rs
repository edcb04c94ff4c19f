//! Every integration test in one binary.

mod anatomy;
mod catalogue;
mod cautions;
mod cli;
mod cli_before_touch;
mod cli_plan;
mod days;
mod demo;
mod docs;
mod exact;
mod insight;
mod live;
mod norms;
mod outside_solvers;
mod own_stretches;
mod pages;
mod pictures;
mod plans;
mod pty;
mod published_limits;
mod random_instances;
mod scenarios;
mod screens;
mod store;
mod tidy;
mod what_is_left;
