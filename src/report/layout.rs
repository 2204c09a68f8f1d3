//! What `fmt` did or would do, file by file.

use schemars::JsonSchema;
use serde::Serialize;
use similar::TextDiff;

/// `fmt --json`.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LayoutDocument {
    /// Version of this shape.
    pub schema: u32,
    /// Every file, in the order it was read.
    pub files: Vec<LaidFile>,
}

/// One file.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct LaidFile {
    /// Its path.
    pub file: String,
    /// What became of it.
    pub outcome: Outcome,
    /// The difference as a unified diff, where there is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub difference: Option<String>,
    /// Why it was left alone, where it was.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
}

/// What became of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// It was laid out so already.
    Same,
    /// It was, or with `--check` would be, laid out anew.
    Changed,
    /// It can't be laid out, and was left alone.
    LeftAlone,
}

/// Lines of a file whose difference is worked out line by line. It takes the square of them where all differ.
const LINES: usize = 5000;

/// The lines in which two texts differ, with three lines around them, as a unified diff; for a very long file only how many there are.
pub fn difference(name: &str, old: &str, new: &str) -> String {
    let lines = old.lines().count().max(new.lines().count());
    if lines > LINES {
        let same = old.lines().zip(new.lines()).take_while(|(one, other)| one == other).count();
        return format!("the first difference is in line {}; all are shown up to {LINES} lines, and these are {lines}\n", same + 1);
    }
    TextDiff::from_lines(old, new).unified_diff().header(name, &format!("{name} (laid out)")).to_string()
}
