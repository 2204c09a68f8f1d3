//! Looking names up: every name of the book with its kind, and the remarks on those that are not there.

use super::codes::*;
use super::dtc::Dtc;
use super::scales::Scales;
use super::stack;
use super::table::Id;
use super::types::{Head, Source, Trait};
use super::units::{Unit, UnitError};
use super::{clauses, need::Need};
use crate::syntax::{Block, Chance, Code, Condition, Keyword, Kind, Quantity, Remark, Span, Value, Word, nearest};
use foldhash::{HashMap, HashSet};

/// The names, scale words and units of a book being made, and the remarks so far.
pub struct Names {
    by_name: HashMap<String, (Kind, usize)>,
    scales: Scales,
    /// The names of blocks of which something could not be read: what seems not to be in them may be there.
    broken: HashSet<String>,
    /// What to say of a name that the book which ships has, and this one has not.
    left_out: fn(&str) -> Option<String>,
    units: HashMap<String, Result<Unit, UnitError>>,
    minute: Result<Unit, UnitError>,
    /// What was found wrong.
    pub remarks: Vec<Remark>,
}

impl Names {
    /// Numbers the blocks of each kind in order (findings of all four kinds together).
    pub fn new(blocks: &[&Block], remarks: Vec<Remark>) -> Names {
        let mut counts: HashMap<Kind, usize> = HashMap::default();
        let mut by_name = HashMap::default();
        for block in blocks {
            let count = counts.entry(group(block.kind.value)).or_default();
            by_name.insert(canonical(block), (block.kind.value, *count));
            *count += 1;
        }
        let broken = blocks.iter().filter(|b| b.broken).map(|b| canonical(b)).collect();
        let left_out = if stack::over_shipped(blocks.iter().copied()) { |_: &str| None } else { stack::of_shipped };
        Names { by_name, scales: Scales::default(), broken, left_out, units: HashMap::default(), minute: Unit::parse("min"), remarks }
    }

    /// Remarks on one place.
    pub fn remark(&mut self, code: Code, message: String, span: Span, label: &str, help: &str) {
        self.remarks.push(Remark::new(code, message, span, label).help(help));
    }

    /// The number of the block of that name and kind; a remark where there is none.
    pub fn find<T>(&mut self, word: &Word, kind: Kind) -> Option<Id<T>> {
        match self.by_name.get(&word.value) {
            Some((found, index)) if group(*found) == group(kind) => Some(Id::from_index(*index)),
            Some((found, _)) => {
                let message = format!("`{}` is {}, not {}", word.value, found.one(), kind.one());
                let label = format!("expected the name of {}", kind.one());
                self.remarks.push(Remark::new(WRONG_KIND, message, word.span, label).help(format!("name {} here", kind.one())));
                None
            }
            None => {
                self.unknown(word, &kind.one(), |k| k == kind);
                None
            }
        }
    }

    /// The number of the finding of that name.
    pub fn find_finding<T>(&mut self, word: &Word) -> Option<Id<T>> {
        let name = code_name(&word.value);
        match self.by_name.get(name.as_deref().unwrap_or(&word.value)) {
            Some((found, index)) if found.is_finding() => Some(Id::from_index(*index)),
            Some((found, _)) => {
                let message = format!("`{}` is {}, not a finding", word.value, found.one());
                self.remark(WRONG_KIND, message, word.span, "expected a symptom, code, reading or sign", "name a finding here");
                None
            }
            None => {
                self.unknown(word, "a symptom, code, reading or sign", Kind::is_finding);
                None
            }
        }
    }

    fn unknown(&mut self, word: &Word, what: &str, fits: impl Fn(Kind) -> bool) {
        let names = self.by_name.iter().filter(|(_, (k, _))| fits(*k)).map(|(n, _)| n.as_str());
        let near = nearest(&word.value, names);
        let message = format!("nothing is named `{}`", word.value);
        let remark = Remark::new(UNKNOWN_NAME, message, word.span, format!("expected the name of {what}"));
        let help = (self.left_out)(&word.value).unwrap_or_else(|| "write a block of that name, or correct the name".into());
        self.remarks.push(remark.help(help).suggest(near));
    }

    /// The kind of the block of that name.
    pub fn kind_of(&self, word: &Word) -> Option<Kind> {
        self.by_name.get(&word.value).map(|(kind, _)| *kind)
    }

    /// All names after a keyword, resolved.
    pub fn list<T>(&mut self, block: &Block, keyword: Keyword, kind: Kind) -> Vec<Id<T>> {
        let mut out: Vec<Id<T>> = Vec::new();
        for word in clauses::names(block, keyword) {
            if let Some(id) = self.find(word, kind) {
                if out.contains(&id) {
                    let message = format!("`{}` is named twice after `{keyword}`", word.value);
                    self.remark(TIED_TWICE, message, word.span, "again here", "once is enough");
                } else {
                    out.push(id);
                }
            }
        }
        out
    }

    /// Whether something of the block of that name could not be read.
    pub fn is_broken(&self, name: &str) -> bool {
        self.broken.contains(name)
    }

    /// Learns the words of a scale.
    pub fn learn(&mut self, block: &Block) -> (Vec<(String, f64)>, Vec<Keyword>) {
        self.scales.learn(block, &mut self.remarks)
    }

    /// A chance after that keyword, as a number within 0..=1.
    pub fn chance(&mut self, chance: &Chance, at: Keyword) -> Option<f64> {
        self.scales.chance(chance, at, &mut self.remarks)
    }

