//! Documents, layer over layer -> the checked book, or the remarks that say why not.

use super::codes::*;
use super::layers::{implied_code, merge};
use super::names::{Names, canonical, code_name};
use super::table::Table;
use super::types::*;
use super::{build, clauses, findings, graphs, stack};
use crate::syntax::{Block, Document, Keyword, Kind, Remark, Severity, Sources, Span, Value};
use foldhash::{HashMap, HashSet};
use sha2::{Digest, Sha256};
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// Makes one book of layers of documents, the first at the bottom. There is a book where no remark is an error.
pub fn read(sources: &Sources, layers: &[Vec<Document>]) -> (Option<Book>, Vec<Remark>) {
    let mut remarks = stack::check(layers);
    let mut blocks = merge(layers, &mut remarks);
    let shared = shared(&blocks);
    blocks.splice(0..0, shared);
    let implied = implied_codes(&blocks);
    blocks.extend(implied);
    let blocks: Vec<&Block> = blocks.iter().map(|b| &**b).collect();
    let mut names = Names::new(&blocks, remarks);
    let mut book = assemble(&mut names, &blocks, digest(sources));
    if let Some(book) = &mut book {
        book.about.systems = systems(sources);
    }
    let mut remarks = names.remarks;
    if let Some(book) = &book {
        remarks.extend(graphs::loops(book));
        remarks.extend(never_there(book));
    }
    let sound = !remarks.iter().any(|r| r.severity == Severity::Error);
    spare_broken(&blocks, &mut remarks);
    (book.filter(|_| sound), remarks)
}

/// What seems to be missing from a block with a line that can't be read may stand in that line, which has its own remark; and a
/// cause with an odd prior is not one without.
fn spare_broken(blocks: &[&Block], remarks: &mut Vec<Remark>) {
    let places: BTreeMap<Span, &Block> = blocks.iter().map(|b| (Span { end: 0, ..b.span }, *b)).collect();
    let around = |r: &Remark| {
        let span = r.span()?;
        let (_, block) = places.range(..=span).next_back()?;
        (block.span.file == span.file && span.start <= block.reach().end).then_some(*block)
    };
    // a clause may have come from an amendment in another file
    let said: BTreeSet<Span> = remarks.iter().filter(|r| r.code != NEVER_THERE).filter_map(Remark::span).collect();
    let within = |of: Span| said.range(Span { end: 0, ..of }..Span { start: of.end, ..of }).next().is_some();
    let faulty = |b: &Block| b.clauses.iter().any(|c| within(c.span));
    remarks.retain(|r| match (r.code, around(r)) {
        (CLAUSE_MISSING | BAND_GAP, Some(block)) => !block.broken,
        (NEVER_THERE, Some(block)) => !block.broken && !faulty(block),
        _ => true,
    });
}

/// A book without a scale of its own uses those of the book that ships, and any book may name its sources.
fn shared<'d>(blocks: &[Cow<'d, Block>]) -> Vec<Cow<'d, Block>> {
    let own: HashSet<&str> = blocks.iter().map(|b| b.name.value.as_str()).collect();
    let scaled = blocks.iter().any(|b| b.kind.value == Kind::Scale);
    let named: HashSet<&str> = blocks.iter().flat_map(|b| clauses::names(b, Keyword::Source)).map(|w| w.value.as_str()).collect();
    let mut wanted = Vec::new();
    let common = super::shipped::common();
    for block in common.iter().flat_map(|d| &d.blocks) {
        let name = block.name.value.as_str();
        let fits = match block.kind.value {
            Kind::Scale => !scaled,
            Kind::Source => named.contains(name),
            _ => false,
        };
        if fits && !own.contains(name) {
            wanted.push(block);
        }
    }
    let missing: Vec<&Block> = wanted
        .iter()
        .flat_map(|b| clauses::names(b, Keyword::Source))
        .filter(|w| !own.contains(w.value.as_str()) && !wanted.iter().any(|b| b.name.value == w.value))
        .filter_map(|w| common.iter().flat_map(|d| &d.blocks).find(|b| b.name.value == w.value))
        .collect();
    let mut seen = HashSet::default();
    wanted.extend(missing.into_iter().filter(|b| seen.insert(b.name.value.as_str())));
    wanted.into_iter().map(|b| Cow::Owned(b.clone())).collect()
}

