//! `from …` -> a window: channels by number and ranges in each channel's own unit, so that nothing after this parses a string.
//!
//! It says what a reading is made of; it never sees a log.

use super::codes::*;
use super::findings::interval;
use super::names::Names;
use super::table::{Id, Table};
use super::types::Channel;
use super::units::{Dimension, Unit};
use crate::syntax::{self, Kind, Quantity, Remark, Span, Word, nearest};
use serde::{Deserialize, Serialize};

/// How a logged drive gives a reading.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Window {
    /// What is worked out of each sample, in the reading's own unit (for [`Take::Duration`] it does not count).
    pub formula: Formula,
    /// What must hold meanwhile.
    pub holds: Vec<Hold>,
    /// For how many seconds at least, 0 or more.
    pub seconds: f64,
    /// What is taken of the samples.
    pub take: Take,
}

/// A channel within a range; both ends belong to it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Hold {
    /// The channel.
    pub channel: Id<Channel>,
    /// The least value, in the channel's unit; minus infinity where there is none.
    pub low: f64,
    /// The greatest value, in the channel's unit; infinity where there is none.
    pub high: f64,
}

/// A sum of channels and numbers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Formula {
    /// A number.
    Number(f64),
    /// A channel, in its own unit.
    Channel(Id<Channel>),
    /// Two of them with a sign between.
    Binary(Box<Formula>, Sign, Box<Formula>),
}

/// The four signs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub enum Sign {
    Plus,
    Minus,
    Times,
    Over,
}

/// What is taken of the samples.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[allow(missing_docs)] // the words of docs/language.md
pub enum Take {
    Median,
    Mean,
    Least,
    Most,
    First,
    Last,
    Spread,
    Duration,
}

impl Take {
    /// Each with its word in a rule file.
    pub const ALL: [(&str, Take); 8] = [
        ("median", Take::Median),
        ("mean", Take::Mean),
        ("least", Take::Least),
        ("most", Take::Most),
        ("first", Take::First),
        ("last", Take::Last),
        ("spread", Take::Spread),
        ("duration", Take::Duration),
    ];

    /// The word in a rule file.
    pub fn word(self) -> &'static str {
        Take::ALL.iter().find(|(_, take)| *take == self).map_or("", |(word, _)| word)
    }
}

impl Formula {
    /// The value, where each channel has the value that `of` gives it.
    pub fn value(&self, of: &impl Fn(Id<Channel>) -> f64) -> f64 {
        match self {
            Formula::Number(number) => *number,
            Formula::Channel(id) => of(*id),
            Formula::Binary(left, sign, right) => {
                let (left, right) = (left.value(of), right.value(of));
                match sign {
                    Sign::Plus => left + right,
                    Sign::Minus => left - right,
                    Sign::Times => left * right,
                    Sign::Over => left / right,
                }
            }
        }
    }

    /// The channels it is made of, each once, in order.
    pub fn channels(&self) -> Vec<Id<Channel>> {
        let mut all = vec![];
        self.gather(&mut all);
        all
    }

    fn gather(&self, all: &mut Vec<Id<Channel>>) {
        match self {
            Formula::Channel(id) if !all.contains(id) => all.push(*id),
            Formula::Number(_) | Formula::Channel(_) => {}
            Formula::Binary(left, _, right) => {
                left.gather(all);
                right.gather(all);
            }
        }
    }

    fn binary(left: Formula, sign: Sign, right: Formula) -> Formula {
        Formula::Binary(Box::new(left), sign, Box::new(right))
    }

    /// The same worked out from one unit into another of its dimension; none where it is of another.
    fn converted(self, from: &Unit, to: &Unit) -> Option<Formula> {
        let offset = to.convert(0.0, &from.text).ok()?;
        let factor = to.convert(1.0, &from.text).ok()? - offset;
        let same = |a: f64, b: f64| (a - b).abs() <= 1e-12;
        let scaled = if same(factor, 1.0) { self } else { Formula::binary(self, Sign::Times, Formula::Number(factor)) };
        Some(if same(offset, 0.0) { scaled } else { Formula::binary(scaled, Sign::Plus, Formula::Number(offset)) })
    }
}

