//! Every integration test in one binary.

mod cli;
mod tidy;
