//! The plan as a page for people: danger first, then what to ask, what it may be, what to do next and why, the steps after it, the repair.

use super::Planned;
use super::document::step;
use super::tree::{Numbered, Onward, numbered};
use crate::bay::{Act, Decides, Question, Raised, Repair, Speaks, Why, how_strongly};
use crate::book::{Access, Check, FindingKind, Headed, Id};
use crate::plan::{Next, Step};
use crate::report::explain::{level, proof};
use crate::report::weigh::{cause_line, estimate, ranked};
use crate::report::words::{NO_DANGER_ASKED, heading, minutes, money, percent, wrap};
use crate::report::{Look, seen};

/// Steps printed; more can be had with `--whole`.
const STEPS: usize = 14;

/// Causes of which the page says what speaks for and against them.
const SPOKEN_FOR: usize = 3;
/// Decibans below which a finding is left out of the page.
const WORTH_A_WORD: f64 = 2.0;
const SPEAKS: &str = "       ";

/// The page.
pub fn text(p: &Planned, look: Look, whole: bool) -> String {
    let page = Page { p, look };
    let mut out = page.hazards();
    out.push_str(&page.questions());
    out.push_str(&seen::text(p.book, p.evidence, look));
    if p.plan.in_question.is_empty() {
        let what = if p.evidence.heard.is_empty() {
            "add what the customer complains of, a code or a reading."
        } else {
            "answer what the words may mean (`--symptom NAME` for a yes), or add a code or a reading."
        };
        out.push_str(&page.line("", &format!("Nothing abnormal is known yet, so there is nothing to plan: {what}")));
        return out;
    }
    out.push_str(&page.causes());
    out.push_str(&page.next());
    out.push_str(&page.steps(if whole { usize::MAX } else { STEPS }));
    out.push_str(&page.repairs());
    out.push_str(&page.cost());
    out
}

struct Page<'a, 'b> {
    p: &'a Planned<'b>,
    look: Look,
}

impl Page<'_, '_> {
    fn line(&self, lead: &str, text: &str) -> String {
        let later = " ".repeat(lead.chars().count());
        wrap(text, self.look.width, lead, &later) + "\n"
    }

    fn price(&self, amount: f64) -> String {
        format!("{} {}", money(amount), self.p.currency).trim_end().to_string()
    }

    fn hazards(&self) -> String {
        let mut out = if self.p.book.asks_no_danger() { self.line("!! ", NO_DANGER_ASKED) + "\n" } else { String::new() };
        for raised in self.p.hazards {
            out.push_str(&self.hazard(raised));
            out.push('\n');
        }
        out
    }

    fn hazard(&self, raised: &Raised) -> String {
        let hazard = &self.p.book.hazards[raised.hazard];
        let mut out = self.line("!! ", &format!("{}: {}", level(hazard.level).to_uppercase(), hazard.title()));
        raised.advice(self.p.book).iter().for_each(|d| out.push_str(&self.line("   ", d)));
        if raised.findings.is_empty() {
            let causes: Vec<String> =
                raised.causes.iter().map(|(c, q)| format!("{} ({})", self.p.book.causes[*c].title(), percent(*q))).collect();
            out.push_str(&self.line("   ", &format!("Because it may be: {}", causes.join("; "))));
        }
        out
    }

    fn questions(&self) -> String {
        if self.p.questions.is_empty() {
            return String::new();
        }
        let mut out = heading("Ask first");
        for question in &self.p.questions {
            out.push_str(&self.question(question));
        }
        out + "\n"
    }

    fn question(&self, question: &Question) -> String {
        let (ask, name, why) = match question {
            Question::Symptom(id, why) => {
                let finding = &self.p.book.findings[*id];
                let why = match why {
                    Why::Always => String::new(),
                    Why::Heard(words) => format!(" The customer says “{words}”."),
                };
                (finding.question().unwrap_or(finding.title()), finding.name(), why)
            }
            Question::Trait(id, decides) => {
                let row = &self.p.book.traits[*id];
                let why = match decides {
                    Decides::Dangers => " The answer decides which dangers to ask about.",
                    Decides::FirstStep => " The answer changes what to do first.",
                };
                (row.ask.as_deref().unwrap_or(row.title()), row.name(), why.to_string())
            }
        };
        self.line("? ", &format!("{ask}{why} ({name})"))
    }

