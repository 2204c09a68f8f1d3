//! All integration tests in one binary.
mod belief;
mod cli;
mod readings;
mod syntax;
