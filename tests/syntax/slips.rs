//! Slips of the keyboard, of the word processor and of other languages: each is named, in its place, with what to write.

use faultbook::syntax::{Sources, parse};

/// A slip: the rules, the line and column of the remark, what it says, what it says to do.
const SLIPS: &[(&str, (usize, usize), &str, &str)] = &[
    ("symptom dim “Lamps dim”", (1, 13), "a curly quote (U+201C)", "straight quotes"),
    ("symptom dim \"Lamps dim”", (1, 23), "a curly quote (U+201D)", "straight quotes"),
    ("symptom dim \"Dim\"\n  ask „Do they dim?“", (2, 7), "a curly quote (U+201E)", "straight quotes"),
    ("symptom dim ‘Lamps dim’", (1, 13), "a curly quote (U+2018)", "straight quotes"),
    ("symptom dim 'Lamps dim'", (1, 13), "prose stands in double quotes", "write `\"Lamps dim\"`"),
    ("reading r \"R\"\n  unit V\n  band ok above 12,5", (3, 17), "`12,5` is no number", "write `12.5`"),
    ("access a \"A\"\n  takes 1,5 min", (2, 9), "`1,5` is no number", "write `1.5`"),
    ("cause c \"C\"\n  prior 0,5 %", (2, 9), "`0,5` is no number", "write `0.5`"),
    ("fix f \"F\"\n  parts 1,250", (2, 9), "`1,250` is no number", "`1250` if thousands are meant"),
    ("symptom dim\u{200B}-lamps \"Dim\"", (1, 12), "can't be seen (U+200B)", "take it out"),
    ("symptom dim \"Dim\"\n  \u{200B}ask \"x\"", (2, 3), "can't be seen (U+200B)", "take it out"),
    ("\u{200B}symptom dim \"Dim\"", (1, 1), "can't be seen (U+200B)", "take it out"),
    ("symptom dim\u{A0}\"Dim\"", (1, 12), "a space that does not part words (U+00A0)", "type it anew"),
    ("access a \"A\"\n  takes 5\u{A0}min", (2, 10), "a space that does not part words (U+00A0)", "type it anew"),
    ("symptom dim \"Dim\"\n\u{A0}\u{A0}ask \"x\"", (2, 3), "indented with U+00A0", "indented"),
    ("reading r \"R\"\n  unit degC\n  band ok below –5", (3, 17), "a long dash (U+2013)", "type it anew"),
    ("symptom geräusch \"Noise\"", (1, 12), "`ä` can't stand in a name", "write `geraeusch`"),
    ("check c \"C\"\n  reveals geräusch", (2, 14), "`ä` can't stand in a name", "write `geraeusch`"),
    (
        "symptom dim \"D\"\n  ask \"x\"\n  sign strap \"Strap\"\n    ask \"y\"",
        (3, 3),
        "`sign` opens a block, and this line is indented",
        "column 1",
    ),
    ("symptom dim \"D\"\nask \"x\"", (2, 1), "`ask` is a clause, and this line is not indented", "are indented"),
    ("cause c \"C\"\nprior 1 %\n  shows dim 5 %", (2, 1), "`prior` is a clause", "are indented"),
    ("symptom dim \"D\"\n  ask \"one\\ntwo\"", (2, 11), "`\\n` means nothing in prose", "a second clause"),
    ("symptom dim \"D\"\n  ask \"C:\\temp\"", (2, 10), "`\\t` means nothing in prose", "write two"),
    ("fix f \"F\"\n  parts 260 EUR", (2, 13), "`EUR` does not belong to an amount", "write `260`"),
    ("fix f \"F\"\n  parts EUR 260", (2, 9), "`EUR` does not belong to an amount", "write `260`"),
    ("fix f \"F\"\n  parts €260", (2, 9), "`€` does not belong to an amount", "write `260`"),
    ("cause c \"C\"\n  prior 1 in 50", (2, 9), "`1 in 50` is no chance", "write `2 %`"),
    ("cause c \"C\"\n  prior 1/50", (2, 9), "`1/50` is no chance", "write `2 %`"),
    ("cause c \"C\"\n  shows dim 0.9", (2, 13), "`0.9` lacks its `%`", "`90 %`, or `0.9 %` if so little is meant"),
    ("cause c \"C\"\n  brings d 90", (2, 12), "`90` lacks its `%`", "write `90 %`"),
    ("cause c \"C\"\n  stray 0.9", (2, 3), "`stray` does not belong in a `cause`", ""),
    ("// my rules\nsymptom dim \"D\"", (1, 1), "`//` starts no comment", "`#`"),
    ("symptom dim \"D\" // mine", (1, 17), "`//` starts no comment", "`#`"),
    ("symptom dim \"D\"\n  // mine", (2, 3), "`//` starts no comment", "`#`"),
    ("/* my rules */", (1, 1), "`/*` starts no comment", "`#`"),
    ("symptom dim \"D\";", (1, 16), "`;` ends nothing here", "take it out"),
    ("symptom dim \"D\"\n  ask: \"x\"", (2, 6), "`:` does not belong after a keyword", "a space"),
    ("symptom dim \"D\"\n  ask = \"x\"", (2, 7), "`=` does not belong after a keyword", "a space"),
    ("check c \"C\"\n  state a", (2, 3), "`state` is no clause", "a `check` takes"),
    ("access a \"A\"\n  prior 1 %", (2, 3), "`prior` does not belong in an `access`", "an `access` takes"),
];

