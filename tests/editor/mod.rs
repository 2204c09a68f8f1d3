//! The language server, over the pipes of a real child: what an editor asks while somebody types.

mod client;

use client::{Client, position, uri};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

const RULES: &str = r#"# The yard's rules.
book yard "Our yard"
  version   "1"
  reviewed  2026-11-25
  keeper    "the foreman"
  stray     1 %

scale sure "How surely"
  stands-at  shows, brings, cures
  mostly     80 %

scale common "How common"
  stands-at     prior, stray
  now-and-then  0.3 %

symptom no-pull "Does not pull – ever"
  ask  "Does it pull as it should?"

sign hose "Charge-air hose"
  states  tight, split

cause hose-split "Charge-air hose split"
  prior  now-and-then
  shows  no-pull  mostly
  shows  hose     split 95 %

check look "Look the hose over"
  takes    5 min
  reveals  hose

fix renew "Renew the hose"
  takes  30 min
  parts  45
  cures  hose-split
  proof  hose tight
"#;

const CASE: &str = "title = \"hose-split\"\n[signs]\nhose = \"split\"\n[expect]\ncauses = [\"hose-split\"]\nfirst-check = [\"look\"]\n";

/// A folder with a book in it, and the path of its rules.
fn yard(rules: &str) -> (tempfile::TempDir, PathBuf) {
    let folder = crate::cli::folder(&[("yard/yard.rules", rules.as_bytes()), ("yard/cases/hose.toml", CASE.as_bytes())]);
    let path = folder.path().canonicalize().unwrap().join("yard/yard.rules");
    (folder, path)
}

fn opened(rules: &str) -> (tempfile::TempDir, PathBuf, Client) {
    let (folder, path) = yard(rules);
    let mut client = Client::new(path.parent().unwrap().parent().unwrap());
    client.open(&path, rules);
    (folder, path, client)
}

fn labels(items: &Value) -> Vec<&str> {
    items.as_array().unwrap().iter().map(|i| i["label"].as_str().unwrap()).collect()
}

fn of_file(path: &Path) -> Value {
    json!({ "textDocument": { "uri": uri(path) } })
}

#[test]
fn remarks_come_and_go_as_somebody_types() {
    let (_folder, path, mut client) = opened(RULES);
    let first = client.next_remarks(&path);
    let place = position(RULES, "cures  hose-|split");
    let range = json!({ "start": place, "end": place });
    client.change(&path, json!([{ "range": range, "text": "x" }]));
    let broken = client.next_remarks(&path);
    let error = broken.iter().find(|r| r["severity"] == 1).unwrap_or_else(|| panic!("{broken:?}"));
    assert!(error["code"].as_str().unwrap().contains("unknown-name"), "{error}");
    assert!(error["message"].as_str().unwrap().contains("did you mean `hose-split`?"), "{error}");
    let end = json!({ "line": place["line"], "character": place["character"].as_u64().unwrap() + 1 });
    client.change(&path, json!([{ "range": { "start": place, "end": end }, "text": "" }]));
    assert_eq!(client.next_remarks(&path), first);
    assert_eq!(client.leave(), Some(0));
}