    fn causes(&self) -> String {
        let mut out = self.going_on() + &heading("What it may be");
        let shown = self.p.likely(8);
        for (rank, (index, q)) in shown.iter().enumerate() {
            out.push_str(&cause_line(self.p.book.causes[self.p.bay.car.causes[*index]].title(), *q, self.look));
            if rank < SPOKEN_FOR {
                out.push_str(&self.speaks(*index));
            }
        }
        out.push_str(&cause_line("none of the causes in the book", self.p.beliefs.unlisted, self.look));
        out + &estimate(self.p.beliefs.method, self.look) + &self.unexplained() + "\n"
    }

    /// States that end with their root, apart from the causes.
    fn going_on(&self) -> String {
        if self.p.conditions.is_empty() {
            return String::new();
        }
        let lines = self.p.conditions.iter().map(|(c, q)| cause_line(self.p.book.causes[*c].title(), *q, self.look));
        heading("What is going on") + &lines.collect::<String>() + "\n"
    }

    /// What speaks for and against one of the first causes.
    fn speaks(&self, cause: usize) -> String {
        let Some(speaks) = self.p.speaks.get(&cause) else { return String::new() };
        let side = |word: &str, of: fn(&Speaks) -> bool| {
            let said: Vec<String> =
                speaks.iter().filter(|s| of(s) && s.decibans.abs() >= WORTH_A_WORD).take(3).map(|s| self.said(s)).collect();
            if said.is_empty() { String::new() } else { self.line(SPEAKS, &format!("{word}: {}", said.join("; "))) }
        };
        side("For", |s| s.decibans > 0.0) + &side("Against", |s| s.decibans < 0.0)
    }

    fn said(&self, speaks: &Speaks) -> String {
        let words = how_strongly(speaks.decibans);
        let finding = &self.p.book.findings[speaks.finding];
        let state = &finding.states[speaks.state];
        let name = match (&finding.kind, speaks.state) {
            (FindingKind::Code(_), 0) => format!("no {}", finding.name()),
            (FindingKind::Code(_), _) => finding.name().to_string(),
            (FindingKind::Symptom { .. }, 0) => format!("not: {}", finding.title()),
            (FindingKind::Symptom { .. }, _) => finding.title().to_string(),
            _ => format!("{}: {state}", finding.title()),
        };
        format!("{name}, {words} ({:+.0} dB)", speaks.decibans)
    }

    /// Abnormal findings that no likely cause explains.
    fn unexplained(&self) -> String {
        let likely = ranked(&self.p.beliefs.causes, 8).into_iter().filter(|(_, q)| *q >= 0.01);
        let explained: Vec<_> = likely.flat_map(|(c, _)| self.p.explains(c)).collect();
        let left: Vec<&str> =
            self.p.evidence.complaint().iter().filter(|f| !explained.contains(f)).map(|f| self.p.book.findings[*f].title()).collect();
        if left.is_empty() { String::new() } else { self.line("", &format!("Explained by none of these: {}.", left.join("; "))) }
    }

    fn next(&self) -> String {
        let Some(first) = self.p.plan.next.first() else { return String::new() };
        let (_, _, title) = step(self.p, first.step);
        let mut out = heading("Do next");
        out.push_str(&self.line("", &format!("{}{title}", verb(first.step))));
        out.push_str(&self.line("  ", &self.effort(first)));
        if let Some(act) = self.act(first.step) {
            out.push_str(&self.how(act));
        }
        out.push_str(&self.waiting());
        out.push_str(&self.why(first));
        out + "\n"
    }

    fn act(&self, step: Step) -> Option<Act> {
        match step {
            Step::Check(a) | Step::Fix(a) => Some(self.p.bay.acts[a]),
            _ => None,
        }
    }