/// The window of a reading in this unit; a remark where a name, a word or a unit does not fit.
pub fn window(names: &mut Names, written: &syntax::Window, span: Span, unit: &Unit, channels: &Table<Channel>) -> Option<Window> {
    let mut maker = Maker { names, channels, span };
    let take = maker.take(written.taken.as_ref());
    let holds: Vec<Option<Hold>> = written.holds.iter().map(|(word, range)| maker.hold(word, range)).collect();
    let seconds = written.held.as_ref().map_or(Some(0.0), |q| maker.seconds(q));
    let (formula, measure) = maker.formula(&written.value)?;
    let formula = maker.fit(formula, measure, take?, unit)?;
    let holds: Vec<Hold> = holds.into_iter().collect::<Option<_>>()?;
    maker.possible(&holds)?;
    Some(Window { formula, holds, seconds: seconds?, take: take? })
}

/// What a part of a formula measures.
enum Measure {
    /// A plain number: it takes the unit of what it stands beside.
    Plain,
    /// Something in this unit.
    Of(Unit),
    /// A product of unlike things: it is taken to be in the reading's own unit.
    Mixed,
}

struct Maker<'a, 'n> {
    names: &'n mut Names,
    channels: &'a Table<Channel>,
    span: Span,
}

impl Maker<'_, '_> {
    /// The median, if nothing is said.
    fn take(&mut self, word: Option<&Word>) -> Option<Take> {
        let Some(word) = word else { return Some(Take::Median) };
        let found = Take::ALL.iter().find(|(name, _)| *name == word.value).map(|(_, take)| *take);
        if found.is_none() {
            let all = Take::ALL.map(|(name, _)| name);
            let remark = Remark::new(UNKNOWN_TAKE, format!("nothing named `{}` can be taken", word.value), word.span, "of the samples");
            let help = format!("take one of {}", all.join(", "));
            self.names.remarks.push(remark.help(help).suggest(nearest(&word.value, all)));
        }
        found
    }

    /// A channel and its unit; one without a unit is a plain number.
    fn channel(&mut self, word: &Word) -> Option<(Id<Channel>, Option<Unit>)> {
        let id: Id<Channel> = self.names.find(word, Kind::Channel)?;
        let unit = (id.index() < self.channels.len()).then(|| self.channels[id].unit.clone())?;
        Some((id, unit))
    }

    fn hold(&mut self, word: &Word, range: &syntax::Range) -> Option<Hold> {
        let (channel, unit) = self.channel(word)?;
        let unit = unit.or_else(|| Unit::parse("count").ok())?;
        let (low, high) = interval(self.names, range, &unit)?;
        // what is `below 2` has not reached 2
        Some(match range {
            syntax::Range::Below(_) => Hold { channel, low, high: high.next_down() },
            syntax::Range::Above(_) => Hold { channel, low: low.next_up(), high },
            syntax::Range::Between(..) => Hold { channel, low, high },
        })
    }

    fn seconds(&mut self, held: &Quantity) -> Option<f64> {
        if held.unit.is_none() {
            self.names.remark(UNIT_MISSING, "a time needs its unit".into(), held.span, "seconds or minutes?", "write `for 5 s`");
            return None;
        }
        let seconds = self.names.in_unit(held, &Unit::parse("s").ok()?)?;
        if seconds < 0.0 {
            self.names.remark(NEGATIVE, "a time can't be below zero".into(), held.span, "below zero", "correct the number");
            return None;
        }
        Some(seconds)
    }

    fn formula(&mut self, written: &syntax::Formula) -> Option<(Formula, Measure)> {
        match written {
            syntax::Formula::Number(number) => Some((Formula::Number(number.value), Measure::Plain)),
            syntax::Formula::Channel(word) => {
                let (id, unit) = self.channel(word)?;
                Some((Formula::Channel(id), unit.map_or(Measure::Plain, Measure::Of)))
            }
            syntax::Formula::Binary(left, sign, right) => {
                let (left, right) = (self.formula(left), self.formula(right));
                match sign {
                    '+' => self.sum(left?, Sign::Plus, right?),
                    '-' => self.sum(left?, Sign::Minus, right?),
                    '*' => Some(product(left?, Sign::Times, right?)),
                    _ => Some(product(left?, Sign::Over, right?)),
                }
            }
        }
    }

