//! Trouble codes by their structure: a letter for the system, then a digit and three hexadecimal characters in two bytes (SAE J2012, ISO 15031-6; from memory).

use serde::{Deserialize, Serialize};
use std::fmt;

/// A trouble code: two bytes, written as a letter and four characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Dtc(pub u16);

/// Why a text is no trouble code.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum DtcError {
    /// Not five characters (or five and a two-digit ending).
    #[error("a code has a letter and four characters, such as P0299")]
    Length,
    /// Does not start with P, C, B or U.
    #[error("a code starts with P, C, B or U")]
    Letter,
    /// The second character is not 0, 1, 2 or 3.
    #[error("the second character of a code is 0, 1, 2 or 3")]
    Digit,
    /// The rest is not hexadecimal; the letter O is no zero.
    #[error("the last three characters of a code are 0 to 9 or A to F (a zero, not the letter O)")]
    Hexadecimal,
}

impl Dtc {
    /// Reads a code in either case, with white space around it; an ending such as `-1C` (ISO 14229 failure type) is read past.
    pub fn parse(text: &str) -> Result<Dtc, DtcError> {
        let text = text.trim();
        let (base, ending) = text.split_once('-').unwrap_or((text, "00"));
        let hexadecimal = |s: &str| s.bytes().all(|b| b.is_ascii_hexdigit());
        if base.len() != 5 || !base.is_ascii() || ending.len() != 2 {
            return Err(DtcError::Length);
        }
        let letter = match base.as_bytes()[0].to_ascii_uppercase() {
            b'P' => 0,
            b'C' => 1,
            b'B' => 2,
            b'U' => 3,
            _ => return Err(DtcError::Letter),
        };
        let digit = match base.as_bytes()[1] {
            d @ b'0'..=b'3' => u16::from(d - b'0'),
            b'O' | b'o' => return Err(DtcError::Hexadecimal),
            _ => return Err(DtcError::Digit),
        };
        if !hexadecimal(&base[2..]) || !hexadecimal(ending) {
            return Err(DtcError::Hexadecimal);
        }
        let rest = u16::from_str_radix(&base[2..], 16).map_err(|_| DtcError::Hexadecimal)?;
        Ok(Dtc(letter << 14 | digit << 12 | rest))
    }

    /// The code in the two bytes of an answer; `00 00` is padding, not P0000.
    pub fn from_bytes(bytes: [u8; 2]) -> Option<Dtc> {
        let word = u16::from_be_bytes(bytes);
        (word != 0).then_some(Dtc(word))
    }

    /// The letter: P, C, B or U.
    pub fn letter(self) -> char {
        ['P', 'C', 'B', 'U'][usize::from(self.0 >> 14)]
    }

    /// The part of the vehicle.
    pub fn system(self) -> &'static str {
        ["powertrain", "chassis", "body", "network"][usize::from(self.0 >> 14)]
    }
}

impl fmt::Display for Dtc {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}{:03X}", self.letter(), self.0 >> 12 & 3, self.0 & 0xFFF)
    }
}
