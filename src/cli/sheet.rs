//! Bytes -> a job sheet. One whose last entry was cut off while it was written is read up to it.

use super::failure::Failure;
use super::files::{harmless, not_text, read_bytes, read_input};
use super::limits::{CODES, WORDS};
use super::out::Out;
use crate::job::{JobSheet, toml_mistake};
use std::path::Path;

/// The lines that open an entry of the journal, and the end of it.
const OPENINGS: [&[u8]; 2] = [b"[[journal]]", b"[closed]"];

/// A sheet, and what of it does not count.
pub struct Read {
    /// The sheet.
    pub sheet: JobSheet,
    /// The byte where an entry begins that was never finished.
    pub torn: Option<usize>,
}

/// The sheet in a file, or on standard input for `-`; what of it was torn is told.
pub fn read_sheet(path: &Path, out: &mut Out) -> Result<JobSheet, Failure> {
    let bytes = if path.as_os_str() == "-" { read_input("a job sheet as UTF-8 text")? } else { read_bytes(path)? };
    let Read { sheet, torn } = sheet_in(path, &bytes)?;
    if let Some(at) = torn {
        out.tell(&told(path, &bytes, at))?;
    }
    Ok(sheet)
}

/// The sheet in these bytes; `path` is what it is called.
pub fn sheet_in(path: &Path, bytes: &[u8]) -> Result<Read, Failure> {
    let whole = match parsed(path, bytes) {
        Ok(sheet) if finished(&sheet, bytes) => Ok(Read { sheet, torn: None }),
        Ok(sheet) => Err((Failure::new("", ""), Some(sheet))),
        Err(failure) => Err((failure, None)),
    };
    let (failure, unfinished) = match whole {
        Ok(read) => return bounded(path, read),
        Err(found) => found,
    };
    let cut = torn_at(bytes).into_iter().find_map(|at| parsed(path, bytes.get(..at)?).ok().map(|sheet| Read { sheet, torn: Some(at) }));
    match (cut, unfinished) {
        (Some(read), _) => bounded(path, read),
        (None, Some(sheet)) => bounded(path, Read { sheet, torn: None }),
        (None, None) => Err(failure),
    }
}

/// What is said of a sheet whose last entry is torn.
pub fn told(path: &Path, bytes: &[u8], at: usize) -> String {
    let left = lost(bytes, at);
    let end = if left.is_empty() {
        "It had not got beyond its first line.".to_string()
    } else {
        format!("What is left of it: {}", left.join(" "))
    };
    format!("The last entry of `{}` was cut off while it was written, and does not count. {end}", path.display())
}

/// The lines of an entry that was never finished, without the one that opens it.
pub fn lost(bytes: &[u8], at: usize) -> Vec<String> {
    let rest = String::from_utf8_lossy(bytes.get(at..).unwrap_or_default()).replace('\0', "");
    rest.lines().skip(1).map(|line| harmless(line.trim())).filter(|line| !line.is_empty()).collect()
}

/// The byte where the entries of a sheet begin.
pub fn entries_from(bytes: &[u8]) -> usize {
    line_starts(bytes).find(|at| opens(bytes, *at).is_some()).unwrap_or(bytes.len())
}

fn parsed(path: &Path, bytes: &[u8]) -> Result<JobSheet, Failure> {
    let text = std::str::from_utf8(bytes).map_err(|e| not_text(path, bytes, e.valid_up_to()))?;
    let text = harmless(text);
    toml::from_str(&text)
        .map_err(|e| Failure::mistake(toml_mistake(&path.display().to_string(), &text, &e, "docs/job-sheet.md shows a whole sheet")))
}

/// Whether the last entry is whole: what the walk writes ends in a line break, and a text in quotes may look closed one character too early.
fn finished(sheet: &JobSheet, bytes: &[u8]) -> bool {
    sheet.journal.is_empty() || bytes.ends_with(b"\n") || !(bytes.ends_with(b"\"\"") || bytes.ends_with(b"''"))
}

