//! Layers of files -> one list of blocks: a workshop's amendments are worked into the blocks they change.

use super::codes::*;
use super::dtc::Dtc;
use super::stack;
use crate::syntax::{Block, Clause, Document, Keyword, Kind, Push, Remark, Spanned, Value, Word, nearest};
use foldhash::fast::RandomState;
use indexmap::IndexMap;
use std::borrow::Cow;

/// Blocks by the names they are known by, in order.
type Blocks<'d> = IndexMap<String, Cow<'d, Block>, RandomState>;

/// Lays the layers over one another, the first at the bottom.
pub fn merge<'d>(layers: &'d [Vec<Document>], remarks: &mut Vec<Remark>) -> Vec<Cow<'d, Block>> {
    let mut blocks = Blocks::default();
    for layer in layers {
        let (amendments, own): (Vec<_>, Vec<_>) = layer.iter().flat_map(|d| &d.blocks).partition(|b| b.amends);
        for block in own {
            add(&mut blocks, block, remarks);
        }
        for amendment in amendments {
            amend(&mut blocks, amendment, remarks);
        }
    }
    blocks.into_values().collect()
}

/// The name a block is known by: a code in capitals, so that `p0299` is no second one; the `book` block of each layer is its own.
fn key(block: &Block) -> String {
    match block.kind.value {
        Kind::Code => Dtc::parse(&block.name.value).map_or(block.name.value.clone(), |c| c.to_string()),
        Kind::Book => format!("book {}", block.name.value),
        _ => block.name.value.clone(),
    }
}

fn add<'d>(blocks: &mut Blocks<'d>, block: &'d Block, remarks: &mut Vec<Remark>) {
    let key = key(block);
    if let Some(first) = blocks.get(&key) {
        remarks.push(
            Remark::new(NAME_TWICE, format!("`{}` is the name of two blocks", block.name.value), block.name.span, "again here")
                .and(first.name.span, "first here")
                .help(format!("give one another name, or change the first with `amend {} {}`", first.kind.value, first.name.value)),
        );
        return;
    }
    blocks.insert(key, Cow::Borrowed(block));
}

fn amend(blocks: &mut Blocks, amendment: &Block, remarks: &mut Vec<Remark>) {
    let key = key(amendment);
    let kind = amendment.kind.value;
    if kind == Kind::Code && !blocks.contains_key(&key) {
        blocks.insert(key, Cow::Owned(Block { amends: false, ..amendment.clone() }));
        return;
    }
    match blocks.get_mut(&key) {
        Some(block) if block.kind.value == kind => apply(block.to_mut(), amendment, remarks),
        found => {
            let message = match found {
                Some(other) => format!("`{}` is {}, not {}", amendment.name.value, other.kind.value.one(), kind.one()),
                None => format!("there is no `{kind}` named `{}` to amend", amendment.name.value),
            };
            let near = nearest(&key, blocks.keys().map(String::as_str));
            let left_out = stack::left_out(blocks.values().map(|b| &**b), &key);
            remarks.push(
                Remark::new(NOTHING_TO_AMEND, message, amendment.name.span, "this names no block of the books below")
                    .help(left_out.unwrap_or_else(|| "amend a block by its kind and name, or write it as a new block".into()))
                    .suggest(near),
            );
        }
    }
}

fn apply(block: &mut Block, amendment: &Block, remarks: &mut Vec<Remark>) {
    if let Some(title) = &amendment.title {
        block.title = Some(title.clone());
    }
    block.broken |= amendment.broken;
    for clause in &amendment.clauses {
        match &clause.value {
            Value::Drop { keyword, words } => drop_clause(block, clause, keyword, words, remarks),
            _ => replace(block, clause),
        }
    }
}

/// Puts a clause in the place of the one it replaces: the one of its keyword where that stands once, else of the same key.
fn replace(block: &mut Block, clause: &Clause) {
    let keyword = clause.keyword.value;
    match &clause.value {
        Value::Pushes { finding, pushes } => {
            for push in pushes {
                remove_push(block, &finding.value, push.state.as_ref().map(|s| s.value.as_str()));
            }
        }
        Value::Links(links) => links.iter().for_each(|(name, _)| {
            remove_link(block, &name.value);
        }),
        Value::Cures(cures) => cures.iter().for_each(|(name, _)| remove_cure(block, &name.value)),
        Value::Band { name, .. } => return replace_band(block, &name.value, clause),
        Value::ScaleWord { word, .. } => {
            block.clauses.retain(|c| !matches!(&c.value, Value::ScaleWord { word: w, .. } if w.value == word.value))
        }
        Value::Strays(pushes) if pushes.iter().all(|p| p.state.is_some()) => return replace_strays(block, pushes, clause),
        Value::Strays(_) => block.clauses.retain(|c| c.keyword.value != keyword),
        _ if matches!(keyword, Keyword::Lasting | Keyword::Passing) => {
            block.clauses.retain(|c| !matches!(c.keyword.value, Keyword::Lasting | Keyword::Passing))
        }
        _ if !keyword.repeats() => block.clauses.retain(|c| c.keyword.value != keyword),
        _ if matches!(keyword, Keyword::States) => block.clauses.retain(|c| c.keyword.value != keyword),
        _ => {}
    }
    block.clauses.push(clause.clone());
}

