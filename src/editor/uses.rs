//! Every word of a block that stands for something: a block, a state of a finding, a chance. References, renaming, colours,
//! explanations and completion all go by this one walk.

use crate::syntax::{Block, Chance, Clause, Condition, Document, Formula, Keyword, Kind, Push, Span, Value, Word};
use std::collections::HashMap;

/// What a word stands for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Sort {
    /// A block of this kind.
    Block(Kind),
    /// A symptom, code, reading or sign.
    Finding,
    /// A cause or a condition.
    Acting,
    /// A state of the finding of that name.
    State(String),
    /// A word for a chance at this clause.
    Chance(Keyword),
}

impl Sort {
    /// Whether two uses can mean the same thing.
    pub fn same(&self, other: &Sort) -> bool {
        match (self, other) {
            (Sort::State(a), Sort::State(b)) => a == b,
            (Sort::Chance(_), Sort::Chance(_)) => true,
            (Sort::State(_) | Sort::Chance(_), _) | (_, Sort::State(_) | Sort::Chance(_)) => false,
            _ => true,
        }
    }

    /// Whether a block of that kind is meant.
    pub fn takes(&self, kind: Kind) -> bool {
        match self {
            Sort::Block(own) => *own == kind,
            Sort::Finding => kind.is_finding(),
            Sort::Acting => kind.acts(),
            Sort::State(_) | Sort::Chance(_) => false,
        }
    }
}

/// A word and what it stands for.
#[derive(Debug, Clone)]
pub struct Use<'d> {
    /// The word.
    pub word: &'d Word,
    /// What it stands for.
    pub sort: Sort,
    /// Whether it is named here for the first time.
    pub defines: bool,
}

impl Use<'_> {
    /// What it is known by: codes in capitals.
    pub fn key(&self) -> String {
        key(&self.word.value)
    }
}

/// What a name is known by: codes in capitals.
pub fn key(name: &str) -> String {
    let code = (name.len() == 5).then(|| crate::book::Dtc::parse(name).ok()).flatten();
    code.map_or_else(|| name.to_string(), |code| code.to_string())
}

/// Where each name is defined.
pub fn definitions<'d>(documents: impl Iterator<Item = &'d Document>) -> HashMap<String, Span> {
    let blocks = documents.flat_map(|d| &d.blocks).filter(|b| !b.amends);
    blocks.map(|b| (key(&b.name.value), b.name.span)).collect()
}

/// All words of a block that stand for something, in order.
pub fn of_block(block: &Block) -> Vec<Use<'_>> {
    let mut walk = Walk { block, out: vec![] };
    walk.add(&block.name, Sort::Block(block.kind.value), !block.amends);
    block.clauses.iter().for_each(|clause| walk.clause(clause));
    walk.out
}

/// What the names after a keyword of a block are.
pub fn named(kind: Kind, keyword: Keyword) -> Option<Sort> {
    Some(match keyword {
        Keyword::Excludes => Sort::Block(Kind::Trait),
        Keyword::Bars | Keyword::Hazard => Sort::Block(Kind::Hazard),
        Keyword::Access | Keyword::Undoes => Sort::Block(Kind::Access),
        Keyword::Tool => Sort::Block(Kind::Tool),
        Keyword::Then => Sort::Block(Kind::Aftercare),
        Keyword::After => Sort::Block(kind),
        Keyword::Source => Sort::Block(Kind::Source),
        Keyword::Over => Sort::Block(Kind::Book),
        Keyword::When => Sort::Block(Kind::Trait),
        Keyword::From => Sort::Block(Kind::Channel),
        Keyword::Reveals | Keyword::Shows | Keyword::Proof => Sort::Finding,
        Keyword::Brings | Keyword::Cures => Sort::Acting,
        _ => return None,
    })
}

struct Walk<'d> {
    block: &'d Block,
    out: Vec<Use<'d>>,
}

impl<'d> Walk<'d> {
    fn add(&mut self, word: &'d Word, sort: Sort, defines: bool) {
        self.out.push(Use { word, sort, defines });
    }

    fn own_state(&self) -> Sort {
        Sort::State(key(&self.block.name.value))
    }

