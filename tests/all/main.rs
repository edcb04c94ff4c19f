//! Every integration test in one binary.

mod cli;
mod demo;
mod live;
mod store;
mod tidy;
