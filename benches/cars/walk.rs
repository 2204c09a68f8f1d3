//! One car from the customer's words to the close, question by question, each answered by the truth as a technician would type it.

use super::car::Car;
use super::truth::Truth;
use faultbook::bay::{Act, Assessment, Effort, Rates};
use faultbook::book::{Book, Cause, Headed, Id};
use faultbook::job::{Choice, Closed, CodeEntry, Entry, Event, JobSheet, Taken, evidence};
use faultbook::walk::{Ask, Free, Session, understand};

/// Nobody answers more than this for one car.
const PATIENCE: usize = 80;
/// What an hour costs, what handing over costs, and how much a repair in vain counts: the settings as they come.
const RATES: Rates = Rates::USUAL;

/// How a walk went.
#[derive(Default)]
pub struct Walked {
    /// Where the root stands after intake: of its alternatives the best, of several roots the worst; none where the book has no such cause, or none is likely.
    pub rank: Option<usize>,
    /// Questions answered.
    pub answers: usize,
    /// Of these those of the intake: before the first step, dangers that are said but not asked not counted.
    pub intake: usize,
    /// Checks and fixes done, in order.
    pub acts: Vec<String>,
    pub checks: usize,
    /// Of all steps, with their access.
    pub minutes: f64,
    /// Fixes that this car did not need.
    pub vain: Vec<String>,
    /// Roots put right.
    pub repaired: usize,
    pub all_repaired: bool,
    /// Closed with one key, and the tool itself says that each root was put right.
    pub proven: bool,
    pub handed_over: bool,
    /// For each danger of the file where it was first on a screen, by the number of the answer, no later than at the last right repair.
    pub shown: Vec<Option<usize>>,
    /// Titles of causes that a car with these traits can't have, on any screen.
    pub foreign: Vec<String>,
    /// Whether the first step is one of the file's bad ones.
    pub silly: bool,
    /// How it ended.
    pub end: String,
    /// Each question with what was typed.
    pub told: Vec<String>,
}

/// Walks one car.
pub fn walk(book: &Book, car: &Car) -> Walked {
    let mut job = Job {
        foreign: foreign(book, &sheet(car)),
        book,
        car,
        truth: Truth::new(book, car),
        session: Session::new(book, sheet(car), RATES, Effort::STEP),
        tried_again: false,
        begun: false,
        out: Walked { shown: vec![None; car.dangers.len()], ..Walked::default() },
    };
    job.out.end = job.run();
    job.out.repaired = job.truth.repaired();
    job.out.all_repaired = job.truth.sound();
    job.out
}

/// The sheet as it stands before anybody asked anything: the customer's words, the codes of a whole scan, and what the vehicle is.
fn sheet(car: &Car) -> JobSheet {
    let mut sheet = JobSheet::default();
    sheet.vehicle.fitted.clone_from(&car.fitted);
    sheet.vehicle.not_fitted.clone_from(&car.not_fitted);
    sheet.complaint.words.clone_from(&car.words);
    sheet.scan.complete = true;
    sheet.scan.codes = car.codes.iter().cloned().map(CodeEntry::Plain).collect();
    sheet
}

/// What only a car with other traits can have, by its title; what a cause of this car is called as well is not among it.
fn foreign(book: &Book, sheet: &JobSheet) -> Vec<String> {
    let traits = evidence(book, sheet).expect("the sheet of a car is sound").traits;
    let (own, other): (Vec<_>, Vec<_>) = book.causes.iter().map(|(_, c)| c).partition(|c| c.head.when.keeps(&traits));
    other.iter().map(|c| c.title().to_string()).filter(|title| !own.iter().any(|c| c.title().contains(title.as_str()))).collect()
}

struct Job<'a> {
    book: &'a Book,
    foreign: Vec<String>,
    car: &'a Car,
    truth: Truth<'a>,
    session: Session<'a>,
    /// Whether the complaint or a proof was tried once more at the close already.
    tried_again: bool,
    /// Whether the intake is over: a step was shown, or the end.
    begun: bool,
    out: Walked,
}

