//! Any bytes as a logged drive.
#![no_main]
#![allow(dead_code)]

#[path = "../ways.rs"]
mod ways;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| ways::drive_log(bytes));
