//! Sheets that tell of repairs, and of faults that come and go.

mod families;

use crate::run::{faultbook, scratch};
use faultbook::bay::{Assessment, Effort, Progress, Rates};
use faultbook::book::Book;
use faultbook::job::{Entry, Evidence, JobSheet, evidence};
use faultbook::walk::Standing;

const RULES: &str = r#"book bench "Bench"
symptom shakes "Shakes at idle"
  stray 1 %
symptom noisy "Noisy"
  stray 1 %
code P0301
  stray 0.5 %
reading share "Misfires"
  unit %
  band fine below 5
  band high above 5
  stray high 1 %
sign gap "Gap of the plugs"
  states right, wide
  stray wide 2 %
sign spark "Spark on the tester"
  states strong, none
  stray none 1 %
  passing
cause plugs "Plugs worn"
  prior 3 %
  brings misses 60 %
  shows gap wide 90 %
cause coil "Coil broken down"
  prior 2 %
  brings misses 90 %
  shows spark none 80 %
condition misses "A cylinder misses"
  stray 0.1 %
  shows shakes 90 %
  shows share high 95 %
  shows P0301 70 %
check look "Look at the plugs"
  takes 15 min
  reveals gap
check watch "Watch the counters"
  takes 5 min
  reveals share
check tester "Spark tester"
  takes 10 min
  reveals spark
fix renew-plugs "Renew the plugs"
  takes 30 min
  cures plugs
  proof share fine
fix renew-coil "Renew the coil"
  takes 20 min
  cures coil
  proof share fine
"#;

const INTAKE: &str = "[complaint]\nyes = [\"shakes\"]\n[scan]\ncomplete = true\ncodes = [\"P0301\"]\n[readings]\nshare = \"20 %\"\n";

fn sheet(text: &str) -> JobSheet {
    toml::from_str(text).unwrap()
}

fn read(book: &Book, text: &str) -> Evidence {
    evidence(book, &sheet(text)).unwrap_or_else(|e| panic!("{e:?}"))
}

fn weight(book: &Book, text: &str, cause: &str) -> f64 {
    let known = read(book, text);
    let progress = Progress::begun(book, &known);
    let a = Assessment::new(book, known, progress, Rates::USUAL, Effort::PAGE).unwrap();
    a.weight(book.causes.find(cause).unwrap())
}

#[test]
fn a_repair_that_changed_nothing_clears_its_cause_and_ends_nothing() {
    let book = crate::book_of(RULES);
    let (plugs, coil) = (weight(&book, INTAKE, "plugs"), weight(&book, INTAKE, "coil"));
    assert!(plugs > 0.4 && coil > 0.4, "{plugs} {coil}");
    let still = format!("{INTAKE}[[done]]\nfix = \"renew-plugs\"\nyes = [\"shakes\"]\nreadings = {{ share = \"18 %\" }}\n");
    assert!(weight(&book, &still, "plugs").abs() < 1e-12);
    assert!(weight(&book, &still, "coil") > 0.9 && weight(&book, &still, "misses") > 0.95);
    let gone = format!("{INTAKE}[[done]]\nfix = \"renew-plugs\"\nno = [\"shakes\"]\nreadings = {{ share = \"1 %\" }}\n");
    assert!(weight(&book, &gone, "coil") < 0.05 && weight(&book, &gone, "misses") < 0.01);
}

#[test]
fn a_sheet_and_a_journal_that_say_the_same_are_the_same_evidence() {
    let book = crate::book_of(RULES);
    let entry = |ask: &str, answer: &str| Entry { at: String::new(), book: String::new(), ask: ask.into(), answer: answer.into() };
    let mut walked = sheet(INTAKE);
    for (ask, answer) in [
        ("do:renew-plugs", "done"),
        ("proof:share", "18 %"),
        ("settle:share", "settled"),
        ("gone:renew-plugs", "no"),
        ("do:renew-coil", "done"),
        ("proof:share", "1 %"),
        ("settle:share", "settled"),
        ("gone:renew-coil", "yes"),
    ] {
        walked.journal.push(entry(ask, answer));
    }
    let told = sheet(&format!(
        "{INTAKE}[[done]]\nfix = \"renew-plugs\"\nyes = [\"shakes\"]\nreadings = {{ share = \"18 %\" }}\n\
         [[done]]\nfix = \"renew-coil\"\nno = [\"shakes\"]\nreadings = {{ share = \"1 %\" }}\n"
    ));
    let history = |sheet: &JobSheet| {
        let standing = Standing::new(&book, sheet);
        let known = evidence(&book, &standing.sheet).unwrap();
        let a = Assessment::new(&book, known, standing.progress.clone(), Rates::USUAL, Effort::PAGE).unwrap();
        let mut history = a.bay.model.history.clone();
        history.seen.sort_by_key(|s| (s.period, s.finding));
        // the walk leaves a millionth to what no rule lists, so that no answer is ever impossible
        history.seen.iter_mut().flat_map(|s| &mut s.weights).for_each(|w| *w = (*w * 1e5).round() / 1e5);
        (history, a.beliefs.causes.clone(), standing.cured())
    };
    let ((one, causes, cured), (other, again, too)) = (history(&walked), history(&told));
    assert_eq!((one.repairs.len(), cured, too), (2, true, true));
    assert_eq!(one, other);
    assert!(causes.iter().zip(&again).all(|(a, b)| (a - b).abs() < 1e-4), "{causes:?} {again:?}");
}

