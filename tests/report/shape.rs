//! What a page is made of, read by parsers that follow the standards: HTML (WHATWG, by html5gum) and CommonMark (by pulldown-cmark).

use super::{READERS, of, report, sheet_of};
use crate::run::scratch;
use faultbook::report::job::{CustomerDocument, FileDocument, RoadDocument};
use html5gum::{Token, Tokenizer};
use pulldown_cmark::{Event, Options, Parser, Tag};

/// Start tags with their attributes, in order.
fn tags(html: &str) -> Vec<(String, Vec<(String, String)>)> {
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    let tokens = Tokenizer::new(html).flatten();
    let start = tokens.filter_map(|t| if let Token::StartTag(tag) = t { Some(tag) } else { None });
    start.map(|t| (text(&t.name), t.attributes.iter().map(|(k, v)| (text(k), text(v))).collect())).collect()
}

fn has(attributes: &[(String, String)], name: &str) -> bool {
    attributes.iter().any(|(k, v)| k == name && !v.is_empty())
}

/// A sheet whose every free word tries to be something else.
fn hostile(name: &str) -> String {
    let bad = r#"<script>x()</script> <img src=http://x.test/a onerror=x()> [a](http://x.test) **b** `c` | # d"#;
    let sheet = format!(
        "title = '{bad}'\n[vehicle]\nnote = '{bad}'\n[complaint]\nwords = '1. {bad}'\nyes = ['hot-in-queue']\ndone-before = ['- {bad}']\n\
         [[journal]]\nat = '{bad}'\nbook = '<b>'\nask = 'note'\nanswer = \"</style><svg onload=x()> \\u001b[31m\"\n\
         [[journal]]\nat = '2026-11-18T08:30:30Z'\nbook = '{bad}'\nask = '{bad}'\nanswer = '{bad}'\n\
         [closed]\nday = '{bad}'\ncauses = []\ncured = false\nreason = '{bad}'\n"
    );
    let path = scratch(name).join("job.toml");
    std::fs::write(&path, sheet).unwrap();
    path.to_str().unwrap().to_string()
}

#[test]
fn markup_in_a_sheet_is_harmless_in_html() {
    let sheet = hostile("report-hostile-html");
    for reader in READERS {
        let page = of(&sheet, reader, "html").out;
        assert!(!page.contains('\u{1b}'), "{reader}");
        for (tag, attributes) in tags(&page) {
            assert!(!["script", "img", "b", "iframe", "link"].contains(&tag.as_str()), "{reader}: <{tag}>");
            assert!(!attributes.iter().any(|(k, _)| k.starts_with("on") || k == "src"), "{reader}: <{tag}> {attributes:?}");
            let inside = attributes.iter().filter(|(k, _)| k == "href").all(|(_, v)| v.starts_with('#'));
            assert!(inside, "{reader}: {attributes:?}");
        }
        assert!(page.contains("&lt;script&gt;"), "{reader}: the words are still there to read");
    }
}

#[test]
fn markup_in_a_sheet_is_harmless_in_markdown() {
    let sheet = hostile("report-hostile-markdown");
    for reader in READERS {
        let page = of(&sheet, reader, "markdown").out;
        let mut words = String::new();
        for event in Parser::new_ext(&page, Options::ENABLE_TABLES) {
            let tag = matches!(
                &event,
                Event::Html(_) | Event::InlineHtml(_) | Event::Code(_) | Event::Start(Tag::Link { .. } | Tag::Image { .. })
            );
            assert!(!tag, "{reader}: {event:?}");
            if let Event::Text(text) = event {
                words.push_str(&text);
            }
        }
        assert!(words.contains("<script>x()</script>") && words.contains("**b** `c` | # d"), "{reader}: {words}");
    }
}

#[test]
fn a_page_can_be_read_by_ear() {
    for reader in READERS {
        let page = report(sheet_of(reader), reader, "html").out;
        let tags = tags(&page);
        let levels: Vec<u32> = tags.iter().filter_map(|(t, _)| t.strip_prefix('h').and_then(|n| n.parse().ok())).collect();
        assert_eq!(levels.iter().filter(|l| **l == 1).count(), 1, "{reader}: one main heading");
        assert!(levels[0] == 1 && levels.windows(2).all(|w| w[1] <= w[0] + 1), "{reader}: {levels:?}");
        let html = tags.iter().find(|(t, _)| t == "html").unwrap();
        assert!(has(&html.1, "lang"), "{reader}");
        let drawings = tags.iter().filter(|(t, _)| t == "svg");
        assert!(drawings.clone().all(|(_, a)| has(a, "role") && has(a, "aria-labelledby")), "{reader}");
        let ids: Vec<&String> = tags.iter().flat_map(|(_, a)| a.iter().filter(|(k, _)| k == "id").map(|(_, v)| v)).collect();
        for (_, attributes) in &tags {
            let named = attributes.iter().filter(|(k, _)| k == "aria-labelledby").flat_map(|(_, v)| v.split(' '));
            let linked = attributes.iter().filter(|(k, _)| k == "href").filter_map(|(_, v)| v.strip_prefix('#'));
            assert!(named.chain(linked).all(|id| ids.iter().filter(|i| **i == id).count() == 1), "{reader}: {attributes:?}");
        }
    }
}

/// A colour's relative luminance and the contrast of two: WCAG 2.2, "relative luminance" and "contrast ratio".
fn luminance(hex: &str) -> f64 {
    let channel = |at: usize| f64::from(u8::from_str_radix(&hex[at..at + 2], 16).unwrap()) / 255.0;
    let linear = |c: f64| if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) };
    0.2126 * linear(channel(1)) + 0.7152 * linear(channel(3)) + 0.0722 * linear(channel(5))
}

fn contrast(a: f64, b: f64) -> f64 {
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[test]
fn words_stand_out_from_their_ground() {
    // black on white is 21 by the definition itself
    assert!((contrast(luminance("#000000"), luminance("#ffffff")) - 21.0).abs() < 1e-9);
    let page = report("closed", "customer", "html").out;
    let colour = |name: &str| page.split(&format!("--{name}: ")).nth(1).unwrap()[..7].to_string();
    let pairs = [
        ("ink", vec!["paper", "good", "other", "alarm-paper", "care-paper"]),
        ("quiet", vec!["paper"]),
        ("link", vec!["paper", "press"]),
        ("alarm", vec!["alarm-paper"]),
    ];
    for (front, grounds) in pairs {
        for ground in grounds {
            let ratio = contrast(luminance(&colour(front)), luminance(&colour(ground)));
            assert!(ratio >= 4.5, "{front} on {ground}: {ratio:.1}, level AA wants 4.5");
        }
    }
}

#[test]
fn documents_keep_to_their_schema() {
    let schemas = [schemars::schema_for!(CustomerDocument), schemars::schema_for!(FileDocument), schemars::schema_for!(RoadDocument)];
    for (reader, schema) in READERS.iter().zip(schemas) {
        let document: serde_json::Value = serde_json::from_str(&report(sheet_of(reader), reader, "json").out).unwrap();
        let validator = jsonschema::validator_for(&serde_json::to_value(schema).unwrap()).unwrap();
        let wrong: Vec<String> = validator.iter_errors(&document).map(|e| e.to_string()).collect();
        assert!(wrong.is_empty(), "{reader}: {wrong:?}");
        assert_eq!(document["schema"], 1);
        let mut broken = document.clone();
        broken["title"] = 7.into();
        assert!(!validator.is_valid(&broken), "{reader}: the schema would take anything");
    }
}
