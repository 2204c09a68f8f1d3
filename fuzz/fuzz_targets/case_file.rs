//! Any bytes as a case.
#![no_main]
#![allow(dead_code)]

#[path = "../ways.rs"]
mod ways;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| ways::case_file(bytes));
