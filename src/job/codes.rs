//! Trouble codes as people type them -> codes. A rule file is read more strictly: there a slip is somebody's finding.

use crate::book::Dtc;

/// Words around codes that say nothing of which they are; alone they say that there is none.
const AROUND: &[&str] = &[
    "no",
    "none",
    "nothing",
    "nil",
    "and",
    "code",
    "codes",
    "dtc",
    "dtcs",
    "fault",
    "faults",
    "stored",
    "confirmed",
    "active",
    "pending",
    "permanent",
    "history",
];

/// What can't be read as a code, and what to do about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NoCode {
    /// The word.
    pub word: String,
    /// What to do.
    pub help: String,
}

/// The codes in a text, in order: in either case, an O for a zero, with or without a failure type (`P0299-00`, `P0299 00`, `P0299:1C`; ISO 14229), which is
/// read past; `no codes` are none.
pub fn typed_codes(text: &str) -> Result<Vec<Dtc>, NoCode> {
    Ok(read(text)?.into_iter().map(|(code, _)| code).collect())
}

/// The same codes, each with the failure type that stands behind it: `P0299-1C`.
pub fn given_codes(text: &str) -> Result<Vec<String>, NoCode> {
    let written = |(code, failure): (Dtc, Option<String>)| failure.map_or_else(|| code.to_string(), |f| format!("{code}-{f}"));
    Ok(read(text)?.into_iter().map(written).collect())
}

/// Each code with its failure type.
fn read(text: &str) -> Result<Vec<(Dtc, Option<String>)>, NoCode> {
    let words: Vec<String> = text.split(|c: char| c.is_whitespace() || matches!(c, ',' | ';' | '/' | '+' | '&')).map(plain).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).filter(|w| !w.is_empty()).collect();
    let mut codes = Vec::new();
    let mut at = 0;
    while let Some(word) = words.get(at) {
        at += 1;
        if AROUND.contains(&word.to_lowercase().as_str()) {
            continue;
        }
        let next = words.get(at).copied().unwrap_or("");
        // `P 0299`: the letter stands apart
        let parted = word.len() == 1 && next.len() >= 4;
        let whole = if parted { format!("{word}{next}") } else { word.to_string() };
        at += usize::from(parted);
        let code = one(&whole)?;
        let behind = words.get(at).filter(|w| is_failure_type(w) && whole.len() == 5);
        at += usize::from(behind.is_some());
        codes.push((code, whole.get(5..).filter(|f| !f.is_empty()).or(behind.copied()).map(str::to_uppercase)));
    }
    Ok(codes)
}

/// A word without what stands around and between its letters and figures.
fn plain(word: &str) -> String {
    word.chars().filter(|c| !matches!(c, '-' | ':' | '.' | '_' | '"' | '\'' | '(' | ')' | '[' | ']')).collect()
}

fn is_failure_type(word: &str) -> bool {
    word.len() == 2 && word.bytes().all(|b| b.is_ascii_hexdigit())
}

fn one(word: &str) -> Result<Dtc, NoCode> {
    let no = |help: String| NoCode { word: word.into(), help };
    let parts = word.split_at_checked(1).zip(word.split_at_checked(5));
    let Some(((letter, _), (base, ending))) = parts else { return Err(no(shorter(word))) };
    let figures = base[1..].replace(['o', 'O'], "0");
    match Dtc::parse(&format!("{letter}{figures}")) {
        Ok(code) if ending.is_empty() || is_failure_type(ending) => Ok(code),
        Ok(code) => Err(no(format!("is it `{code}`? After the code only a failure type of two characters may follow"))),
        Err(_) if !letter.starts_with(['P', 'C', 'B', 'U', 'p', 'c', 'b', 'u']) => Err(no(
            "a code starts with P, C, B or U. This may be the maker's own number: read the generic code with it, or keep the number as a note"
                .into(),
        )),
        Err(error) => Err(no(error.to_string())),
    }
}

/// What a word with fewer than five characters may stand for.
fn shorter(word: &str) -> String {
    let hexadecimal = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_hexdigit());
    let guess = match (word.len(), word.split_at_checked(1)) {
        (4, _) if hexadecimal(word) && word.starts_with(['0', '1', '2', '3']) => Some(format!("P{word}")),
        (4, Some((letter, rest))) if hexadecimal(rest) => Some(format!("{letter}0{rest}")),
        _ => None,
    };
    let guess = guess.and_then(|g| Dtc::parse(&g).ok()).map_or(String::new(), |code| format!("; is it `{code}`?"));
    format!("a code has a letter and four characters, such as P0299{guess}")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text_of(text: &str) -> String {
        match typed_codes(text) {
            Ok(codes) => codes.iter().map(ToString::to_string).collect::<Vec<_>>().join(" "),
            Err(no) => format!("`{}`: {}", no.word, no.help),
        }
    }

    /// Failure types as ISO 14229-1 has them behind the code; the ways of writing are those that testers print (common practice, no source).
    #[test]
    fn codes_are_read_as_people_type_them() {
        for text in [
            "P0299",
            "p0299",
            " P0299 ",
            "P0299-00",
            "P0299 00",
            "P0299:00",
            "P029900",
            "p0299-1c",
            "PO299",
            "P 0299",
            "P0299.",
            "DTC P0299 (stored)",
        ] {
            assert_eq!(text_of(text), "P0299", "{text}");
        }
        assert_eq!(given_codes("p0299-1c P0401 00 U0100").unwrap(), ["P0299-1C", "P0401-00", "U0100"]);
        assert_eq!(text_of("P0299, p0401;U0100-87 P2463/B10AB"), "P0299 P0401 U0100 P2463 B10AB");
        assert_eq!(text_of("P0299 00 P0401 1C"), "P0299 P0401");
        for text in ["no codes", "none", "No code stored.", ""] {
            assert_eq!(text_of(text), "", "{text}");
        }
    }

    #[test]
    fn what_is_no_code_is_refused_with_the_likely_one() {
        assert!(text_of("P299").ends_with("is it `P0299`?"), "{}", text_of("P299"));
        assert!(text_of("0299").ends_with("is it `P0299`?"), "{}", text_of("0299"));
        assert!(text_of("16683").contains("maker's own number"), "{}", text_of("16683"));
        assert!(text_of("P0299Z").contains("is it `P0299`?"), "{}", text_of("P0299Z"));
        assert!(text_of("P4299").contains("second character"), "{}", text_of("P4299"));
        assert!(text_of("P0Z99").contains("0 to 9 or A to F"), "{}", text_of("P0Z99"));
        for text in ["ü", "€€€€€€€", "P€299", "P029€", "P", "P0299 P", "0", "äöüß4"] {
            assert!(typed_codes(text).is_err(), "{text}");
        }
    }
}
