//! Folders of rules -> a book. The only place that reads rule files.

use super::failure::{Failure, shown};
use super::limits::{DEPTH, FILES, TEXT};
use crate::book::{self, Book, shipped};
use crate::disk::{self, Disk, Trouble};
pub use crate::job::harmless;
use crate::syntax::{Block, Document, Keyword, Kind, Remark, Severity, Sources, Value, parse};
use std::cell::OnceCell;
use std::fs;
use std::io::{self, Read};
use std::path::{Component, Path, PathBuf};

/// Texts read and put together, with all remarks.
pub struct Loaded {
    /// The files.
    pub sources: Sources,
    /// Their documents, layer by layer; see [`Loaded::layers`].
    layers: OnceCell<Vec<Vec<Document>>>,
    /// How many of the layers are the book that ships, lying under the rules that were named.
    pub borrowed: usize,
    /// The book, where there is no error.
    pub book: Option<Book>,
    /// What is wrong or odd.
    pub remarks: Vec<Remark>,
}

impl Loaded {
    /// The book that ships, by itself.
    fn shipped() -> Loaded {
        Loaded { sources: shipped::sources(), layers: OnceCell::new(), borrowed: 0, book: shipped::book(), remarks: vec![] }
    }

    /// The documents, layer by layer; those of the book that ships are fetched where it is alone and somebody asks.
    pub fn layers(&self) -> &[Vec<Document>] {
        self.layers.get_or_init(|| vec![shipped::documents()])
    }
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
    Ok(assemble(texts))
}

/// Whether two names mean the same path.
pub fn same_path(one: &str, other: &str) -> bool {
    let plain = |p: &str| Path::new(p).components().filter(|c| !matches!(c, Component::CurDir)).collect::<PathBuf>();
    plain(one) == plain(other)
}

/// Parses and checks layers of named texts, over the book that ships where the first says it lies over it; without any, that book.
pub fn assemble(texts: Vec<Vec<(String, String)>>) -> Loaded {
    if texts.is_empty() {
        return Loaded::shipped();
    }
    let over_shipped = texts.first().is_some_and(|first| lies_over_shipped(first));
    let (mut sources, mut layers) = shipped::beneath(over_shipped);
    let mut remarks = Vec::new();
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
    Loaded { sources, layers: OnceCell::from(layers), borrowed: usize::from(over_shipped), book, remarks }
}

/// Whether a layer says that it lies over the book that ships.
pub fn lies_over_shipped(layer: &[(String, String)]) -> bool {
    let own = shipped::name();
    layer.iter().any(|(_, text)| {
        text.lines().any(|line| line.split_whitespace().next() == Some("over"))
            && parse(crate::syntax::FileId(0), text).0.blocks.iter().any(|b| over(b).is_some_and(|o| Some(o) == own.as_deref()))
    })
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
        let mut files = if path.is_dir() { below(path, |f| f.extension().is_some_and(|e| e == "rules"))? } else { vec![named(path)?] };
        if files.is_empty() {
            let message = format!("`{}` holds no rules", shown(path));
            return Err(Failure::new(message, "name a folder with `.rules` files in it, or one such file"));
        }
        all.append(&mut files);
    }
    Ok(all)
}

/// A rule file that was named.
fn named(path: &Path) -> Result<PathBuf, Failure> {
    disk::regular_at(path).map_err(|e| Failure::unread(path, &e))?;
    if path.extension().is_some_and(|e| e == "toml") {
        let message = format!("`{}` is a sheet or settings, not rules", shown(path));
        return Err(Failure::new(message, "name a folder with `.rules` files in it, or one such file"));
    }
    Ok(path.to_path_buf())
}

