//! What the standards say of codes: whose range it is, and a neutral title in our own words, both from `rules/codes.toml`.
//!
//! The titles are made of component, place and kind of failure; the file's own comment tells how it reads. They are made out when the program is
//! built.

use super::dtc::Dtc;
use crate::shelf;
use indexmap::IndexMap;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::sync::OnceLock;

#[derive(Deserialize)]
struct File {
    range: Vec<Range>,
    family: Vec<Family>,
    places: IndexMap<String, Vec<String>>,
    kinds: IndexMap<String, Vec<String>>,
    title: IndexMap<String, String>,
}

#[derive(Deserialize)]
struct Range {
    codes: String,
    by: Definer,
    about: String,
}

/// Who gives a range of codes its meaning.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Definer {
    /// The standard: the same code means the same on every vehicle.
    Standard,
    /// The vehicle maker: the same code means different things.
    Maker,
    /// Nobody yet.
    Reserved,
}

#[derive(Deserialize)]
struct Family {
    codes: String,
    part: String,
    #[serde(default)]
    places: Names,
    #[serde(default)]
    kinds: Names,
}

/// A list of words, or the name of one.
#[derive(Deserialize)]
#[serde(untagged)]
enum Names {
    Of(String),
    List(Vec<String>),
}

impl Default for Names {
    fn default() -> Self {
        Names::List(vec![])
    }
}

/// The table, made out.
#[derive(Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Codes {
    ranges: Vec<(u16, u16, Definer, String)>,
    titles: BTreeMap<u16, String>,
}

/// The neutral title of a generic code; none where the table has none.
pub fn title(code: Dtc) -> Option<String> {
    codes().titles.get(&code.0).cloned()
}

/// Every code with a title, in order.
pub fn titled() -> Vec<Dtc> {
    codes().titles.keys().map(|c| Dtc(*c)).collect()
}

impl Dtc {
    /// Whose range the code is in; `Reserved` where the table knows no range.
    pub fn definer(self) -> Definer {
        range(self).map_or(Definer::Reserved, |r| r.2)
    }

    /// What can be said of a code that no rule knows: its field of work and who defines it.
    pub fn structure(self) -> String {
        let about = range(self).map_or_else(|| self.system(), |r| r.3.as_str());
        let who = match self.definer() {
            Definer::Standard => "generic",
            Definer::Maker => "defined by the vehicle maker: look it up in the maker's data",
            Definer::Reserved => "reserved by the standard: look it up in the maker's data",
        };
        format!("{about}, {who}")
    }
}

fn range(code: Dtc) -> Option<&'static (u16, u16, Definer, String)> {
    codes().ranges.iter().find(|(from, to, ..)| (*from..=*to).contains(&code.0))
}

fn codes() -> &'static Codes {
    static CODES: OnceLock<Codes> = OnceLock::new();
    CODES.get_or_init(|| shelf::image("codes").and_then(|bytes| postcard::from_bytes(bytes).ok()).unwrap_or_else(made_out))
}

/// The table made out of its text. The file is part of the program, and a test reads it; were it broken, codes would only lose their titles.
pub fn made_out() -> Codes {
    shelf::text("codes.toml").and_then(|t| toml::from_str::<File>(t).ok()).map(expand).unwrap_or_default()
}

fn expand(file: File) -> Codes {
    let ranges = file.range.iter().filter_map(|r| {
        let (from, to) = ends(&r.codes)?;
        Some((from.0, to.0, r.by, r.about.clone()))
    });
    let mut titles = BTreeMap::new();
    for family in &file.family {
        let places = list(&family.places, &file.places);
        let kinds = list(&family.kinds, &file.kinds);
        let pairs = places.iter().flat_map(|p| kinds.iter().map(move |k| (p, k)));
        for (code, (place, kind)) in runs(&family.codes).into_iter().zip(pairs) {
            let part = family.part.replace("{}", place);
            let title = if kind.is_empty() { part } else { format!("{part}: {kind}") };
            titles.insert(code.0, title);
        }
    }
    titles.extend(file.title.iter().filter_map(|(code, title)| Some((Dtc::parse(code).ok()?.0, title.clone()))));
    Codes { ranges: ranges.collect(), titles }
}

/// The words of a list; one empty word where it is left out.
fn list(names: &Names, known: &IndexMap<String, Vec<String>>) -> Vec<String> {
    let words = match names {
        Names::Of(name) => known.get(name).cloned().unwrap_or_default(),
        Names::List(words) => words.clone(),
    };
    if words.is_empty() { vec![String::new()] } else { words }
}

/// Every code of `P0180-P0189 P2065`: counted in decimal where both ends are decimal digits, else in hexadecimal.
fn runs(text: &str) -> Vec<Dtc> {
    let mut out = Vec::new();
    for run in text.split_whitespace() {
        let Some((from, to)) = ends(run) else { continue };
        let decimal = run.split('-').all(|code| code.bytes().skip(1).all(|b| b.is_ascii_digit()));
        let fits = |c: &u16| !decimal || format!("{c:03X}").bytes().skip(1).all(|b| b.is_ascii_digit());
        out.extend((from.0..=to.0).filter(fits).map(Dtc));
    }
    out
}

fn ends(run: &str) -> Option<(Dtc, Dtc)> {
    let (from, to) = run.split_once('-').unwrap_or((run, run));
    Some((Dtc::parse(from).ok()?, Dtc::parse(to).ok()?))
}