#[test]
fn each_is_named_in_its_place() {
    let mut bad = Vec::new();
    for (rules, place, says, does) in SLIPS {
        let mut sources = Sources::default();
        let (_, remarks) = parse(sources.add("slip.rules", *rules), rules);
        let told: Vec<_> = remarks
            .iter()
            .map(|r| (sources.line_column(r.span().unwrap()), r.message.clone(), r.help.clone().unwrap_or_default()))
            .collect();
        let one = told.len() == 1 && told[0].0 == *place && told[0].1.contains(says) && told[0].2.contains(does);
        if !one {
            bad.push(format!("{rules:?}\n  wanted {place:?} {says} … {does}\n  told   {told:?}"));
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}

#[test]
fn prose_that_is_too_long_is_told_how_much_may_be() {
    let rules = format!("symptom dim \"Dim\"\n  ask \"{}\"\n", "x".repeat(300_000));
    let (_, remarks) = parse(Sources::default().add("long.rules", rules.clone()), &rules);
    assert_eq!(remarks.len(), 1);
    assert_eq!(
        (remarks[0].message.as_str(), remarks[0].labels[0].text.as_str()),
        ("this clause is too long", "50000 bytes at most, and these are 300003")
    );
}

/// What a hint puts right is right.
#[test]
fn their_edits_leave_nothing_to_remark_on() {
    let mut tried = 0;
    for (rules, ..) in SLIPS {
        let mut sources = Sources::default();
        let file = sources.add("slip.rules", *rules);
        let (_, remarks) = parse(file, rules);
        if remarks.iter().any(|r| r.edits.is_empty()) {
            continue;
        }
        // a second curly quote or no-break space in the line may come to light with the first one gone
        let mut text = (*rules).to_string();
        for _ in 0..4 {
            let (_, left) = parse(file, &text);
            text = faultbook::lint::apply(file, &text, &left).text;
        }
        let (_, left) = parse(file, &text);
        assert!(left.is_empty(), "{rules:?} -> {text:?}: {left:?}");
        tried += 1;
    }
    assert!(tried > 15, "{tried}");
}

/// A remark on any character anywhere marks whole characters: a page can show it.
#[test]
fn a_remark_never_marks_half_a_character() {
    let rules = "book b \"B\"\nsymptom dim \"Dim\"\n  ask \"Is it?\"\ncause c \"C\"\n  prior 1 %\n  shows dim 80 %, dim 5 %\n  when a and (b or not c)\n";
    for odd in ['\u{A0}', '\u{200B}', 'ä', '“', '€', '注', '\u{FEFF}', '\u{2212}', '\\', '"', ',', '(', '#', '\u{1F527}'] {
        for at in 0..=rules.len() {
            let text = format!("{}{odd}{}", &rules[..at], &rules[at..]);
            let mut sources = Sources::default();
            let (_, remarks) = parse(sources.add("odd.rules", text.clone()), &text);
            for remark in &remarks {
                for span in remark.labels.iter().map(|l| l.span).chain(remark.edits.iter().map(|e| e.span)) {
                    assert!(text.get(span.start as usize..span.end as usize).is_some(), "{odd:?} at {at}: {remark:?}");
                }
            }
            faultbook::report::remarks::text(&remarks, &sources, faultbook::report::remarks::Look { width: 60, colour: false });
        }
    }
}
