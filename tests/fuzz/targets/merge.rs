//! Any two copies of a client.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| matside::store::fuzzed::merge(bytes));
