//! Any bytes as a client's file.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| matside::store::fuzzed::client_file(bytes));
