//! Folders of rules -> a book. The only place that reads rule files.

use super::failure::Failure;
use crate::book::{self, Book, shipped};
pub use crate::job::harmless;
use crate::syntax::{Block, Document, Keyword, Kind, Remark, Severity, Sources, Value, parse};
use std::fs;
use std::io::{self, Write};
use std::path::{Component, Path, PathBuf};

/// Texts read and put together, with all remarks.
pub struct Loaded {
    /// The files.
    pub sources: Sources,
    /// Their documents, layer by layer.
    pub layers: Vec<Vec<Document>>,
    /// How many of the layers are the book that ships, lying under the rules that were named.
    pub borrowed: usize,
    /// The book, where there is no error.
    pub book: Option<Book>,
    /// What is wrong or odd.
    pub remarks: Vec<Remark>,
}

/// Reads the books at these paths, each laid over the one before; none means the book that ships.
pub fn load(paths: &[PathBuf]) -> Result<Loaded, Failure> {
    load_with(paths, None)
}

/// The same, with the text of standard input (and its name) in the place of the file of that name, or as a book of its own at `-`.
pub fn load_with(paths: &[PathBuf], input: Option<(String, String)>) -> Result<Loaded, Failure> {
    let mut texts: Vec<Vec<(String, String)>> = Vec::new();
    for path in paths.iter().filter(|p| p.as_os_str() != "-") {
        texts.push(read_layer(path)?);
    }
    if let Some((name, text)) = input {
        match texts.iter_mut().flatten().find(|(n, _)| same_path(n, &name)) {
            Some(file) => file.1 = text,
            None => texts.push(vec![(name, text)]),
        }
    }
    let own = texts.len();
    let texts = with_shipped(texts);
    // where nothing was named, the book that ships is the one that is asked about
    let borrowed = if own == 0 { 0 } else { texts.len() - own };
    Ok(Loaded { borrowed, ..assemble(texts) })
}

/// The layers with the book that ships below them, where there are none or the first says it lies over it.
pub fn with_shipped(mut texts: Vec<Vec<(String, String)>>) -> Vec<Vec<(String, String)>> {
    if texts.first().is_none_or(|first| lies_over_shipped(first)) {
        texts.insert(0, shipped::files().into_iter().map(|(n, t)| (n, t.to_string())).collect());
    }
    texts
}

/// Whether two names mean the same path.
pub fn same_path(one: &str, other: &str) -> bool {
    let plain = |p: &str| Path::new(p).components().filter(|c| !matches!(c, Component::CurDir)).collect::<PathBuf>();
    plain(one) == plain(other)
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
    Loaded { sources, layers, borrowed: 0, book, remarks }
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
    rule_files(&[path.to_path_buf()])?.into_iter().map(|f| Ok((f.display().to_string(), read_rules(&f)?))).collect()
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
    let unreadable = |e: io::Error| Failure::reading(path, &e);
    if !path.is_dir() {
        fs::metadata(path).map_err(unreadable)?;
        if path.extension().is_some_and(|e| e == "toml") {
            let message = format!("`{}` is a sheet or settings, not rules", path.display());
            return Err(Failure::new(message, "name a folder with `.rules` files in it, or one such file"));
        }
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

/// A rule file as text; what is no text becomes marks, which reading remarks on.
fn read_rules(path: &Path) -> Result<String, Failure> {
    let stamp = || fs::metadata(path).and_then(|m| Ok((m.len(), m.modified()?)));
    let bytes = steady(stamp, || fs::read(path)).map_err(|e| Failure::reading(path, &e))?;
    Ok(harmless(&String::from_utf8_lossy(&bytes)))
}

/// Reads until nothing changed meanwhile, three times at most.
fn steady<S: PartialEq, T>(mut stamp: impl FnMut() -> io::Result<S>, mut read: impl FnMut() -> io::Result<T>) -> io::Result<T> {
    let mut before = stamp()?;
    for _ in 0..3 {
        let found = read()?;
        let after = stamp()?;
        if before == after {
            return Ok(found);
        }
        before = after;
    }
    Err(io::Error::other("it changes while it is read"))
}

/// A file as text.
pub fn read_text(path: &Path) -> Result<String, Failure> {
    let bytes = fs::read(path).map_err(|e| Failure::reading(path, &e))?;
    String::from_utf8(bytes).map(|text| harmless(&text)).map_err(|e| {
        let line = 1 + e.as_bytes()[..e.utf8_error().valid_up_to()].iter().filter(|b| **b == b'\n').count();
        let message = format!("`{}` is not plain text in UTF-8: line {line} is the first that can't be read", path.display());
        Failure::new(message, "save it as UTF-8 text, or name another file")
    })
}

/// Writes a new text in the place of a file's old one, unless somebody has changed it since it was read.
pub fn exchange(path: &Path, old: &[u8], new: &str) -> Result<(), Failure> {
    let name = path.display();
    let now = fs::read(path).map_err(|e| Failure::reading(path, &e))?;
    if now != old {
        return Err(Failure::new(format!("`{name}` was changed meanwhile"), "try again when nobody writes to it"));
    }
    replace(path, new).map_err(|e| Failure::writing(path, &e))
}

/// Writes a file, new or old.
pub fn write(path: &Path, text: &str) -> Result<(), Failure> {
    fs::write(path, text).map_err(|e| Failure::writing(path, &e))
}

/// Puts the text in the place of the file in one step, so that a broken run leaves the old file or the new one.
fn replace(path: &Path, text: &str) -> std::io::Result<()> {
    // a link stays a link: what it points to is replaced
    let target = fs::canonicalize(path)?;
    let mut beside = target.clone().into_os_string();
    beside.push(".new");
    let written = fs::File::create(&beside).and_then(|mut f| f.write_all(text.as_bytes()).and_then(|()| f.sync_all()));
    let done = written
        .and_then(|()| fs::set_permissions(&beside, fs::metadata(&target)?.permissions()))
        .and_then(|()| fs::rename(&beside, &target));
    if done.is_err() {
        fs::remove_file(&beside).ok();
    }
    done
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::cell::Cell;

    #[test]
    fn a_file_that_changes_is_read_again_and_then_given_up() {
        let clock = Cell::new(0);
        let reads = Cell::new(0);
        let read = |until: u32| {
            reads.set(reads.get() + 1);
            clock.set(clock.get() + u32::from(reads.get() < until));
            Ok(reads.get())
        };
        assert_eq!(steady(|| Ok(clock.get()), || read(3)).unwrap(), 3);
        reads.set(0);
        let lost = steady(|| Ok(clock.get()), || read(9)).unwrap_err();
        assert_eq!((lost.to_string().as_str(), reads.get()), ("it changes while it is read", 3));
    }
}