/// The order of the bands says which is the normal one and which outranks which: a band that is stated anew keeps its place.
fn replace_band(block: &mut Block, name: &str, clause: &Clause) {
    let same = |c: &Clause| matches!(&c.value, Value::Band { name: n, .. } if n.value == name);
    let place = block.clauses.iter().position(same).unwrap_or(block.clauses.len());
    block.clauses.retain(|c| !same(c));
    block.clauses.insert(place, clause.clone());
}

/// States that are named get their new chance, and the others keep theirs: that of the block below, or where it gives none, the book's own.
fn replace_strays(block: &mut Block, pushes: &[Push], clause: &Clause) {
    let state = |p: &Push| p.state.as_ref().map(|s| s.value.clone());
    let Some(below) = block.clauses.iter_mut().find(|c| c.keyword.value == clause.keyword.value) else {
        block.clauses.push(clause.clone());
        return;
    };
    let Value::Strays(kept) = &mut below.value else { return };
    kept.retain(|old| old.state.is_none() || !pushes.iter().any(|new| state(new) == state(old)));
    below.amends |= kept.iter().any(|p| p.state.is_none());
    kept.extend_from_slice(pushes);
    (below.keyword, below.span) = (clause.keyword.clone(), clause.span);
}

fn remove_push(block: &mut Block, finding: &str, state: Option<&str>) -> bool {
    let mut removed = false;
    for clause in &mut block.clauses {
        if let Value::Pushes { finding: f, pushes } = &mut clause.value
            && f.value == finding
        {
            let before = pushes.len();
            pushes.retain(|p| state.is_some() && p.state.as_ref().map(|s| s.value.as_str()) != state);
            removed |= pushes.len() < before;
        }
    }
    block.clauses.retain(|c| !matches!(&c.value, Value::Pushes { pushes, .. } if pushes.is_empty()));
    removed
}

fn remove_link(block: &mut Block, name: &str) -> bool {
    let mut removed = false;
    for clause in &mut block.clauses {
        if let Value::Links(links) = &mut clause.value {
            let before = links.len();
            links.retain(|(n, _)| n.value != name);
            removed |= links.len() < before;
        }
    }
    block.clauses.retain(|c| !matches!(&c.value, Value::Links(links) if links.is_empty()));
    removed
}

fn remove_cure(block: &mut Block, name: &str) {
    for clause in &mut block.clauses {
        if let Value::Cures(cures) = &mut clause.value {
            cures.retain(|(n, _)| n.value != name);
        }
    }
    block.clauses.retain(|c| !matches!(&c.value, Value::Cures(cures) if cures.is_empty()));
}

fn drop_clause(block: &mut Block, clause: &Clause, keyword: &Word, words: &[Word], remarks: &mut Vec<Remark>) {
    let text: Vec<&str> = words.iter().map(|w| w.value.as_str()).collect();
    let removed = match (Keyword::from_word(&keyword.value), text.as_slice()) {
        (Some(Keyword::Shows), [finding]) => remove_push(block, finding, None),
        (Some(Keyword::Shows), [finding, states @ ..]) => states.iter().filter(|s| remove_push(block, finding, Some(s))).count() > 0,
        (Some(Keyword::Brings), names) if !names.is_empty() => names.iter().filter(|n| remove_link(block, n)).count() > 0,
        (Some(wanted), words) => remove_plain(block, wanted, words),
        (None, _) => remove_plain(block, Keyword::Word, &[keyword.value.as_str()]),
    };
    if !removed {
        remarks.push(
            Remark::new(
                NOTHING_TO_DROP,
                format!("`{}` has no such clause to drop", block.name.value),
                clause.span,
                "nothing below matches this",
            )
            .help("name the clause as it stands in the block: `drop shows FINDING STATE`, `drop brings CAUSE`, `drop prior`"),
        );
    }
}

/// Takes words out of list clauses, or the whole clause where no word is given.
fn remove_plain(block: &mut Block, keyword: Keyword, words: &[&str]) -> bool {
    let mut removed = false;
    let hit = |w: &Word| words.contains(&w.value.as_str());
    block.clauses.retain_mut(|clause| {
        if clause.keyword.value != keyword {
            return true;
        }
        let whole = words.is_empty();
        let keep = match &mut clause.value {
            Value::Names(list) | Value::Texts(list) | Value::Hazards { names: list, .. } if !whole => thin(list, |w| hit(w), &mut removed),
            Value::Cures(list) if !whole => thin(list, |(w, _)| hit(w), &mut removed),
            Value::Strays(list) if !whole => thin(list, |p| p.state.as_ref().is_some_and(&hit), &mut removed),
            Value::Proofs(list) if !whole => thin(list, |(w, _)| hit(w), &mut removed),
            Value::Band { name, .. } | Value::ScaleWord { word: name, .. } | Value::Allow { code: name, .. } if !whole => !hit(name),
            _ => false,
        };
        removed |= !keep;
        keep
    });
    removed
}

/// Takes the hits out of a list; whether anything is left in it.
fn thin<T>(list: &mut Vec<T>, hit: impl Fn(&T) -> bool, removed: &mut bool) -> bool {
    let before = list.len();
    list.retain(|w| !hit(w));
    *removed |= list.len() < before;
    !list.is_empty()
}

/// A word as the tree holds it, for a code that only other blocks name.
pub fn implied_code(name: &Word) -> Block {
    Block {
        kind: Spanned::new(Kind::Code, name.span),
        amends: false,
        name: name.clone(),
        title: None,
        clauses: vec![],
        leading: vec![],
        trailing: None,
        broken: false,
        span: name.span,
    }
}
