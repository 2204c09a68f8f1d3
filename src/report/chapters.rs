//! The whole book as pages in Markdown for a site: a page for each system and sort, what [`explain`](super::explain) says of every block
//! under a heading of its own, and every name a link to where it is told.

use super::explain::lines;
use super::job::escape;
use crate::book::{Book, Head, Headed, Table};
use std::collections::{BTreeMap, HashMap};

/// One page.
pub struct Chapter {
    /// Path from the folder of all pages, with `/`.
    pub path: String,
    /// Markdown (CommonMark with `{#name}` behind headings).
    pub text: String,
}

/// Stands on every page: none of them may be read without it.
const CAUTION: &str = "> **Caution.** The vehicle maker's data, local rules and licensed practice come first. The cautions here are the usual ones and \
not complete. High voltage, airbags, refrigerant and gas are for people trained and licensed for them. Removing or defeating emission or safety \
equipment is never a fix. Numbers and limits are starting values of this book.\n";

/// Where a block is told, and what it is called there.
struct Place<'b> {
    path: String,
    page: String,
    head: &'b Head,
}

/// All pages, by path; `index.md` begins, `names.md` has every name, `contents.md` lists the others as nested links.
pub fn pages(book: &Book) -> Vec<Chapter> {
    let places = places(book);
    let paths: HashMap<&str, &str> = places.iter().map(|p| (p.head.name.as_str(), p.path.as_str())).collect();
    let mut sections: BTreeMap<&str, (&str, Vec<String>)> = BTreeMap::new();
    for place in &places {
        let text = section(book, place, &paths);
        sections.entry(&place.path).or_insert((&place.page, vec![])).1.push(text);
    }
    let mut out: Vec<Chapter> = vec![index(book, &sections), contents(&sections), names(&places)];
    for (path, (page, parts)) in sections {
        out.push(Chapter { path: path.into(), text: format!("# {}\n\n{CAUTION}\n{}", escape(page), parts.join("\n")) });
    }
    out
}

fn places(book: &Book) -> Vec<Place<'_>> {
    let mut out = vec![];
    let causes = book.causes.iter().map(|(_, c)| ("causes", &c.head));
    let checks = book.checks.iter().map(|(_, c)| ("checks", &c.head));
    let fixes = book.fixes.iter().map(|(_, f)| ("fixes", &f.head));
    let findings = book.findings.iter().map(|(_, f)| (if f.kind_word() == "code" { "codes" } else { "findings" }, &f.head));
    for (sort, head) in causes.chain(checks).chain(fixes).chain(findings) {
        let group = if sort == "codes" { head.name.chars().take(3).collect() } else { book.system(head).to_string() };
        let group = if group.is_empty() { "Common".to_string() } else { group };
        let slug = group.to_lowercase().replace(' ', "-");
        let (path, page) = match sort {
            "codes" => (format!("codes/{slug}.md"), format!("Codes {group}…")),
            _ => (format!("{slug}/{sort}.md"), format!("{group}: {sort}")),
        };
        out.push(Place { path, page, head });
    }
    out.extend(table("dangers", &book.hazards));
    out.extend(table("aftercare", &book.aftercare));
    out.extend(table("access", &book.access));
    out.extend(table("tools", &book.tools));
    out.extend(table("traits", &book.traits));
    out.extend(table("channels", &book.channels));
    out.extend(table("sources", &book.sources));
    out.extend(table("scales", &book.scales));
    out.sort_by(|a, b| (&a.path, &a.head.name).cmp(&(&b.path, &b.head.name)));
    out
}