#[test]
fn a_code_after_a_repair_is_a_look_only_where_the_memory_was_cleared() {
    let book = crate::book_of(RULES);
    let code = book.findings.find("P0301").unwrap();
    let after = |keys: &str| {
        let known = read(&book, &format!("{INTAKE}[[done]]\nfix = \"renew-plugs\"\n{keys}"));
        let state = known.periods[0].seen.iter().find(|o| o.finding == code).map(|o| o.likeliest_state());
        (state, known.left_out.len())
    };
    assert_eq!(after("codes = [\"P0301\"]\n"), (None, 1));
    assert_eq!(after("complete = true\n"), (None, 0));
    assert_eq!(after("cleared = true\n"), (None, 0));
    assert_eq!(after("cleared = true\ncodes = [\"P0301\"]\n"), (Some(1), 0));
    assert_eq!(after("cleared = true\ncomplete = true\n"), (Some(0), 0));
}

#[test]
fn what_a_sleeping_fault_did_not_show_says_nothing() {
    let book = crate::book_of(RULES);
    let look = "[complaint]\nyes = [\"shakes\"]\nno = [\"noisy\"]\n";
    let rest = "[scan]\ncomplete = true\n[readings]\nshare = \"1 %\"\n[signs]\ngap = \"right\"\nspark = \"strong\"\n";
    let names = |evidence: &Evidence| evidence.seen.iter().map(|o| book.findings[o.finding].head.name.clone()).collect::<Vec<_>>();
    let awake = read(&book, &format!("{look}{rest}"));
    assert_eq!(names(&awake), ["shakes", "noisy", "P0301", "share", "gap", "spark"]);
    // the customer's word and the sign that lasts are left
    let asleep = read(&book, &format!("{look}asleep = true\n{rest}"));
    assert_eq!(names(&asleep), ["shakes", "noisy", "gap"]);
    assert_eq!((asleep.left_out.len(), asleep.slept.len(), asleep.asleep), (2, 3, true));
    // what was abnormal counts as ever
    let seen = read(&book, &format!("{look}asleep = true\n[readings]\nshare = \"9 %\"\n[signs]\nspark = \"none\"\n"));
    assert_eq!(names(&seen), ["shakes", "noisy", "share", "spark"]);
    // after a repair nobody can try while it sleeps; once it is there again, all may be looked at anew
    let after = |asleep: bool| {
        format!("{look}[[done]]\nfix = \"renew-plugs\"\nno = [\"shakes\"]\nasleep = {asleep}\nreadings = {{ share = \"1 %\" }}\n")
    };
    let slept = read(&book, &after(true));
    assert_eq!((slept.periods[0].seen.len(), slept.slept.len(), slept.asleep), (0, 2, true));
    let tried = read(&book, &after(false));
    assert_eq!((tried.periods[0].seen.len(), tried.slept.len(), tried.asleep), (2, 0, false));
}

#[test]
fn mistakes_in_a_repair_name_their_place() {
    let book = crate::book_of(RULES);
    let text = format!(
        "{INTAKE}[[done]]\nfix = \"renew-plugs\"\n[[done]]\nfix = \"renew-coils\"\nyes = [\"shake\"]\ncodes = [\"P03O\"]\nreadings = {{ share = \"3 kPa\" }}\n\
         signs = {{ gap = \"narrow\" }}\n"
    );
    let errors = evidence(&book, &sheet(&text)).unwrap_err();
    let places: Vec<&str> = errors.iter().map(|e| e.place.as_str()).collect();
    assert_eq!(places, ["[[done]] 2 fix", "[[done]] 2 yes", "[[done]] 2 codes", "[[done]] 2 readings share", "[[done]] 2 signs gap"]);
    assert!(errors[0].help.contains("renew-coil"), "{:?}", errors[0]);
}

#[test]
fn every_command_takes_a_sheet_that_tells_of_repairs() {
    let folder = scratch("done-sheets");
    let file = |name: &str, text: &str| {
        let path = folder.join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, text).unwrap();
        path.to_str().unwrap().to_string()
    };
    let rules = file("rules/bench.rules", RULES);
    let still = format!("{INTAKE}[[done]]\nfix = \"renew-plugs\"\nyes = [\"shakes\"]\nreadings = {{ share = \"18 %\" }}\n");
    let job = file("job.toml", &still);
    let ran = |arguments: &[&str]| {
        let done = faultbook(arguments);
        assert_eq!(done.status, 0, "{arguments:?}: {}{}", done.out, done.err);
        done
    };
    let page = ran(&["weigh", &job, "--rules", &rules]).out;
    assert!(page.contains("Repaired since") && page.contains("Renew the plugs"), "{page}");
    let plan: serde_json::Value = serde_json::from_str(&ran(&["plan", &job, "--rules", &rules, "--json"]).out).unwrap();
    let plan = plan.to_string();
    assert!(plan.contains("renew-coil") && !plan.contains("\"renew-plugs\""), "{plan}");
    ran(&["report", &job, "--rules", &rules]);
    file(
        "rules/cases/coil.toml",
        &format!(
            "{still}[expect]\ncauses = [\"coil\"]\nconditions = [\"misses\"]\nwithin = 1\nfirst-check = [\"tester\", \"renew-coil\"]\n"
        ),
    );
    // the failed cases are the output; how many passed is said beside it
    let judged = ran(&["test", folder.join("rules").to_str().unwrap()]).err;
    assert!(judged.contains("1 passed"), "{judged}");
    let folder = folder.join("rules").to_str().unwrap().to_string();
    let compared: serde_json::Value = serde_json::from_str(&ran(&["compare", &folder, &folder, "--job", &job, "--json"]).out).unwrap();
    assert!(compared.to_string().len() > 2, "{compared}");
}
