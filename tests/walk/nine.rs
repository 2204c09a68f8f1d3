//! Nine cars whose trouble begins with the first repair, and a few more: walked from intake to the close.

use super::ramp::{Job, ramp, rules, text};
use crate::run::{faultbook, scratch};
use faultbook::job::{Event, Taken};

/// A corroded cable dims the lamps. The belt was felt and is tight: no repair there changes that, so nobody feels it again, and what was renewed in
/// vain is known as that.
#[test]
fn a_sound_belt_is_felt_once() {
    let book = ramp(&[], "");
    let mut job = Job::new(&book, &["lamps-dim"], "");
    let truth: super::ramp::Truth = &[
        ("find:belt", &["tight"]),
        ("find:voltage", &["13.1 V"]),
        // nobody gets at the cable at first, so that something else is renewed before it
        ("find:cable", &["x", "green"]),
        ("do:renew-cable", &["s", "done"]),
        ("proof:voltage@renew-cable", &["14.2 V"]),
        ("proof:voltage", &["13.1 V"]),
        ("gone:renew-cable", &["yes"]),
        ("gone:*", &["no"]),
        ("refer", &["left"]),
    ];
    job.walk(&truth[..8], "refer");
    if job.ask().is_some_and(|a| a.id == "refer") {
        let take_up = job.ask().unwrap().replies.into_iter().find(|r| r.words.contains("Renew the charging cable")).unwrap();
        job.say(&take_up.key);
        job.walk(&truth[..8], "");
    }
    assert!(job.times("find:belt") <= 1, "{:?}", job.asked);
    assert_eq!(job.closed().causes, ["cable-corroded"], "{:?}", job.asked);
    assert!(job.closed().cured);
    let renewed = job.asked.iter().filter(|a| a.starts_with("do:renew") && *a != "do:renew-cable").count();
    assert_eq!(job.closed().vain.len(), renewed, "each other part was in vain: {:?}", job.asked);
}

/// New plugs, and the misfire is exactly as before: the plugs were not it, and the coil comes up. The state itself is never among what it may be.
#[test]
fn new_plugs_that_change_nothing_clear_the_plugs() {
    let book = ramp(&[], "");
    let mut job = Job::new(&book, &["shakes"], "");
    let truth: super::ramp::Truth = &[
        ("find:plug", &["x"]),
        ("find:boot", &["x"]),
        ("find:share", &["20 %"]),
        ("proof:share", &["20 %"]),
        ("gone:renew-plugs", &["no"]),
    ];
    job.walk(truth, "do:renew-plugs");
    let before = job.weight("coil-weak");
    job.say("done");
    job.walk(truth, "do:");
    assert!(job.weight("plug-worn") < 1e-9 && job.weight("coil-weak") > before + 0.2, "{} {}", before, job.weight("coil-weak"));
    assert!(job.weight("misfires") > 0.99);
    let summary = job.session.summary().unwrap();
    assert!(summary.likely.iter().all(|(title, _)| title != "A cylinder misfires"), "{:?}", summary.likely);
    assert_eq!(summary.likely[0].0, "Ignition coil weak");
    assert_eq!(summary.conditions[0].0, "A cylinder misfires");
}

/// Seen on the car, and no repair for it in the book: it is handed over as what it is, with what it would cost where that is known.
#[test]
fn handing_over_names_what_is_proven() {
    let fix = "fix renew-coil \"Renew the coil\"\n  takes 15 min\n  parts 60\n  cures coil-weak\n  proof share even\n";
    let book = ramp(&[(fix, "")], "");
    let mut job = Job::new(&book, &["shakes"], "[signs]\nboot = \"tracked\"\nplug = \"clean\"\n");
    job.walk(&[("find:share", &["20 %"]), ("do:renew*", &["s"]), ("do:clean*", &["s"])], "refer");
    let page = text(&job.ask().unwrap());
    assert!(page.contains("proven: Ignition coil weak, "), "{page}");
    assert!(page.contains("left out before, take it up after all: ") || !job.asked.iter().any(|a| a.starts_with("do:renew")), "{page}");
}

