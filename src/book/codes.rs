//! The codes of the remarks made while names are resolved and numbers are checked.

use crate::syntax::codes::codes;
use crate::syntax::{Code, Severity};

codes! {
    /// A name that stands for no block.
    UNKNOWN_NAME = "FB101" "unknown-name" Error;
    /// A name that stands for a block of another kind.
    WRONG_KIND = "FB102" "wrong-kind" Error;
    /// Two blocks of one name.
    NAME_TWICE = "FB103" "name-twice" Error;
    /// A state or band the finding does not have.
    UNKNOWN_STATE = "FB104" "unknown-state" Error;
    /// A word that no scale defines.
    UNKNOWN_WORD = "FB105" "unknown-word" Error;
    /// A chance below 0 or above 100 %.
    CHANCE_OUT_OF_RANGE = "FB106" "chance-out-of-range" Error;
    /// Chances to the states of one finding that sum to more than 100 %.
    CHANCES_TOO_MANY = "FB107" "chances-too-many" Error;
    /// A push to the normal state, or to a state twice.
    MEANINGLESS_PUSH = "FB108" "meaningless-push" Error;
    /// A unit nobody knows.
    UNKNOWN_UNIT = "FB109" "unknown-unit" Error;
    /// A unit of another dimension.
    WRONG_DIMENSION = "FB110" "wrong-dimension" Error;
    /// A number without its unit.
    UNIT_MISSING = "FB111" "unit-missing" Error;
    /// A value that no band covers.
    BAND_GAP = "FB112" "band-gap" Error;
    /// A value that two bands cover.
    BAND_OVERLAP = "FB113" "band-overlap" Error;
    /// A clause that the block can't do without.
    CLAUSE_MISSING = "FB114" "clause-missing" Error;
    /// A loop in what brings, needs or follows what.
    LOOP = "FB115" "loop" Error;
    /// A negative time, price or accuracy.
    NEGATIVE = "FB116" "negative" Error;
    /// An amendment of a block that is not there.
    NOTHING_TO_AMEND = "FB117" "nothing-to-amend" Error;
    /// A `drop` of something that is not there.
    NOTHING_TO_DROP = "FB118" "nothing-to-drop" Error;
    /// A code that does not have the structure of one.
    NO_SUCH_CODE = "FB119" "no-such-code" Error;
    /// An edition of the language this program does not read.
    UNKNOWN_EDITION = "FB120" "unknown-edition" Error;
    /// A name that is not in kebab-case.
    ODD_NAME = "FB121" "odd-name" Error;
    /// A cause that can never be there: no prior, and nothing brings it.
    NEVER_THERE = "FB122" "never-there" Error;
    /// The same pair tied twice.
    TIED_TWICE = "FB123" "tied-twice" Error;
    /// A word after `take` that names nothing to take of samples.
    UNKNOWN_TAKE = "FB125" "unknown-take" Error;
    /// A window of unlike channels, or one that can't give the reading's unit.
    WINDOW_UNITS = "FB126" "window-units" Error;
    /// A window that no drive can open.
    IMPOSSIBLE_WINDOW = "FB127" "impossible-window" Error;
    /// A window without a channel.
    CONSTANT_WINDOW = "FB128" "constant-window" Error;
    /// A fix that cures a condition.
    CURED_CONDITION = "FB129" "cured-condition" Error;
    /// A finding that is said both to last and to pass.
    LASTING_AND_PASSING = "FB130" "lasting-and-passing" Error;
    /// A word for a chance at a clause that its scale is not for.
    WRONG_SCALE = "FB131" "wrong-scale" Error;
    /// A book laid over one that is not there.
    NO_SUCH_BOOK = "FB132" "no-such-book" Error;
    /// Two books in one folder.
    SECOND_BOOK = "FB133" "second-book" Error;
}