fn table<'b, T: Headed>(sort: &'b str, rows: &'b Table<T>) -> impl Iterator<Item = Place<'b>> {
    rows.iter().map(move |(_, row)| Place { path: format!("{sort}.md"), page: capital(sort), head: row.head() })
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

/// One block: its title as a heading, then its lines; several with one lead are a list below it.
fn section(book: &Book, place: &Place, paths: &HashMap<&str, &str>) -> String {
    let lines = lines(book, &place.head.name).unwrap_or_default();
    let title = lines.first().map_or(place.head.title.as_str(), |(_, title)| title);
    let mut out = format!("## {} {{#{}}}\n\n", escape(title), place.head.name);
    let mut at = 1;
    while let Some((lead, _)) = lines.get(at) {
        let rows: Vec<String> =
            lines[at..].iter().take_while(|(l, _)| l == lead).map(|(_, text)| row(book, place, lead, text, paths)).collect();
        at += rows.len();
        match (rows.as_slice(), lead.is_empty()) {
            (rows, true) => rows.iter().for_each(|r| out.push_str(&format!("{r}\n\n"))),
            ([one], false) => out.push_str(&format!("**{}:** {one}\n\n", escape(lead))),
            (rows, false) => {
                out.push_str(&format!("**{}:**\n\n", escape(lead)));
                rows.iter().for_each(|r| out.push_str(&format!("- {r}\n")));
                out.push('\n');
            }
        }
    }
    out
}

/// A line with its names as links. A danger says here too what to do: nobody should have to follow a link for that.
fn row(book: &Book, place: &Place, lead: &str, text: &str, paths: &HashMap<&str, &str>) -> String {
    let mut out = String::new();
    let mut rest = text;
    let mut does = String::new();
    while let Some((before, after)) = rest.split_once('(') {
        let Some((name, tail)) = after.split_once(')') else { break };
        match paths.get(name) {
            Some(path) => {
                out.push_str(&format!("{} ([{}]({}#{name}))", escape_part(before).trim_end(), escape(name), from(&place.path, path)));
                let hazard = book.hazards.find(name).filter(|_| matches!(lead, "caution" | "danger"));
                does.extend(hazard.map(|id| format!(": {}", escape(&book.hazards[id].does.join(" ")))));
                rest = tail;
            }
            None => {
                out.push_str(&format!("{}\\(", escape_part(before)));
                rest = after;
            }
        }
    }
    out.push_str(&escape_part(rest));
    out + &does
}

/// Part of a line: spaces at its ends stay.
fn escape_part(text: &str) -> String {
    let pad = |yes: bool| if yes { " " } else { "" };
    let blank = text.trim().is_empty();
    format!("{}{}{}", pad(text.starts_with(' ')), escape(text), pad(text.ends_with(' ') && !blank))
}

/// A link from one page to another, or within one.
fn from(page: &str, to: &str) -> String {
    match (page == to, page.contains('/')) {
        (true, _) => String::new(),
        (false, true) => format!("../{to}"),
        (false, false) => to.to_string(),
    }
}

type Sections<'s> = BTreeMap<&'s str, (&'s str, Vec<String>)>;

fn index(book: &Book, sections: &Sections) -> Chapter {
    let about = &book.about;
    let mut text = format!("# {}\n\n{CAUTION}\n{}\n\n", escape(&about.title), escape(&about.about));
    text.push_str(&format!(
        "Version {}, reviewed {}, kept by {}. SHA-256 of its texts: `{}`.\n\n",
        escape(&about.version),
        about.reviewed,
        escape(&about.keeper),
        about.digest
    ));
    let counts = [
        ("causes", book.causes.iter().count()),
        ("findings", book.findings.iter().count()),
        ("checks", book.checks.iter().count()),
        ("fixes", book.fixes.iter().count()),
        ("dangers", book.hazards.iter().count()),
    ];
    let counts: Vec<String> = counts.iter().map(|(word, n)| format!("{n} {word}")).collect();
    text.push_str(&format!(
        "{}. Made from the program by `faultbook provide book`; `faultbook explain NAME` tells the same at the car.\n\n",
        counts.join(", ")
    ));
    for (path, (page, parts)) in sections {
        text.push_str(&format!("- [{}]({path}) ({})\n", escape(page), parts.len()));
    }
    Chapter { path: "index.md".into(), text }
}

fn contents(sections: &Sections) -> Chapter {
    let mut text = String::new();
    let mut group = "";
    for (path, (page, _)) in sections.iter().filter(|(p, _)| !p.contains('/')).chain(sections.iter().filter(|(p, _)| p.contains('/'))) {
        let (folder, deep) = path.split_once('/').map_or(("", ""), |(folder, _)| (folder, "  "));
        let (system, sort) = page.split_once(": ").map_or(("Codes", *page), |(system, sort)| (system, sort));
        if folder != group {
            group = folder;
            text.push_str(&format!("- [{}]()\n", escape(system)));
        }
        text.push_str(&format!("{deep}- [{}]({path})\n", escape(&capital(sort))));
    }
    Chapter { path: "contents.md".into(), text }
}

/// Every name with its title and a link: one page to search where the others are too large for that.
fn names(places: &[Place]) -> Chapter {
    let mut sorted: Vec<&Place> = places.iter().collect();
    sorted.sort_by_key(|p| p.head.name.to_lowercase());
    let mut text = format!("# Names\n\n{CAUTION}");
    let mut group = String::new();
    for place in sorted {
        let (name, title) = (&place.head.name, escape(&place.head.title));
        let first: String = name.chars().take(1).collect::<String>().to_uppercase();
        if first != group {
            text.push_str(&format!("\n## {first} {{#names-{}}}\n\n", first.to_lowercase()));
            group = first;
        }
        text.push_str(&format!("- [{}]({}#{name}): {title}\n", escape(name), place.path));
    }
    Chapter { path: "names.md".into(), text }
}