#[test]
fn a_name_is_explained_found_and_renamed() {
    let (_folder, path, mut client) = opened(RULES);
    let hover = client.at("textDocument/hover", &path, RULES, "cures  hose|-split");
    let told = hover["contents"]["value"].as_str().unwrap();
    assert!(told.contains("Charge-air hose split") && told.contains("0.3 % of the vehicles"), "{told}");
    let hover = client.at("textDocument/hover", &path, RULES, "no-pull  mos|tly");
    assert!(hover["contents"]["value"].as_str().unwrap().contains("80 %"), "{hover}");
    let hover = client.at("textDocument/hover", &path, RULES, "cur|es  hose-split");
    assert!(hover["contents"]["value"].as_str().unwrap().contains("cures CAUSE [CHANCE]"), "{hover}");
    let defined = client.at("textDocument/definition", &path, RULES, "cures  hose|-split");
    assert_eq!(defined["range"]["start"], position(RULES, "cause |hose-split"));
    let state = client.at("textDocument/definition", &path, RULES, "proof  hose ti|ght");
    assert_eq!(state["range"]["start"], position(RULES, "states  |tight"));
    let mut params = of_file(&path);
    params["position"] = position(RULES, "sign ho|se");
    params["context"] = json!({ "includeDeclaration": false });
    assert_eq!(client.ask("textDocument/references", params.clone()).as_array().unwrap().len(), 3);
    params["newName"] = json!("charge-hose");
    let edits = client.ask("textDocument/rename", params.clone());
    let own = edits["changes"][uri(&path)].as_array().unwrap();
    assert_eq!(own.len(), 4, "{edits}");
    let case = edits["changes"][uri(&path.parent().unwrap().join("cases/hose.toml"))].as_array().unwrap().clone();
    assert_eq!(case.len(), 1, "the key, and not the cause or the title: {case:?}");
    for wrong in ["Charge hose", "hose--x", "look", "é"] {
        params["newName"] = json!(wrong);
        assert!(client.answer("textDocument/rename", params.clone())["error"]["message"].is_string(), "{wrong}");
    }
}

#[test]
fn what_fits_is_offered_by_place() {
    let (_folder, path, mut client) = opened(RULES);
    let mut offered = |text: &str, place: &str| {
        client.change(&path, json!([{ "text": text }]));
        let items = client.at("textDocument/completion", &path, text, place);
        labels(&items).into_iter().map(String::from).collect::<Vec<_>>()
    };
    let with = |line: &str| RULES.replace("  cures  hose-split\n", &format!("{line}\n  cures hose-split\n"));
    let has = |all: Vec<String>, wanted: &[&str], not: &[&str]| {
        wanted.iter().for_each(|w| assert!(all.iter().any(|a| a == w), "{w} is not among {all:?}"));
        not.iter().for_each(|w| assert!(all.iter().all(|a| a != w), "{w} is among {all:?}"));
    };
    has(offered(&with("  "), "45\n  |\n"), &["cures", "proof", "note"], &["shows", "prior"]);
    has(offered(&with("  proof "), "45\n  proof |\n"), &["hose", "no-pull"], &["look", "hose-split"]);
    has(offered(&with("  proof hose "), "45\n  proof hose |\n"), &["tight", "split"], &["hose"]);
    has(offered(&with("  cures hose-split "), "45\n  cures hose-split |\n"), &["mostly"], &["now-and-then"]);
    has(offered(&with("  then "), "45\n  then |\n"), &[], &["hose"]);
    has(offered(&with("  takes 5 "), "45\n  takes 5 |\n"), &["min", "h"], &["kPa"]);
    let cause = |line: &str| RULES.replace("  prior  now-and-then\n", &format!("{line}\n"));
    has(offered(&cause("  prior "), "\n  prior |\n"), &["now-and-then"], &["mostly"]);
    has(offered(&cause("  shows P0"), "\n  shows P0|\n"), &["P0299", "hose"], &["look"]);
    has(offered(&cause("  shows hose split mostly, "), "split mostly, |\n"), &["tight", "split", "mostly"], &["look"]);
    has(offered(&format!("{RULES}\n\ncode "), "\ncode |"), &["P0299"], &["hose"]);
    has(offered(&format!("{RULES}\n\nam"), "\n\nam|"), &["amend", "cause"], &["prior"]);
    has(offered(&with("  note \"pro"), "\n  note \"pro|\n"), &[], &["proof"]);
}

