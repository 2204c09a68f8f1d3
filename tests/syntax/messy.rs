//! Rule files as somebody in a hurry types them: any white space, comments anywhere, broken lines.

use proptest::prelude::*;
use proptest::sample::select;

/// A file of blocks with every shape of clause.
pub fn file() -> impl Strategy<Value = String> {
    let part = prop_oneof![6 => block().boxed(), 1 => comment_line("").boxed(), 1 => Just("\n".to_string()).boxed()];
    proptest::collection::vec(part, 0..8).prop_map(|parts| parts.concat())
}

fn block() -> impl Strategy<Value = String> {
    let header = (select(HEADERS), name(), gap(), gap(), text(), trailing());
    header.prop_flat_map(|(kind, name, one, two, title, trailing)| {
        let head = format!("{kind}{one}{name}{two}{title}{trailing}\n");
        proptest::collection::vec(line(kind), 0..7).prop_map(move |lines| head.clone() + &lines.concat())
    })
}

const HEADERS: &[&str] = &["cause", "condition", "reading", "sign", "check", "fix", "trait", "scale"];

/// A clause of that kind of block, a comment, or a blank line.
fn line(kind: &'static str) -> impl Strategy<Value = String> {
    let clause = (select(vec![" ", "  ", "\t", "      "]), words(kind), trailing());
    let clause = clause.prop_map(|(indent, words, trailing)| format!("{indent}{words}{trailing}\n"));
    prop_oneof![8 => clause.boxed(), 1 => comment_line("   ").boxed(), 1 => Just("  \n".to_string()).boxed()]
}

/// A repeatable clause: its words with gaps between them.
fn words(kind: &'static str) -> BoxedStrategy<String> {
    let common = tokens(vec![word("note"), text().boxed()]);
    let own: BoxedStrategy<String> = match kind {
        "cause" | "condition" => prop_oneof![
            tokens(vec![word("shows"), name().boxed(), chance()]),
            tokens(vec![word("shows"), name().boxed(), name().boxed(), chance(), comma(), name().boxed(), chance()]),
            tokens(vec![word("brings"), name().boxed(), chance()]),
            tokens(vec![word("brings"), name().boxed(), chance(), comma(), name().boxed(), chance()]),
            tokens(vec![word("hazard"), name().boxed(), comma(), name().boxed()]),
        ]
        .boxed(),
        "reading" => prop_oneof![
            tokens(vec![word("band"), name().boxed(), word("below"), quantity()]),
            tokens(vec![word("band"), name().boxed(), quantity(), word("to"), quantity(), comma(), word("above"), quantity()]),
            tokens(vec![word("hazard"), name().boxed(), word("on"), name().boxed(), comma(), name().boxed()]),
        ]
        .boxed(),
        "sign" => tokens(vec![word("states"), name().boxed(), comma(), name().boxed(), comma(), name().boxed()]),
        "scale" => tokens(vec![name().boxed(), number(), word("%")]),
        "fix" => prop_oneof![
            tokens(vec![word("proof"), name().boxed(), name().boxed(), comma(), name().boxed()]),
            tokens(vec![word("cures"), name().boxed()]),
            tokens(vec![word("cures"), name().boxed(), chance(), comma(), name().boxed(), comma(), name().boxed(), chance()]),
        ]
        .boxed(),
        "check" => tokens(vec![word("reveals"), name().boxed(), comma(), name().boxed()]),
        _ => tokens(vec![word("excludes"), name().boxed()]),
    };
    let allow = tokens(vec![word("allow"), name().boxed(), word("because"), text().boxed()]);
    prop_oneof![6 => own, 1 => common, 1 => allow].boxed()
}

fn tokens(parts: Vec<BoxedStrategy<String>>) -> BoxedStrategy<String> {
    let gaps = proptest::collection::vec(gap(), parts.len());
    (parts, gaps)
        .prop_map(|(parts, gaps)| {
            let mut line = String::new();
            for (part, gap) in parts.iter().zip(&gaps) {
                // nothing need stand before a comma
                let gap = if line.is_empty() || (part == "," && gap == " ") { "" } else { gap };
                line = format!("{line}{gap}{part}");
            }
            line
        })
        .boxed()
}

fn gap() -> impl Strategy<Value = String> {
    select(vec![" ", "  ", "\t", "     ", " \\\n", " \\\n    ", "\t\\\r\n  "]).prop_map(str::to_string)
}

fn trailing() -> impl Strategy<Value = String> {
    prop_oneof![
        6 => Just(String::new()),
        1 => Just("   ".to_string()),
        2 => "[ \t]{1,3}#[ -~äµ]{0,20}[a-z]".prop_map(|s| s),
        1 => Just(" # it goes on \\\n   in the next line".to_string()),
    ]
}

fn comment_line(indent: &'static str) -> impl Strategy<Value = String> {
    "#[ -~ä\"]{0,20}[a-z]".prop_map(move |c| format!("{indent}{c}\n"))
}

fn word(word: &'static str) -> BoxedStrategy<String> {
    Just(word.to_string()).boxed()
}

fn comma() -> BoxedStrategy<String> {
    word(",")
}

/// Starts with `x`, so that it is no word of the language.
fn name() -> impl Strategy<Value = String> {
    "x[a-z0-9]{0,6}(-[a-z0-9]{1,9}){0,3}"
}

fn text() -> impl Strategy<Value = String> {
    "([ a-zA-Z0-9,#°ß()-]|\\\\\\\\|\\\\\"){0,60}".prop_map(|s| format!("\"{s}\""))
}

fn number() -> BoxedStrategy<String> {
    "-?[0-9]{1,4}(\\.[0-9]{1,3})?".boxed()
}

fn quantity() -> BoxedStrategy<String> {
    (number(), select(vec!["", "kPa", " kPa", "  V", "\tg/s", "%", " °C", "Ω"])).prop_map(|(n, u)| format!("{n}{u}")).boxed()
}

fn chance() -> BoxedStrategy<String> {
    prop_oneof![name().boxed(), ("[0-9]{1,2}", select(vec!["%", " %", "   %"])).prop_map(|(n, p)| format!("{n}{p}")).boxed()].boxed()
}
