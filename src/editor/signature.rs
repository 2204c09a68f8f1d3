//! How a clause or the head of a block is written, and which part of it somebody is typing.

use super::complete::{Header, above, typed};
use super::places::Lines;
use crate::syntax::{Keyword, Kind, Shape};
use lsp_types::{Documentation, ParameterInformation, ParameterLabel, Position, SignatureHelp, SignatureInformation};

/// The way to write what stands in the line of a place; none in a comment or a blank line.
pub fn help(lines: &Lines, place: Position) -> Option<SignatureHelp> {
    let before = typed(lines, place)?;
    let mut words = before.split_whitespace();
    let first = words.next()?;
    let (label, about, at) = match before.starts_with([' ', '\t']) {
        false => (head(first)?, String::new(), before.split_whitespace().count() - usize::from(!before.ends_with(' '))),
        true => {
            let block = above(lines, place.line as usize)?;
            let keyword = Keyword::from_word(first).filter(|k| *k != Keyword::Word)?;
            let rest = before.trim_start().strip_prefix(first)?;
            (signature(keyword), told(&block, keyword), 1 + part(keyword, rest))
        }
    };
    let parts = parts(&label);
    let active = (at.min(parts.len().saturating_sub(1))) as u32;
    let parameter =
        |[start, end]: &[u32; 2]| ParameterInformation { label: ParameterLabel::LabelOffsets([*start, *end]), documentation: None };
    let one = SignatureInformation {
        documentation: (!about.is_empty()).then_some(Documentation::String(about)),
        parameters: Some(parts.iter().map(parameter).collect()),
        active_parameter: Some(active),
        label,
    };
    Some(SignatureHelp { signatures: vec![one], active_signature: Some(0), active_parameter: Some(active) })
}

/// The head of a block.
fn head(first: &str) -> Option<String> {
    match first {
        "amend" => Some("amend KIND NAME".into()),
        word => Kind::from_word(word).map(|k| if k == Kind::Code { "code CODE [\"Title\"]".into() } else { format!("{k} NAME \"Title\"") }),
    }
}

/// Where a clause belongs and how often it may stand.
fn told(block: &Header, keyword: Keyword) -> String {
    let again = if keyword.repeats() { "may stand again" } else { "stands once" };
    let home = if block.kind.takes(keyword) || keyword == Keyword::Drop { "of" } else { "does not belong in" };
    format!("{home} {}; {again}", block.kind.one())
}

/// The words of a way to write, as places in it: the keyword is the first.
fn parts(label: &str) -> Vec<[u32; 2]> {
    let mut out = Vec::new();
    let mut at = 0;
    for word in label.split(' ') {
        // protocol offsets count units of UTF-16
        let length = word.encode_utf16().count();
        if !matches!(word, "" | "…" | "|" | "and" | "or" | "not" | "X" | "to" | "Y" | "below" | "above") {
            out.push([at as u32, (at + length) as u32]);
        }
        at += length + 1;
    }
    out
}

/// The number of the part that is being typed, from 0, after the keyword; `rest` is what stands behind it.
fn part(keyword: Keyword, rest: &str) -> usize {
    let piece = rest.rsplit(',').next().unwrap_or("");
    let whole = piece.split_whitespace().count() - usize::from(!piece.ends_with([' ', '\t']) && !piece.trim().is_empty());
    match keyword.shape() {
        // the finding is named once, before the first comma
        Shape::Pushes if rest.contains(',') => 1 + whole,
        Shape::Texts | Shape::Names | Shape::Condition | Shape::Window => 0,
        _ => whole,
    }
}

/// How a clause is written, with words in capitals for what is to be filled in.
pub fn signature(keyword: Keyword) -> String {
    let rest = match keyword.shape() {
        Shape::Flag => "",
        Shape::Texts => "\"…\", …",
        Shape::Names => "NAME, …",
        Shape::OneName => "NAME",
        Shape::Unit => "UNIT",
        Shape::Amount => "NUMBER UNIT",
        Shape::Number => "NUMBER",
        Shape::Chance => "CHANCE",
        Shape::Pushes => "FINDING [STATE] CHANCE, [STATE] CHANCE …",
        Shape::Strays => "[STATE] CHANCE, …",
        Shape::Links => "CAUSE CHANCE, …",
        Shape::Cures => "CAUSE [CHANCE], …",
        Shape::Proofs => "FINDING [STATE], …",
        Shape::Band => "NAME below X | X to Y | above X, …",
        Shape::Hazards => "NAME, … [on STATE, …]",
        Shape::Condition => "TRAIT and not TRAIT or (…)",
        Shape::Date => "YYYY-MM-DD",
        Shape::Hex => "0B",
        Shape::Suppression => "CODE because \"…\"",
        Shape::Removal => "CLAUSE …",
        Shape::Window => "A - B while CHANNEL X to Y and … for 2 s take median",
        Shape::Version => "\"…\"",
    };
    format!("{keyword} {rest}").trim_end().to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::editor::Encoding;

    fn active(text: &str) -> Option<String> {
        let lines = Lines::new(text, Encoding::Utf16);
        let help = help(&lines, lines.position(text.len()))?;
        let one = &help.signatures[0];
        let ParameterLabel::LabelOffsets([start, end]) = one.parameters.as_ref()?[help.active_parameter? as usize].label else {
            return None;
        };
        let units: Vec<u16> = one.label.encode_utf16().collect();
        String::from_utf16(&units[start as usize..end as usize]).ok()
    }

    #[test]
    fn the_part_being_typed_is_marked() {
        let within = |line: &str| active(&format!("cause c \"C\"\n  {line}"));
        for (line, part) in [
            ("shows ", "FINDING"),
            ("shows dim", "FINDING"),
            ("shows dim ", "[STATE]"),
            ("shows dim split ", "CHANCE,"),
            ("shows dim split often, ", "[STATE]"),
            ("brings d", "CAUSE"),
            ("brings d ", "CHANCE,"),
            ("prior ", "CHANCE"),
        ] {
            assert_eq!(within(line).as_deref(), Some(part), "{line}");
        }
        assert_eq!(active("check c \"C\"\n  takes 5 ").as_deref(), Some("UNIT"));
        assert_eq!(active("cause na").as_deref(), Some("NAME"));
        assert_eq!(active("amend cause ").as_deref(), Some("NAME"));
        assert_eq!(within("# shows "), None);
        assert_eq!(within("shoes "), None);
    }
}
