//! `allow CODE because "…"`: which remarks somebody has looked at and accepted.
//!
//! An `allow` in a block holds for that block and its amendments; one in a `book` block holds for the whole layer.

use super::fix::take_out;
use super::{Texts, can_be_allowed, code};
use crate::syntax::{Block, Clause, Code, Edit, FileId, Kind, Remark, Span, Value};
use std::collections::{HashMap, HashSet};

/// An `allow` clause that kept no remark back.
pub struct Idle {
    /// The code as it was written.
    pub word: String,
    /// Where the code stands.
    pub at: Span,
    /// Whether it names an error of the language, which nobody can allow.
    pub error: bool,
    /// What takes the clause out.
    pub removal: Edit,
}

/// An `allow` clause and where it holds.
struct Allow<'t> {
    clause: &'t Clause,
    code: Code,
    /// The name of the block; none for a whole layer.
    block: Option<&'t str>,
    layer: usize,
}

/// Takes out what is allowed; gives the rest, and the clauses of a code in `asked` that kept nothing back.
pub fn sift(texts: &Texts, found: Vec<Remark>, asked: &[Code]) -> (Vec<Remark>, Vec<Idle>) {
    let allows = collect(texts);
    if allows.is_empty() {
        return (found, vec![]);
    }
    let places = Places::of(texts);
    let mut used: HashSet<Span> = HashSet::new();
    let kept = found.into_iter().filter(|remark| {
        let covering: Vec<Span> = allows.iter().filter(|a| covers(a, remark, &places)).map(|a| a.clause.span).collect();
        used.extend(&covering);
        covering.is_empty()
    });
    let kept = kept.collect();
    let idle = allows.iter().filter(|a| !used.contains(&a.clause.span) && (asked.contains(&a.code) || !can_be_allowed(a.code)));
    (kept, idle.filter_map(|a| idle_clause(texts, a)).collect())
}

fn idle_clause(texts: &Texts, allow: &Allow) -> Option<Idle> {
    let Value::Allow { code, .. } = &allow.clause.value else { return None };
    let removal = take_out(texts.sources, allow.clause);
    Some(Idle { word: code.value.clone(), at: code.span, error: !can_be_allowed(allow.code), removal })
}

fn collect<'t>(texts: &Texts<'t>) -> Vec<Allow<'t>> {
    let mut allows = Vec::new();
    for (layer, documents) in texts.layers.iter().enumerate().skip(texts.borrowed) {
        for block in documents.iter().flat_map(|d| &d.blocks) {
            let whole = block.kind.value == Kind::Book;
            for clause in &block.clauses {
                let Value::Allow { code: word, .. } = &clause.value else { continue };
                if let Some(code) = code(&word.value) {
                    allows.push(Allow { clause, code, block: (!whole).then_some(block.name.value.as_str()), layer });
                }
            }
        }
    }
    allows
}

fn covers(allow: &Allow, remark: &Remark, places: &Places) -> bool {
    let Some(span) = remark.span().filter(|_| remark.code == allow.code) else { return false };
    match allow.block {
        Some(name) => places.block(span).is_some_and(|b| b.name.value == name),
        None => places.layers.get(&span.file) == Some(&allow.layer),
    }
}

/// Which block and which layer a place is in.
struct Places<'t> {
    blocks: HashMap<FileId, &'t [Block]>,
    layers: HashMap<FileId, usize>,
}

impl<'t> Places<'t> {
    fn of(texts: &Texts<'t>) -> Self {
        let documents = || texts.layers.iter().enumerate().flat_map(|(layer, ds)| ds.iter().map(move |d| (layer, d)));
        Places {
            blocks: documents().map(|(_, d)| (d.file, d.blocks.as_slice())).collect(),
            layers: documents().map(|(layer, d)| (d.file, layer)).collect(),
        }
    }

    fn block(&self, span: Span) -> Option<&'t Block> {
        block_at(self.blocks.get(&span.file)?, span)
    }
}

/// The block that a place belongs to: the last that starts at it or before.
pub fn block_at(blocks: &[Block], span: Span) -> Option<&Block> {
    let after = blocks.partition_point(|b| b.span.start <= span.start);
    blocks.get(after.checked_sub(1)?)
}
