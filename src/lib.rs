//! matside plans, runs and logs the minutes of hands-on stretching that a personal trainer ends a session with.
//!
//! The body is the common language: a muscle is what it does to joints, a stretch is what it does to joints, a
//! caution is what joints must not do. Which stretches serve today's muscles and which ones a client must not have
//! is worked out by intersection.
//!
//! The modules in reading order, inner ones first; a module may use those above it only (see DEVELOPERS.md):

pub mod text;

pub mod names;

pub mod failure;

pub mod document;

pub mod body;

pub mod catalogue;

pub mod caution;

pub mod client;

pub mod figure;

pub mod insight;

pub mod strain;

pub mod planner;

pub mod session;

pub mod platform;

pub mod store;

pub mod handout;

pub mod demo;

pub mod cli;

pub mod tui;
pub mod words;
