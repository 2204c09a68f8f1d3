//! Any bytes as rules: laid out for good, meaning kept.
#![no_main]
#![allow(dead_code)]

#[path = "../ways.rs"]
mod ways;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| ways::rules_fmt(bytes));