    fn clause(&mut self, clause: &'d Clause) {
        let keyword = clause.keyword.value;
        let sort = named(self.block.kind.value, keyword);
        match &clause.value {
            Value::Names(words) if keyword == Keyword::States => words.iter().for_each(|w| self.add(w, self.own_state(), true)),
            Value::Names(words) => words.iter().for_each(|w| sort.iter().for_each(|s| self.add(w, s.clone(), false))),
            Value::Pushes { finding, pushes } => {
                self.add(finding, Sort::Finding, false);
                self.pushes(pushes, &Sort::State(key(&finding.value)), keyword);
            }
            Value::Strays(pushes) => self.pushes(pushes, &self.own_state(), keyword),
            Value::Links(links) => links.iter().for_each(|(word, chance)| {
                self.add(word, Sort::Acting, false);
                self.chance(chance, keyword);
            }),
            Value::Cures(cures) => cures.iter().for_each(|(word, chance)| {
                self.add(word, Sort::Acting, false);
                chance.iter().for_each(|c| self.chance(c, keyword));
            }),
            Value::Proofs(proofs) => proofs.iter().for_each(|(finding, state)| {
                self.add(finding, Sort::Finding, false);
                state.iter().for_each(|s| self.add(s, Sort::State(key(&finding.value)), false));
            }),
            Value::Band { name, .. } => self.add(name, self.own_state(), !self.block.amends),
            Value::Hazards { names, states } => {
                names.iter().for_each(|w| self.add(w, Sort::Block(Kind::Hazard), false));
                states.iter().for_each(|s| self.add(s, self.own_state(), false));
            }
            Value::Condition(condition) => self.condition(condition),
            Value::Window(window) => {
                self.formula(&window.value);
                window.holds.iter().for_each(|(channel, _)| self.add(channel, Sort::Block(Kind::Channel), false));
            }
            Value::Chance(chance) => self.chance(chance, keyword),
            Value::ScaleWord { word, chance } => {
                self.add(word, Sort::Chance(Keyword::Word), true);
                self.chance(chance, keyword);
            }
            Value::Drop { keyword, words } => self.dropped(keyword, words),
            _ => {}
        }
    }

    /// `drop shows FINDING STATE …` names what it takes away.
    fn dropped(&mut self, keyword: &Word, words: &'d [Word]) {
        let Some(keyword) = Keyword::from_word(&keyword.value) else { return };
        let (sort, mut words) = (named(self.block.kind.value, keyword), words.iter());
        match keyword {
            Keyword::Band | Keyword::Stray => words.for_each(|w| self.add(w, self.own_state(), false)),
            Keyword::Shows => {
                let finding = words.next();
                finding.iter().for_each(|f| self.add(f, Sort::Finding, false));
                let states = Sort::State(finding.map_or(String::new(), |f| key(&f.value)));
                words.for_each(|w| self.add(w, states.clone(), false));
            }
            _ => words.for_each(|w| sort.iter().for_each(|s| self.add(w, s.clone(), false))),
        }
    }

    fn pushes(&mut self, pushes: &'d [Push], states: &Sort, at: Keyword) {
        for push in pushes {
            push.state.iter().for_each(|s| self.add(s, states.clone(), false));
            self.chance(&push.chance, at);
        }
    }

    fn chance(&mut self, chance: &'d Chance, at: Keyword) {
        if let Chance::Word(word) = chance {
            self.add(word, Sort::Chance(at), false);
        }
    }

    fn condition(&mut self, condition: &'d Condition) {
        match condition {
            Condition::Is(word) => self.add(word, Sort::Block(Kind::Trait), false),
            Condition::Not(inner) => self.condition(inner),
            Condition::All(parts) | Condition::Any(parts) => parts.iter().for_each(|p| self.condition(p)),
        }
    }

    fn formula(&mut self, formula: &'d Formula) {
        match formula {
            Formula::Number(_) => {}
            Formula::Channel(word) => self.add(word, Sort::Block(Kind::Channel), false),
            Formula::Binary(left, _, right) => [left, right].into_iter().for_each(|part| self.formula(part)),
        }
    }
}