/// The complaint is gone, and a disc was seen scored: it is asked about before the close, planned on the spot, and repaired.
#[test]
fn a_fault_that_the_complaint_does_not_name_is_not_passed_over() {
    let book = ramp(&[], "");
    let mut job = Job::new(&book, &["shakes"], "[signs]\ndisc = \"scored\"\nboot = \"tracked\"\n");
    let truth: super::ramp::Truth = &[
        ("find:share", &["20 %"]),
        ("find:plug", &["clean"]),
        ("proof:share", &["1 %"]),
        ("proof:disc", &["sound"]),
        ("gone:renew-coil", &["yes"]),
        ("left-cause:disc-scored", &["1"]),
    ];
    job.walk(truth, "");
    assert!(job.asked.contains(&"do:renew-disc".to_string()), "{:?}", job.asked);
    assert_eq!(job.closed().causes.len(), 2, "{:?}", job.closed());
    assert!(job.closed().reason.is_empty() && job.closed().vain.is_empty());
}

/// The same car whose owner does not want the disc: it stands in his report as left.
#[test]
fn what_is_left_stands_in_the_owners_report() {
    let book = ramp(&[], "");
    let mut job = Job::new(&book, &["shakes"], "[signs]\nboot = \"tracked\"\n[readings]\nvoltage = \"13.5 V\"\n");
    let truth: super::ramp::Truth = &[
        ("find:share", &["20 %"]),
        ("find:plug", &["clean"]),
        ("find:belt", &["tight"]),
        ("find:cable", &["sound"]),
        ("proof:share", &["1 %"]),
        ("gone:renew-coil", &["yes"]),
        ("do:renew-belt", &["s"]),
        ("do:renew-cable", &["s"]),
        ("do:renew-alternator", &["s"]),
        ("left-cause:alternator-worn", &["tell"]),
        ("left-cause:cable-corroded", &["tell"]),
        ("left-cause:belt-slack", &["tell"]),
        ("left-finding:voltage", &["1", "the meter of this bench reads low"]),
    ];
    job.walk(truth, "left-");
    assert!(job.asked.iter().any(|a| a == "gone:renew-coil"), "{:?}", job.asked);
    let page = text(&job.ask().unwrap());
    assert!(page.contains("leave it, and tell the owner") && !page.contains("close it"), "{page}");
    job.say("2");
    job.walk(truth, "");
    assert_eq!(job.closed().causes, ["coil-weak"]);
    let folder = scratch("left-report");
    std::fs::write(folder.join("ramp.rules"), rules()).unwrap();
    std::fs::write(folder.join("job.toml"), job.sheet()).unwrap();
    let at = |file: &str| folder.join(file).display().to_string();
    let page = faultbook(&["report", &at("job.toml"), "--rules", &at("ramp.rules"), "--format", "markdown"]);
    assert_eq!(page.status, 0, "{}", page.err);
    assert!(page.out.contains("What is left, and why"), "{}", page.out);
    assert!(page.out.contains("not put right, and you were told"), "{}", page.out);
}

/// Plugs in vain, then the coil: the report says which was the fault, and the tally counts that one alone.
#[test]
fn a_repair_in_vain_is_known_as_vain() {
    let book = ramp(&[], "");
    let mut job = Job::new(&book, &["shakes"], "");
    let truth: super::ramp::Truth = &[
        ("find:plug", &["x"]),
        ("find:boot", &["x", "tracked"]),
        ("find:share", &["20 %"]),
        ("proof:share", &["20 %", "1 %"]),
        ("gone:renew-plugs", &["no"]),
        ("gone:renew-coil", &["yes"]),
    ];
    job.walk(truth, "");
    assert_eq!(
        (job.closed().causes.as_slice(), job.closed().vain.as_slice()),
        (&["coil-weak".to_string()][..], &["renew-plugs".to_string()][..])
    );
    let folder = scratch("vain-report");
    std::fs::write(folder.join("ramp.rules"), rules()).unwrap();
    std::fs::write(folder.join("job.toml"), job.sheet()).unwrap();
    let at = |file: &str| folder.join(file).display().to_string();
    let page = faultbook(&["report", &at("job.toml"), "--rules", &at("ramp.rules"), "--json"]);
    let page: serde_json::Value = serde_json::from_str(&page.out).unwrap();
    let wrong: Vec<&str> = page["wrong"].as_array().unwrap().iter().map(|w| w["id"].as_str().unwrap()).collect();
    assert_eq!(wrong, ["coil-weak"]);
    let worth: Vec<&str> = page["done"].as_array().unwrap().iter().map(|w| w["worth"].as_str().unwrap()).collect();
    assert_eq!(worth, ["in-vain", "proven"]);
    let tally = faultbook(&["tally", &at("job.toml"), "--rules", &at("ramp.rules"), "--json"]);
    assert_eq!(tally.status, 0, "{}", tally.err);
    let tally: serde_json::Value = serde_json::from_str(&tally.out).unwrap();
    assert_eq!((tally["vain"].as_u64(), tally["causes"]["coil-weak"]["there"].as_u64()), (Some(1), Some(1)), "{tally}");
    assert!(tally["causes"]["plug-worn"].is_null(), "{tally}");
}

