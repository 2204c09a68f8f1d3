//! What a remark is known by from one run to the next: never by its line, which moves with every line added above.

use super::allows::block_at;
use crate::syntax::{Document, FileId, Remark, Sources};
use sha2::{Digest, Sha256};
use std::collections::HashMap;

/// A fingerprint for each remark, in their order: of the code, the block, the message and the words of the line; the like ones
/// of one block are numbered.
pub fn fingerprints<'d>(remarks: &[Remark], sources: &Sources, documents: impl Iterator<Item = &'d Document>) -> Vec<String> {
    let documents: HashMap<FileId, &Document> = documents.map(|d| (d.file, d)).collect();
    let mut seen: HashMap<String, usize> = HashMap::new();
    let keys = remarks.iter().map(|remark| {
        let span = remark.span();
        let block = span.and_then(|s| block_at(&documents.get(&s.file)?.blocks, s));
        let block = block.map_or("", |b| b.name.value.as_str());
        let line = span.map_or(String::new(), |s| line(&sources.get(s.file).text, s.start as usize));
        format!("{}\n{block}\n{}\n{line}", remark.code.id, remark.message)
    });
    keys.map(|key| {
        let number = seen.entry(key.clone()).or_default();
        *number += 1;
        digest(&format!("{key}\n{number}"))
    })
    .collect()
}

/// The line that holds a byte, its white space counted as one.
fn line(text: &str, at: usize) -> String {
    let at = at.min(text.len());
    let (Some(before), Some(after)) = (text.get(..at), text.get(at..)) else { return String::new() };
    let start = before.rfind('\n').map_or(0, |n| n + 1);
    let end = after.find('\n').map_or(text.len(), |n| at + n);
    text[start..end].split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The first 16 bytes of a SHA-256, in hexadecimal.
fn digest(key: &str) -> String {
    Sha256::digest(key.as_bytes()).iter().take(16).map(|b| format!("{b:02x}")).collect()
}