/// A code that a cause shows or a check reveals needs no block of its own.
fn implied_codes<'d>(blocks: &[Cow<'d, Block>]) -> Vec<Cow<'d, Block>> {
    let mut known: HashSet<String> = blocks.iter().map(|b| canonical(b)).collect();
    let mut implied = Vec::new();
    for clause in blocks.iter().flat_map(|b| &b.clauses) {
        let words = match (&clause.keyword.value, &clause.value) {
            (Keyword::Shows, Value::Pushes { finding, .. }) => vec![finding],
            (Keyword::Reveals, Value::Names(list)) => list.iter().collect(),
            (Keyword::Proof, Value::Proofs(list)) => list.iter().map(|(w, _)| w).collect(),
            _ => continue,
        };
        for word in words {
            if let Some(code) = code_name(&word.value)
                && known.insert(code)
            {
                implied.push(Cow::Owned(implied_code(word)));
            }
        }
    }
    implied
}

fn digest(sources: &Sources) -> String {
    let mut hash = Sha256::new();
    for (_, source) in sources.iter() {
        hash.update((source.text.len() as u64).to_le_bytes());
        hash.update(source.text.as_bytes());
    }
    hash.finalize().iter().map(|b| format!("{b:02x}")).collect()
}

/// What each file is about, in words: its folder where that is one of several, else its own name.
fn systems(sources: &Sources) -> Vec<String> {
    let folder = |name: &str| Path::new(name).parent().map(Path::to_path_buf).unwrap_or_default();
    let folders: BTreeSet<PathBuf> = sources.iter().map(|(_, s)| folder(&s.name)).collect();
    let mut beside: HashMap<Option<&Path>, usize> = HashMap::default();
    folders.iter().for_each(|f| *beside.entry(f.parent()).or_default() += 1);
    let one_of_several = |own: &Path| beside.get(&own.parent()).is_some_and(|folders| *folders > 1);
    let words = |path: &Path| {
        let name = path.file_stem().map_or(String::new(), |n| n.to_string_lossy().replace('-', " "));
        let mut letters = name.chars();
        letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
    };
    let system = |name: &str| {
        let own = folder(name);
        words(if one_of_several(&own) { &own } else { Path::new(name) })
    };
    sources.iter().map(|(_, s)| system(&s.name)).collect()
}

/// The book, where every block could be made; the tables keep the numbers that the names were given.
fn assemble(names: &mut Names, blocks: &[&Block], digest: String) -> Option<Book> {
    let of = |kind: Kind| blocks.iter().copied().filter(move |b| b.kind.value == kind);
    let mut scales = Table::default();
    for block in of(Kind::Scale) {
        let head = names.head(block);
        let (words, at) = names.learn(block);
        scales.push(Scale { head, words, at });
    }
    let (about, stray) = about(names, blocks, digest);
    let channels = fill(of(Kind::Channel), |b| build::channel(names, b));
    let before = names.remarks.len();
    let mut table = Table::default();
    for block in blocks.iter().copied().filter(|b| b.kind.value.is_finding()) {
        if let Some(finding) = findings::finding(names, block, stray, &channels) {
            table.push(finding);
        }
    }
    // numbers are only right while no finding was left out
    let whole = table.len() == blocks.iter().filter(|b| b.kind.value.is_finding()).count();
    if !whole && names.remarks.len() == before {
        return None;
    }
    let findings_for_links = if whole { table } else { stand_ins(names, blocks, stray, &channels) };
    let book = Book {
        about,
        scales,
        sources: fill(of(Kind::Source), |b| build::source(names, b)),
        traits: fill(of(Kind::Trait), |b| build::vehicle_trait(names, b)),
        hazards: fill(of(Kind::Hazard), |b| build::hazard(names, b)),
        access: fill(of(Kind::Access), |b| build::access(names, b)),
        tools: fill(of(Kind::Tool), |b| build::tool(names, b)),
        channels,
        causes: fill(blocks.iter().copied().filter(|b| b.kind.value.acts()), |b| build::cause(names, b, &findings_for_links)),
        checks: fill(of(Kind::Check), |b| build::check(names, b)),
        fixes: fill(of(Kind::Fix), |b| build::fix(names, b, &findings_for_links)),
        aftercare: fill(of(Kind::Aftercare), |b| build::aftercare(names, b)),
        findings: findings_for_links,
    };
    Some(book)
}

