//! Any bytes as a file of own stretches.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| matside::store::fuzzed::own_stretches(bytes));
