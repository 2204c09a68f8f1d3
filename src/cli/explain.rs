//! `explain`: a name of the book, a remark on rules, or a list of a kind.

use super::args::{Explain, Money};
use super::failure::Failure;
use super::intake::sound_book;
use super::out::Out;
use super::settings::Settings;
use crate::book::{Book, Headed, Table};
use crate::job::{symptoms_like, typed_codes};
use crate::lint::{code, codes};
use crate::report::explained::{ExplainDocument, LineDocument, NameDocument, NamesDocument, TitleDocument};
use crate::report::lint::pages;
use crate::report::{self, explain, words};
use crate::syntax::{Code, nearest};
use std::path::Path;

/// Runs the command.
pub fn run(arguments: &Explain, out: &mut Out) -> Result<u8, Failure> {
    let name = super::files::harmless(&arguments.name);
    // the pages of remarks have to be at hand above all where the book is broken
    if matches!(name.as_str(), "lints" | "lint") {
        let rows: Vec<(String, String)> = codes().map(|c| (format!("{} {}", c.id, c.name), pages::summary(c).to_string())).collect();
        return say_list(&rows, arguments.json, out);
    }
    if let Some(code) = code(&name).filter(|c| c.id.eq_ignore_ascii_case(&name)) {
        return say_code(code, arguments.json, out);
    }
    let settings = Settings::find(Path::new("."), &Money::default())?;
    let rules = settings.rules_or(&arguments.rules.rules);
    let book = sound_book(rules, out)?;
    if let Some(code) = code(&name).filter(|_| explain::lines(&book, &name).is_none()) {
        return say_code(code, arguments.json, out);
    }
    if let Some(list) = list(&book, &name) {
        return say_list(&list, arguments.json, out);
    }
    if arguments.json {
        let lines = explain::lines(&book, &name).ok_or_else(|| unknown(&book, &name))?;
        let lines = lines.into_iter().map(|(lead, text)| LineDocument { lead, text }).collect();
        out.say(&report::json(&ExplainDocument::Name(NameDocument { schema: 1, name, lines })))?;
    } else {
        let page = explain::text(&book, &name, out.look, arguments.whole).ok_or_else(|| unknown(&book, &name))?;
        out.say(&page)?;
    }
    Ok(0)
}

/// The page of a remark.
fn say_code(code: Code, json: bool, out: &mut Out) -> Result<u8, Failure> {
    out.say(&if json { report::json(&ExplainDocument::Code(pages::document(code))) } else { pages::text(code, out.look) })?;
    Ok(0)
}

fn say_list(list: &[(String, String)], json: bool, out: &mut Out) -> Result<u8, Failure> {
    if json {
        let names = list.iter().map(|(name, title)| TitleDocument { name: name.clone(), title: title.clone() }).collect();
        out.say(&report::json(&ExplainDocument::Names(NamesDocument { schema: 1, names })))?;
    } else {
        let lines: Vec<String> =
            list.iter().map(|(name, title)| words::wrap(&format!("{name}: {title}"), out.look.width, "", "    ")).collect();
        out.say(&(lines.join("\n") + "\n"))?;
    }
    Ok(0)
}

/// The names of a kind with their titles; none where the word is no kind.
pub fn list(book: &Book, kind: &str) -> Option<Vec<(String, String)>> {
    let findings = |word: &str| {
        let rows = book.findings.iter().filter(|(_, f)| f.kind_word() == word);
        rows.map(|(_, f)| (f.name().to_string(), f.title().to_string())).collect()
    };
    let causes = |conditions: bool| {
        let rows = book.causes.iter().filter(|(_, c)| c.is_condition() == conditions);
        rows.map(|(_, c)| (c.name().to_string(), c.title().to_string())).collect()
    };
    let kind = kind.to_lowercase();
    Some(match kind.as_str() {
        "symptoms" | "symptom" => findings("symptom"),
        "codes" | "code" => findings("code"),
        "readings" | "reading" => findings("reading"),
        "signs" | "sign" => findings("sign"),
        "causes" | "cause" => causes(false),
        "conditions" | "condition" => causes(true),
        "checks" | "check" => rows(&book.checks),
        "fixes" | "fix" => rows(&book.fixes),
        "hazards" | "hazard" => rows(&book.hazards),
        "traits" | "trait" => rows(&book.traits),
        "tools" | "tool" => rows(&book.tools),
        "sources" | "source" => rows(&book.sources),
        "channels" | "channel" => rows(&book.channels),
        "aftercare" => rows(&book.aftercare),
        "access" => rows(&book.access),
        "scales" | "scale" => rows(&book.scales),
        _ => return None,
    })
}

fn rows<T: Headed>(table: &Table<T>) -> Vec<(String, String)> {
    table.iter().map(|(_, row)| (row.name().to_string(), row.title().to_string())).collect()
}

fn unknown(book: &Book, name: &str) -> Failure {
    let lists = "`faultbook explain causes` lists the causes; also conditions, symptoms, codes, readings, signs, checks, fixes, hazards, traits, tools, lints";
    let figure = |at: usize| name.as_bytes().get(at).is_some_and(u8::is_ascii_digit);
    if name.len() >= 4 && figure(1) && figure(2) {
        // meant as a code
        let help = typed_codes(name).err().map_or_else(|| "`faultbook explain codes` lists the codes of the book".into(), |no| no.help);
        return Failure::new(format!("`{name}` is no trouble code"), help);
    }
    if name.to_uppercase().strip_prefix("FB").is_some_and(|n| n.parse::<u32>().is_ok()) {
        return Failure::new(format!("no remark on rules has the code `{name}`"), "`faultbook explain lints` lists them all");
    }
    let all =
        book.findings.names().chain(book.causes.names()).chain(book.checks.names()).chain(book.fixes.names()).chain(book.hazards.names());
    let all = all.chain(book.traits.names()).chain(book.tools.names()).chain(book.access.names()).chain(book.aftercare.names());
    let near = nearest(name, all.chain(codes().map(|c| c.name))).map(|n| format!("did you mean `{n}`?"));
    let heard = || symptoms_like(book, name).map(|names| format!("did you mean the symptom {names}?"));
    Failure::new(format!("the book has nothing named `{name}`"), near.or_else(heard).unwrap_or_else(|| lists.into()))
}