    fn effort(&self, next: &Next) -> String {
        let Some(act) = self.act(next.step) else { return format!("Costs {}.", self.price(next.cost)) };
        let (own, access, tools) = (act.minutes(self.p.book), act.access(self.p.book), act.tools(self.p.book));
        let mut text = format!("{}, costs {} with its access", minutes(own), self.price(next.cost));
        let names: Vec<&str> = access.iter().map(|a: &Id<Access>| self.p.book.access[*a].title()).collect();
        if !names.is_empty() {
            text.push_str(&format!(". Needs: {}", names.join("; ")));
        }
        let names: Vec<&str> = tools.iter().map(|t| self.p.book.tools[*t].title()).collect();
        if !names.is_empty() {
            text.push_str(&format!(". Tools: {}", names.join("; ")));
        }
        text + "."
    }

    /// How long the first step stands still, and what can be done until then.
    fn waiting(&self) -> String {
        let (waits, checks) = &self.p.waits;
        if *waits <= 0.0 {
            return String::new();
        }
        let free = checks.iter().map(|c| &self.p.book.checks[*c]).map(|c| format!("{} ({})", c.title(), minutes(c.minutes)));
        let free = free.collect::<Vec<_>>().join("; ");
        let meanwhile = if free.is_empty() { "the hands are free for another car".to_string() } else { free };
        self.line("  ", &format!("It waits for {}. Meanwhile: {meanwhile}.", minutes(*waits)))
    }

    fn how(&self, act: Act) -> String {
        let mut out: String = act.does(self.p.book).iter().map(|d| self.line("  - ", d)).collect();
        for id in act.cautions(self.p.book, &self.p.evidence.traits) {
            let hazard = &self.p.book.hazards[id];
            out.push_str(&self.line("  ! ", &format!("{}: {}", hazard.title(), hazard.does.join(" "))));
        }
        out
    }

    fn why(&self, first: &Next) -> String {
        let mut out = self.unproven(first);
        if let Some(second) = self.p.plan.next.get(1).filter(|_| first.saving > 0.005) {
            let (_, _, title) = step(self.p, second.step);
            out.push_str(&self.line("  ", &format!("Why this: on average it saves {} against “{title}”.", self.price(first.saving))));
        }
        if let Some(act) = self.p.most_telling().filter(|act| self.act(first.step) != Some(*act)) {
            out.push_str(&self.line("  ", &format!("Would change the plan most: {}.", self.p.title(act))));
        }
        let others = self.beside(first);
        if !others.is_empty() {
            out.push_str(&self.line("  ", &format!("While you are there: {}.", others.join("; "))));
        }
        out
    }

    /// Prove before you part: what it costs if it is wrong, and what would show that it is right.
    fn unproven(&self, first: &Next) -> String {
        let Some(unproven) = &self.p.unproven else { return String::new() };
        let likely = percent(unproven.likely);
        let words = match first.step {
            Step::Refer => format!(
                "Not proven: the likeliest, {likely}, is “{}”. A specialist wants a finding.",
                self.p.book.causes[unproven.cause].title()
            ),
            _ => format!("Not proven: {likely} likely; if it is wrong, {} are lost.", self.price(first.cost)),
        };
        let mut out = self.line("  ", &words);
        if let Some((best, _)) = unproven.checks.first() {
            let titles: Vec<&str> = unproven.checks.iter().take(2).map(|(c, _)| self.p.book.checks[*c].title()).collect();
            let minutes = minutes(self.p.book.checks[*best].minutes);
            out.push_str(&self.line("  ", &format!("Prove it first ({minutes}): {}.", titles.join("; or: "))));
        }
        out
    }

    /// Other checks that need no further access and tell something.
    fn beside(&self, first: &Next) -> Vec<String> {
        let Some(Act::Check(id)) = self.act(first.step) else { return vec![] };
        let open = &self.p.book.checks[id].access;
        if open.is_empty() {
            return vec![];
        }
        let fits = |check: &Check| !check.access.is_empty() && check.access.iter().all(|a| open.contains(a)) && check.minutes <= 5.0;
        let useful = self.p.plan.next.iter().skip(1).filter(|n| n.settles_bits > 0.01);
        let checks = useful.filter_map(|n| if let Some(Act::Check(c)) = self.act(n.step) { Some(c) } else { None });
        checks.filter(|c| fits(&self.p.book.checks[*c])).take(3).map(|c| self.p.book.checks[c].title().to_string()).collect()
    }

