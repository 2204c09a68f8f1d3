//! The one canonical layout: it says the same, it is stable, it keeps every comment.

use super::messy;
use faultbook::book::shipped;
use faultbook::syntax::{FileId, Unformatted, format, parse};
use proptest::prelude::*;

fn laid(text: &str) -> String {
    format(FileId(0), text).unwrap_or_else(|e| panic!("{e:?}\n{text}"))
}

/// All that is not white space, with the backslash of a broken line counted as white space: what a layout must not change.
/// It does not use the parser, so that a mistake there can't hide one here.
fn ink(text: &str) -> String {
    text.replace("\\\r\n", "").replace("\\\n", "").chars().filter(|c| !c.is_whitespace()).collect()
}

#[test]
fn columns_line_up() {
    let text = "\u{FEFF}reading boost-2500   \"Boost\"\n unit kPa\n accurate 3%\n band healthy 80 to 140\n band low below 80kPa\n\n\n\n\
        cause hose-split \"Hose split\" # the usual one\n when turbo and(diesel or petrol)\n shows P0299 usually\n\n # by hand\n shows charge-hose oily often,split usually#both\n\
        \x20brings soot often\n # to be looked at\n# Next\ntool a \"A\"\ntool b \"B\"\n\ntool c \"C\"\n# the end";
    let wanted = "\
reading boost-2500 \"Boost\"
  unit      kPa
  accurate  3 %
  band      healthy  80 to 140
  band      low      below 80 kPa

cause hose-split \"Hose split\"  # the usual one
  when    turbo and (diesel or petrol)
  shows   P0299        usually

  # by hand
  shows   charge-hose  oily often, split usually  #both
  brings  soot  often
  # to be looked at

# Next
tool a \"A\"
tool b \"B\"

tool c \"C\"

# the end
";
    assert_eq!(laid(text), wanted);
}

#[test]
fn long_lists_are_broken_and_prose_is_not() {
    let prose = "x".repeat(150);
    let heard: Vec<String> = (0..12).map(|i| format!("\"words of a customer {i}\"")).collect();
    let text = format!("symptom low-power \"Low power\"\n  heard {}\n  note \"{prose}\"\n", heard.join(","));
    let out = laid(&text);
    assert!(out.lines().all(|l| l.chars().count() <= 120 || l.contains(&prose)), "{out}");
    assert_eq!(out.lines().filter(|l| l.ends_with(" \\")).count(), 2, "{out}");
    assert_eq!(ink(&out), ink(&text));
}

#[test]
fn brackets_stand_only_where_they_mean_something() {
    let text = "sign a \"A\"\n  when (a) and ((b or c)) and not (not d) or (e and f)\n\
        reading b \"B\"\n  unit kPa\n  from ((x - y)) - (z - 2) * (3 + x) / (x * y) while rpm 2300 to 2700 and x above 2 for 2s take median\n";
    let wanted = "  when  a and (b or c) and not (not d) or e and f\n";
    let window = "  from  x - y - (z - 2) * (3 + x) / (x * y) while rpm 2300 to 2700 and x above 2 for 2 s take median\n";
    let out = laid(text);
    assert!(out.contains(wanted) && out.contains(window), "{out}");
}

#[test]
fn line_ends_are_kept() {
    assert_eq!(laid("tool a \"A\"\r\n note \"n\"\r\n\r\n\r\n"), "tool a \"A\"\r\n  note  \"n\"\r\n");
    assert_eq!(laid(""), "");
    assert_eq!(laid("\n\n \n"), "");
    assert_eq!(laid("# only a comment"), "# only a comment\n");
}

#[test]
fn what_cannot_be_read_is_left_alone() {
    let text = "tool a \"A\n  note \"n\"\ncause b \"B\"\n  shows\n";
    let Err(Unformatted::Broken(remarks)) = format(FileId(0), text) else { panic!("it was laid out") };
    assert_eq!(remarks, parse(FileId(0), text).1);
    assert_eq!(remarks.len(), 2);
}

#[test]
fn shipped_files_keep_every_word_and_comment() {
    let files = shipped::files();
    assert!(files.len() > 5);
    for (name, text) in files {
        let out = laid(text);
        assert_eq!(ink(&out), ink(text), "{name}");
        assert_eq!(laid(&out), out, "{name}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn generated_files_keep_every_word_and_comment(text in messy::file()) {
        let (_, remarks) = parse(FileId(0), &text);
        prop_assert!(remarks.is_empty(), "the generator wrote nonsense: {remarks:?}\n{text}");
        let out = laid(&text);
        prop_assert_eq!(ink(&out), ink(&text));
        prop_assert_eq!(laid(&out), out);
    }

    /// However broken a text is, the formatter ends with a layout or with remarks, and never with a doubt about itself.
    #[test]
    fn any_text_is_laid_out_or_left_alone(text in "([a-z#\"\\\\,(%]|[ -~]|\n|\n  |\u{FEFF}|ä){0,80}") {
        prop_assert_ne!(format(FileId(0), &text), Err(Unformatted::Unproven));
    }

    #[test]
    fn a_cut_file_is_laid_out_or_left_alone((text, at) in messy::file().prop_flat_map(|t| { let n = t.len(); (Just(t), 0..=n) })) {
        let at = (0..=at).rev().find(|i| text.is_char_boundary(*i)).unwrap_or(0);
        prop_assert_ne!(format(FileId(0), &text[..at]), Err(Unformatted::Unproven));
    }
}
