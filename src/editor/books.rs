//! The texts of one book as they are typed: a change parses its own file anew and no other, and the book is put together from all.

use super::uses::{self, Sort, Use};
use crate::book::{self, Book, shipped};
use crate::lint::{Levels, Texts, look};
use crate::syntax::{Block, Document, FileId, Remark, Severity, Source, Sources, Span, parse};
use std::collections::HashMap;

/// A book with the books below it.
pub struct Books {
    sources: Sources,
    layers: Vec<Vec<Document>>,
    /// The layer of each file and its place there.
    homes: Vec<(usize, usize)>,
    /// What was said of each file's own text.
    said: Vec<Vec<Remark>>,
    /// How many of the layers are not to be remarked on.
    borrowed: usize,
    levels: Levels,
    /// The last book that was sound: names are explained by it while a line is being typed.
    book: Option<Book>,
    /// All remarks, once the book is put together; none while a change waits.
    remarks: Option<Vec<Remark>>,
    /// Where each name is defined.
    defined: HashMap<String, Span>,
}

impl Books {
    /// A book of named texts, layer over layer, and over the book that ships where it lies over that.
    pub fn new(texts: Vec<Vec<(String, String)>>, over_shipped: bool, levels: Levels) -> Books {
        let (sources, layers) = shipped::beneath(over_shipped);
        let homes: Vec<(usize, usize)> = (0..sources.len()).map(|at| (0, at)).collect();
        let mut books = Books {
            said: vec![vec![]; homes.len()],
            sources,
            layers,
            homes,
            borrowed: usize::from(over_shipped),
            levels,
            book: None,
            remarks: None,
            defined: HashMap::new(),
        };
        for layer in texts {
            books.layers.push(vec![]);
            for (name, text) in layer {
                books.add(books.layers.len() - 1, name, text);
            }
        }
        books
    }

    fn add(&mut self, layer: usize, name: String, text: String) {
        let file = self.sources.add(name, text);
        let (document, said) = parse(file, &self.sources.get(file).text);
        self.homes.push((layer, self.layers[layer].len()));
        self.layers[layer].push(document);
        self.said.push(said);
    }

    /// A file's new text; a file that is not there yet belongs to the topmost layer.
    pub fn change(&mut self, name: &str, text: String) {
        self.remarks = None;
        let Some(file) = self.file(name) else {
            if self.layers.is_empty() {
                self.layers.push(vec![]);
            }
            return self.add(self.layers.len() - 1, name.into(), text);
        };
        self.sources.replace(file, text);
        let (document, said) = parse(file, &self.sources.get(file).text);
        let (layer, at) = self.homes[file.0 as usize];
        self.layers[layer][at] = document;
        self.said[file.0 as usize] = said;
    }

    /// Puts the book together, where something changed.
    pub fn settle(&mut self) {
        if self.remarks.is_some() {
            return;
        }
        let (book, found) = book::read(&self.sources, &self.layers);
        let mut remarks: Vec<Remark> = self.said.iter().flatten().cloned().chain(found).collect();
        let sound = book.filter(|_| !remarks.iter().any(|r| r.severity == Severity::Error));
        let texts = Texts { sources: &self.sources, layers: &self.layers, borrowed: self.borrowed };
        remarks.extend(look(&texts, sound.as_ref(), &self.levels));
        remarks.sort_by_key(Remark::span);
        self.defined = uses::definitions(self.layers.iter().flatten());
        self.book = sound.or(self.book.take());
        self.remarks = Some(remarks);
    }

    /// The number of the file of that name.
    pub fn file(&self, name: &str) -> Option<FileId> {
        self.sources.iter().find(|(_, s)| s.name == name).map(|(id, _)| id)
    }

    /// A file.
    pub fn source(&self, file: FileId) -> &Source {
        self.sources.get(file)
    }

    /// All files.
    pub fn sources(&self) -> &Sources {
        &self.sources
    }

    /// What a file says.
    pub fn document(&self, file: FileId) -> Option<&Document> {
        let (layer, at) = *self.homes.get(file.0 as usize)?;
        self.layers.get(layer)?.get(at)
    }

    /// All that is said, the lowest layer first.
    pub fn documents(&self) -> impl Iterator<Item = &Document> {
        self.layers.iter().flatten()
    }

    /// Whether a file is somebody else's: it can be read, not changed.
    pub fn is_borrowed(&self, file: FileId) -> bool {
        self.homes.get(file.0 as usize).is_some_and(|(layer, _)| *layer < self.borrowed)
    }

    /// All remarks of the last time the book was put together.
    pub fn remarks(&self) -> &[Remark] {
        self.remarks.as_deref().unwrap_or_default()
    }

    /// The last book that was sound.
    pub fn book(&self) -> Option<&Book> {
        self.book.as_ref()
    }

    /// Where a name is defined.
    pub fn definition(&self, name: &str) -> Option<Span> {
        self.defined.get(name).copied()
    }

    /// The block that starts there.
    pub fn block(&self, name: Span) -> Option<&Block> {
        self.document(name.file)?.blocks.iter().find(|b| b.name.span == name)
    }

    /// What stands at a byte of a file: the word that is used there.
    pub fn at(&self, file: FileId, byte: usize) -> Option<Use<'_>> {
        let document = self.document(file)?;
        let near = |span: Span| (span.start as usize..=span.end as usize).contains(&byte);
        let block = document.blocks.iter().rfind(|b| b.span.start as usize <= byte)?;
        uses::of_block(block).into_iter().find(|u| near(u.word.span))
    }

    /// Every use of what one use names, in all files.
    pub fn alike(&self, one: &Use) -> Vec<Use<'_>> {
        let (sort, key) = (one.sort.clone(), one.key());
        let blocks = self.documents().flat_map(|d| &d.blocks);
        blocks.flat_map(uses::of_block).filter(|u| u.sort.same(&sort) && u.key() == key).collect()
    }

    /// The names of blocks that fit a sort, with their titles.
    pub fn names(&self, sort: &Sort) -> Vec<(&str, &str)> {
        let blocks = self.documents().flat_map(|d| &d.blocks).filter(|b| !b.amends && sort.takes(b.kind.value));
        blocks.map(|b| (b.name.value.as_str(), b.title.as_ref().map_or("", |t| t.value.as_str()))).collect()
    }
}