    /// The right side is worked out in the unit of the left. Two temperatures have a difference in kelvin.
    fn sum(&mut self, left: (Formula, Measure), sign: Sign, right: (Formula, Measure)) -> Option<(Formula, Measure)> {
        let ((left, a), (right, b)) = (left, right);
        let (a, b) = match (a, b) {
            (Measure::Of(a), Measure::Of(b)) => (a, b),
            (Measure::Plain, one) | (one, Measure::Plain) => return Some((Formula::binary(left, sign, right), one)),
            _ => return Some((Formula::binary(left, sign, right), Measure::Mixed)),
        };
        let (celsius, kelvin) = (Unit::parse("degC").ok()?, Unit::parse("K").ok()?);
        let (to_left, to_right, result) = match (a.dimension, b.dimension) {
            (Dimension::Temperature, Dimension::Temperature) if sign == Sign::Minus => (celsius.clone(), celsius, kelvin),
            (Dimension::Temperature, Dimension::TemperatureDifference) => (celsius.clone(), kelvin, celsius),
            (one, other) if one == other => (a.clone(), a.clone(), a.clone()),
            (one, other) => {
                self.unfit(format!("{} and {} can't be summed", one.name(), other.name()), "sum channels that measure the same");
                return None;
            }
        };
        let (left, right) = (left.converted(&a, &to_left)?, right.converted(&b, &to_right)?);
        Some((Formula::binary(left, sign, right), Measure::Of(result)))
    }

    /// The formula in the reading's own unit.
    fn fit(&mut self, formula: Formula, measure: Measure, take: Take, unit: &Unit) -> Option<Formula> {
        if take == Take::Duration {
            return self.duration(formula, unit);
        }
        if formula.channels().is_empty() {
            let message = "the window names no channel to read".to_string();
            self.names.remark(CONSTANT_WINDOW, message, self.span, "only numbers here", "name a channel: `from coolant while …`");
            return None;
        }
        let Measure::Of(from) = measure else { return Some(formula) };
        // how far a temperature moves is a difference
        let (formula, from) = match (take, from.dimension) {
            (Take::Spread, Dimension::Temperature) => (formula.converted(&from, &Unit::parse("degC").ok()?)?, Unit::parse("K").ok()?),
            _ => (formula, from),
        };
        if from.dimension != unit.dimension {
            let message = format!("the window gives {}, but the reading is {}", from.dimension.name(), unit.dimension.name());
            self.unfit(message, &format!("let the window give something in `{}`, or correct the unit of the reading", unit.text));
            return None;
        }
        formula.converted(&from, unit)
    }

    fn duration(&mut self, formula: Formula, unit: &Unit) -> Option<Formula> {
        if unit.dimension != Dimension::Time {
            let message = format!("the window gives a time, but the reading is {}", unit.dimension.name());
            self.unfit(message, "give the reading `unit s`");
            return None;
        }
        Some(formula)
    }

    fn unfit(&mut self, message: String, help: &str) {
        self.names.remark(WINDOW_UNITS, message, self.span, "in this window", help);
    }

    /// A remark where no drive can ever meet the conditions.
    fn possible(&mut self, holds: &[Hold]) -> Option<()> {
        for hold in holds {
            let same = || holds.iter().filter(|h| h.channel == hold.channel);
            let low = same().fold(f64::NEG_INFINITY, |low, h| low.max(h.low));
            let high = same().fold(f64::INFINITY, |high, h| high.min(h.high));
            if low > high {
                let name = &self.channels[hold.channel].head.name;
                let message = format!("`{name}` can't be in all these ranges at once");
                let help = "write the lower number first, and ranges that overlap";
                self.names.remark(IMPOSSIBLE_WINDOW, message, self.span, "no drive can meet this", help);
                return None;
            }
        }
        Some(())
    }
}

/// By a plain number it keeps its unit; of two of one dimension the quotient is plain.
fn product(left: (Formula, Measure), sign: Sign, right: (Formula, Measure)) -> (Formula, Measure) {
    let ((left, a), (right, b)) = (left, right);
    let (right, measure) = match (a, b) {
        (a, Measure::Plain) => (right, a),
        (Measure::Plain, b) if sign == Sign::Times => (right, b),
        (Measure::Of(a), Measure::Of(b)) if sign == Sign::Over && a.dimension == b.dimension => match right.clone().converted(&b, &a) {
            Some(right) => (right, Measure::Plain),
            None => (right, Measure::Mixed),
        },
        _ => (right, Measure::Mixed),
    };
    (Formula::binary(left, sign, right), measure)
}
