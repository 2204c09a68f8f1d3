//! What lints look at: the texts, and the book made of them with its links turned round.

use super::vehicles::Vehicles;
use crate::book::{Access, Book, Cause, Check, Finding, Fix, Hazard, Head, Headed, Id, Table, Tool};
use crate::syntax::{Block, Clause, Document, Keyword, Kind, Sources, Span, Value, Word};
use std::cell::OnceCell;
use std::collections::HashMap;

/// The texts of a book, layer over layer.
#[derive(Clone, Copy)]
pub struct Texts<'t> {
    /// The files.
    pub sources: &'t Sources,
    /// Their documents, the lowest layer first.
    pub layers: &'t [Vec<Document>],
    /// How many of the layers are somebody else's: they are read, but not remarked on.
    pub borrowed: usize,
}

impl<'t> Texts<'t> {
    /// The documents that may be remarked on.
    pub fn own(&self) -> impl Iterator<Item = &'t Document> + use<'t> {
        self.layers.iter().skip(self.borrowed).flatten()
    }

    /// Their blocks.
    pub fn own_blocks(&self) -> impl Iterator<Item = &'t Block> + use<'t> {
        self.own().flat_map(|d| &d.blocks)
    }
}

/// A sound book, ready to be looked at.
pub struct Subject<'b> {
    /// The texts it was made of.
    pub texts: Texts<'b>,
    /// The book.
    pub book: &'b Book,
    /// Which traits go together.
    pub vehicles: Vehicles<'b>,
    /// For each finding, who pushes it, and how.
    pub shown_by: Vec<Vec<(Id<Cause>, &'b [f64])>>,
    /// For each finding, the checks that reveal it.
    pub revealed_by: Vec<Vec<Id<Check>>>,
    /// For each cause, the fixes that cure it.
    pub cured_by: Vec<Vec<Id<Fix>>>,
    /// For each cause and condition, what brings it about.
    pub brought_by: Vec<Vec<Id<Cause>>>,
    blocks: OnceCell<HashMap<String, Vec<&'b Block>>>,
}

impl<'b> Subject<'b> {
    /// Turns the links of a book round.
    pub fn new(texts: Texts<'b>, book: &'b Book) -> Self {
        let mut shown_by = vec![vec![]; book.findings.len()];
        for (id, cause) in book.causes.iter() {
            for shows in cause.shows.iter().filter(|s| s.push.iter().any(|p| *p > 0.0)) {
                shown_by[shows.finding.index()].push((id, shows.push.as_slice()));
            }
        }
        let revealed_by = turned(&book.checks, book.findings.len(), |c| c.reveals.clone());
        let cured_by = turned(&book.fixes, book.causes.len(), |f| f.causes().collect());
        let brought_by = turned(&book.causes, book.causes.len(), |c| c.brings.iter().map(|(id, _)| *id).collect());
        Subject { texts, book, vehicles: Vehicles::new(book), shown_by, revealed_by, cured_by, brought_by, blocks: OnceCell::new() }
    }

    /// Whether some vehicle has both blocks.
    pub fn together(&self, one: &Head, other: &Head) -> bool {
        self.vehicles.together(&one.when, &other.when)
    }

    /// Whether some vehicle has the cause, and none of the fixes that cure it.
    pub fn uncured(&self, cause: Id<Cause>) -> bool {
        let head = &self.book.causes[cause].head;
        let mut fixes = self.cured_by[cause.index()].iter().map(|f| &self.book.fixes[*f].head);
        self.together(head, head) && !fixes.any(|f| self.together(f, head))
    }

    /// Who pushes a finding, and how.
    pub fn shown(&self, finding: Id<Finding>) -> &[(Id<Cause>, &'b [f64])] {
        &self.shown_by[finding.index()]
    }

    /// Every check, fix and aftercare step.
    pub fn actions(&self) -> Vec<Action<'b>> {
        let book = self.book;
        let checks = book.checks.iter().map(|(_, c)| Action { head: &c.head, access: &c.access, tools: &c.tools, hazards: &c.hazards });
        let fixes = book.fixes.iter().map(|(_, f)| Action { head: &f.head, access: &f.access, tools: &f.tools, hazards: &f.hazards });
        let aftercare = book.aftercare.iter().map(|(_, a)| Action { head: &a.head, access: &[], tools: &[], hazards: &a.hazards });
        checks.chain(fixes).chain(aftercare).collect()
    }

    /// Access steps with all they need first.
    pub fn opened(&self, access: &[Id<Access>]) -> Vec<Id<Access>> {
        let mut opened: Vec<Id<Access>> = Vec::new();
        let mut seen = vec![false; self.book.access.len()];
        let mut open = access.to_vec();
        while let Some(step) = open.pop() {
            if !std::mem::replace(&mut seen[step.index()], true) {
                opened.push(step);
                open.extend(&self.book.access[step].needs);
            }
        }
        opened
    }

