//! What people mean by a line that the grammar refuses: the habits of word processors, spreadsheets and other languages.
//!
//! Each hint is a remark in the place of the grammar's own, where it knows better what to do.

use super::codes::BROKEN_LINE;
use super::kind::Shape;
use super::remark::Remark;
use super::span::Span;

/// A refused text: what stands in the line after its keyword (or a whole header), and where.
pub struct Refused<'t> {
    /// The text.
    pub text: &'t str,
    /// Its place.
    pub base: Span,
    /// The byte where the grammar stopped.
    pub at: usize,
    /// What it was read as; none for a header.
    pub shape: Option<Shape>,
}

/// The first hint that fits.
pub fn hint(refused: &Refused) -> Option<Remark> {
    odd_character(refused.text, refused.base)
        .or_else(|| refused.escape())
        .or_else(|| refused.decimal_comma())
        .or_else(|| refused.single_quotes())
        .or_else(|| refused.comment())
        .or_else(|| refused.sign_after_keyword())
        .or_else(|| refused.money())
        .or_else(|| refused.share())
        .or_else(|| refused.letter())
}

/// A first word that opens nothing and looks like a comment of another language.
pub fn comment_mark(text: &str, base: Span) -> Option<Remark> {
    let mark = ["//", "/*", "--", ";", "<!--"].into_iter().find(|mark| text.starts_with(mark))?;
    let span = Span { end: base.start + mark.len() as u32, ..base };
    let remark = Remark::new(BROKEN_LINE, format!("`{mark}` starts no comment"), span, "expected `#`").help("a comment starts with `#`");
    Some(if matches!(mark, "//" | "--" | ";") { remark.edit(span, "#") } else { remark })
}

/// A character outside of prose that looks like another, or like none.
pub fn odd_character(text: &str, base: Span) -> Option<Remark> {
    let (outside, unclosed) = outside_of_prose(text);
    let place = |at: usize, c: char| Span { start: base.start + at as u32, end: base.start + (at + c.len_utf8()) as u32, ..base };
    let inner = || unclosed.and_then(|from| text[from..].char_indices().rfind(|(_, c)| is_quote(*c)).map(|(i, c)| (from + i, c)));
    let found = outside.iter().copied().find(|(_, c)| !c.is_ascii() && looks(*c).is_some()).or_else(inner);
    let (at, c) = found?;
    let (what, plain, label) = looks(c)?;
    let message = format!("{what} (U+{:04X}) stands here", u32::from(c));
    let remark = Remark::new(BROKEN_LINE, message, place(at, c), label);
    if !is_quote(c) {
        return Some(remark.help(if plain.is_empty() { "take it out" } else { "type it anew" }).edit(place(at, c), plain));
    }
    let help = "write prose in straight quotes, as the key beside Enter gives them: `\"Lamps dim\"`; a word processor bends them";
    let last = outside.iter().rev().find(|(i, other)| *i > at && is_quote(*other)).map(|(i, c)| place(*i, *c));
    let remark = remark.help(help).edit(place(at, c), "\"");
    Some(match last {
        Some(last) => remark.edit(last, "\""),
        None => remark,
    })
}

fn is_quote(c: char) -> bool {
    matches!(c, '“' | '”' | '„' | '‟' | '«' | '»' | '″' | '‘' | '’' | '‚' | '‛')
}

/// What a character is, the plain one that is meant, and what to say of it.
fn looks(c: char) -> Option<(&'static str, &'static str, &'static str)> {
    Some(match c {
        c if is_quote(c) => ("a curly quote", "\"", "expected a straight one, `\"`"),
        '\u{200B}'..='\u{200F}' | '\u{2060}'..='\u{2064}' | '\u{FEFF}' | '\u{00AD}' => {
            ("a character that can't be seen", "", "it came with a copied text")
        }
        '\u{2010}'..='\u{2015}' | '\u{2212}' => ("a long dash", "-", "expected a plain one, `-`"),
        c if c.is_whitespace() => ("a space that does not part words", " ", "expected a plain space"),
        _ => return None,
    })
}

/// The characters outside of straight quotes, as far as a comment; and where a quote begins that nothing closes.
fn outside_of_prose(text: &str) -> (Vec<(usize, char)>, Option<usize>) {
    let (mut outside, mut open, mut escaped) = (Vec::new(), None, false);
    for (at, c) in text.char_indices() {
        match (open, c) {
            (Some(_), _) if escaped => escaped = false,
            (Some(_), '\\') => escaped = true,
            (Some(_), '"') => open = None,
            (Some(_), _) => {}
            (None, '"') => open = Some(at),
            (None, '#') => break,
            (None, _) => outside.push((at, c)),
        }
    }
    (outside, open)
}