/// All wanted files under a folder, in order. Hidden folders and links to folders are passed by; a link to a file outside is refused, because
/// whoever filled the folder would choose what is read, shown and rewritten.
pub fn below(folder: &Path, wanted: impl Fn(&Path) -> bool) -> Result<Vec<PathBuf>, Failure> {
    let unreadable = |at: &Path, e: io::Error| Failure::reading(at, &e);
    let root = fs::canonicalize(folder).map_err(|e| unreadable(folder, e))?;
    let (mut files, mut open) = (Vec::new(), vec![(folder.to_path_buf(), 0)]);
    while let Some((at, depth)) = open.pop() {
        for entry in fs::read_dir(&at).map_err(|e| unreadable(&at, e))? {
            let entry = entry.map_err(|e| unreadable(&at, e))?.path();
            let hidden = entry.file_name().is_some_and(|n| n.to_string_lossy().starts_with('.'));
            let link = entry.is_symlink();
            if entry.is_dir() {
                if depth >= DEPTH {
                    let message = format!("`{}` lies more than {DEPTH} folders deep", shown(&entry));
                    return Err(Failure::new(message, "name the inner folder itself"));
                }
                if !hidden && !link {
                    open.push((entry, depth + 1));
                }
            } else if !hidden && wanted(&entry) {
                if link {
                    inside(&root, &entry)?;
                }
                disk::regular_at(&entry).map_err(|e| Failure::unread(&entry, &e))?;
                files.push(entry);
            }
        }
        if files.len() > FILES {
            let message = format!("`{}` holds more than {FILES} files of this kind", shown(folder));
            return Err(Failure::new(message, "name a folder within it"));
        }
    }
    files.sort();
    Ok(files)
}

/// Refuses a link that leads out of the folder.
fn inside(root: &Path, link: &Path) -> Result<(), Failure> {
    let target = fs::canonicalize(link).map_err(|e| Failure::reading(link, &e))?;
    if target.starts_with(root) {
        return Ok(());
    }
    let message = format!("`{}` is a link that leads out of its folder, to `{}`", shown(link), shown(&target));
    Err(Failure::new(message, "copy the file into the folder, or name the file it leads to as well"))
}

/// A rule file as text; what is no text becomes marks, which reading remarks on.
fn read_rules(path: &Path) -> Result<String, Failure> {
    Ok(harmless(&String::from_utf8_lossy(&read_bytes(path)?)))
}

/// A path without `.` in it.
pub fn plain(path: &Path) -> PathBuf {
    path.components().filter(|c| !matches!(c, std::path::Component::CurDir)).collect()
}

/// All bytes of a text.
pub fn read_bytes(path: &Path) -> Result<Vec<u8>, Failure> {
    disk::read(path, TEXT).map_err(|e| Failure::unread(path, &e))
}

/// A file as text.
pub fn read_text(path: &Path) -> Result<String, Failure> {
    String::from_utf8(read_bytes(path)?).map(|text| harmless(&text)).map_err(|e| not_text(path, e.as_bytes(), e.utf8_error().valid_up_to()))
}

/// What can't be read from a byte on.
pub fn not_text(path: &Path, bytes: &[u8], valid: usize) -> Failure {
    let line = 1 + bytes.iter().take(valid).filter(|b| **b == b'\n').count();
    let message = format!("`{}` is not plain text in UTF-8: line {line} is the first that can't be read", shown(path));
    Failure { line: Some(line), ..Failure::new(message, "save it as UTF-8 text, or name another file") }
}

/// Standard input, up to the limit of a text; `what` it should be.
pub fn read_input(what: &str) -> Result<Vec<u8>, Failure> {
    let mut bytes = Vec::new();
    let read = io::stdin().lock().take(TEXT + 1).read_to_end(&mut bytes);
    match read {
        Ok(_) if bytes.len() as u64 > TEXT => {
            Err(Failure::new(format!("standard input is longer than {} MiB", TEXT >> 20), format!("pipe {what}, and no more")))
        }
        Ok(_) => Ok(bytes),
        Err(e) => Err(Failure::new(format!("standard input can't be read: {e}"), format!("pipe {what}"))),
    }
}

/// Writes a new text in the place of a file's old one, unless somebody has changed it since it was read.
pub fn exchange(path: &Path, old: &[u8], new: &str) -> Result<(), Failure> {
    disk::exchange(&Disk, path, old, new.as_bytes()).map_err(|e| Failure::unwritten(path, &e))
}

/// Writes a result to a file, new or old, but never over one that this command has read.
pub fn write(path: &Path, text: &str) -> Result<(), Failure> {
    disk::put(&Disk, path, text.as_bytes()).map_err(|e| Failure::unwritten(path, &e))
}

/// Writes a file that is not there yet; false where one is.
pub fn write_new(path: &Path, text: &str) -> Result<bool, Failure> {
    match disk::put_new(&Disk, path, text.as_bytes()) {
        Ok(()) => Ok(true),
        Err(Trouble::Io(e)) if e.kind() == io::ErrorKind::AlreadyExists => Ok(false),
        Err(trouble) => Err(Failure::unwritten(path, &trouble)),
    }
}
