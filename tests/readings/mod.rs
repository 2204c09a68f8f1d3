//! Logged drives: windows of the book, the reader of logs, and the readings that come out.

mod window;

use faultbook::book::{Book, read};
use faultbook::syntax::{Remark, Sources, parse};

/// The book of one text, and the remarks on it.
pub fn book_of(text: &str) -> (Option<Book>, Vec<Remark>) {
    let mut sources = Sources::default();
    let file = sources.add("test.rules", text);
    let (document, mut remarks) = parse(file, &sources.get(file).text);
    let (book, found) = read(&sources, &[vec![document]]);
    remarks.extend(found);
    (book, remarks)
}
