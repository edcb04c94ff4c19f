//! Every integration test in one binary.

mod anatomy;
mod asked;
mod catalogue;
mod cautions;
mod cli;
mod cli_again;
mod cli_before_touch;
mod cli_conventions;
mod cli_encrypt;
mod cli_pain;
mod cli_plan;
mod cli_record;
mod combined;
mod crates;
mod days;
mod demo;
mod docs;
mod exact;
mod export;
mod figures;
mod gentle_clients;
mod home_card;
mod insight;
mod linear_pipes;
mod live;
mod moment_arms;
mod norms;
mod outside_solvers;
mod own_stretches;
mod pages;
mod pictures;
mod plan_words;
mod plans;
mod pty;
mod published_limits;
mod random_instances;
mod scenarios;
mod schema;
mod screens;
mod second_reading;
// A stand-in that speaks is a script of the shell.
#[cfg(unix)]
mod speech;
mod store;
mod strain;
mod tall;
mod tidy;
mod traps;
mod typed_words;
#[cfg(unix)]
mod unix;
mod what_forms_load;
mod what_is_left;
mod working_week;
mod worth;