/// Where a finding's block is broken, its neighbours are still checked: it stands in with two states, and its remarks are kept once.
fn stand_ins(names: &mut Names, blocks: &[&Block], stray: f64, channels: &Table<Channel>) -> Table<Finding> {
    let kept = names.remarks.len();
    let mut table = Table::default();
    for block in blocks.iter().copied().filter(|b| b.kind.value.is_finding()) {
        let made = findings::finding(names, block, stray, channels);
        let head = names.head(block);
        let kind = FindingKind::Sign { ask: None, past: false };
        let states = clauses::every(block, Keyword::Band)
            .filter_map(|c| if let Value::Band { name, .. } = &c.value { Some(name.value.clone()) } else { None });
        let mut states: Vec<String> = states.collect();
        while states.len() < 2 {
            states.push(["normal", "present"][states.len()].into());
        }
        table.push(made.unwrap_or(Finding { head, kind, stray: vec![0.0; states.len() - 1], states, hazards: vec![], lasting: false }));
    }
    names.remarks.truncate(kept);
    table
}

fn fill<'b, T: Headed>(blocks: impl Iterator<Item = &'b Block>, mut make: impl FnMut(&'b Block) -> T) -> Table<T> {
    let mut table = Table::default();
    for block in blocks {
        table.push(make(block));
    }
    table
}

/// What the topmost `book` block says, and the stray for findings that give none.
fn about(names: &mut Names, blocks: &[&Block], digest: String) -> (About, f64) {
    let mut about = About { digest, ..About::default() };
    let mut stray = 0.0;
    for block in blocks.iter().filter(|b| b.kind.value == Kind::Book) {
        let said = |keyword| clauses::text(block, keyword).unwrap_or_default();
        about.name = block.name.value.clone();
        about.title = block.title.as_ref().map_or(String::new(), |t| t.value.clone());
        about.version = said(Keyword::Version);
        about.reviewed = said(Keyword::Reviewed);
        about.keeper = said(Keyword::Keeper);
        about.about = said(Keyword::About);
        about.over = clauses::names(block, Keyword::Over).first().map(|w| w.value.clone());
        if let Some(edition) = clauses::number(block, Keyword::Edition)
            && (edition.value - 1.0).abs() > f64::EPSILON
        {
            let message = format!("edition {} of the language is not known here", edition.value);
            names.remark(
                UNKNOWN_EDITION,
                message,
                edition.span,
                "this program reads edition 1",
                "write `edition 1`, or use a newer program",
            );
        }
        if let Some(Value::Strays(pushes)) = clauses::one(block, Keyword::Stray).map(|c| &c.value)
            && let Some(push) = pushes.first()
        {
            stray = names.chance(&push.chance, Keyword::Stray).unwrap_or(0.0);
        }
    }
    (about, stray)
}

/// A cause that can never be there. A condition that nothing brings about yet is a lint's matter: a book laid over this one may hold its causes.
fn never_there(book: &Book) -> Vec<Remark> {
    let brought: HashSet<usize> = book.causes.iter().flat_map(|(_, c)| &c.brings).map(|(id, _)| id.index()).collect();
    book.causes
        .iter()
        .filter(|(id, c)| !c.is_condition() && c.prior <= 0.0 && !brought.contains(&id.index()))
        .map(|(_, c)| {
            let message = format!("`{}` can never be there", c.head.name);
            Remark::new(NEVER_THERE, message, c.head.span, "it has no prior, and nothing brings it about")
                .help("write how common it is: `prior common`")
        })
        .collect()
}
