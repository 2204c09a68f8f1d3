//! What came out, a line a car and the totals, for people and for programs.

use super::car::Car;
use super::walk::Walked;
use serde_json::{Value, json};

/// A line a car, then the totals.
pub fn lines(cars: &[Car], walks: &[Walked]) {
    println!("car                                        rank answers checks minutes vain root  proven handed dangers first step");
    cars.iter().zip(walks).for_each(|(car, w)| println!("{}", line(car, w)));
    println!();
    for (words, value) in totals(walks) {
        println!("{words:48} {value}");
    }
}

/// One car's line, and below it what went wrong.
pub fn line(car: &Car, w: &Walked) -> String {
    let rank = w.rank.map_or("-".into(), |r| r.to_string());
    let root = format!("{}/{}", w.repaired, car.roots.len());
    let dangers = format!("{}/{}", shown(w), w.shown.len());
    let first = w.acts.first().map_or("-", String::as_str);
    let counts = format!("{rank:>4} {:7} {:6} {:7.0} {:4}", w.answers, w.checks, w.minutes, w.vain.len());
    let mut out = format!("{:42} {counts} {root:5} {:6} {:6} {dangers:7} {first}", car.name, word(w.proven), word(w.handed_over));
    if w.silly {
        out += "  SILLY";
    }
    if w.end != "closed" {
        out += &format!("\n    {}", w.end);
    }
    if !w.vain.is_empty() {
        out += &format!("\n    in vain: {}", w.vain.join(", "));
    }
    if !w.foreign.is_empty() {
        out += &format!("\n    of another kind of car: {}", w.foreign.join(", "));
    }
    for ((danger, _), _) in car.dangers.iter().zip(&w.shown).filter(|(_, at)| at.is_none()) {
        out += &format!("\n    never shown: {danger}");
    }
    out
}

/// The same for a program.
pub fn json(cars: &[Car], walks: &[Walked]) {
    let car = |(car, w): (&Car, &Walked)| {
        let dangers = car.dangers.iter().zip(&w.shown).map(|((words, _), at)| json!({ "danger": words, "shown_at_answer": at }));
        json!({
            "car": car.name, "title": car.title, "rank": w.rank, "answers": w.answers, "intake": w.intake, "checks": w.checks, "minutes": w.minutes.round(),
            "acts": w.acts, "vain": w.vain, "roots": car.roots.len(), "roots_repaired": w.repaired, "repaired": w.all_repaired,
            "proven": w.proven, "handed_over": w.handed_over, "dangers": dangers.collect::<Vec<_>>(), "silly_first_step": w.silly, "end": w.end,
            "told": w.told,
        })
    };
    let cars: Vec<Value> = cars.iter().zip(walks).map(car).collect();
    let totals: serde_json::Map<String, Value> = totals(walks).into_iter().map(|(words, value)| (words.into(), value.into())).collect();
    println!("{}", serde_json::to_string_pretty(&json!({ "cars": cars, "totals": totals })).unwrap());
}

/// Every question of a walk with what was typed.
pub fn dialogue(car: &Car, walked: &Walked) {
    println!("{}: {}", car.name, car.title);
    println!("  {}", car.words);
    walked.told.iter().for_each(|line| println!("  {line}"));
    println!("  {}\n", walked.end);
}

fn totals(walks: &[Walked]) -> Vec<(&'static str, String)> {
    let count = |so: &dyn Fn(&Walked) -> bool| format!("{} of {}", walks.iter().filter(|w| so(w)).count(), walks.len());
    let sum = |of: &dyn Fn(&Walked) -> usize| walks.iter().map(of).sum::<usize>().to_string();
    let all = |of: &dyn Fn(&Walked) -> f64| median(walks.iter().map(of).collect());
    let cured: Vec<f64> = walks.iter().filter(|w| w.all_repaired).map(|w| w.checks as f64).collect();
    vec![
        ("root first after intake", count(&|w| w.rank == Some(1))),
        ("root among the first three", count(&|w| w.rank.is_some_and(|r| r <= 3))),
        ("root repaired", count(&|w| w.all_repaired)),
        ("root repaired and proven", count(&|w| w.proven)),
        ("handed over", count(&|w| w.handed_over)),
        ("repairs in vain", sum(&|w| w.vain.len())),
        ("cars with a repair in vain", count(&|w| !w.vain.is_empty())),
        ("dangers shown", format!("{} of {}", sum(&shown), sum(&|w| w.shown.len()))),
        ("cars with every danger shown", count(&|w| shown(w) == w.shown.len())),
        ("causes of another kind of car on a screen", sum(&|w| w.foreign.len())),
        ("silly first steps", sum(&|w| usize::from(w.silly))),
        ("median checks", all(&|w| w.checks as f64)),
        ("median checks of the cars repaired", median(cured)),
        ("median answers", all(&|w| w.answers as f64)),
        ("median answers of the intake", all(&|w| w.intake as f64)),
        ("most answers of an intake", walks.iter().map(|w| w.intake).max().unwrap_or(0).to_string()),
        ("median minutes", all(&|w| w.minutes)),
        ("no end in sight, or stuck", count(&|w| !w.end.starts_with("closed"))),
    ]
}

fn median(mut of: Vec<f64>) -> String {
    of.sort_by(f64::total_cmp);
    match of.len() {
        0 => "-".into(),
        n if n % 2 == 1 => format!("{:.0}", of[n / 2]),
        n => format!("{:.1}", (of[n / 2 - 1] + of[n / 2]) / 2.0),
    }
}

fn shown(walked: &Walked) -> usize {
    walked.shown.iter().filter(|at| at.is_some()).count()
}

fn word(so: bool) -> &'static str {
    if so { "yes" } else { "no" }
}
