//! Reads the rules that ship before the program is built, so that it never has to: the texts, and what was made of them, lie in it
//! (`src/shelf.rs`). A rule that is not sound fails the build, with its remark.

use std::error::Error;
use std::fs;
use std::path::{Path, PathBuf};

// The language's own rooms read the rules here as they do in the program; what else they can do is not used here.
#[allow(dead_code, unused_imports, clippy::all)]
#[path = "src/book/mod.rs"]
mod book;
#[allow(dead_code, unused_imports, clippy::all)]
#[path = "src/syntax/mod.rs"]
mod syntax;

#[allow(dead_code, unused_imports, clippy::all)]
#[path = "src/job/hearing"]
mod hearing {
    pub mod ears;
    mod index;
    mod said;
    mod vocabulary;
}

/// What stands for the program's own shelf while it is being filled: texts from the disk, and nothing made of them yet.
mod shelf {
    use std::sync::OnceLock;

    static TEXTS: OnceLock<Vec<(String, String)>> = OnceLock::new();

    pub fn fill(texts: Vec<(String, String)>) {
        TEXTS.get_or_init(|| texts);
    }

    pub fn texts() -> impl Iterator<Item = (&'static str, &'static str)> {
        TEXTS.get().into_iter().flatten().map(|(name, text)| (name.as_str(), text.as_str()))
    }

    pub fn text(path: &str) -> Option<&'static str> {
        texts().find(|(name, _)| *name == path).map(|(_, text)| text)
    }

    pub fn image(_: &str) -> Option<&'static [u8]> {
        None
    }
}

type Failure = Box<dyn Error>;

#[allow(clippy::print_stdout)] // how a build script speaks to cargo
fn main() -> Result<(), Failure> {
    for input in ["build.rs", "rules", "src/lint/pages", "src/book", "src/syntax", "src/job/hearing", "grammar"] {
        println!("cargo::rerun-if-changed={input}");
    }
    let out = PathBuf::from(std::env::var("OUT_DIR")?);
    let rules = below(Path::new("rules"))?;
    list(&rules, Path::new("rules"), &out.join("rules.rs"))?;
    list(&below(Path::new("src/lint/pages"))?, Path::new("src/lint/pages"), &out.join("pages.rs"))?;
    let texts = rules.iter().map(|file| Ok((name(file, Path::new("rules"))?, fs::read_to_string(file)?)));
    shelf::fill(texts.collect::<Result<_, Failure>>()?);
    let reading = book::shipped::Reading::new();
    for remark in &reading.remarks {
        println!("cargo::error={}", line(remark, &reading.sources));
    }
    // cargo fails the build on what was just said
    let ears = reading.book.as_ref().and_then(hearing::ears::image).map(|bytes| (hearing::ears::IMAGE, bytes));
    let images = reading.images().into_iter().flatten().chain(ears);
    let entry = |(name, bytes): (&str, Vec<u8>)| {
        let file = out.join(format!("{name}.image"));
        fs::write(&file, bytes)?;
        Ok(format!("({name:?}, include_bytes!({file:?}).as_slice()),"))
    };
    let entries = images.map(entry).collect::<Result<Vec<String>, Failure>>()?;
    fs::write(out.join("images.rs"), format!("&[{}]", entries.concat()))?;
    Ok(())
}

/// A remark in one line: place, code, what is wrong, what to do.
fn line(remark: &syntax::Remark, sources: &syntax::Sources) -> String {
    let place = remark.span().map_or(String::new(), |span| {
        let (line, column) = sources.line_column(span);
        format!("{}:{line}:{column}: ", sources.get(span.file).name.replace("<shipped>", "rules"))
    });
    let help = remark.help.as_ref().map_or(String::new(), |help| format!("; {help}"));
    format!("{place}{} {}{help}", remark.code.id, remark.message)
}

/// Writes the list of these files as the program takes them in.
fn list(files: &[PathBuf], root: &Path, to: &Path) -> Result<(), Failure> {
    let entry = |file: &PathBuf| Ok(format!("({:?}, include_str!({:?})),", name(file, root)?, fs::canonicalize(file)?));
    let entries = files.iter().map(entry).collect::<Result<Vec<String>, Failure>>()?;
    Ok(fs::write(to, format!("&[{}]", entries.concat()))?)
}

/// A file's path from a folder, the same on every system.
fn name(file: &Path, root: &Path) -> Result<String, Failure> {
    Ok(file.strip_prefix(root)?.components().map(|c| c.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/"))
}

/// All files below a folder, in order of their names.
fn below(folder: &Path) -> Result<Vec<PathBuf>, Failure> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            files.extend(below(&path)?);
        } else {
            files.push(path);
        }
    }
    files.sort_by_cached_key(|f| f.to_string_lossy().into_owned());
    Ok(files)
}