impl Job<'_> {
    fn run(&mut self) -> String {
        while self.out.answers < PATIENCE {
            let ask = match self.session.next() {
                Ok(Some(ask)) => ask,
                Ok(None) => return "closed".into(),
                Err(trouble) => return format!("stuck: {trouble}"),
            };
            self.look(&ask);
            let typed = self.answer(&ask);
            let event = match understand(self.book, &ask, &typed) {
                Ok(event) => event,
                Err(wrong) => return format!("stuck at {}: {wrong}", ask.id),
            };
            let says = event.written().1;
            let meant = if says == typed { String::new() } else { format!("  ({says})") };
            self.out.told.push(format!("[{}] {} -> {typed}{meant}", ask.id, ask.title));
            self.out.answers += 1;
            self.out.intake += usize::from(!self.begun && !["danger", "warnings"].contains(&topic(&ask)));
            if ask.id == "stuck" {
                return "stuck: what was seen does not fit together".into();
            }
            self.take(&ask, event);
            if self.session.sheet().closed.is_some() {
                return if ask.title == "Close the job?" { "closed".into() } else { format!("closed with a reason: {}", ask.title) };
            }
        }
        "no end in sight".into()
    }

    /// What a screen shows of the dangers, and where the root stands at the first step.
    fn look(&mut self, ask: &Ask) {
        let said = screen(ask);
        let wrong = self.foreign.iter().filter(|title| said.contains(title.as_str()));
        self.out.foreign.extend(wrong.cloned());
        let topic = topic(ask);
        self.begun |= ["do", "refer", "close"].contains(&topic);
        if self.out.acts.is_empty() && self.out.rank.is_none() && ["do", "refer", "close"].contains(&topic) {
            self.out.rank = self.session.assessment().ok().and_then(|a| self.rank(a));
        }
        // what bites while a repair is proven or followed up is said there; all else is of use only while something is left
        let after = ["proof", "aftercare"].contains(&topic);
        if !after && (self.truth.nothing_left() || !["danger", "warnings", "do", "find"].contains(&topic)) {
            return;
        }
        let at = self.out.answers + 1;
        let dangers = ["danger", "warnings"].contains(&topic);
        let lines = || ask.lines.iter().filter(|(lead, _)| dangers || ["caution", "danger"].contains(&lead.as_str()));
        for ((_, hazards), shown) in self.car.dangers.iter().zip(&mut self.out.shown) {
            let named = |title: &str| (dangers && ask.title.contains(title)) || lines().any(|(_, words)| words.contains(title));
            if shown.is_none() && hazards.iter().any(|h| named(self.book.hazards[*h].title())) {
                *shown = Some(at);
            }
        }
    }

    /// Best rank of the alternatives of each root, worst of the roots; what is as likely stands before it.
    fn rank(&self, a: &Assessment) -> Option<usize> {
        let ranked: Vec<(Id<Cause>, f64)> = a.standing(0.0);
        let of = |causes: &[Id<Cause>]| {
            let best = ranked.iter().filter(|(c, _)| causes.contains(c)).map(|(_, p)| *p).fold(0.0, f64::max);
            let before = ranked.iter().filter(|(c, p)| !causes.contains(c) && *p >= best * (1.0 - 1e-9)).count();
            (best > 0.0).then_some(before + 1)
        };
        let ranks: Vec<Option<usize>> = self.car.roots.iter().map(|r| of(&r.causes)).collect();
        ranks.into_iter().collect::<Option<Vec<usize>>>()?.into_iter().max()
    }

    fn take(&mut self, ask: &Ask, event: Event) {
        if let Event::Act(name, Taken::Done) = &event {
            let act = Act::find(self.book, name).expect("an act of the book");
            self.done(act);
        }
        self.out.handed_over |= event == Event::Referred;
        let (question, answer) = event.written();
        self.session.take(Entry { at: String::new(), book: String::new(), ask: question, answer });
        if let Event::Closed(reason) = event {
            let (causes, vain, cured) = self.session.closing();
            let right = |c: &Id<Cause>| causes.iter().any(|name| name == self.book.causes[*c].name());
            let all = self.car.roots.iter().all(|root| root.causes.is_empty() || root.causes.iter().any(right));
            self.out.proven = cured && all && reason.is_none() && self.truth.sound() && ask.title == "Close the job?";
            self.session.close(Closed { day: "2026-12-01".into(), causes, cured, reason: reason.unwrap_or_default(), vain });
        }
    }

    fn done(&mut self, act: Act) {
        if let Ok(a) = self.session.assessment() {
            self.out.minutes += (a.price(act) - act.money(self.book)) * 60.0 / RATES.per_hour;
        }
        if self.out.acts.is_empty() {
            self.out.silly = self.car.bad_first.contains(&act);
        }
        self.out.acts.push(act.name(self.book).into());
        match act {
            Act::Check(_) => self.out.checks += 1,
            Act::Fix(fix) if !self.truth.repair(fix) => self.out.vain.push(act.name(self.book).into()),
            Act::Fix(_) => {}
        }
    }

    /// What a technician types who knows this car and no more.
    fn answer(&mut self, ask: &Ask) -> String {
        let (topic, name) = ask.id.split_once(':').unwrap_or((&ask.id, ""));
        let yes_no = |so: bool| if so { "1" } else { "2" }.to_string();
        match topic {
            "danger" => "safe".into(),
            "dangers" | "more" | "gone" | "heard" | "when" => self.symptoms(ask),
            "symptom" => yes_no(self.finding(name).is_some_and(|f| self.car.symptoms.contains(&f))),
            "trait" if self.car.fitted.iter().any(|t| t == name) => "1".into(),
            "trait" if self.car.not_fitted.iter().any(|t| t == name) => "2".into(),
            "trait" | "vehicle" => "x".into(),
            "before" if self.car.before.is_empty() => "0".into(),
            "before" => self.car.before.clone(),
            "repaired" => numbers(ask, |n| self.car.repaired.iter().any(|f| self.book.fixes[*f].name() == n)),
            "unheard" | "system" | "which" => self.listed(ask),
            "codes" => self.codes(ask),
            "find" | "proof" => self.finding(name).map_or("x".into(), |f| self.truth.shows(f)),
            "left-cause" => {
                let root = self.book.causes.find(name).is_some_and(|c| self.truth.is_root(c));
                if root && offers(ask, "1") { "1".into() } else { left(ask) }
            }
            "left-finding" => left(ask),
            "close" => self.close(ask),
            _ => "1".into(),
        }
    }

    fn finding(&self, name: &str) -> Option<Id<faultbook::book::Finding>> {
        self.book.findings.find(name)
    }

    /// Of the codes that a check reads, those that this car has.
    fn codes(&self, ask: &Ask) -> String {
        let stored = |n: &&str| self.finding(n).is_some_and(|f| self.truth.shows(f) == "present");
        let here: Vec<&str> = ask.lines.iter().filter_map(|l| l.1.split(' ').next()).filter(stored).collect();
        if here.is_empty() { "0".into() } else { here.join(" ") }
    }

    /// Which of these are so; after a repair that left a root, at least something of the complaint stands.
    fn symptoms(&self, ask: &Ask) -> String {
        let stands = |n: &str| self.finding(n).is_some_and(|f| self.truth.complained(f));
        let Free::Several(list) = &ask.free else {
            let left = self.car.symptoms.iter().any(|f| self.truth.complained(*f));
            return if self.truth.sound() && !left { "1" } else { "2" }.into();
        };
        let none = !list.items.iter().any(|(n, _)| stands(n));
        let all = ask.id.starts_with("gone") && none && !self.truth.sound();
        numbers(ask, |n| all || stands(n))
    }

    /// Where nothing was heard: what the customer meant is chosen from the lists.
    fn listed(&self, ask: &Ask) -> String {
        let open = |n: &str| self.finding(n).is_some_and(|f| self.car.symptoms.contains(&f)) && !self.known(n);
        let unknown = self.car.symptoms.iter().filter(|f| !self.known(self.book.findings[**f].name()));
        let systems: Vec<&str> = unknown.map(|f| &self.book.findings[*f].head).map(|h| self.book.system(h)).collect();
        let wanted = |says: &Event| match says {
            Event::Listed(_, Choice::Symptom(name)) => open(name),
            Event::Listed(_, Choice::Words(system)) => systems.contains(&system.as_str()),
            Event::Listed(_, Choice::List) => !self.car.symptoms.iter().all(|f| self.known(self.book.findings[*f].name())),
            Event::Listed(_, Choice::More) => true,
            _ => false,
        };
        ask.replies.iter().find(|r| wanted(&r.says)).map_or("0".into(), |r| r.key.clone())
    }

    fn known(&self, symptom: &str) -> bool {
        let said = &self.session.standing().sheet.complaint;
        said.yes.iter().chain(&said.no).any(|n| n == symptom)
    }

    /// Closed with one key where that is offered; else what is open is tried once more, then the owner takes the car as it is.
    fn close(&mut self, ask: &Ask) -> String {
        let first = ask.replies.iter().find(|r| r.key == "1");
        match first {
            Some(reply) if ask.title == "Close the job?" => reply.key.clone(),
            Some(reply) if !std::mem::replace(&mut self.tried_again, true) => reply.key.clone(),
            _ => "the owner takes the car as it is".into(),
        }
    }
}

