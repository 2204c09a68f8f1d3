//! The books that an editor has open: which files make which book, read from the disk but for what is being typed.

use super::args::Money;
use super::failure::Failure;
use super::files::{below, lies_over_shipped, plain, read_text, rule_files};
use super::intake::add_logs;
use super::settings::{FILE, Settings};
use super::sheet::sheet_in;
use super::test::{RATES, case_files, is_case, one, read};
use crate::book::shipped;
use crate::cases::{self, Verdict, judge};
use crate::disk;
use crate::editor::{Books, Covered, Encoding, Lines};
use crate::lint::Levels;
use crate::report;
use lsp_types::{Diagnostic, DiagnosticSeverity, Position, Range, Uri};
use percent_encoding::percent_decode_str;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::str::FromStr;

/// All books of a session.
pub struct Workspace {
    roots: Vec<PathBuf>,
    books: Vec<Open>,
    /// What is open in the editor: rules, and the rest.
    typed: BTreeMap<PathBuf, String>,
    /// Sheets and settings that changed since they were judged.
    sheets: BTreeSet<PathBuf>,
}

struct Open {
    /// The folders or files of its own layers, the lowest first.
    layers: Vec<PathBuf>,
    books: Books,
    /// Which cases expect which cause; none until it is asked, and after a case changed.
    covered: Option<Covered>,
}

impl Workspace {
    /// An empty one; nothing above these folders is looked at.
    pub fn new(roots: Vec<PathBuf>) -> Workspace {
        Workspace { roots, books: vec![], typed: BTreeMap::new(), sheets: BTreeSet::new() }
    }

    /// How many books are open.
    pub fn len(&self) -> usize {
        self.books.len()
    }

    /// A book, to be changed or put together.
    pub fn books(&mut self, at: usize) -> &mut Books {
        &mut self.books[at].books
    }

    /// A book, to be asked.
    pub fn seen(&self, at: usize) -> &Books {
        &self.books[at].books
    }

    /// Whether a file is open in the editor.
    pub fn is_open(&self, path: &Path) -> bool {
        self.typed.contains_key(path)
    }

    /// The text of a file that is open.
    pub fn text(&self, path: &Path) -> Option<String> {
        self.typed.get(path).cloned()
    }

    /// The book that a file of rules belongs to, and the file's name there; one that is not open yet is read.
    pub fn home(&mut self, path: &Path) -> Option<(usize, String)> {
        if !is_rules(path) {
            return None;
        }
        let name = path.display().to_string();
        if let Some(at) = self.books.iter().position(|o| o.books.file(&name).is_some()) {
            return Some((at, name));
        }
        let layers = self.layers_of(path);
        // a file in the cache of the book that ships is one of it, wherever it lies
        Some((self.opened(layers), name))
    }

    /// The book of these layers, read where it is not open yet.
    fn opened(&mut self, layers: Vec<PathBuf>) -> usize {
        self.books.iter().position(|o| o.layers == layers).unwrap_or_else(|| {
            let opened = self.read(layers);
            self.books.push(opened);
            self.books.len() - 1
        })
    }

    /// What is typed in a file; the books that have it.
    pub fn put(&mut self, path: &Path, text: String) -> Vec<usize> {
        self.typed.insert(path.to_path_buf(), text.clone());
        if !is_rules(path) {
            self.sheets.insert(path.to_path_buf());
            self.recount(path);
            return vec![];
        }
        let Some((at, name)) = self.home(path) else { return vec![] };
        self.books(at).change(&name, text);
        vec![at]
    }

    /// A file that is closed, or changed on the disk: its text there counts; a file that is gone says nothing.
    pub fn close(&mut self, path: &Path) -> Vec<usize> {
        self.typed.remove(path);
        if path.file_name().is_some_and(|n| n == FILE) {
            // other books may lie below now: all are read anew when they are next asked about
            self.books.clear();
            return self.typed.clone().into_iter().flat_map(|(path, text)| self.put(&path, text)).collect();
        }
        if !is_rules(path) {
            self.recount(path);
            return vec![];
        }
        let name = path.display().to_string();
        let text = read_text(path).unwrap_or_default();
        let known = self.books.iter().position(|o| o.books.file(&name).is_some());
        let Some(at) = known.or_else(|| self.books.iter().position(|o| o.layers.iter().any(|l| path.starts_with(l)))) else {
            return vec![];
        };
        self.books(at).change(&name, text);
        vec![at]
    }

