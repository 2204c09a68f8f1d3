//! Faultbook: a rule language and an engine that takes a workshop from a complaint to a proven repair.
//!
//! The modules are the rooms of the house; each imports only from those before it in this order:
//! shelf, syntax, book, job, belief, car, plan, bay, lint, cases, compare, walk, tally, report, editor, disk, cli.

pub mod bay;
pub mod belief;
pub mod book;
pub mod car;
pub mod cases;
pub mod cli;
pub mod compare;
pub mod disk;
pub mod editor;
pub mod job;
pub mod lint;
pub mod plan;
pub mod report;
mod shelf;
pub mod syntax;
pub mod tally;
pub mod walk;
