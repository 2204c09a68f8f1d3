//! Any bytes as rules: they are read, refused or weighed, and nothing panics or hangs.
#![no_main]

#[path = "../way.rs"]
mod way;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    if let Ok(text) = std::str::from_utf8(bytes) {
        way::text_to_weights(&[("fuzz.rules".to_string(), text)], bytes.len() as u64);
    }
});
