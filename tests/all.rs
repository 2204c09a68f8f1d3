//! All integration tests in one binary.

// a panic in a helper of a test is a failed test, as in the test itself
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]

mod bay;
mod belief;
mod book;
mod cases;
mod cli;
mod editor;
#[cfg(unix)]
mod faults;
mod hearing;
mod house;
mod job;
mod lint;
mod outside;
mod pages;
mod plan;
mod readings;
mod report;
mod run;
mod syntax;
mod tally;
#[cfg(unix)]
mod terminal;
mod walk;

use faultbook::book::{Book, read, shipped as files};
use faultbook::syntax::{Sources, parse};

/// The book in these rules; they must be sound.
fn book_of(rules: &str) -> Book {
    layered(&[("test.rules".to_string(), rules)])
}

/// The book that ships.
fn shipped() -> Book {
    files::book().unwrap()
}

fn layered(texts: &[(String, &str)]) -> Book {
    let mut sources = Sources::default();
    let mut documents = Vec::new();
    for (name, text) in texts {
        let file = sources.add(name.clone(), *text);
        let (document, remarks) = parse(file, text);
        assert!(remarks.is_empty(), "{remarks:?}");
        documents.push(document);
    }
    let (book, remarks) = read(&sources, &[documents]);
    book.unwrap_or_else(|| panic!("{remarks:?}"))
}