#[test]
fn a_file_has_an_outline_colours_folds_hints_and_a_layout() {
    let (_folder, path, mut client) = opened(RULES);
    let symbols = client.ask("textDocument/documentSymbol", of_file(&path));
    let names: Vec<&str> = symbols.as_array().unwrap().iter().map(|s| s["name"].as_str().unwrap()).collect();
    assert_eq!(names, ["yard", "sure", "common", "no-pull", "hose", "hose-split", "look", "renew"]);
    assert_eq!(client.ask("workspace/symbol", json!({ "query": "charge-air" })).as_array().unwrap().len(), 2);
    assert_eq!(client.ask("textDocument/foldingRange", of_file(&path)).as_array().unwrap().len(), 8);
    let mut params = of_file(&path);
    params["range"] = json!({ "start": { "line": 0, "character": 0 }, "end": { "line": 999, "character": 0 } });
    let hints = client.ask("textDocument/inlayHint", params.clone());
    assert_eq!(labels(&hints), ["0.3 %", "80 %"]);
    let data = client.ask("textDocument/semanticTokens/full", of_file(&path))["data"].as_array().unwrap().clone();
    let coloured = words(RULES, &data);
    for (word, what) in [
        ("cause", 0),
        ("hose-split", 1),
        ("prior", 2),
        ("split", 3),
        ("mostly", 4),
        ("95 %", 4),
        ("\"Our yard\"", 5),
        ("# The yard's rules.", 6),
    ] {
        assert!(coloured.contains(&(word.to_string(), what)), "{word}: {coloured:?}");
    }
    assert_eq!(client.ask("textDocument/formatting", of_file(&path)), json!([]));
    let wide = RULES.replace("  takes    5 min", "     takes 5    min").replace("  takes  30 min", " takes   30 min");
    client.change(&path, json!([{ "text": wide }]));
    let edits = client.ask("textDocument/formatting", of_file(&path));
    assert_eq!(edits.as_array().unwrap().len(), 2, "{edits}");
    let line = position(&wide, "    |takes 5")["line"].clone();
    params["range"] = json!({ "start": { "line": line, "character": 0 }, "end": { "line": line, "character": 3 } });
    let edits = client.ask("textDocument/rangeFormatting", params);
    assert_eq!(edits[0]["newText"], "  takes    5 min\n", "{edits}");
}

/// The words of a text as they are coloured: five numbers each, from the one before (3.17, `textDocument/semanticTokens`).
fn words(text: &str, data: &[Value]) -> Vec<(String, u64)> {
    let (mut line, mut column) = (0, 0);
    let lines: Vec<Vec<u16>> = text.lines().map(|l| l.encode_utf16().collect()).collect();
    let numbers: Vec<usize> = data.iter().map(|n| n.as_u64().unwrap() as usize).collect();
    let one = |n: &[usize]| {
        (line, column) = if n[0] == 0 { (line, column + n[1]) } else { (line + n[0], n[1]) };
        (String::from_utf16(&lines[line][column..column + n[2]]).unwrap(), n[3] as u64)
    };
    numbers.chunks(5).map(one).collect()
}

#[test]
fn a_slip_can_be_put_right_with_one_key() {
    let rules = RULES.replace("\"Renew the hose\"", "“Renew the hose”").replace("  cures  hose-split", "  cures  hose-spilt");
    let (_folder, path, mut client) = opened(&rules);
    let mut offers = |place: &str| {
        let at = position(&rules, place);
        let mut params = of_file(&path);
        params["range"] = json!({ "start": at, "end": at });
        params["context"] = json!({ "diagnostics": [] });
        client.ask("textDocument/codeAction", params).as_array().unwrap().clone()
    };
    let quotes = offers("fix ren|ew");
    assert_eq!(quotes[0]["edit"]["changes"][uri(&path)].as_array().unwrap().len(), 2, "{quotes:?}");
    let rules = RULES.replace("  cures  hose-split", "  cures  hose-spilt");
    client.change(&path, json!([{ "text": rules }]));
    let at = position(&rules, "cures  hose|-spilt");
    let mut params = of_file(&path);
    params["range"] = json!({ "start": at, "end": at });
    params["context"] = json!({ "diagnostics": [] });
    let meant = client.ask("textDocument/codeAction", params);
    assert_eq!(meant[0]["edit"]["changes"][uri(&path)][0]["newText"], "hose-split", "{meant}");
}