    /// The clauses of that keyword in a block and its amendments, as they were written.
    pub fn clauses(&self, head: &Head, keyword: Keyword) -> impl Iterator<Item = &'b Clause> {
        let blocks = self.blocks.get_or_init(|| by_name(&self.texts));
        let own = blocks.get(&head.name).into_iter().flatten().copied();
        own.flat_map(|b| &b.clauses).filter(move |c| c.keyword.value == keyword)
    }

    /// Where a block names something after a keyword; where it does not, the place of the block.
    pub fn at(&self, head: &Head, keyword: Keyword, name: &str) -> Span {
        let words = self.clauses(head, keyword).flat_map(|c| words(&c.value));
        words.filter(|w| w.value.eq_ignore_ascii_case(name)).last().map_or(head.span, |w| w.span)
    }
}

fn turned<T, U>(table: &Table<T>, len: usize, names: impl Fn(&T) -> Vec<Id<U>>) -> Vec<Vec<Id<T>>> {
    let mut turned = vec![vec![]; len];
    for (id, row) in table.iter() {
        for name in names(row) {
            turned[name.index()].push(id);
        }
    }
    turned
}

fn by_name<'b>(texts: &Texts<'b>) -> HashMap<String, Vec<&'b Block>> {
    let mut blocks: HashMap<String, Vec<&Block>> = HashMap::new();
    for block in texts.layers.iter().flatten().flat_map(|d| &d.blocks) {
        blocks.entry(known_as(block)).or_default().push(block);
    }
    blocks
}

/// The name a block is known by: a code in capitals.
pub fn known_as(block: &Block) -> String {
    match block.kind.value {
        Kind::Code => block.name.value.to_uppercase(),
        _ => block.name.value.clone(),
    }
}

/// A text from where each of its words begins: what is looked for is held against these, and need not be sought letter by letter.
pub fn word_starts(text: &str) -> Vec<&str> {
    let mut within = false;
    let begins = |(at, letter): (usize, char)| {
        let begins = letter.is_alphanumeric() && !within;
        within = letter.is_alphanumeric();
        begins.then_some(at)
    };
    text.char_indices().filter_map(begins).map(|at| &text[at..]).collect()
}

/// Whether a text has the words, from the start of one of its own.
pub fn has_words(starts: &[&str], words: &str) -> bool {
    starts.iter().any(|rest| rest.starts_with(words))
}

/// The names and prose in a value, with their places.
pub fn words(value: &Value) -> Vec<&Word> {
    match value {
        Value::Texts(words) | Value::Names(words) => words.iter().collect(),
        Value::Pushes { finding, .. } => vec![finding],
        Value::Links(links) => links.iter().map(|(w, _)| w).collect(),
        Value::Cures(cures) => cures.iter().map(|(w, _)| w).collect(),
        Value::Proofs(proofs) => proofs.iter().map(|(w, _)| w).collect(),
        Value::Hazards { names, .. } => names.iter().collect(),
        Value::Band { name, .. } => vec![name],
        _ => vec![],
    }
}

/// What somebody does to a car, whatever its kind.
pub struct Action<'b> {
    /// Name and title.
    pub head: &'b Head,
    /// Access steps it needs.
    pub access: &'b [Id<Access>],
    /// Tools it needs.
    pub tools: &'b [Id<Tool>],
    /// Its own cautions.
    pub hazards: &'b [Id<Hazard>],
}

/// A block of a book, whatever its kind: the word of its kind and its head.
pub type Named<'b> = (&'static str, &'b Head);

/// Every block of a book but its scales.
pub fn heads(book: &Book) -> Vec<Named<'_>> {
    fn of<'b, T: Headed>(kind: &'static str, table: &'b Table<T>) -> impl Iterator<Item = Named<'b>> {
        table.iter().map(move |(_, row)| (kind, row.head()))
    }
    let mut all: Vec<Named> = book.findings.iter().map(|(_, f)| (f.kind_word(), &f.head)).collect();
    all.extend(of("source", &book.sources).chain(of("trait", &book.traits)).chain(of("hazard", &book.hazards)));
    all.extend(of("access", &book.access).chain(of("tool", &book.tools)).chain(of("channel", &book.channels)));
    all.extend(book.causes.iter().map(|(_, c)| (c.kind_word(), &c.head)));
    all.extend(of("check", &book.checks).chain(of("fix", &book.fixes)));
    all.extend(of("aftercare", &book.aftercare));
    all
}
