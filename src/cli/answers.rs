//! Where the answers of a walk come from: a person, a file, or a pipe.

use super::failure::Failure;
use super::files::{harmless, read_input, read_text};
use super::limits::ANSWER;
use std::io::{BufRead, IsTerminal, Read, stdin};
use std::path::Path;

/// Where answers come from.
pub enum Answers {
    /// Somebody at a terminal.
    Person,
    /// Lines that were all there before the walk began.
    Lines(std::vec::IntoIter<String>),
}

/// One line.
#[derive(Debug, PartialEq)]
pub enum Typed {
    /// What was typed.
    Text(String),
    /// It can't be taken, and why.
    Unclear(String),
}

impl Answers {
    /// From the file, or else from standard input.
    pub fn new(file: Option<&Path>) -> Result<Answers, Failure> {
        let (name, text) = match file {
            Some(path) => (path.display().to_string(), read_text(path)?),
            None if stdin().is_terminal() => return Ok(Answers::Person),
            None => {
                let what = "answers as UTF-8 text, one a line";
                let text = String::from_utf8(read_input(what)?);
                let unclear = |_| Failure::new("standard input is not plain text in UTF-8", format!("pipe {what}"));
                ("standard input".into(), harmless(&text.map_err(unclear)?))
            }
        };
        let lines: Vec<String> = text.lines().map(String::from).collect();
        match lines.iter().position(|line| line.chars().count() > ANSWER) {
            Some(at) => Err(Failure::new(format!("{name}: line {} is longer than {ANSWER} characters", at + 1), "say it in fewer words")),
            None => Ok(Answers::Lines(lines.into_iter())),
        }
    }

    /// The next line; none at the end.
    pub fn line(&mut self) -> Result<Option<Typed>, Failure> {
        match self {
            Answers::Lines(lines) => Ok(lines.next().map(Typed::Text)),
            Answers::Person => typed(&mut stdin().lock()),
        }
    }
}

/// A line that somebody types. What can't be read is asked for again: a slip of a finger or a wrong setting of the terminal ends no walk.
fn typed(input: &mut impl BufRead) -> Result<Option<Typed>, Failure> {
    // four bytes are the most a character takes, and the line break is two
    let most = 4 * ANSWER as u64 + 2;
    let lost = |e: std::io::Error| Failure::new(format!("the keyboard can't be read: {e}"), "start the walk again: every answer is saved");
    let mut bytes = Vec::new();
    input.by_ref().take(most).read_until(b'\n', &mut bytes).map_err(lost)?;
    if bytes.is_empty() {
        return Ok(None);
    }
    if bytes.len() as u64 == most && !bytes.ends_with(b"\n") {
        input.skip_until(b'\n').map_err(lost)?;
        return Ok(Some(too_long()));
    }
    let Ok(text) = String::from_utf8(bytes) else {
        return Ok(Some(Typed::Unclear("That could not be read as text: type it once more. Letters must come as UTF-8.".into())));
    };
    let text = text.trim_end_matches(['\n', '\r']);
    Ok(Some(if text.chars().count() > ANSWER { too_long() } else { Typed::Text(harmless(text)) }))
}

fn too_long() -> Typed {
    Typed::Unclear(format!("That is longer than {ANSWER} characters: say it in fewer words."))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(mut bytes: &[u8]) -> Vec<Typed> {
        std::iter::from_fn(|| typed(&mut bytes).unwrap()).collect()
    }

    fn text(text: &str) -> Typed {
        Typed::Text(text.into())
    }

    #[test]
    fn a_byte_that_is_no_text_ends_nothing() {
        let unread = |typed: &Typed| matches!(typed, Typed::Unclear(why) if why.starts_with("That could not be read"));
        let said = all(b"1\n\xff\n\n2\n\xc3");
        assert_eq!((&said[0], &said[2], &said[3]), (&text("1"), &text(""), &text("2")));
        assert!(said.len() == 5 && unread(&said[1]) && unread(&said[4]), "{said:?}");
    }

    #[test]
    fn a_line_too_long_is_asked_for_again() {
        for long in ["a".repeat(ANSWER + 1), "a".repeat(9 * ANSWER), "汽".repeat(ANSWER + 1), "汽".repeat(4 * ANSWER)] {
            assert_eq!(all(format!("{long}\n1\n").as_bytes()), [too_long(), text("1")]);
        }
        let just = "🚗".repeat(ANSWER);
        assert_eq!(all(format!("{just}\r\n").as_bytes()), [text(&just)]);
    }
}