    /// The unit spelled so.
    pub fn unit(&mut self, word: &Word) -> Option<Unit> {
        let found = self.units.entry(word.value.clone()).or_insert_with(|| Unit::parse(&word.value)).clone();
        if found.is_err() {
            let message = format!("`{}` is no unit", word.value);
            self.remark(
                UNKNOWN_UNIT,
                message,
                word.span,
                "expected a unit",
                "write it as the trade does: `kPa`, `V`, `degC`, `mg`, `1/min`, or `count` for a plain number",
            );
        }
        found.ok()
    }

    /// A quantity in the given unit; a bare number is taken to be in it.
    pub fn in_unit(&mut self, quantity: &Quantity, unit: &Unit) -> Option<f64> {
        let Some(word) = &quantity.unit else { return Some(quantity.number) };
        match unit.convert(quantity.number, &word.value) {
            Ok(number) => Some(number),
            Err(error) => {
                self.bad_unit(word, unit, &error);
                None
            }
        }
    }

    /// A remark on a unit that does not fit.
    pub fn bad_unit(&mut self, word: &Word, unit: &Unit, error: &UnitError) {
        let wanted = unit.dimension.name();
        match error {
            UnitError::Unknown => self.remark(
                UNKNOWN_UNIT,
                format!("`{}` is no unit", word.value),
                word.span,
                "expected a unit",
                "write it as the trade does, such as `kPa`",
            ),
            UnitError::Dimension(is) => {
                let message = format!("`{}` is {}, but {wanted} is wanted here", word.value, is.name());
                self.remark(WRONG_DIMENSION, message, word.span, "wrong kind of unit", &format!("use a unit such as `{}`", unit.text));
            }
        }
    }

    /// Minutes after a keyword; 0 where there is none.
    pub fn minutes(&mut self, block: &Block, keyword: Keyword) -> f64 {
        let Some(quantity) = clauses::quantity(block, keyword) else { return 0.0 };
        if quantity.unit.is_none() {
            self.remark(UNIT_MISSING, "a time needs its unit".into(), quantity.span, "minutes or hours?", "write `5 min`");
            return 0.0;
        }
        let Ok(minute) = self.minute.clone() else { return 0.0 };
        let minutes = self.in_unit(quantity, &minute).unwrap_or(0.0);
        self.not_negative(minutes, quantity.span)
    }

    /// Money after a keyword; 0 where there is none.
    pub fn money(&mut self, block: &Block, keyword: Keyword) -> f64 {
        let Some(number) = clauses::number(block, keyword) else { return 0.0 };
        let (value, span) = (number.value, number.span);
        self.not_negative(value, span)
    }

    fn not_negative(&mut self, value: f64, span: Span) -> f64 {
        if value < 0.0 {
            self.remark(NEGATIVE, "a time or a price can't be below zero".into(), span, "below zero", "correct the number");
        }
        value.max(0.0)
    }

    /// The head of a block.
    pub fn head(&mut self, block: &Block) -> Head {
        let name = canonical(block);
        if block.kind.value != Kind::Code && !kebab(&name) {
            let help = format!("write it in kebab-case: `{}`", name.to_lowercase().replace('_', "-"));
            self.remark(ODD_NAME, format!("`{name}` is not in kebab-case"), block.name.span, "small letters, digits and dashes", &help);
        }
        let allows = clauses::every(block, Keyword::Allow).filter_map(|c| match &c.value {
            Value::Allow { code, reason } => Some((code.value.clone(), reason.value.clone(), c.span)),
            _ => None,
        });
        Head {
            title: block.title.as_ref().map_or_else(|| name.clone(), |t| t.value.clone()),
            name,
            notes: clauses::texts(block, Keyword::Note),
            sources: self.list::<Source>(block, Keyword::Source, Kind::Source),
            when: clauses::condition(block).map_or(Need::Always, |(c, _)| self.need(c)),
            span: block.name.span,
            allows: allows.collect(),
        }
    }

    fn need(&mut self, condition: &Condition) -> Need {
        match condition {
            Condition::Is(word) => self.find::<Trait>(word, Kind::Trait).map_or(Need::Always, Need::Has),
            Condition::Not(inner) => Need::Not(Box::new(self.need(inner))),
            Condition::All(parts) => Need::All(parts.iter().map(|p| self.need(p)).collect()),
            Condition::Any(parts) => Need::Any(parts.iter().map(|p| self.need(p)).collect()),
        }
    }
}

/// The kind whose numbers a block takes part in: the four kinds of findings are numbered together, and causes with conditions.
fn group(kind: Kind) -> Kind {
    match kind {
        _ if kind.is_finding() => Kind::Symptom,
        _ if kind.acts() => Kind::Cause,
        _ => kind,
    }
}

/// The name a block is known by: codes in capitals.
pub fn canonical(block: &Block) -> String {
    match block.kind.value {
        Kind::Code => code_name(&block.name.value).unwrap_or_else(|| block.name.value.clone()),
        _ => block.name.value.clone(),
    }
}

/// The standard writing of a trouble code; none where the word is none.
pub fn code_name(word: &str) -> Option<String> {
    if word.len() != 5 || !word.starts_with(['P', 'C', 'B', 'U', 'p', 'c', 'b', 'u']) {
        return None;
    }
    Dtc::parse(word).ok().map(|c| c.to_string())
}

fn kebab(name: &str) -> bool {
    name.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-') && !name.ends_with('-') && !name.contains("--")
}
