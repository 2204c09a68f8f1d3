//! A heading over a column -> the channel of the book it means, and the conversion from its unit.

use super::cell::decode;
use crate::book::{Book, Channel, Headed, Id, Unit, UnitError};
use std::collections::HashMap;

/// What a column means.
#[derive(Debug, Clone, PartialEq)]
pub enum Meaning {
    /// A channel of the book; its value is that of the cell times `factor` plus `offset`.
    Channel {
        /// The channel.
        channel: Id<Channel>,
        /// Channel units to one unit of the column.
        factor: f64,
        /// The channel's value where the column says 0.
        offset: f64,
        /// Whether the unit stands in the heading; if not, it is taken to be the channel's.
        unit_said: bool,
    },
    /// A channel, in a unit that can't be that of it.
    WrongUnit(Id<Channel>, String),
    /// Nothing that the book knows.
    Unknown,
}

/// All headings that the book's channels go by.
pub struct Headings<'b> {
    book: &'b Book,
    by_key: HashMap<String, Id<Channel>>,
}

impl<'b> Headings<'b> {
    /// The headings of a book; a channel's own name and title mean it too, after all headings.
    pub fn new(book: &'b Book) -> Self {
        let mut by_key = HashMap::new();
        let said = book.channels.iter().flat_map(|(id, c)| c.headings.iter().map(move |h| (h.as_str(), id)));
        let own = book.channels.iter().flat_map(|(id, c)| [(c.name(), id), (c.title(), id)]);
        for (heading, id) in said.chain(own) {
            by_key.entry(key(heading)).or_insert(id);
        }
        by_key.remove("");
        Headings { book, by_key }
    }

    /// What a heading means; `unit` where it stands in a cell of its own.
    pub fn meaning(&self, heading: &[u8], unit: Option<&[u8]>) -> Meaning {
        let text = decode(heading);
        let unit = unit.map(decode).filter(|u| !u.is_empty());
        let mut wrong = Meaning::Unknown;
        // the unit stands behind the name: in brackets, or after a comma, a dash, a space
        for (at, _) in text.char_indices().rev().filter(|(_, c)| !c.is_alphanumeric()) {
            let (name, tail) = text.split_at(at);
            let Some(id) = self.by_key.get(&key(name)) else { continue };
            let inside = tail.trim_matches(|c: char| c.is_whitespace() || "[](){},;:-_".contains(c));
            if inside.is_empty() {
                continue;
            }
            match self.with_unit(*id, Some(inside)) {
                found @ Meaning::Channel { .. } => return found,
                unfit if tail.trim_start().starts_with(['[', '(', '{']) => wrong = unfit,
                _ => {}
            }
        }
        self.by_key.get(&key(&text)).map_or(wrong, |id| self.with_unit(*id, unit.as_deref()))
    }

    fn with_unit(&self, channel: Id<Channel>, unit: Option<&str>) -> Meaning {
        let own = self.book.channels[channel].unit.as_ref();
        let (Some(own), Some(unit)) = (own, unit) else {
            return Meaning::Channel { channel, factor: 1.0, offset: 0.0, unit_said: own.is_none() };
        };
        match conversion(own, unit) {
            Ok((factor, offset)) => Meaning::Channel { channel, factor, offset, unit_said: true },
            Err(_) => Meaning::WrongUnit(channel, unit.to_string()),
        }
    }
}

/// Factor and offset from a unit as recorders write it.
fn conversion(own: &Unit, unit: &str) -> Result<(f64, f64), UnitError> {
    let known = own.convert(0.0, unit).map(|_| unit.to_string());
    let spelled = known.or_else(|e| match unit.to_lowercase().replace(' ', "").as_str() {
        "°c" | "degc" | "celsius" | "deg.c" | "degreesc" | "cel" => Ok("degC".to_string()),
        "°f" | "degf" | "fahrenheit" | "deg.f" | "degreesf" => Ok("degF".into()),
        "km/hr" | "kmph" | "kph" | "km/h" => Ok("km/h".into()),
        "1/min" | "rpm" | "u/min" | "min⁻¹" | "rev/min" | "turns/min" => Ok("rpm".into()),
        "gps" | "g/sec" | "grams/sec" | "gm/s" | "g/s" => Ok("g/s".into()),
        "kpa" | "kpa(a)" | "kpa(abs)" | "kpaabs" => Ok("kPa".into()),
        "mbar" | "hpa" => Ok("mbar".into()),
        "v" | "volt" => Ok("V".into()),
        "lph" | "l/hr" => Ok("L/h".into()),
        "percent" | "pct" | "%" => Ok("%".into()),
        "sec" | "seconds" | "second" => Ok("s".into()),
        _ => Err(e),
    })?;
    let offset = own.convert(0.0, &spelled)?;
    Ok((own.convert(1.0, &spelled)? - offset, offset))
}

/// A heading as it is compared: letters and digits only, in small letters.
pub fn key(heading: &str) -> String {
    heading.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}
