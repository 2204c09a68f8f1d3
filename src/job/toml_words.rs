//! What the TOML reader says -> what a person can do with it: the line, what is wrong in plain words, and what may stand there.

use super::input::InputError;
use crate::syntax::nearest;

/// The mistake in the text of a file; `shows` names the page that shows a whole one.
pub fn toml_mistake(name: &str, text: &str, error: &toml::de::Error, shows: &str) -> InputError {
    let message = error.message().lines().next().unwrap_or_default();
    let (what, help) = plain(message);
    let help = help.unwrap_or_else(|| format!("correct the place named; {shows}"));
    let Some(start) = error.span().map(|s| s.start).or_else(|| key_at(text, message)) else { return InputError::new(name, what, help) };
    let before = text.get(..start).unwrap_or(text);
    let line = before.matches('\n').count() + 1;
    let shown = text.lines().nth(line - 1).unwrap_or_default();
    InputError::new(format!("{name}, line {line}"), format!("{what}\n  {line} | {}", clipped(shown)), help).at_line(line)
}

/// Where a key that has no place stands: what is taken over from a table that was read has lost its places.
fn key_at(text: &str, message: &str) -> Option<usize> {
    let key = message.strip_prefix("unknown field `")?.split('`').next()?;
    let opens = |line: &&str| line.strip_prefix(key).is_some_and(|rest| rest.trim_start().starts_with('='));
    let line = text.lines().find(opens)?;
    // `lines` gives parts of the text itself
    Some(line.as_ptr() as usize - text.as_ptr() as usize)
}

/// Enough of a line to know it by.
fn clipped(line: &str) -> String {
    const MOST: usize = 70;
    let line = line.trim_end();
    if line.chars().count() <= MOST { line.into() } else { line.chars().take(MOST).chain(['…']).collect() }
}

/// The message in our words, and the help that belongs to it. What is not known here is left as the reader says it.
fn plain(message: &str) -> (String, Option<String>) {
    let quoted: Vec<&str> = message.split('`').skip(1).step_by(2).collect();
    if let (true, [key, known @ ..]) = (message.starts_with("unknown field") || message.starts_with("unknown variant"), &quoted[..]) {
        let near = nearest(key, known.iter().copied()).map_or(String::new(), |n| format!("did you mean `{n}`? "));
        return (format!("`{key}` has no place here"), Some(format!("{near}what may stand here: {}", known.join(", "))));
    }
    if let (true, [key, ..]) = (message.starts_with("missing field"), &quoted[..]) {
        return (format!("`{key}` is missing"), None);
    }
    if message.starts_with("duplicate key") {
        return ("this is given twice".into(), Some("keep one of the two".into()));
    }
    match message.strip_prefix("invalid type: ").and_then(|rest| rest.split_once(", expected ")) {
        Some((given, wanted)) => {
            let (wanted, example) = kind(wanted);
            (format!("{wanted} is wanted here, not {}", kind(given).0), example.map(|e| format!("write {e}")))
        }
        None => (message.to_string(), None),
    }
}

/// A type of the reader's in the words of people, with an example.
fn kind(reader: &str) -> (String, Option<&'static str>) {
    let (word, rest) = reader.split_once(' ').unwrap_or((reader, ""));
    let named = |what: &str| if rest.is_empty() { what.to_string() } else { format!("{what} {rest}") };
    match word {
        "sequence" => ("a list".into(), Some("a list in brackets: `[\"one\", \"two\"]`")),
        "a" if rest == "sequence" => ("a list".into(), Some("a list in brackets: `[\"one\", \"two\"]`")),
        "a" if rest == "string" => ("text".into(), Some("it in quotes: `\"text\"`")),
        "a" if rest == "boolean" => ("`true` or `false`".into(), Some("`true` or `false`, without quotes")),
        "a" if rest == "map" => ("a table".into(), None),
        "string" => (named("the text"), None),
        "integer" => (named("the number"), None),
        "floating" => (format!("the number {}", rest.trim_start_matches("point ")), None),
        "boolean" => (rest.to_string(), None),
        "map" | "struct" => ("a table".into(), Some("`key = value` lines below a heading in brackets")),
        "f64" | "usize" | "u32" | "u64" => ("a number".into(), Some("a number without quotes, such as `60`")),
        _ => (reader.to_string(), None),
    }
}

#[cfg(test)]
mod tests {
    use super::super::JobSheet;
    use super::*;

    fn wrong(text: &str) -> String {
        toml_mistake("job.toml", text, &toml::from_str::<JobSheet>(text).unwrap_err(), "the page").to_string()
    }

    #[test]
    fn mistakes_are_told_in_the_words_of_people() {
        for (text, said) in [
            ("[scan]\ncodes = \"P0299\"\n", ["job.toml, line 2: a list is wanted here, not the text \"P0299\"", "`[\"one\", \"two\"]`"]),
            ("[complaint]\nword = \"x\"\n", ["`word` has no place here", "did you mean `words`?"]),
            ("[complaints]\nwords = \"x\"\n", ["`complaints` has no place here", "did you mean `complaint`?"]),
            ("[scan]\ncodes = [{ code = \"P0299\", status = \"old\" }]\n", ["code in quotes", "history"]),
            ("[readings]\nboost = true\n", ["line 2", "a reading in quotes"]),
            ("title = \"a\"\ntitle = \"b\"\n", ["job.toml, line 2: this is given twice", "keep one"]),
            ("title = 5\n", ["text is wanted here, not the number `5`", "in quotes"]),
            ("[[journal]]\nat = \"x\"\n", ["is missing", "the page"]),
            ("title = \"ü\n", ["line 1", "the page"]),
        ] {
            let found = wrong(text);
            assert!(said.iter().all(|s| found.contains(s)), "{found}");
            assert!(!found.contains("enum") && !found.contains("struct") && !found.contains("untagged"), "{found}");
        }
    }
}
