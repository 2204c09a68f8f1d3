//! The rules of the house, as tests.

mod book;
mod inner;
mod readme;
mod tidy;
