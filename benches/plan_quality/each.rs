//! Cars with each cause of the shipped book alone, what they show drawn from the book, and walked: where the root stands after intake, and how the
//! job ends. A cause that does badly here is one that its rules tell too little of, or one that is dear to put right.

use super::generate::Random;
use super::job::Job;
use super::shipped::{self, RATES};
use super::workshop::{self, Truth};
use faultbook::bay::Bay;
use faultbook::belief::{Limits, Prepared};
use faultbook::book::{Book, Cause, FindingKind, Headed, Id, Need};
use std::collections::BTreeMap;

/// Cars a cause, unless `FAULTBOOK_CARS` says otherwise.
const CARS: usize = 3;
/// Symptoms known at intake beside the complete scan, at most: those that are there, and those that are not.
const HEARD: (usize, usize) = (4, 6);

/// How the cars of one cause, or of one system, fared.
#[derive(Default, Clone)]
struct Fared {
    cars: usize,
    first_three: usize,
    cured: usize,
    checks: usize,
    vain: usize,
    /// Places of the root after intake, summed.
    places: usize,
}

pub fn run() {
    let book = shipped::book();
    let cars = std::env::var("FAULTBOOK_CARS").ok().and_then(|n| n.parse().ok()).unwrap_or(CARS);
    let mut systems: BTreeMap<String, Fared> = BTreeMap::new();
    let mut each: Vec<(String, f64, Fared)> = vec![];
    for (id, cause) in book.causes.iter() {
        let Some(bay) = vehicle(&book, id) else {
            println!("{}: no vehicle was found that may have it", cause.name());
            continue;
        };
        let fared = fared(&book, &bay, id, cars);
        systems.entry(book.system(&cause.head).to_string()).or_default().add(&fared);
        each.push((cause.name().to_string(), cheapest(&book, id), fared));
    }
    println!("{cars} cars a cause: root in the first three after intake, cured, checks and vain repairs a car");
    let mut total = Fared::default();
    for (name, fared) in &systems {
        line(name, fared);
        total.add(fared);
    }
    line("all", &total);
    println!("causes of which no car was cured, with the cheapest repair, and those that took over ten checks");
    for (name, repair, fared) in &each {
        if fared.cars > 0 && (fared.cured == 0 || fared.checks > 10 * fared.cars) {
            let place = fared.places as f64 / fared.cars as f64;
            print!("  repair {repair:6.0}, root at {place:5.1}; ");
            line(name, fared);
        }
    }
}

fn line(name: &str, fared: &Fared) {
    let n = fared.cars.max(1) as f64;
    let share = |part: usize| 100.0 * part as f64 / n;
    let (first, cured) = (share(fared.first_three), share(fared.cured));
    let (checks, vain) = (fared.checks as f64 / n, fared.vain as f64 / n);
    println!("  {name:32} {:4} cars, {first:3.0} %, {cured:3.0} %, {checks:4.1}, {vain:4.2}", fared.cars);
}

impl Fared {
    fn add(&mut self, other: &Fared) {
        self.cars += other.cars;
        self.first_three += other.first_three;
        self.cured += other.cured;
        self.checks += other.checks;
        self.vain += other.vain;
        self.places += other.places;
    }
}

/// What its cheapest repair costs, parts and time.
fn cheapest(book: &Book, id: Id<Cause>) -> f64 {
    let fixes = book.fixes.iter().filter(|(_, f)| f.cures(id));
    fixes.map(|(_, f)| f.minutes * RATES.per_hour / 60.0 + f.parts).fold(f64::INFINITY, f64::min)
}

fn fared(book: &Book, bay: &Bay, id: Id<Cause>, cars: usize) -> Fared {
    let mut fared = Fared::default();
    let Some(root) = bay.car.cause(id) else { return fared };
    let code = |f: &usize| matches!(book.findings[bay.car.findings[*f]].kind, FindingKind::Code(_));
    let (codes, symptoms): (Vec<usize>, Vec<usize>) = shipped::intake(book, bay).into_iter().partition(code);
    let heard = workshop::Book { model: bay.model.clone(), intake: symptoms };
    let mut random = Random(77);
    for _ in 0..20 * cars {
        if fared.cars == cars {
            break;
        }
        let truth = Truth::only(root, &mut random, &bay.model.network);
        let Some(car) = workshop::scanned(&heard, &codes, &truth, &mut random, HEARD.0, HEARD.1) else { continue };
        // the customer came for this, not for what happens to be wrong beside it
        if !faultbook::plan::causes_in_question(&car.network, &car.complaint).contains(&root) {
            continue;
        }
        let Ok(mut belief) = Prepared::new(&car.network, &car.history, &Limits::default()) else { continue };
        let chances = belief.causes();
        let place = 1 + chances.iter().filter(|p| **p > chances[root]).count();
        let mut job = Job::new(&car, &truth);
        fared.cured += usize::from(job.walk());
        fared.cars += 1;
        fared.places += place;
        fared.first_three += usize::from(place <= 3);
        fared.checks += job.checks;
        fared.vain += job.vain;
    }
    fared
}

/// A vehicle that may have this cause: the first choice of the traits it depends on that the book allows.
fn vehicle(book: &Book, id: Id<Cause>) -> Option<Bay> {
    let need = &book.causes[id].head.when;
    let diesel = book.traits.find("diesel");
    let mut named = need.traits();
    named.sort();
    named.dedup();
    let fuels = ["petrol", "diesel"].into_iter();
    for (fuel, hybrid) in fuels.flat_map(|f| [(f, false), (f, true)]) {
        for choice in 0..1u32 << named.len().min(10) {
            let fitted = |i: usize| choice >> i & 1 == 1;
            let part = |wanted: bool| (0..named.len()).filter(move |i| fitted(*i) == wanted).map(|i| book.traits[named[i]].name());
            let (mut yes, mut no): (Vec<&str>, Vec<&str>) = (part(true).collect(), part(false).collect());
            if !(named.iter().any(|t| Some(*t) == diesel) || yes.contains(&"petrol") || no.contains(&fuel)) {
                yes.push(fuel);
            }
            if !yes.contains(&"hybrid") && !no.contains(&"hybrid") {
                if hybrid { yes.push("hybrid") } else { no.push("hybrid") }
            }
            let Some(bay) = shipped::bay(book, &yes, &no) else { continue };
            if bay.car.cause(id).is_some() && surely(need, book, &yes, &no) {
                return Some(bay);
            }
        }
    }
    None
}

fn surely(need: &Need, book: &Book, yes: &[&str], no: &[&str]) -> bool {
    let value = |name: &str| if yes.contains(&name) { Some(true) } else { no.contains(&name).then_some(false) };
    let traits: Vec<Option<bool>> = book.traits.iter().map(|(_, t)| value(t.name())).collect();
    need.holds(&traits) == Some(true)
}
