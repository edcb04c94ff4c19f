//! Any words, and any sheet of a session.
#![no_main]

libfuzzer_sys::fuzz_target!(|text: &str| matside::cli::fuzzed::words(text));
