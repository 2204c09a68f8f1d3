//! How much is let in at the door. Each limit is far above what any workshop writes, and refused with its number; docs/reliability.md lists all.

/// Bytes of one text: a sheet, a rule file, settings, a case, answers, standard input.
pub const TEXT: u64 = 16 << 20;
/// Bytes of one log. A log is read as a stream; this is what takes a quarter of an hour.
pub const LOG: u64 = 16 << 30;
/// Rule files and cases of one folder, with all below it.
pub const FILES: usize = 10_000;
/// Folders within folders.
pub const DEPTH: usize = 32;
/// Characters of the customer's words.
pub const WORDS: usize = 20_000;
/// Characters of one answer.
pub const ANSWER: usize = 10_000;
/// Trouble codes of one sheet.
pub const CODES: usize = 10_000;