/// Where an entry may begin that was never finished: a last line that was to open one, or else the last line that does.
fn torn_at(bytes: &[u8]) -> Vec<usize> {
    let starts: Vec<usize> = line_starts(bytes).collect();
    let last = starts.last().copied().filter(|at| begins(bytes.get(*at..).unwrap_or_default()));
    // an answer over several lines may hold such a line too
    let openings = starts.iter().rev().copied().filter(|at| opens(bytes, *at).is_some()).take(8);
    last.into_iter().chain(openings).collect()
}

/// Whether these bytes are the beginning of an opening line, or blank as a disk leaves what it never got.
fn begins(line: &[u8]) -> bool {
    let line = line.split(|b| *b == 0).next().unwrap_or_default();
    OPENINGS.iter().any(|opening| opening.starts_with(line))
}

fn opens(bytes: &[u8], at: usize) -> Option<&'static [u8]> {
    let line = bytes.get(at..)?.split(|b| *b == b'\n').next()?.trim_ascii_end();
    OPENINGS.into_iter().find(|o| *o == line)
}

fn line_starts(bytes: &[u8]) -> impl Iterator<Item = usize> {
    std::iter::once(0).chain(bytes.iter().enumerate().filter(|(_, b)| **b == b'\n').map(|(at, _)| at + 1))
}

/// Refuses a sheet that holds more than anybody writes.
fn bounded(path: &Path, read: Read) -> Result<Read, Failure> {
    let (words, codes) = (read.sheet.complaint.words.chars().count(), read.sheet.scan.codes.len());
    let refuse = |what: String, help: &str| Err(Failure::new(format!("{}: {what}", path.display()), help));
    if words > WORDS {
        return refuse(format!("[complaint] words: {words} characters, and {WORDS} are the most"), "keep what is the matter with the car");
    }
    if codes > CODES {
        return refuse(format!("[scan] codes: {codes} codes, and {CODES} are the most"), "keep the codes of this car's last scan");
    }
    Ok(read)
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEAD: &str = "title = \"A van\"\n\n[complaint]\nwords = \"it is slow\"\n";
    const ENTRY: &str = "\n[[journal]]\nat = \"2026-11-30T20:00:00Z\"\nbook = \"0123456789ab\"\nask = \"note\"\nanswer = ";

    fn read(bytes: &[u8]) -> Read {
        sheet_in(Path::new("job.toml"), bytes).unwrap_or_else(|e| panic!("{e}: {}", String::from_utf8_lossy(bytes)))
    }

    /// Answers that are written in all the ways TOML knows: plain, with quotes of both kinds, over lines, empty, and in letters of two to four bytes.
    #[test]
    fn a_sheet_torn_at_any_byte_of_its_last_entry_is_read_up_to_it() {
        for answer in [
            "plain",
            "",
            "a \"quote\"",
            "it's",
            "'\"both\\'\"",
            "two\nlines",
            "\n",
            "\"\"\"",
            "\"",
            "Öl, 汽车, 🚗",
            "[closed]",
            "\n[[journal]]\n",
        ] {
            let entry = |text: &str| format!("{ENTRY}{}\n", toml::Value::String(text.into()));
            let before = format!("{HEAD}{}", entry("the first"));
            let whole = format!("{before}{}", entry(answer));
            for end in before.len()..whole.len() {
                for zeros in [0, 3] {
                    let bytes = [&whole.as_bytes()[..end], &vec![0; zeros][..]].concat();
                    let journal = read(&bytes).sheet.journal;
                    assert_eq!(journal[0].answer, "the first");
                    assert!(journal.len() == 1 || journal[1].answer == answer, "cut at {end} of {whole:?}: {journal:?}");
                }
            }
            assert_eq!(read(whole.as_bytes()).sheet.journal.len(), 2);
            assert_eq!(read(whole.as_bytes()).torn, None);
        }
    }

    #[test]
    fn a_mistake_in_the_head_is_no_torn_entry() {
        let bytes = format!("title = A van\n{ENTRY}\"x\"\n");
        assert!(sheet_in(Path::new("job.toml"), bytes.as_bytes()).is_err());
        assert!(sheet_in(Path::new("job.toml"), b"title = \"A van").is_err());
    }
}
