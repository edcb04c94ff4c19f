//! Every integration test in one binary.

mod cli;
mod live;
mod store;
mod tidy;
