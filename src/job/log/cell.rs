//! One cell of a log: its text cleaned, its number read. Neither ever fails: what is no number is said to be none.

use crate::job::harmless;

/// What a cell holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Cell {
    /// Nothing, or a word that says so.
    Empty,
    /// A finite number.
    Number(f64),
    /// Something else.
    Other,
}

/// Words by which recorders say that there was no answer.
const NOTHING: &[&str] = &["", "-", "--", "---", "n/a", "na", "nan", "null", "none", "no data", "nodata", "inf", "-inf"];

/// The most digits that a whole number in binary64 holds exactly, and the powers of ten that it divides by exactly.
const EXACT: u64 = 1 << 53;
const MOST_DIGITS: usize = 17;
const TENS: [f64; 16] = [1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15];

/// The number in a cell; `comma` where the log writes decimals with a comma.
pub fn number(cell: &[u8], comma: bool) -> Cell {
    match plain(cell, comma) {
        Some(number) => Cell::Number(number),
        None => odd(cell, comma),
    }
}

/// Digits with one decimal sign, as nearly every cell is: a whole number below 2^53 over a power of ten up to 10^15 is rounded once, so it is right to the last bit.
pub fn plain(cell: &[u8], comma: bool) -> Option<f64> {
    let (negative, digits) = match cell {
        [b'-', rest @ ..] => (true, rest),
        rest => (false, rest),
    };
    if digits.len() > MOST_DIGITS {
        return None;
    }
    let (mut whole, mut sign) = (0u64, None);
    for (at, byte) in digits.iter().enumerate() {
        let digit = byte.wrapping_sub(b'0');
        if digit < 10 {
            whole = whole * 10 + u64::from(digit);
        } else if (*byte == b'.' || *byte == b',' && comma) && sign.is_none() {
            sign = Some(at);
        } else {
            return None;
        }
    }
    if whole >= EXACT || digits.len() == usize::from(sign.is_some()) {
        return None;
    }
    let after = sign.map_or(0, |at| digits.len() - 1 - at);
    let number = whole as f64 / TENS.get(after)?;
    Some(if negative { -number } else { number })
}

/// Everything else: white space, exponents, thousands, words.
fn odd(cell: &[u8], comma: bool) -> Cell {
    if cell.len() > 40 {
        return Cell::Other;
    }
    let text = decode(cell).to_lowercase();
    if NOTHING.contains(&text.as_str()) {
        return Cell::Empty;
    }
    let (dot, sign) = (text.rfind('.'), text.rfind(','));
    let text = match (dot, sign) {
        (Some(d), Some(s)) if d > s => text.replace(',', ""),
        (Some(_), Some(_)) => text.replace('.', "").replace(',', "."),
        (None, Some(_)) if comma || !thousands(&text, ',') => text.replace(',', "."),
        (None, Some(_)) => text.replace(',', ""),
        (Some(_), None) if comma && thousands(&text, '.') => text.replace('.', ""),
        _ => text,
    };
    match text.replace(' ', "").parse::<f64>() {
        Ok(number) if number.is_finite() => Cell::Number(number),
        Ok(_) => Cell::Empty,
        Err(_) => Cell::Other,
    }
}

/// Whether the sign parts groups of three digits.
fn thousands(text: &str, sign: char) -> bool {
    let mut groups = text.trim_start_matches(['-', '+']).split(sign);
    let digits = |g: &str| g.bytes().all(|b| b.is_ascii_digit());
    let first = groups.next().is_some_and(|g| (1..=3).contains(&g.len()) && digits(g));
    first && groups.all(|g| g.len() == 3 && digits(g))
}

/// A cell as text: UTF-8, or else Latin-1; without a byte order mark, with signs that were encoded twice put right, and nothing that drives a terminal.
pub fn decode(cell: &[u8]) -> String {
    let text = match std::str::from_utf8(cell) {
        Ok(text) => text.to_string(),
        Err(_) => cell.iter().map(|b| char::from(*b)).collect(),
    };
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\u{FEFF}' => {}
            '\u{A0}' => out.push(' '),
            // UTF-8 read as Latin-1 and written as UTF-8 again puts these before such a sign, once or several times
            '°' | '²' | '³' | 'µ' | 'º' => {
                let kept = out.trim_end_matches(|c: char| matches!(c, 'Â' | 'Ã' | '‚' | 'ƒ' | 'â' | '\u{80}'..='\u{9F}')).len();
                out.truncate(kept);
                out.push(c);
            }
            _ => out.push(c),
        }
    }
    harmless(out.trim())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_as_the_standard_library_reads_them() {
        for text in ["0", "-0.5", "13.5", "1726", "83.529411764", "0.1", "123456789.125", "-40", "9007199254740991", "1e3", "  7 ", "+4.25"]
        {
            let wanted: f64 = text.trim().parse().unwrap();
            assert_eq!(number(text.as_bytes(), false), Cell::Number(wanted), "{text}");
        }
    }

    #[test]
    fn commas_part_decimals_or_thousands() {
        assert_eq!(number(b"13,5", true), Cell::Number(13.5));
        assert_eq!(number(b"13,5", false), Cell::Number(13.5));
        assert_eq!(number(b"1,234", false), Cell::Number(1234.0));
        assert_eq!(number(b"1,234", true), Cell::Number(1.234));
        assert_eq!(number(b"1.234,5", true), Cell::Number(1234.5));
        assert_eq!(number(b"1,234.5", false), Cell::Number(1234.5));
        assert_eq!(number(b"1.234", true), Cell::Number(1.234));
    }

    #[test]
    fn what_is_no_number_is_none() {
        for empty in ["", " ", "-", "NaN", "n/a", "NULL", "inf", "1e999"] {
            assert_eq!(number(empty.as_bytes(), false), Cell::Empty, "{empty}");
        }
        for other in ["on", "12 V", "1.2.3", ".", "-.", "0x1F", "\u{1b}[31m"] {
            assert_eq!(number(other.as_bytes(), false), Cell::Other, "{other}");
        }
        assert_eq!(number(&[b'9'; 5000], false), Cell::Other);
    }

    #[test]
    fn signs_encoded_twice_are_put_right() {
        assert_eq!(decode("Temp [°C]".as_bytes()), "Temp [°C]");
        assert_eq!(decode(b"\xEF\xBB\xBFTemp [\xB0C]".as_slice().strip_prefix(b"\xEF\xBB\xBF").unwrap()), "Temp [°C]");
        assert_eq!(decode("Temp [Â°C]".as_bytes()), "Temp [°C]");
        assert_eq!(decode("Temp [Ã\u{82}Â°C]".as_bytes()), "Temp [°C]");
        assert_eq!(decode("Temp [Ã‚Â°C]".as_bytes()), "Temp [°C]");
        assert_eq!(decode("\u{FEFF}Time\u{A0}".as_bytes()), "Time");
    }
}