/// A rule over the book that ships: its names lead into a copy that can be read and not changed.
#[test]
fn the_book_that_ships_can_be_read_and_not_changed() {
    let rules = "book own \"Own\"\n  over faultbook\n\namend cause charge-hose-split\n  prior 2 %\n";
    let (_folder, path, mut client) = opened(rules);
    let defined = client.at("textDocument/definition", &path, rules, "cause charge|-hose-split");
    let file = PathBuf::from(defined["uri"].as_str().unwrap().strip_prefix("file://").unwrap());
    let text = std::fs::read_to_string(&file).unwrap();
    let line = text.lines().nth(defined["range"]["start"]["line"].as_u64().unwrap() as usize).unwrap();
    assert!(line.starts_with("cause charge-hose-split "), "{line}");
    assert!(std::fs::metadata(&file).unwrap().permissions().readonly());
    let mut params = of_file(&path);
    params["position"] = position(rules, "cause charge|-hose-split");
    params["newName"] = json!("hose-torn");
    let told = client.answer("textDocument/rename", params);
    assert!(told["error"]["message"].as_str().unwrap().contains("not yours to change"), "{told}");
    assert!(client.memory().is_none_or(|kib| kib < 300 << 10), "{:?} KiB", client.memory());
}

#[test]
fn sheets_cases_and_settings_are_judged() {
    let (_folder, path, mut client) = opened(RULES);
    let case = path.parent().unwrap().join("cases/hose.toml");
    client.open(&case, &CASE.replace("causes = ", "cuases = "));
    let found = client.next_remarks(&case);
    assert!(found[0]["message"].as_str().unwrap().contains("cuases"), "{found:?}");
    client.change(&case, json!([{ "text": CASE }]));
    assert_eq!(client.next_remarks(&case), Vec::<Value>::new());
    let settings = path.parent().unwrap().join("faultbook.toml");
    client.open(&settings, "rate = 60\nrat = 5\n");
    assert_eq!(client.next_remarks(&settings)[0]["range"]["start"]["line"], 1);
}

/// A file broken at every byte, by an end, by an odd character, by a hole: there is always an answer.
#[test]
fn broken_text_never_stops_it() {
    let (_folder, path, mut client) = opened(RULES);
    let ends: Vec<usize> = (0..=RULES.len()).filter(|at| RULES.is_char_boundary(*at)).collect();
    for (i, at) in ends.iter().enumerate() {
        let hole = RULES[*at..].char_indices().nth(7).map_or(RULES.len(), |(n, _)| at + n);
        let text = match i % 3 {
            0 => RULES[..*at].to_string(),
            1 => format!("{}{}{}", &RULES[..*at], ['"', '\u{200B}', '\\', '“', '\u{1F527}', '('][i % 6], &RULES[*at..]),
            _ => format!("{}{}", &RULES[..*at], &RULES[hole..]),
        };
        client.change(&path, json!([{ "text": text }]));
        let line = text[..*at.min(&text.len())].matches('\n').count();
        let mut params = of_file(&path);
        params["position"] = json!({ "line": line, "character": i % 20 });
        params["range"] = json!({ "start": { "line": line, "character": 0 }, "end": { "line": line + 1, "character": 0 } });
        params["context"] = json!({ "diagnostics": [] });
        for method in
            ["hover", "completion", "definition", "codeAction", "documentSymbol", "semanticTokens/full", "inlayHint", "formatting"]
        {
            let answer = client.answer(&format!("textDocument/{method}"), params.clone());
            assert!(answer.get("result").is_some() || answer["error"]["message"].is_string(), "{method} at {at}: {answer}");
        }
    }
    assert_eq!(client.leave(), Some(0));
}

#[test]
fn it_can_be_killed_and_begun_again() {
    let (_folder, path, client) = opened(RULES);
    client.kill();
    let mut again = Client::new(path.parent().unwrap());
    again.open(&path, RULES);
    assert!(again.next_remarks(&path).iter().all(|r| r["severity"] != 1));
    assert!(again.hang_up().is_some(), "it ends by itself when the editor is gone");
}