/// Two roots of one state: the first repair leaves the other, and both are proven at the end.
#[test]
fn a_second_fault_comes_out_after_the_first_repair() {
    let book = ramp(&[], "");
    let mut job = Job::new(&book, &["shakes"], "[signs]\nplug = \"cracked\"\nboot = \"tracked\"\n");
    let truth: super::ramp::Truth =
        &[("find:share", &["20 %"]), ("proof:share", &["12 %", "1 %"]), ("gone:*", &["no"]), ("gone:renew-coil", &["yes"])];
    job.walk(truth, "gone:");
    let first = job.ask().unwrap().id;
    job.say("no");
    let last: super::ramp::Truth = &[("proof:share", &["1 %"]), ("find:share", &["12 %"]), ("gone:*", &["yes"])];
    job.walk(last, "");
    assert!(job.closed().cured, "{:?}", job.asked);
    let mut causes = job.closed().causes.clone();
    causes.sort();
    assert_eq!(causes, ["coil-weak", "plug-worn"], "after {first}: {:?}", job.asked);
}

/// Gone after the repair, and back before the car left: what was read as normal is not the last word.
#[test]
fn gone_and_back_again_is_not_cured() {
    let book = ramp(&[], "");
    let mut job = Job::new(&book, &["shakes"], "[signs]\nplug = \"cracked\"\n");
    let truth: super::ramp::Truth =
        &[("find:share", &["20 %"]), ("find:boot", &["dry"]), ("proof:share", &["1 %"]), ("gone:renew-plugs", &["yes"])];
    job.walk(truth, "close");
    assert!(text(&job.ask().unwrap()).contains("close it"));
    job.say("t");
    job.walk(&[("gone:renew-plugs", &["no"])], "gone:");
    job.say("no");
    let open = job.ask().unwrap();
    assert!(open.id.starts_with("do:") || open.id.starts_with("find:") || open.id == "refer", "{}", text(&open));
    assert!(!job.session.standing().cured());
    let others = job.weight("coil-weak") + job.weight("injector-clogged");
    assert!(others > 0.3, "what else brings it is in question again: {others}");
}

/// Of two complaints one is history: after the repair only the other is tried.
#[test]
fn history_is_not_asked_whether_it_is_gone() {
    let book = ramp(&[], "");
    let mut job = Job::new(&book, &["shakes", "worked-on"], "[signs]\nboot = \"tracked\"\n");
    job.walk(&[("find:share", &["20 %"]), ("find:plug", &["clean"]), ("proof:share", &["1 %"])], "gone:");
    let page = text(&job.ask().unwrap());
    assert!(page.contains("Shakes at idle") && !page.contains("Worked on lately"), "{page}");
    job.say("yes");
    assert!(job.session.standing().cured(), "{page}");
}

/// While the fault sleeps a normal reading clears nothing; when it is back it is read again.
#[test]
fn a_fault_asleep_clears_nobody() {
    let book = ramp(&[], "");
    let mut job = Job::new(&book, &["shakes"], "");
    job.walk(&[("do:look*", &["s"]), ("do:full*", &["s"]), ("do:renew*", &["s"]), ("do:clean*", &["s"])], "do:read-share");
    let before = job.weight("misfires");
    job.say("z");
    // asleep the plan would rather do something else: the look is chosen all the same
    let choose = |job: &mut Job| {
        let open = job.ask().unwrap().id;
        let instead = Taken::Instead("read-share".into());
        if open != "do:read-share" {
            job.take(Event::Act(open.trim_start_matches("do:").into(), instead));
        }
        assert_eq!(job.ask().unwrap().id, "do:read-share");
    };
    choose(&mut job);
    let page = text(&job.ask().unwrap());
    assert!(page.contains("asleep: ") && page.contains("z = the fault is there again"), "{page}");
    job.say("done");
    job.say("1 %");
    assert!((job.weight("misfires") - before).abs() < 1e-9, "{before} {}", job.weight("misfires"));
    assert!(job.session.standing().progress.seen.is_empty());
    job.take(Event::Asleep(false));
    choose(&mut job);
    job.say("done");
    job.say("30 %");
    assert!(job.weight("misfires") > before, "it counts as ever");
}

