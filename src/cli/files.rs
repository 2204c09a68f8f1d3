//! Folders of rules -> a book. The only place that reads rule files.

use super::failure::Failure;
use crate::book::{self, Book, shipped};
use crate::syntax::{Block, Document, Keyword, Kind, Remark, Severity, Sources, Value, parse};
use std::fs;
use std::path::{Path, PathBuf};

/// Texts read and put together, with all remarks.
pub struct Loaded {
    /// The files.
    pub sources: Sources,
    /// Their documents, layer by layer.
    pub layers: Vec<Vec<Document>>,
    /// The book, where there is no error.
    pub book: Option<Book>,
    /// What is wrong or odd.
    pub remarks: Vec<Remark>,
}

impl Loaded {
    /// Whether any remark is an error.
    pub fn broken(&self) -> bool {
        self.remarks.iter().any(|r| r.severity == Severity::Error)
    }
}

/// Reads the books at these paths, each laid over the one before; none means the book that ships.
pub fn load(paths: &[PathBuf]) -> Result<Loaded, Failure> {
    let texts: Vec<Vec<(String, String)>> = paths.iter().map(|p| read_layer(p)).collect::<Result<_, _>>()?;
    Ok(assemble(with_shipped(texts)))
}

/// The layers with the book that ships below them, where there are none or the first says it lies over it.
pub fn with_shipped(mut texts: Vec<Vec<(String, String)>>) -> Vec<Vec<(String, String)>> {
    if texts.first().is_none_or(|first| lies_over_shipped(first)) {
        texts.insert(0, shipped::files().into_iter().map(|(n, t)| (n, t.to_string())).collect());
    }
    texts
}

/// Parses and checks layers of named texts.
pub fn assemble(texts: Vec<Vec<(String, String)>>) -> Loaded {
    let mut sources = Sources::default();
    let (mut layers, mut remarks) = (Vec::new(), Vec::new());
    for layer in texts {
        let mut documents = Vec::new();
        for (name, text) in layer {
            let file = sources.add(name, text);
            let (document, found) = parse(file, &sources.get(file).text);
            documents.push(document);
            remarks.extend(found);
        }
        layers.push(documents);
    }
    let (book, found) = book::read(&sources, &layers);
    remarks.extend(found);
    remarks.sort_by_key(|r| r.span());
    let book = book.filter(|_| !remarks.iter().any(|r| r.severity == Severity::Error));
    Loaded { sources, layers, book, remarks }
}

fn lies_over_shipped(layer: &[(String, String)]) -> bool {
    let own = shipped_name();
    layer.iter().any(|(_, text)| {
        text.contains("over")
            && parse(crate::syntax::FileId(0), text).0.blocks.iter().any(|b| over(b).is_some_and(|o| Some(o) == own.as_deref()))
    })
}

fn shipped_name() -> Option<String> {
    let book = shipped::files().into_iter().find(|(name, _)| name.ends_with("common/book.rules"))?.1;
    let (document, _) = parse(crate::syntax::FileId(0), book);
    document.blocks.iter().find(|b| b.kind.value == Kind::Book).map(|b| b.name.value.clone())
}

fn over(block: &Block) -> Option<&str> {
    let clause = block.clauses.iter().find(|c| block.kind.value == Kind::Book && c.keyword.value == Keyword::Over)?;
    match &clause.value {
        Value::Names(names) => names.first().map(|w| w.value.as_str()),
        _ => None,
    }
}

fn read_layer(path: &Path) -> Result<Vec<(String, String)>, Failure> {
    rule_files(&[path.to_path_buf()])?.into_iter().map(|f| Ok((f.display().to_string(), read_text(&f)?))).collect()
}

/// The rule files at these paths: each file named, and all under each folder, in order.
pub fn rule_files(paths: &[PathBuf]) -> Result<Vec<PathBuf>, Failure> {
    let mut all = Vec::new();
    for path in paths {
        let mut files = Vec::new();
        find(path, &mut files)?;
        files.sort();
        if files.is_empty() {
            let message = format!("`{}` holds no rules", path.display());
            return Err(Failure::new(message, "name a folder with `.rules` files in it, or one such file"));
        }
        all.extend(files);
    }
    Ok(all)
}

fn find(path: &Path, out: &mut Vec<PathBuf>) -> Result<(), Failure> {
    let unreadable =
        |e: std::io::Error| Failure::new(format!("`{}` can't be read: {e}", path.display()), "check the path and its permissions");
    if !path.is_dir() {
        fs::metadata(path).map_err(unreadable)?;
        out.push(path.to_path_buf());
        return Ok(());
    }
    for entry in fs::read_dir(path).map_err(unreadable)? {
        let entry = entry.map_err(unreadable)?.path();
        let hidden = entry.file_name().is_some_and(|n| n.to_string_lossy().starts_with('.'));
        if entry.is_dir() && !hidden && !entry.is_symlink() {
            find(&entry, out)?;
        } else if entry.extension().is_some_and(|e| e == "rules") {
            out.push(entry);
        }
    }
    Ok(())
}

/// A file as text.
pub fn read_text(path: &Path) -> Result<String, Failure> {
    let bytes = fs::read(path)
        .map_err(|e| Failure::new(format!("`{}` can't be read: {e}", path.display()), "check the path and its permissions"))?;
    String::from_utf8(bytes).map(|text| harmless(&text)).map_err(|e| {
        let at = e.utf8_error().valid_up_to();
        Failure::new(format!("`{}` is not text: byte {at} is not UTF-8", path.display()), "save it as UTF-8 text")
    })
}

/// Text without control characters that could drive a terminal or turn the direction of writing; each becomes a visible mark.
pub fn harmless(text: &str) -> String {
    let bad =
        |c: char| (c.is_control() && !matches!(c, '\n' | '\r' | '\t')) || matches!(c, '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}');
    if text.contains(bad) { text.replace(bad, "\u{FFFD}") } else { text.to_string() }
}
