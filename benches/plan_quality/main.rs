//! How good plans are, and how long they take.
//!
//! `cargo bench --bench plan_quality -- small` compares with the exact optimum, `workshop` tries plans on cars against simple orders of work, `latency`
//! times the next step, `cases` plans the cases of the shipped book, `each` walks cars with
//! each of its causes in turn. Nothing named means all of it.

#![allow(clippy::print_stdout, clippy::expect_used, clippy::unwrap_used, clippy::panic, missing_docs, dead_code)] // a bench reports to a person

#[path = "../../tests/plan/build.rs"]
mod build;
mod cases;
mod each;
#[path = "../../tests/plan/generate.rs"]
mod generate;
mod job;
mod latency;
#[path = "../../tests/plan/oracle.rs"]
mod oracle;
mod orders;
mod shipped;
mod small;
mod time;
#[path = "../../tests/plan/workshop.rs"]
mod workshop;
mod workshop_cars;

fn main() {
    let named: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with('-')).collect();
    let wanted = |name: &str| named.is_empty() || named.iter().any(|n| n == name);
    if wanted("small") {
        small::run();
    }
    if wanted("workshop") {
        workshop_cars::run();
    }
    if wanted("latency") {
        latency::run();
    }
    if wanted("each") {
        each::run();
    }
    if wanted("cases") {
        cases::run();
    }
}
