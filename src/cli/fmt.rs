//! `fmt`: rule files -> the same rules in the one canonical layout.

use super::failure::{Failure, shown};
use super::files::{exchange, harmless, read_bytes, read_input, rule_files};
use super::out::Out;
use super::rule_args::Fmt;
use crate::report::layout::{LaidFile, LayoutDocument, Outcome, difference};
use crate::report::{self, remarks};
use crate::syntax::{FileId, Sources, Unformatted, format};
use std::io::{IsTerminal, stdout};
use std::path::Path;

/// Runs the command; 1 where a file can't be laid out, or with `--check` is laid out otherwise.
pub fn run(arguments: &Fmt, out: &mut Out) -> Result<u8, Failure> {
    out.hush(arguments.quiet);
    if arguments.paths.iter().any(|p| p.as_os_str() == "-") {
        return from_input(arguments, out);
    }
    let mut files = Vec::new();
    for path in rule_files(&arguments.paths)? {
        files.push(file(&path, arguments, out)?);
    }
    say(&files, arguments, out)
}

/// Standard input, laid out onto standard output.
fn from_input(arguments: &Fmt, out: &mut Out) -> Result<u8, Failure> {
    if arguments.paths.len() > 1 {
        return Err(Failure::new("`-` stands among other paths", "lay out standard input by itself"));
    }
    let bytes = read_input("rules as UTF-8 text")?;
    let shown = arguments.check || arguments.json;
    let (laid, text) = lay(&arguments.stdin_name, &bytes, shown, out)?;
    match text {
        Some(text) if !arguments.check && !arguments.json => {
            // as it is, to the byte: it goes back into the file; only a terminal is spared what could drive it
            if stdout().is_terminal() {
                out.say(&text)?
            } else {
                out.say_styled(&text)?
            }
            Ok(0)
        }
        _ => say(&[laid], arguments, out),
    }
}

/// Lays out one file; it is written anew only if nobody changed it meanwhile.
fn file(path: &Path, arguments: &Fmt, out: &mut Out) -> Result<LaidFile, Failure> {
    let name = shown(path);
    let bytes = read_bytes(path)?;
    let (laid, text) = lay(&name, &bytes, arguments.check || arguments.json, out)?;
    if let (Some(text), Outcome::Changed, false) = (text, laid.outcome, arguments.check) {
        exchange(path, &bytes, &text)?;
    }
    Ok(laid)
}

/// What becomes of one text, and its new layout; the difference only where it is `shown`, because to find it takes longest.
fn lay(name: &str, bytes: &[u8], shown: bool, out: &mut Out) -> Result<(LaidFile, Option<String>), Failure> {
    let left = |reason: String| LaidFile { file: name.into(), outcome: Outcome::LeftAlone, difference: None, reason: Some(reason) };
    let Ok(text) = std::str::from_utf8(bytes) else {
        out.tell(&format!("{name}: left alone, it is not UTF-8 text"))?;
        return Ok((left("not UTF-8 text".into()), None));
    };
    match format(FileId(0), text) {
        Ok(laid) => {
            let changed = laid != text;
            let outcome = if changed { Outcome::Changed } else { Outcome::Same };
            let difference = (changed && shown).then(|| harmless(&difference(name, text, &laid)));
            Ok((LaidFile { file: name.into(), outcome, difference, reason: None }, Some(laid)))
        }
        Err(Unformatted::Broken(found)) => {
            let mut sources = Sources::default();
            sources.add(name, harmless_in_place(text));
            let plain = crate::report::Look { colour: false, ..out.look };
            out.tell(remarks::first(&found, &sources, plain).trim_end())?;
            let reason = remarks::counts(&found);
            out.tell(&format!("{name}: left alone, {reason}"))?;
            Ok((left(reason), None))
        }
        Err(Unformatted::Unproven) => {
            out.tell(&format!("{name}: left alone, its new layout could not be proved to mean the same; please report this"))?;
            Ok((left("the new layout could not be proved to mean the same".into()), None))
        }
    }
}

/// Harmless text in which every byte is still where it was, for the places of remarks.
fn harmless_in_place(text: &str) -> String {
    let safe = |c: char| if harmless(c.encode_utf8(&mut [0; 4])).chars().eq([c]) { c.to_string() } else { "?".repeat(c.len_utf8()) };
    text.chars().map(safe).collect()
}

fn say(files: &[LaidFile], arguments: &Fmt, out: &mut Out) -> Result<u8, Failure> {
    let count = |outcome| files.iter().filter(|f| f.outcome == outcome).count();
    let (changed, left) = (count(Outcome::Changed), count(Outcome::LeftAlone));
    if arguments.json {
        out.say(&report::json(&LayoutDocument { schema: 1, files: files.to_vec() }))?;
    } else {
        for file in files.iter().filter(|f| f.outcome == Outcome::Changed) {
            let difference = file.difference.as_deref().filter(|_| arguments.check).unwrap_or("");
            out.say(&format!("{}\n{difference}", file.file))?;
        }
    }
    let what = if arguments.check { "to lay out anew" } else { "laid out anew" };
    out.tell(&format!("{changed} of {} {what}{}", files.len(), if left > 0 { format!(", {left} left alone") } else { String::new() }))?;
    Ok(u8::from(left > 0 || (arguments.check && changed > 0)))
}
