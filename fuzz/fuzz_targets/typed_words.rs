//! What people type as codes and readings.
#![no_main]
#![allow(dead_code)]

#[path = "../ways.rs"]
mod ways;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| ways::typed_words(bytes));
