//! What stops a command before it has a result: the message, and what to do.

use crate::disk::{Sort, Trouble};
use crate::job::{InputError, harmless_name};
use crate::syntax::nearest;
use std::path::Path;
use std::{fmt, io};

/// Input or arguments that can't be used: exit status 2.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Failure {
    /// What is wrong, with the place.
    pub message: String,
    /// What to do.
    pub help: String,
    /// The line of the text that it is about, from 1, where it is known.
    pub line: Option<usize>,
}

impl Failure {
    /// A failure with its way out.
    pub fn new(message: impl Into<String>, help: impl Into<String>) -> Self {
        Failure { message: message.into(), help: help.into(), line: None }
    }

    /// A mistake in a text that somebody wrote.
    pub fn mistake(wrong: InputError) -> Self {
        Failure { line: wrong.line, ..Failure::new(format!("{}: {}", wrong.place, wrong.message), wrong.help) }
    }

    /// A file that was not read.
    pub fn unread(path: &Path, trouble: &Trouble) -> Self {
        let name = shown(path);
        match trouble {
            Trouble::Io(error) => Failure::reading(path, error),
            Trouble::NoFile(Sort::Folder) => Failure::reading(path, &io::ErrorKind::IsADirectory.into()),
            Trouble::NoFile(Sort::Pipe) => {
                Failure::new(format!("`{name}` is a pipe, and a file is wanted"), "save it to a file first, or pipe it in and name `-`")
            }
            Trouble::NoFile(sort) => Failure::new(format!("`{name}` is {}, and a file is wanted", sort.words()), "name a file"),
            Trouble::Long(most) => Failure::new(format!("`{name}` is longer than {}", bytes(*most)), "cut it into smaller files"),
            Trouble::Held => Failure::new(format!("another walk has `{name}` open"), "close the other one first; two would lose answers"),
            other => Failure::new(format!("`{name}` can't be read: {other}"), "try again when nobody writes to it"),
        }
    }

    /// A file that was not written.
    pub fn unwritten(path: &Path, trouble: &Trouble) -> Self {
        let name = shown(path);
        match trouble {
            Trouble::Io(error) => Failure::writing(path, error),
            Trouble::NoFile(Sort::Folder) => Failure::writing(path, &io::ErrorKind::IsADirectory.into()),
            Trouble::NoFile(sort) => {
                Failure::new(format!("`{name}` is {}: nothing can be written in its place", sort.words()), "name a file")
            }
            Trouble::Changed => Failure::new(format!("`{name}` was changed meanwhile"), "try again when nobody writes to it"),
            Trouble::Input => {
                Failure::new(format!("`{name}` is read by this command, and would be overwritten"), "give the result a name of its own")
            }
            Trouble::Owner => Failure::new(
                format!("`{name}` belongs to somebody else, and would be yours if it were written anew"),
                "let its owner do it, or work on a copy",
            ),
            other => Failure::unread(path, other),
        }
    }

    /// A file or folder that can't be read.
    pub fn reading(path: &Path, error: &io::Error) -> Self {
        let name = shown(path);
        match error.kind() {
            io::ErrorKind::NotFound => Failure::new(format!("there is no file or folder `{name}`"), neighbour(path)),
            io::ErrorKind::IsADirectory => Failure::new(format!("`{name}` is a folder, and a file is wanted"), "name a file in it"),
            io::ErrorKind::PermissionDenied => {
                Failure::new(format!("`{name}` may not be read"), "ask its owner, or copy it to a place of yours")
            }
            _ => Failure::new(
                format!("`{name}` can't be read: {}", plain(error)),
                "check the path and the disk, and that nobody is writing to it",
            ),
        }
    }

    /// A file that can't be written.
    pub fn writing(path: &Path, error: &io::Error) -> Self {
        let name = shown(path);
        match error.kind() {
            io::ErrorKind::NotFound => {
                let folder = shown(path.parent().unwrap_or(path));
                Failure::new(format!("`{name}` can't be written: there is no folder `{folder}`"), "make the folder first, or name another")
            }
            io::ErrorKind::IsADirectory => {
                Failure::new(format!("`{name}` is a folder: nothing can be written in its place"), "name a file")
            }
            io::ErrorKind::AlreadyExists | io::ErrorKind::NotADirectory => {
                Failure::new(format!("`{name}` can't be written: a file stands where a folder is wanted"), "name another place")
            }
            io::ErrorKind::PermissionDenied => {
                Failure::new(format!("`{name}` may not be written"), "ask its owner, or name a place of yours")
            }
            _ => Failure::new(format!("`{name}` can't be written: {}", plain(error)), "check the path, its permissions and the disk"),
        }
    }
}

/// A path on one line: what stands in it can't pass for a message.
pub fn shown(path: &Path) -> String {
    harmless_name(&path.display().to_string())
}

/// A number of bytes as people say it.
fn bytes(number: u64) -> String {
    let (size, unit) =
        [(1 << 30, "GiB"), (1 << 20, "MiB"), (1 << 10, "KiB")].into_iter().find(|(s, _)| number >= *s).unwrap_or((1, "bytes"));
    format!("{} {unit}", number / size)
}

/// The system's words without its number.
fn plain(error: &io::Error) -> String {
    let text = error.to_string();
    text.split(" (os error").next().unwrap_or(&text).to_lowercase()
}

/// Where a file is not, what of nearly that name is.
fn neighbour(path: &Path) -> String {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let Ok(entries) = std::fs::read_dir(folder) else {
        return format!("there is no folder `{}` either: check the path", shown(folder));
    };
    let names: Vec<String> = entries.filter_map(|e| Some(e.ok()?.file_name().to_string_lossy().into_owned())).collect();
    let wanted = path.file_name().map_or(String::new(), |n| n.to_string_lossy().into_owned());
    let near = nearest(&wanted, names.iter().map(String::as_str)).map(|n| path.with_file_name(n));
    near.map_or("check the path".into(), |n| format!("did you mean `{}`?", shown(&n)))
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "error: {}\n  help: {}", self.message, self.help)
    }
}