/// All that a screen says, one text.
fn screen(ask: &Ask) -> String {
    let lines = ask.lines.iter().map(|(_, words)| words.as_str());
    let replies = ask.replies.iter().map(|r| r.words.as_str()).chain(ask.why.iter().map(String::as_str));
    let items = if let Free::Several(list) = &ask.free { list.items.as_slice() } else { &[] };
    std::iter::once(ask.title.as_str())
        .chain(lines)
        .chain(replies)
        .chain(items.iter().map(|(_, words)| words.as_str()))
        .collect::<Vec<_>>()
        .join("\n")
}

fn offers(ask: &Ask, key: &str) -> bool {
    ask.replies.iter().any(|r| r.key == key)
}

/// What is still out of order is read again where it was read before the last repair only; else the owner is told.
fn left(ask: &Ask) -> String {
    if offers(ask, "r") { "r" } else { "2" }.into()
}

/// What a question is about: `do` of `do:look-hose`.
fn topic(ask: &Ask) -> &str {
    ask.id.split(':').next().unwrap_or_default()
}

/// The numbers of those items of a list that are so; `0` where none is.
fn numbers(ask: &Ask, so: impl Fn(&str) -> bool) -> String {
    let Free::Several(list) = &ask.free else { return "0".into() };
    let named: Vec<String> = list.items.iter().enumerate().filter(|(_, (n, _))| so(n)).map(|(i, _)| (i + 1).to_string()).collect();
    if named.is_empty() { "0".into() } else { named.join(" ") }
}
