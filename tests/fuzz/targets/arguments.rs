//! Any command line, a word a line.
#![no_main]

libfuzzer_sys::fuzz_target!(|text: &str| matside::cli::fuzzed::arguments(text));