/// A danger of a cause that is likely there is said once, with a key, and in short at each step; what it bars is not offered; the plan says the same.
#[test]
fn each_danger_of_the_plan_is_said_in_the_walk() {
    let book = ramp(&[], "");
    let mut job = Job::new(&book, &["shakes"], "");
    let page = text(&job.ask().unwrap());
    assert!(page.starts_with("[warnings]") && page.contains("WARNING: Unburnt fuel overheats the catalyst"), "{page}");
    assert!(page.contains("No load, no long idling."), "{page}");
    job.say("1");
    let page = text(&job.ask().unwrap());
    assert!(page.contains("danger: Unburnt fuel overheats the catalyst"), "{page}");
    let truth: super::ramp::Truth =
        &[("find:plug", &["clean"]), ("find:boot", &["dry"]), ("find:share", &["20 %"]), ("proof:share", &["20 %"]), ("gone:*", &["no"])];
    job.walk(truth, "refer");
    assert!(!job.asked.contains(&"do:full-pull".to_string()), "barred: {:?}", job.asked);
    assert_eq!(job.times("warnings"), 1);
    let shown: Vec<&str> = job.screens.iter().filter(|s| s.starts_with("[do:look") && s.contains("lift")).map(String::as_str).collect();
    assert!(shown.iter().all(|s| s.contains("caution: Car on the lift")), "{shown:?}");
}

/// Half walked, a check showed a danger: plan and road page stand on it like the walk.
#[test]
fn plan_and_road_page_stand_on_what_the_walk_found() {
    let folder = scratch("half-walked");
    let rules = rules().replace("  states sound, scored\n", "  states sound, scored\n  hazard no-brakes\n");
    let rules = format!("{rules}hazard no-brakes \"Brake may fail\"\n  level stop\n  bars load\n  do \"Not driven on.\"\n");
    std::fs::write(folder.join("ramp.rules"), rules).unwrap();
    let entry = |ask: &str, answer: &str| {
        format!("[[journal]]\nat = \"2026-03-02T08:00:00Z\"\nbook = \"0a1b2c3d4e5f\"\nask = \"{ask}\"\nanswer = \"{answer}\"\n")
    };
    let sheet = format!(
        "[complaint]\nyes = [\"grinds\"]\n[scan]\ncomplete = true\n{}{}",
        entry("do:look-disc", "done"),
        entry("find:disc", "scored")
    );
    std::fs::write(folder.join("job.toml"), sheet).unwrap();
    let at = |file: &str| folder.join(file).display().to_string();
    let (job, rules) = (at("job.toml"), at("ramp.rules"));
    let json = |arguments: &[&str]| -> serde_json::Value {
        let done = faultbook(&[arguments, &[&job, "--rules", &rules, "--json"]].concat());
        serde_json::from_str(&done.out).unwrap_or_else(|e| panic!("{e} {}", done.err))
    };
    let plan = json(&["plan"]);
    assert_eq!(plan["hazards"][0]["id"], "no-brakes", "{plan}");
    assert_eq!(plan["next"][0]["id"], "renew-disc");
    let road = json(&["report", "--for", "road"]);
    assert_eq!(road["dangers"][0]["id"], "no-brakes");
    let none = at("none.answers");
    std::fs::write(&none, "").unwrap();
    let walk = faultbook(&["walk", &job, "--rules", &rules, "--answers", &none, "--json"]);
    assert!(walk.out.contains("danger:no-brakes"), "{}{}", walk.out, walk.err);
}

/// A note and an acknowledged danger change nothing that is believed: what was worked out stays.
#[test]
fn one_answer_is_assessed_once_at_most() {
    let book = ramp(&[], "");
    let mut job = Job::new(&book, &["shakes"], "");
    let at = |job: &Job| std::ptr::from_ref(job.session.assessment().unwrap()) as usize;
    let plan = |job: &Job| std::ptr::from_ref(job.session.assessment().unwrap().plan().unwrap()) as usize;
    let (first, planned) = (at(&job), plan(&job));
    let known = job.session.assessment().unwrap().progress.clone();
    job.say("1");
    job.take(Event::Note("plugs look new".into()));
    assert_eq!((at(&job), plan(&job)), (first, planned));
    assert_eq!(job.session.assessment().unwrap().progress, known);
}

