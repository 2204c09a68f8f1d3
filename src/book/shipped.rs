//! The book that ships, inside the program: no install step, no path to get wrong, and nothing to parse, for that was done when it was built.

use super::code_table::{Codes, made_out};
use super::read::read;
use super::types::Book;
use crate::shelf;
use crate::syntax::{Document, FileId, Kind, Remark, Sources, parse};
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::path::Path;

/// What the build makes of the texts.
pub const IMAGES: [&str; 4] = ["book", "documents", "common", "codes"];

/// The rule files of the book that ships: name and text, in order of their paths.
pub fn files() -> Vec<(String, &'static str)> {
    named(|path| path.extension().is_some_and(|e| e == "rules"))
}

/// The cases of the book that ships: name and text, in order of their paths.
pub fn cases() -> Vec<(String, &'static str)> {
    let in_cases = |path: &Path| path.parent().and_then(Path::file_name).is_some_and(|n| n == "cases");
    named(move |path| in_cases(path) && path.extension().is_some_and(|e| e == "toml"))
}

fn named(fits: impl Fn(&Path) -> bool) -> Vec<(String, &'static str)> {
    shelf::texts().filter(|(path, _)| fits(Path::new(path))).map(|(path, text)| (format!("<shipped>/{path}"), text)).collect()
}

/// The texts of the rule files, numbered as [`documents`] and [`book`] number them.
pub fn sources() -> Sources {
    let mut sources = Sources::default();
    for (name, text) in files() {
        sources.add_static(name, text);
    }
    sources
}

/// The book that ships by itself, where it is sound.
pub fn book() -> Option<Book> {
    image("book").or_else(|| Reading::new().book)
}

/// The rule files of the book that ships, read.
pub fn documents() -> Vec<Document> {
    image("documents").unwrap_or_else(|| Reading::new().documents)
}

/// What lies below a book that is laid over the one that ships, or over none: the files, and their documents as the lowest layer.
pub fn beneath(over_shipped: bool) -> (Sources, Vec<Vec<Document>>) {
    if over_shipped { (sources(), vec![documents()]) } else { (Sources::default(), vec![]) }
}

/// The files of the book that ships which any book may draw on: its scales and sources.
pub(super) fn common() -> Vec<Document> {
    image("common").unwrap_or_else(read_common)
}

fn read_common() -> Vec<Document> {
    let common = files().into_iter().filter(|(name, _)| name.contains("/common/"));
    common.enumerate().map(|(i, (_, text))| parse(FileId(u32::MAX - i as u32), text).0).collect()
}

/// The name of the book that ships.
pub fn name() -> Option<String> {
    common().iter().flat_map(|d| &d.blocks).find(|b| b.kind.value == Kind::Book).map(|b| b.name.value.clone())
}

fn image<T: DeserializeOwned>(name: &str) -> Option<T> {
    shelf::image(name).and_then(|bytes| postcard::from_bytes(bytes).ok())
}

/// Whether an image lies in the program with these bytes and can be read.
pub fn lies_ready(name: &str, bytes: &[u8]) -> bool {
    let reads = match name {
        "book" => image::<Book>(name).is_some(),
        "codes" => image::<Codes>(name).is_some(),
        _ => image::<Vec<Document>>(name).is_some(),
    };
    reads && shelf::image(name) == Some(bytes)
}

/// The texts that ship, read from the letters: what the images are made of, and what they are held against.
pub struct Reading {
    /// The texts.
    pub sources: Sources,
    /// Their documents.
    pub documents: Vec<Document>,
    /// The book, where there is no remark.
    pub book: Option<Book>,
    /// What is wrong; nothing in a program that could be built.
    pub remarks: Vec<Remark>,
    /// The table of trouble codes.
    pub codes: Codes,
}

impl Reading {
    /// Reads them.
    #[allow(clippy::new_without_default)] // it is work
    pub fn new() -> Reading {
        let sources = sources();
        let (documents, found): (Vec<_>, Vec<_>) = sources.iter().map(|(file, source)| parse(file, &source.text)).unzip();
        let mut remarks = found.concat();
        let layers = [documents];
        let (book, found) = read(&sources, &layers);
        remarks.extend(found);
        let [documents] = layers;
        Reading { book: book.filter(|_| remarks.is_empty()), documents, sources, remarks, codes: made_out() }
    }

    /// Each image with its name; none where one can't be written.
    pub fn images(&self) -> Option<[(&'static str, Vec<u8>); 4]> {
        let [book, documents, common, codes] = IMAGES;
        Some([
            (book, bytes(self.book.as_ref()?)?),
            (documents, bytes(&self.documents)?),
            (common, bytes(&read_common())?),
            (codes, bytes(&self.codes)?),
        ])
    }
}

fn bytes(value: &impl Serialize) -> Option<Vec<u8>> {
    postcard::to_stdvec(value).ok()
}
