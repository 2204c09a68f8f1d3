//! Blocks -> text in the one canonical layout.
//!
//! Every name, number and piece of prose is taken as it was written; only the white space between them, the brackets that
//! mean nothing and the order of nothing at all are this room's to choose. It never repairs a text: one that can't be read
//! is given back as its remarks.

mod layout;
mod proof;
mod words;

use super::parse::parse;
use super::remark::Remark;
use super::span::FileId;

/// Why a text was not laid out.
#[derive(Debug, Clone, PartialEq)]
pub enum Unformatted {
    /// It can't be read; the remarks say why.
    Broken(Vec<Remark>),
    /// The new layout would not read the same: a mistake of this program, so the text is better left alone.
    Unproven,
}

/// The text in the canonical layout, proved on the spot: it reads the same, and laying it out again changes nothing.
///
/// # Errors
/// [`Unformatted::Broken`] where the text can't be read, [`Unformatted::Unproven`] where the proof fails.
pub fn format(file: FileId, text: &str) -> Result<String, Unformatted> {
    let (document, remarks) = parse(file, text);
    if !remarks.is_empty() {
        return Err(Unformatted::Broken(remarks));
    }
    let laid = layout::text(&document, text);
    let (again, remarks) = parse(file, &laid);
    let proven = remarks.is_empty() && proof::same(document, text, again.clone(), &laid) && layout::text(&again, &laid) == laid;
    if proven { Ok(laid) } else { Err(Unformatted::Unproven) }
}