#[test]
fn a_file_of_twenty_thousand_lines_is_answered() {
    use std::fmt::Write;
    let mut rules = RULES.to_string();
    for i in 0..4000 {
        write!(rules, "\nsign s{i} \"S {i}\"\n  states  firm, torn\n  ask     \"Is it torn?\"\n").unwrap();
    }
    assert!(rules.lines().count() > 16_000 && rules.len() > 200_000);
    for i in 0..1000 {
        write!(rules, "\ntool t{i} \"T {i}\"\n  note  \"n\"\n  note  \"m\"\n").unwrap();
    }
    assert!(rules.lines().count() > 20_000);
    let (_folder, path, mut client) = opened(&rules);
    assert_eq!(client.ask("textDocument/documentSymbol", of_file(&path)).as_array().unwrap().len(), 5008);
    let end = json!({ "line": rules.lines().count(), "character": 0 });
    client.change(&path, json!([{ "range": { "start": end, "end": end }, "text": "\nsign last \"Last\"\n" }]));
    assert_eq!(client.ask("textDocument/documentSymbol", of_file(&path)).as_array().unwrap().len(), 5009);
}

#[test]
fn what_it_does_not_know_is_answered_with_an_error() {
    let (_folder, path, mut client) = opened(RULES);
    assert_eq!(client.answer("textDocument/moniker", of_file(&path))["error"]["code"], -32601);
    assert!(client.answer("textDocument/hover", json!({ "textDocument": { "uri": "untitled:1" } }))["error"]["message"].is_string());
    assert!(client.answer("textDocument/hover", of_file(&path))["error"]["message"].is_string(), "a place is wanted");
    let mut unmet = Client::unmet(path.parent().unwrap());
    assert!(unmet.answer("textDocument/hover", of_file(&path))["error"]["message"].is_string(), "it has not been greeted");
}

fn titles(lenses: &Value) -> Vec<String> {
    lenses.as_array().unwrap().iter().map(|l| l["command"]["title"].as_str().unwrap().to_string()).collect()
}

const STRAP: &str = "\nsign strap \"Earth strap\"\n  states  firm, loose\n\ncause strap-loose \"Earth strap loose\"\n  prior  now-and-then\n  shows  no-pull  mostly\n  \
    shows  strap    loose 95 %\n\ncheck tug \"Tug at the earth strap\"\n  takes    2 min\n  reveals  strap\n\nfix tighten \"Tighten it\"\n  takes  5 min\n  cures  strap-loose\n  \
    proof  strap firm\n";

/// Above a cause stands which cases expect it and what tells it from its neighbours; above a case whether it passes, by the rules as they are typed.
#[test]
fn a_cause_and_a_case_say_how_they_stand() {
    let rules = format!("{RULES}{STRAP}");
    let (_folder, path, mut client) = opened(&rules);
    let lenses = client.ask("textDocument/codeLens", of_file(&path));
    assert_eq!(
        titles(&lenses),
        ["covered by hose", "told from strap-loose by look", "no case expects it", "told from hose-split by tug"],
        "{lenses}"
    );
    assert_eq!(lenses[0]["range"]["start"], position(&rules, "cause |hose-split"));
    let case = path.parent().unwrap().join("cases/hose.toml");
    // the hose is known to be split: nothing is left to look at
    let right = CASE.replace("first-check = [\"look\"]\n", "");
    client.open(&case, &right);
    let passes = titles(&client.ask("textDocument/codeLens", of_file(&case)));
    assert!(passes.len() == 1 && passes[0].starts_with("passes"), "{passes:?}");
    // the other sign speaks for the other cause
    let wrong = right.replace("hose = \"split\"", "strap = \"loose\"").replace("[expect]\n", "[expect]\nwithin = 1\n");
    client.change(&case, json!([{ "text": wrong }]));
    let lenses = client.ask("textDocument/codeLens", of_file(&case));
    let fails = titles(&lenses);
    assert!(fails[0].contains("fails: expected `hose-split` as the likeliest cause") && fails[0].contains("place 2"), "{fails:?}");
    assert_eq!(lenses[0]["range"]["start"]["line"], 3, "at its [expect]");
    // the case as it is typed counts for the cause
    client.change(&case, json!([{ "text": wrong.replace("\"hose-split\"]", "\"strap-loose\"]") }]));
    let causes = titles(&client.ask("textDocument/codeLens", of_file(&path)));
    assert_eq!((causes[0].as_str(), causes[2].as_str()), ("no case expects it", "covered by hose"));
    assert_eq!(client.leave(), Some(0));
}