    /// The address of a file; the book that ships is laid where it can be read.
    pub fn address(&self, name: &str) -> Option<Uri> {
        match name.strip_prefix("<shipped>/") {
            Some(inner) => address(&shipped_copy(inner)?),
            None => address(Path::new(name)),
        }
    }

    /// The cases beside a book's own rules, what is typed before what is kept.
    pub fn cases(&self, at: usize) -> Vec<(String, String)> {
        let files = self.books[at].layers.iter().filter_map(|layer| case_files(layer).ok()).flatten();
        files.filter_map(|file| Some((file.display().to_string(), self.text(&file).or_else(|| read_text(&file).ok())?))).collect()
    }

    /// Counts the cases of a book anew when next asked, where one of them changed.
    fn recount(&mut self, path: &Path) {
        self.books.iter_mut().filter(|o| o.layers.iter().any(|l| path.starts_with(l))).for_each(|o| o.covered = None);
    }

    /// Works out which cases expect which cause, where that is not known.
    pub fn cover(&mut self, at: usize) {
        if self.books[at].covered.is_some() {
            return;
        }
        let mut covered = Covered::new();
        for (name, text) in self.cases(at) {
            let short = Path::new(&name).file_stem().map_or(String::new(), |n| n.to_string_lossy().into_owned());
            for cause in cases::parse(&name, &text).map(|c| c.expect.causes).unwrap_or_default() {
                covered.entry(cause).or_default().push(short.clone());
            }
        }
        self.books[at].covered = Some(covered);
    }

    /// Which cases expect which cause, as far as that was worked out.
    pub fn covered(&self, at: usize) -> Option<&Covered> {
        self.books[at].covered.as_ref()
    }

    /// What comes of a case by the rules as they are typed, with its text; none where it is no case, or there is no sound book.
    pub fn verdict(&mut self, path: &Path) -> Option<(Verdict, String)> {
        if !is_case(path) {
            return None;
        }
        // a case belongs to the rules beside its folder
        let layers = self.layers_of(path.parent()?);
        let at = self.opened(layers);
        self.books(at).settle();
        let text = self.text(path).or_else(|| read_text(path).ok())?;
        let book = self.seen(at).book()?;
        let name = path.display().to_string();
        let judged = one(&name, &text).and_then(|mut case| {
            add_logs(book, &mut case.sheet, path)?;
            Ok(judge(book, &case, RATES))
        });
        Some((judged.unwrap_or_else(|wrong| Verdict::failed(&name, "a case that can be read", wrong.message)), text))
    }

    /// The layers of rules that a file belongs to: those of the settings where it is in one of them, else the folder of its book.
    fn layers_of(&self, path: &Path) -> Vec<PathBuf> {
        let folder = path.parent().unwrap_or(Path::new(".")).to_path_buf();
        if let Ok(settings) = Settings::find(&folder, &Money::default()) {
            let rules: Vec<PathBuf> = settings.rules.iter().map(|r| plain(r)).collect();
            if rules.iter().any(|r| path.starts_with(r)) {
                return rules;
            }
        }
        let within = |f: &Path| self.roots.is_empty() || self.roots.iter().any(|r| f.starts_with(r));
        let book = folder.ancestors().take_while(|f| within(f)).take(8).find(|f| self.has_book(f));
        vec![book.map_or(folder.clone(), Path::to_path_buf)]
    }

    /// Whether a folder holds a `book` block.
    fn has_book(&self, folder: &Path) -> bool {
        let files = below(folder, is_rules).unwrap_or_default();
        let opens = |text: &str| text.lines().any(|line| line.starts_with("book "));
        files.iter().any(|f| self.text(f).or_else(|| read_text(f).ok()).is_some_and(|text| opens(&text)))
    }

    fn read(&self, layers: Vec<PathBuf>) -> Open {
        let one = |file: &PathBuf| self.text(file).or_else(|| read_text(file).ok()).map(|text| (file.display().to_string(), text));
        let layer = |path: &PathBuf| rule_files(std::slice::from_ref(path)).unwrap_or_default().iter().filter_map(one).collect::<Vec<_>>();
        let own: Vec<Vec<(String, String)>> = layers.iter().map(layer).filter(|l| !l.is_empty()).collect();
        let over_shipped = own.first().is_some_and(|first| lies_over_shipped(first));
        let start = layers.first().cloned().unwrap_or_default();
        let levels = Settings::find(&start, &Money::default()).and_then(|s| s.levels()).unwrap_or_else(|_| Levels::default());
        Open { books: Books::new(own, over_shipped, levels), layers, covered: None }
    }