    fn steps(&self, most: usize) -> String {
        let steps = numbered(self.p, most);
        let mut out = heading("The steps");
        for (index, numbered) in steps.iter().enumerate() {
            out.push_str(&self.step(index + 1, numbered));
        }
        out + "\n"
    }

    fn step(&self, number: usize, numbered: &Numbered) -> String {
        let (_, _, title) = step(self.p, numbered.node.step);
        let lead = format!("{number:>2}. ");
        let mut out = self.line(&lead, &format!("{}{title} ({})", verb(numbered.node.step), self.price(numbered.node.cost)));
        for (words, q, onward) in &numbered.ways {
            let then = match onward {
                Onward::Step(n) => format!("go to {n}"),
                Onward::Done => "done: prove it".into(),
                Onward::Again => "plan again with what you saw".into(),
            };
            let chance = if numbered.ways.len() > 1 { format!(" ({})", percent(*q)) } else { String::new() };
            out.push_str(&self.line("    ", &format!("{words}{chance}: {then}")));
        }
        out
    }

    fn repairs(&self) -> String {
        if self.p.repairs.is_empty() {
            return String::new();
        }
        let mut out = heading("The repair, root first");
        self.p.repairs.iter().for_each(|r| out.push_str(&self.repair(r)));
        let steps = crate::bay::aftercare(self.p.book, &self.p.repairs);
        if !steps.is_empty() {
            let names: Vec<&str> = steps.iter().map(|a| self.p.book.aftercare[*a].title()).collect();
            out.push_str(&self.line("Then: ", &names.join("; ")));
        }
        out + "\n"
    }

    fn repair(&self, repair: &Repair) -> String {
        let book = self.p.book;
        let mut out = self.line("- ", &format!("{} ({})", book.causes[repair.cause].title(), percent(repair.probability)));
        match repair.fixes.first() {
            None => out.push_str(&self.line("  ", "The book has no fix for it: refer.")),
            Some(id) => {
                let fix = &book.fixes[*id];
                out.push_str(
                    &self.line("  ", &format!("Fix: {} ({}, parts {})", fix.title(), minutes(fix.minutes), self.price(fix.parts))),
                );
                fix.proofs.iter().for_each(|(f, s)| out.push_str(&self.line("  ", &format!("Proof: {}", proof(&book.findings[*f], *s)))));
            }
        }
        if !repair.roots.is_empty() {
            let roots: Vec<&str> = repair.roots.iter().map(|c| book.causes[*c].title()).collect();
            out.push_str(&self.line("  ", &format!("Only after: {}", roots.join("; "))));
        }
        out
    }

    fn cost(&self) -> String {
        let (cost, least) = (self.p.plan.expected_cost, self.p.plan.at_least);
        let off = if cost > 0.0 { (cost - least) / cost } else { 0.0 };
        let bound = if self.p.plan.exact {
            "no plan is cheaper on average".to_string()
        } else {
            format!("no plan can cost less than {} ({} less)", self.price(least), percent(off))
        };
        let mut out = self.line("", &format!("Expected cost to a proven repair: {}; {bound}.", self.price(cost)));
        let needed = self.p.plan.needed.min(cost);
        let parts =
            format!("Of that repairs that are needed in any case: {}; finding them: {}.", self.price(needed), self.price(cost - needed));
        out.push_str(&self.line("", &parts));
        if self.p.plan.dropped_mass > 0.001 {
            out.push_str(
                &self.line("", &format!("Left out because it is too improbable to follow: {}.", percent(self.p.plan.dropped_mass))),
            );
        }
        out
    }
}

fn verb(step: Step) -> &'static str {
    match step {
        Step::Check(_) => "Check: ",
        Step::Fix(_) => "Fix: ",
        _ => "",
    }
}