impl Refused<'_> {
    fn span(&self, start: usize, end: usize) -> Span {
        Span { start: self.base.start + start as u32, end: self.base.start + end as u32, ..self.base }
    }

    fn rest(&self) -> &str {
        self.text.get(self.at..).unwrap_or("")
    }

    /// The word that the grammar stopped at.
    fn word(&self) -> &str {
        self.rest().split([' ', '\t', ',', '#', '\\', '\n']).next().unwrap_or("")
    }

    fn broken(&self, message: String, start: usize, end: usize, label: &str) -> Remark {
        Remark::new(BROKEN_LINE, message, self.span(start, end), label)
    }

    /// `\n` in prose.
    fn escape(&self) -> Option<Remark> {
        let at = self.text[self.at.min(self.text.len())..].find('\\').map(|i| self.at + i)?;
        let next = self.text[at + 1..].chars().next().filter(|c| !c.is_whitespace() && !matches!(c, '"' | '\\'))?;
        let quoted = self.text[..at].matches('"').count() % 2 == 1;
        let end = at + 1 + next.len_utf8();
        let help = match next {
            'n' | 'r' => "prose is one line: write a second clause, or a second text after a comma",
            _ => "for a backslash in prose write two",
        };
        quoted.then(|| self.broken(format!("`\\{next}` means nothing in prose"), at, end, "only `\\\"` and `\\\\` do").help(help))
    }

    /// `12,5`.
    fn decimal_comma(&self) -> Option<Remark> {
        let (outside, _) = outside_of_prose(self.text);
        let digit = |i: usize| outside.get(i).is_some_and(|(_, c)| c.is_ascii_digit());
        let comma = (1..outside.len()).find(|i| outside[*i].1 == ',' && digit(i - 1) && digit(i + 1))?;
        let first = (0..comma).rev().take_while(|i| digit(*i)).last()?;
        let plain = first == 0 || outside[first - 1].1.is_whitespace() || matches!(outside[first - 1].1, '-' | '+');
        let last = (comma + 1..outside.len()).take_while(|i| digit(*i)).last()?;
        let (start, at, end) = (outside[first].0, outside[comma].0, outside[last].0 + 1);
        let (whole, part) = (&self.text[start..at], &self.text[at + 1..end]);
        let remark = self.broken(format!("`{whole},{part}` is no number"), start, end, "decimals stand after a full stop");
        plain.then(|| match part.len() {
            3 => remark.help(format!("write `{whole}.{part}`, or `{whole}{part}` if thousands are meant")),
            _ => remark.help(format!("write `{whole}.{part}`")).edit(self.span(at, at + 1), "."),
        })
    }

    /// `'Lamps dim'`.
    fn single_quotes(&self) -> Option<Remark> {
        let rest = self.rest().strip_prefix(['\'', '`'])?;
        let end = self.at + 1 + rest.rfind(['\'', '`'])?;
        let (first, last) = (self.span(self.at, self.at + 1), self.span(end, end + 1));
        let remark = self.broken("prose stands in double quotes".into(), self.at, self.at + 1, "expected `\"`");
        let clear = !rest[..end - self.at - 1].contains(['"', '\\']);
        let remark = remark.help(format!("write `\"{}\"`", &rest[..end - self.at - 1]));
        Some(if clear { remark.edit(first, "\"").edit(last, "\"") } else { remark })
    }

    /// `//` or `;` after what could be read.
    fn comment(&self) -> Option<Remark> {
        let mark = ["//", "/*", "--", ";"].into_iter().find(|mark| self.rest().starts_with(mark))?;
        if mark == ";" && self.rest().trim() == ";" {
            let remark = self.broken("`;` ends nothing here".into(), self.at, self.at + 1, "a line ends by itself");
            return Some(remark.help("take it out").edit(self.span(self.at, self.at + 1), ""));
        }
        comment_mark(self.rest(), self.span(self.at, self.text.len()))
    }

    /// `ask: "…"` or `ask = "…"`.
    fn sign_after_keyword(&self) -> Option<Remark> {
        let first = self.text.trim_start().chars().next().filter(|c| matches!(c, ':' | '='))?;
        let at = self.text.find(first)?;
        let remark = self.broken(format!("`{first}` does not belong after a keyword"), at, at + 1, "expected a space");
        self.shape.is_some().then(|| remark.help("write the keyword, a space, and what it says").edit(self.span(at, at + 1), " "))
    }

    /// `260 EUR`.
    fn money(&self) -> Option<Remark> {
        let word = self.word();
        let sign = |c: char| c.is_ascii_uppercase() || matches!(c, '€' | '£' | '$' | '¥');
        let letters = word.trim_start_matches(sign);
        let named =
            self.shape == Some(Shape::Number) && letters.len() < word.len() && (letters.is_empty() || letters.parse::<f64>().is_ok());
        let digits: String = self.text.chars().filter(|c| c.is_ascii_digit() || *c == '.').collect();
        let mark = word.len() - letters.len();
        let remark =
            self.broken(format!("`{}` does not belong to an amount", &word[..mark]), self.at, self.at + mark, "money is a bare number");
        named.then(|| remark.help(format!("write `{digits}`; `faultbook.toml` says what the currency is")))
    }

    /// `0.9`, `1 in 50` and `1/50` where a chance is wanted.
    fn share(&self) -> Option<Remark> {
        use Shape::{Chance, Cures, Links, Pushes, Strays};
        let before = self.text[..self.at.min(self.text.len())].trim_end();
        let figures = |c: char| c.is_ascii_digit() || c == '.';
        let start = before.rfind(|c| !figures(c)).map_or(0, |i| i + before[i..].chars().next().map_or(1, char::len_utf8));
        let number: f64 = before[start..].parse().ok()?;
        let wanted = matches!(self.shape, Some(Chance | Pushes | Strays | Links | Cures)) && !self.rest().starts_with('%');
        if !wanted {
            return None;
        }
        let rest = self.rest().trim_start();
        let skipped = self.text.len() - rest.len();
        if let Some(of) = rest.strip_prefix("in ").or_else(|| rest.strip_prefix('/')) {
            let of = of.trim_start();
            let digits = &of[..of.find(|c| !figures(c)).unwrap_or(of.len())];
            let all: f64 = digits.parse().ok().filter(|n| *n > 0.0)?;
            let end = self.text.len() - of.len() + digits.len();
            let chance = tidy(number / all * 100.0);
            let text = &self.text[start..end];
            let remark = self.broken(format!("`{text}` is no chance"), start, end, "a chance is in percent");
            return Some(remark.help(format!("write `{chance} %`")).edit(self.span(start, end), format!("{chance} %")));
        }
        let end = before.len().max(start);
        let text = &before[start..];
        let remark = self.broken(format!("`{text}` lacks its `%`"), start, end.max(skipped.min(end)), "a chance is in percent");
        Some(match number {
            n if n > 0.0 && n < 1.0 => {
                remark.help(format!("a share of one is written in percent: `{} %`, or `{text} %` if so little is meant", tidy(n * 100.0)))
            }
            _ => remark.help(format!("write `{text} %`")).edit(self.span(end, end), " %"),
        })
    }

    /// A letter that names don't have.
    fn letter(&self) -> Option<Remark> {
        let c = self.rest().chars().next().filter(|c| c.is_alphabetic() && !c.is_ascii())?;
        let start = self.text[..self.at].rfind([' ', '\t', ',']).map_or(0, |i| i + 1);
        let word = format!("{}{}", &self.text[start..self.at], self.word());
        let remark =
            self.broken(format!("`{c}` can't stand in a name"), self.at, self.at + c.len_utf8(), "names are `a` to `z`, digits and dashes");
        let help = match spelt_out(&word) {
            Some(plain) => format!("write `{plain}`; titles and prose may have any letter"),
            None => "titles and prose may have any letter, names may not".into(),
        };
        Some(remark.help(help))
    }
}

/// A number as it would be written, without the dust of binary fractions.
fn tidy(number: f64) -> f64 {
    (number * 1e4).round() / 1e4
}

/// A name without the marks on its letters; none where a letter has no plain one.
fn spelt_out(word: &str) -> Option<String> {
    let plain = |c: char| -> Option<&'static str> {
        Some(match c {
            'ä' | 'æ' => "ae",
            'ö' | 'ø' => "oe",
            'ü' => "ue",
            'ß' => "ss",
            'å' | 'à' | 'á' | 'â' | 'ã' => "a",
            'é' | 'è' | 'ê' | 'ë' => "e",
            'í' | 'ì' | 'î' | 'ï' => "i",
            'ó' | 'ò' | 'ô' | 'õ' => "o",
            'ú' | 'ù' | 'û' => "u",
            'ç' => "c",
            'ñ' => "n",
            _ => return None,
        })
    };
    let mut out = String::new();
    for c in word.to_lowercase().chars() {
        match plain(c) {
            Some(letters) => out.push_str(letters),
            None if c.is_ascii_alphanumeric() || matches!(c, '-' | '_') => out.push(c),
            None => return None,
        }
    }
    Some(out)
}