#[test]
fn a_clause_shows_how_it_is_written() {
    let rules = RULES.replace("  shows  hose     split 95 %", "  shows hose split ");
    let (_folder, path, mut client) = opened(&rules);
    let help = client.at("textDocument/signatureHelp", &path, &rules, "shows hose split |");
    let one = &help["signatures"][0];
    assert_eq!(one["label"], "shows FINDING [STATE] CHANCE, [STATE] CHANCE …");
    let marked = one["parameters"][help["activeParameter"].as_u64().unwrap() as usize]["label"].clone();
    assert_eq!(marked, json!([22, 29]), "CHANCE, of {one}");
    assert_eq!(one["documentation"], "of a `cause`; may stand again");
    assert_eq!(client.at("textDocument/signatureHelp", &path, &rules, "# The| yard"), Value::Null);
}

/// A mistake in a case stands in its own line, though the reader of tables has lost the place.
#[test]
fn a_mistake_in_a_case_stands_in_its_line() {
    let (_folder, path, mut client) = opened(RULES);
    let case = path.parent().unwrap().join("cases/hose.toml");
    for (text, line) in
        [(CASE.replace("first-check", "frist-check"), 5), (CASE.replace("causes = [", "causes = \"x\" ["), 4), (format!("{CASE}x"), 6)]
    {
        client.open(&case, &text);
        let found = client.next_remarks(&case);
        assert_eq!(found[0]["range"]["start"]["line"], line, "{found:?}");
    }
}

/// The extension's manifest against what it stands for: files that are there or are copied in, the language and the colours by one name, the program's version, and a
/// client that starts this server.
#[test]
fn the_extension_names_what_is_there() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let read = |path: &str| std::fs::read_to_string(root.join(path)).unwrap();
    let manifest: Value = serde_json::from_str(&read("editors/extension/package.json")).unwrap();
    let colours: Value = serde_json::from_str(&read("grammar/rules.tmLanguage.json")).unwrap();
    let (language, grammar) = (&manifest["contributes"]["languages"][0], &manifest["contributes"]["grammars"][0]);
    assert_eq!(manifest["version"], env!("CARGO_PKG_VERSION"));
    assert_eq!((&grammar["language"], &grammar["scopeName"]), (&language["id"], &colours["scopeName"]));
    assert_eq!(language["extensions"], json!([".rules"]));
    assert_eq!(grammar["path"], "./rules.tmLanguage.json", "copied in by editors/pack.sh");
    assert!(read("editors/pack.sh").contains("cp grammar/rules.tmLanguage.json"));
    for file in [&manifest["main"], &language["configuration"]] {
        assert!(root.join("editors/extension").join(file.as_str().unwrap()).is_file(), "{file}");
    }
    let client = read("editors/extension/client.js");
    for library in client.split("require(\"").skip(1).map(|r| r.split('"').next().unwrap()).filter(|l| *l != "vscode") {
        let package = library.split('/').next().unwrap();
        assert!(manifest["dependencies"][package].is_string(), "{library}");
    }
    assert!(client.contains("args: [\"editor\"]"));
    let settings = manifest["contributes"]["configuration"]["properties"].as_object().unwrap();
    assert!(settings.contains_key("faultbook.program") && client.contains("getConfiguration(\"faultbook\").get(\"program\""));
}
