//! The codes of the remarks that reading alone can make: broken text, unknown words, wrong shapes.

use super::remark::{Code, Severity};

macro_rules! codes {
    ($($(#[$doc:meta])* $konst:ident = $id:literal $name:literal $severity:ident;)*) => {
        $($(#[$doc])* pub const $konst: Code = Code { id: $id, name: $name, severity: Severity::$severity };)*
        /// Every code of this room.
        pub const ALL: &[Code] = &[$($konst),*];
    };
}
pub(crate) use codes;

codes! {
    /// A line that does not fit the grammar.
    BROKEN_LINE = "FB001" "broken-line" Error;
    /// A first word that opens no block.
    UNKNOWN_KIND = "FB002" "unknown-kind" Error;
    /// A first word that is no clause.
    UNKNOWN_CLAUSE = "FB003" "unknown-clause" Error;
    /// A clause in a block where it means nothing.
    MISPLACED_CLAUSE = "FB004" "misplaced-clause" Error;
    /// A block without a name, or a title where one is needed.
    NAMELESS_BLOCK = "FB005" "nameless-block" Error;
    /// A number that no computer can hold.
    IMPOSSIBLE_NUMBER = "FB006" "impossible-number" Error;
    /// A clause that stands under no block.
    STRAY_CLAUSE = "FB007" "stray-clause" Error;
    /// A file that is not text.
    NOT_TEXT = "FB008" "not-text" Error;
    /// A clause that may stand once stands again.
    REPEATED_CLAUSE = "FB009" "repeated-clause" Error;
}