/// The rules know no way from a scored disc to lamps that dim, but the disc was put right: the car is tried all the same, and the customer's word counts.
#[test]
fn a_repair_of_what_was_seen_wrong_is_tried_with_the_car() {
    let sure = ("  states sound, scored\n", "  states sound, scored\n  stray 0.02 %\n");
    let book = ramp(&[sure], "");
    let mut job = Job::new(&book, &["lamps-dim"], "[signs]\ndisc = \"scored\"\n");
    let truth: super::ramp::Truth =
        &[("find:belt", &["tight"]), ("find:cable", &["sound"]), ("find:voltage", &["14.2 V"]), ("proof:disc", &["sound"])];
    job.walk(truth, "gone:");
    assert_eq!(job.ask().unwrap().id, "gone:renew-disc");
    job.say("yes");
    assert!(job.session.standing().cured());
}

/// When it comes is not what it is: a circumstance is neither gone nor still there.
#[test]
fn a_circumstance_is_not_tried() {
    let book = ramp(&[], "symptom uphill \"Uphill\"\n  circumstance\n");
    let mut job = Job::new(&book, &["shakes", "uphill"], "[signs]\nboot = \"tracked\"\n");
    job.walk(&[("find:share", &["20 %"]), ("find:plug", &["clean"]), ("proof:share", &["1 %"])], "gone:");
    let page = text(&job.ask().unwrap());
    assert!(page.contains("Shakes at idle") && !page.contains("Uphill"), "{page}");
    job.say("yes");
    let seen = &job.session.standing().progress.seen;
    let uphill = book.findings.find("uphill").unwrap();
    assert!(seen.iter().all(|l| l.observation.finding != uphill), "it was seen once, when the car came");
}

/// A look at a sleeping fault is worth less to the plan; where a check wakes it, that is the look it takes.
#[test]
fn a_sleeping_fault_is_woken_for_the_look() {
    let wake = "check shake-loom \"Shake the loom while you read\"\n  takes 4 min\n  wakes \"shaking\"\n  reveals share\n";
    let book = ramp(&[], wake);
    let mut job = Job::new(&book, &["shakes"], "");
    let offered = |job: &Job, check: &str| {
        let a = job.session.assessment().unwrap();
        let id = book.checks.find(check).unwrap();
        a.bay.position(faultbook::bay::Act::Check(id)).is_some()
    };
    assert!(offered(&job, "read-share") && offered(&job, "shake-loom"));
    job.take(Event::Asleep(true));
    assert!(!offered(&job, "read-share") && offered(&job, "shake-loom"));
    let a = job.session.assessment().unwrap();
    let pushes = |f: &str| {
        let at = a.bay.car.finding(book.findings.find(f).unwrap()).unwrap();
        let of = |n: &faultbook::belief::Network| n.findings()[at].pushes[0].1[0];
        (of(&a.bay.car.network), of(&a.bay.model.network))
    };
    let (awake, asleep) = pushes("voltage");
    assert!((asleep / awake - 0.25).abs() < 1e-12, "a quarter of the looks meet it: {asleep} of {awake}");
    let (awake, asleep) = pushes("share");
    assert!((asleep - awake).abs() < 1e-12, "it is woken for that look");
    let (awake, asleep) = pushes("shakes");
    assert!((asleep - awake).abs() < 1e-12, "what is known weighs as before");
}

/// What happened before the car came is told once: no repair changes it, though the fault that it speaks for may still be there after one.
#[test]
fn the_past_is_asked_once() {
    let truth: super::ramp::Truth = &[
        ("find:told", &["yes"]),
        ("find:plug", &["x"]),
        ("find:boot", &["dry"]),
        ("find:share", &["20 %"]),
        ("proof:share", &["20 %", "20 %", "2 %"]),
        ("gone:*", &["no", "no", "yes"]),
        ("do:clean-injector", &["s"]),
        ("do:renew-coil", &["s"]),
        ("refer", &["left"]),
        ("close*", &["1"]),
        ("left*", &["1"]),
    ];
    let asked = |past: &str| {
        let told = format!(
            "sign told \"Plugs left loose at the last service\"\n{past}  stray 2 %\namend cause plug-worn\n  shows told 90 %\n\
             check ask-service \"Ask what was done\"\n  takes 1 min\n  reveals told\n"
        );
        let book = ramp(&[("cures plug-worn\n", "cures plug-worn 60 %\n")], &told);
        let mut job = Job::new(&book, &["shakes"], "");
        job.walk(truth, "refer");
        job.times("find:told")
    };
    assert_eq!((asked(""), asked("  past\n")), (2, 1));
}
