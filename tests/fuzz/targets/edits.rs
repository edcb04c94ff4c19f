//! Any client's file, changed.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| matside::store::fuzzed::edits(bytes));