    /// What is wrong with the sheets, cases and settings that changed.
    pub fn sheets(&mut self, encoding: Encoding) -> Vec<(PathBuf, Vec<Diagnostic>)> {
        let changed = std::mem::take(&mut self.sheets);
        let judged = changed.into_iter().filter_map(|path| {
            let text = self.typed.get(&path)?;
            Some((path.clone(), mistake(&path, text).map(|wrong| marked(&wrong, text, encoding)).into_iter().collect()))
        });
        judged.collect()
    }
}

/// Whether a file holds rules, by its name.
fn is_rules(path: &Path) -> bool {
    path.extension().is_some_and(|e| e == "rules")
}

/// What is wrong with a case, a sheet or settings as text.
fn mistake(path: &Path, text: &str) -> Option<Failure> {
    let name = path.display().to_string();
    if path.file_name().is_some_and(|n| n == FILE) {
        return Settings::parse(&name, text).err();
    }
    match is_case(path) {
        true => read(vec![(name, text.to_string())]).err(),
        false => sheet_in(path, text.as_bytes()).err(),
    }
}

/// A mistake in its line, or at the top of the file where it has none.
fn marked(wrong: &Failure, text: &str, encoding: Encoding) -> Diagnostic {
    let lines = Lines::new(text, encoding);
    let line = wrong.line.unwrap_or(1).saturating_sub(1).min(lines.count() - 1) as u32;
    let end = lines.line(line as usize).encode_utf16().count() as u32;
    Diagnostic {
        range: Range { start: Position { line, character: 0 }, end: Position { line, character: end } },
        severity: Some(DiagnosticSeverity::ERROR),
        source: Some("faultbook".into()),
        message: format!("{}\n{}", wrong.message, wrong.help),
        ..Diagnostic::default()
    }
}

/// A file of the book that ships, as one that an editor can open and not change; laid down when it is first asked for.
fn shipped_copy(inner: &str) -> Option<PathBuf> {
    let cache = std::env::var_os("XDG_CACHE_HOME").map(PathBuf::from).or_else(|| Some(std::env::home_dir()?.join(".cache")))?;
    let path = cache.join("faultbook").join(env!("CARGO_PKG_VERSION")).join(inner);
    let (_, text) = shipped::files().into_iter().find(|(name, _)| name.strip_prefix("<shipped>/") == Some(inner))?;
    if read_text(&path).is_ok_and(|kept| kept == text) {
        return Some(path);
    }
    std::fs::create_dir_all(path.parent()?).ok()?;
    laid_down(&path, text).ok()?;
    Some(path)
}

fn laid_down(path: &Path, text: &str) -> Result<(), Failure> {
    // an older copy that differs is replaced, for it is this program's own
    std::fs::remove_file(path).ok();
    disk::put(&disk::Disk, path, text.as_bytes()).map_err(|e| Failure::unwritten(path, &e))?;
    let mut rights = std::fs::metadata(path).map_err(|e| Failure::writing(path, &e))?.permissions();
    rights.set_readonly(true);
    std::fs::set_permissions(path, rights).map_err(|e| Failure::writing(path, &e))
}

/// The path behind a `file:` address (RFC 8089), its escapes undone.
pub fn path_of(uri: &str) -> Option<PathBuf> {
    let path = uri.strip_prefix("file://")?;
    let path = percent_decode_str(path.strip_prefix("localhost").unwrap_or(path)).decode_utf8().ok()?;
    // `file:///C:/…` is a path that begins with a letter
    let drive = path.as_bytes().get(2) == Some(&b':');
    Some(plain(Path::new(if drive { &path[1..] } else { &path })))
}

/// The `file:` address of a path.
pub fn address(path: &Path) -> Option<Uri> {
    let path = std::path::absolute(path).ok()?;
    let text = path.to_str()?.replace('\\', "/");
    Uri::from_str(&format!("file://{}{}", if text.starts_with('/') { "" } else { "/" }, report::escaped_path(&text))).ok()
}
