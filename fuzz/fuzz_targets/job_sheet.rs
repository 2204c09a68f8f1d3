//! Any bytes as a job sheet.
#![no_main]
#![allow(dead_code)]

#[path = "../ways.rs"]
mod ways;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| ways::job_sheet(bytes));
