//! What a rule file says, word for word: nothing here is resolved, summed or checked against anything else.

use super::kind::{Keyword, Kind};
use super::span::{FileId, Span, Spanned, Word};
use serde::{Deserialize, Serialize};

/// One parsed file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Document {
    /// The file it was read from.
    pub file: FileId,
    /// Its blocks in order; a block with a broken header is left out, a broken clause too.
    pub blocks: Vec<Block>,
    /// Comment lines after the last block.
    pub closing: Vec<Span>,
}

/// One block.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Block {
    /// Its kind.
    pub kind: Spanned<Kind>,
    /// Whether it stands after `amend`.
    pub amends: bool,
    /// Its name.
    pub name: Word,
    /// Its title.
    pub title: Option<Word>,
    /// Its clauses in order.
    pub clauses: Vec<Clause>,
    /// Whole comment lines above it, and blank lines (an empty span) between them.
    pub leading: Vec<Span>,
    /// The comment at the end of its first line.
    pub trailing: Option<Span>,
    /// Whether something of it could not be read, so that what seems to be missing may be there.
    pub broken: bool,
    /// Its first line.
    pub span: Span,
}

impl Block {
    /// From its first line to the end of its last clause.
    pub fn reach(&self) -> Span {
        let last = self.clauses.iter().filter(|c| c.span.file == self.span.file).map(|c| c.span.end).max();
        Span { end: last.unwrap_or(0).max(self.span.end), ..self.span }
    }
}

/// One clause.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Clause {
    /// Its keyword; for a word of a scale, the word.
    pub keyword: Spanned<Keyword>,
    /// What stands after it.
    pub value: Value,
    /// Whole comment lines above it.
    pub leading: Vec<Span>,
    /// The comment at its end.
    pub trailing: Option<Span>,
    /// Whether it stands in an `amend` block: what it does not name stays as it is below.
    pub amends: bool,
    /// The whole clause.
    pub span: Span,
}

/// What stands after a keyword.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)] // the shapes of docs/language.md
pub enum Value {
    Flag,
    Texts(Vec<Word>),
    Names(Vec<Word>),
    Unit(Word),
    Quantity(Quantity),
    Number(Spanned<f64>),
    Chance(Chance),
    Pushes { finding: Word, pushes: Vec<Push> },
    Strays(Vec<Push>),
    Links(Vec<(Word, Chance)>),
    Cures(Vec<(Word, Option<Chance>)>),
    Proofs(Vec<(Word, Option<Word>)>),
    Band { name: Word, ranges: Vec<Range> },
    Hazards { names: Vec<Word>, states: Vec<Word> },
    Condition(Condition),
    Date(Word),
    Hex(Spanned<u8>),
    Allow { code: Word, reason: Word },
    Drop { keyword: Word, words: Vec<Word> },
    Window(Window),
    ScaleWord { word: Word, chance: Chance },
}

/// A number and its unit, as written.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Quantity {
    /// The number.
    pub number: f64,
    /// The unit, if one was written.
    pub unit: Option<Word>,
    /// The place of both.
    pub span: Span,
}

/// A chance: a word of a scale or a percentage.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Chance {
    /// A word of a scale.
    Word(Word),
    /// A percentage, as a fraction of one (not yet checked to be within 0..1).
    Number(Spanned<f64>),
}

impl Chance {
    /// Its place.
    pub fn span(&self) -> Span {
        match self {
            Chance::Word(w) => w.span,
            Chance::Number(n) => n.span,
        }
    }
}

/// A chance to push a finding to a state; without a state, to the only abnormal one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Push {
    /// The state named.
    pub state: Option<Word>,
    /// How likely.
    pub chance: Chance,
}

/// A range of a reading.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub enum Range {
    Below(Quantity),
    Above(Quantity),
    Between(Quantity, Quantity),
}

/// A condition on traits.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub enum Condition {
    Is(Word),
    Not(Box<Condition>),
    All(Vec<Condition>),
    Any(Vec<Condition>),
}

/// How a logged drive gives a reading.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Window {
    /// What is worked out for each sample.
    pub value: Formula,
    /// What must hold meanwhile.
    pub holds: Vec<(Word, Range)>,
    /// For how long at least.
    pub held: Option<Quantity>,
    /// What is taken of the samples (the median if nothing is said).
    pub taken: Option<Word>,
}

/// A sum of channels and numbers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub enum Formula {
    Number(Spanned<f64>),
    Channel(Word),
    Binary(Box<Formula>, char, Box<Formula>),
}
