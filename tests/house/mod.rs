//! The rules of the house, as tests.

mod book;
mod readme;
mod tidy;
