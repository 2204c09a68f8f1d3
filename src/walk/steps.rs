//! Where the job stands -> the next question.

use super::ask::{Ask, Free};
use super::outcome::Outcome;
use super::standing::Standing;
use crate::bay::{Act, Assessment, state_words};
use crate::book::{Book, Cause, Check, Dimension, Finding, Fix, Gauge, Headed, Id, Need, Trait};
use crate::job::{Event, Known, Taken};
use crate::plan::{Plan, Step};
use std::cell::OnceCell;

/// What a question is made from.
pub(super) struct Desk<'a, 'b> {
    pub book: &'b Book,
    pub standing: &'a Standing,
    pub a: &'a Assessment<'b>,
    outcome: OnceCell<Outcome>,
}

impl<'a, 'b> Desk<'a, 'b> {
    pub(super) fn new(standing: &'a Standing, a: &'a Assessment<'b>) -> Desk<'a, 'b> {
        Desk { book: a.book, standing, a, outcome: OnceCell::new() }
    }

    /// What the repairs came to.
    pub(super) fn outcome(&self) -> &Outcome {
        self.outcome.get_or_init(|| Outcome::of(self.standing, self.a))
    }
}

impl Desk<'_, '_> {
    pub(super) fn ask(&self) -> Ask {
        None.or_else(|| self.stop())
            .or_else(|| self.current())
            .or_else(|| self.warnings(false))
            .or_else(|| self.after_cure())
            .or_else(|| self.intake())
            .or_else(|| self.warnings(true))
            .unwrap_or_else(|| self.step())
    }

    /// What is still to be read of the step under way.
    fn current(&self) -> Option<Ask> {
        match self.standing.current.as_ref()? {
            (Act::Check(check), left) => {
                let id = *left.first()?;
                let codes = self.standing.codes_to_read(self.book);
                if codes.len() > 1 && codes.contains(&id) {
                    return Some(self.read_codes(&codes));
                }
                let unseen = match self.book.findings[id].gauge() {
                    Some(_) => "could not be read",
                    None if Act::Check(*check).is_asked(self.book) => "not known",
                    None => "could not be seen",
                };
                let ask = self.finding("find", id, unseen);
                Some(if left.len() > 1 { Ask { progress: format!("{} to look at in this check", left.len()), ..ask } } else { ask })
            }
            (Act::Fix(_), _) => self.proving(),
        }
    }

    /// The codes that a check reads, at once: those that are not typed are absent.
    fn read_codes(&self, codes: &[Id<Finding>]) -> Ask {
        let one = |id: &Id<Finding>| format!("{} {}", self.book.findings[*id].name(), self.book.findings[*id].title());
        let ask = Ask::new("codes", "Which of these trouble codes are stored now? Type those that are.");
        let ask = codes.iter().fold(ask, |ask, id| ask.line("", one(id)));
        Ask { free: Free::Codes, ..ask.reply("0", "none of these", "none").reply("x", "could not be read", "unknown") }
    }

    /// Asks for a finding: a number, or one of its states.
    pub(super) fn finding(&self, topic: &str, id: Id<Finding>, unseen: &str) -> Ask {
        let finding = &self.book.findings[id];
        let ask = Ask::new(format!("{topic}:{}", finding.name()), finding.question().unwrap_or(finding.title()));
        let ask = match (finding.gauge(), finding.states.as_slice()) {
            (Some(gauge), _) => Ask { free: Free::Quantity(gauge.unit.text.clone()), ..ask }.line("", how_typed(finding, gauge)),
            (None, [no, yes]) if finding.is_yes_or_no() => ask.reply("1", "yes", yes).reply("2", "no", no),
            (None, states) => states.iter().enumerate().fold(ask, |ask, (i, s)| ask.reply(&(i + 1).to_string(), &state_words(s), s)),
        };
        self.with_other_vehicle(ask.reply("x", unseen, "not-seen"), self.deciding(&[&finding.head.when], |keeps| keeps(&finding.head.when)))
    }

    fn step(&self) -> Ask {
        if !self.a.anything_wrong() {
            let title = "Nothing abnormal is known, so there is nothing to plan. Type why the job is closed, or go back.";
            return Ask { free: Free::Words, ..Ask::new("close", title) };
        }
        let plan = self.a.plan().ok();
        let safe = self.makes_safe();
        let ask = match self.standing.chosen.or_else(|| self.wanted_step()).or(safe).or_else(|| self.a.first()) {
            Some(Act::Check(id)) => self.check(id),
            Some(Act::Fix(id)) => self.fix(id),
            None => self.last_look().unwrap_or_else(|| self.refer()),
        };
        let (progress, mut why) = plan.map(|p| (steps_left(p), self.reasons(p))).unwrap_or_default();
        let first = matches!(safe, Some(act) if ask.id == format!("do:{}", act.name(self.book)));
        why.extend(first.then(|| "It makes the car safe: what its danger bars is offered again afterwards.".into()));
        why.extend(ask.why.iter().cloned());
        let progress = if ask.id == "refer" { String::new() } else { progress };
        Ask { progress, why, ..ask }
    }

    /// Why the first step comes first, in words.
    fn reasons(&self, plan: &Plan) -> Vec<String> {
        let named = |(c, p): &(Id<Cause>, f64)| format!("{} {}", self.book.causes[*c].title(), chance(*p));
        let joined = |all: &[(Id<Cause>, f64)]| all.iter().take(4).map(named).collect::<Vec<_>>().join("; ");
        let (likely, conditions) = (self.a.standing(0.02), self.a.conditions());
        let mut out = vec![format!("It may be: {}.", joined(&likely))];
        out.extend((!conditions.is_empty()).then(|| format!("What is going on: {}.", joined(&conditions))));
        out.extend(Some(self.a.estimate()).filter(|words| !words.is_empty()));
        if let [first, second, ..] = plan.next.as_slice() {
            out.push(format!("On average it saves {:.0} against: {}.", first.saving.max(0.0), self.step_title(second.step)));
        }
        let finding = (plan.expected_cost - plan.needed).max(0.0);
        out.push(format!("Expected cost: {:.0} for the repairs that are needed in any case, {finding:.0} to find them.", plan.needed));
        out
    }

    fn step_title(&self, step: Step) -> &str {
        match self.a.act(step) {
            Some(act) => act.title(self.book),
            None if step == Step::Refer => "hand the car to a specialist",
            None => "nothing",
        }
    }

    /// Traits not known yet, each with the answer by which something falls away. `needs` are all conditions that it hangs on, `stays` tells by them whether it stays.
    fn deciding(&self, needs: &[&Need], stays: impl Fn(&dyn Fn(&Need) -> bool) -> bool) -> Vec<(Id<Trait>, bool)> {
        let known = &self.a.intake.traits;
        let mut open: Vec<Id<Trait>> = needs.iter().flat_map(|n| n.traits()).filter(|t| known[t.index()].is_none()).collect();
        open.sort();
        open.dedup();
        let falls = |(id, fitted): &(Id<Trait>, bool)| {
            let mut supposed = known.clone();
            supposed[id.index()] = Some(*fitted);
            !stays(&|need: &Need| need.keeps(&supposed))
        };
        open.into_iter().flat_map(|id| [(id, false), (id, true)]).filter(falls).collect()
    }

    /// Adds an answer for each trait by which this vehicle may be another one: it is learnt, and the plan is made without all that falls away.
    fn with_other_vehicle(&self, ask: Ask, traits: Vec<(Id<Trait>, bool)>) -> Ask {
        traits.into_iter().enumerate().fold(ask, |ask, (i, (id, fitted))| {
            let key = if i == 0 { "f".to_string() } else { format!("f{}", i + 1) };
            let (lead, answer) =
                if fitted { ("not on this vehicle, it has", Known::Yes) } else { ("not fitted on this vehicle", Known::No) };
            ask.says(&key, &format!("{lead}: {}", self.book.traits[id].title()), Event::Trait(self.book.traits[id].name().into(), answer))
        })
    }

    pub(super) fn check(&self, id: Id<Check>) -> Ask {
        let check = &self.book.checks[id];
        let ask = Ask::new(format!("do:{}", check.name()), format!("Check: {}", check.title()));
        let ask = self.with_the_work(ask, Act::Check(id));
        let ask = ask.reply("1", "done, ask me what I saw", "done").reply("s", "skip: no tool, or can't reach", "skip");
        let ask = self.with_sleep(ask, check);
        let ask = Ask { why: self.cautions_in_full(Act::Check(id)), ..ask };
        self.with_other_vehicle(ask, self.falls_with(Act::Check(id)))
    }

    fn fix(&self, id: Id<Fix>) -> Ask {
        let fix = &self.book.fixes[id];
        let ask = Ask::new(format!("do:{}", fix.name()), format!("Fix: {}", fix.title()));
        let ask = match self.a.unproven(id) {
            Some(unproven) => {
                let words = format!("{}: {}", likely_words(unproven.likely), self.book.causes[unproven.cause].title());
                let ask = ask.line("not proven", words).line("", self.a.estimate());
                self.prove_first(self.with_the_work(ask, Act::Fix(id)), &unproven, self.a.price(Act::Fix(id)))
            }
            None => self.with_the_work(self.likeliest_of(id).into_iter().fold(ask, |ask, words| ask.line("for", words)), Act::Fix(id)),
        };
        let key = (ask.replies.len() + 1).to_string();
        let ask = self.take_up(ask.reply(&key, "done", "done"), 3);
        let ask = ask.reply("s", "skip: not here, not now", "skip");
        let ask = Ask { why: self.cautions_in_full(Act::Fix(id)), ..ask };
        self.with_other_vehicle(ask, self.falls_with(Act::Fix(id)))
    }

    /// Traits not known yet, each with the answer by which an act falls away: it needs it itself, or nothing is left that it shows or cures.
    pub(super) fn falls_with(&self, act: Act) -> Vec<(Id<Trait>, bool)> {
        let (own, parts): (&Need, Vec<&Need>) = match act {
            Act::Check(id) => {
                let check = &self.book.checks[id];
                (&check.head.when, check.reveals.iter().map(|f| &self.book.findings[*f].head.when).collect())
            }
            Act::Fix(id) => {
                let fix = &self.book.fixes[id];
                (&fix.head.when, fix.causes().map(|c| &self.book.causes[c].head.when).collect())
            }
        };
        let needs: Vec<&Need> = parts.iter().copied().chain([own]).collect();
        self.deciding(&needs, |keeps| keeps(own) && parts.iter().any(|n| keeps(n)))
    }

    /// The likeliest of what a fix cures, with its chance: the same as in the list.
    fn likeliest_of(&self, id: Id<Fix>) -> Option<String> {
        let cures = self.book.fixes[id].causes().map(|c| (c, self.a.weight(c)));
        let (cause, p) = cures.max_by(|a, b| a.1.total_cmp(&b.1))?;
        Some(format!("{}, {}", self.book.causes[cause].title(), chance(p)))
    }

    /// The fault comes and goes: the key that says so, and how to wake it.
    fn with_sleep(&self, ask: Ask, check: &Check) -> Ask {
        if !self.standing.progress.asleep {
            return ask.says("z", "the fault is not there right now", Event::Asleep(true));
        }
        let ask = ask.line("asleep", "the fault is not there now: what is normal then says nothing of what comes and goes");
        let wakers = || self.a.bay.acts.iter().filter_map(|a| if let Act::Check(c) = a { Some(&self.book.checks[*c]) } else { None });
        let ask = match &check.wakes {
            Some(how) => ask.line("this wakes it", how.clone()),
            None => {
                let ways = wakers().filter_map(|c| Some(format!("{}: {}", c.title(), c.wakes.as_ref()?))).take(2);
                ways.fold(ask, |ask, way| ask.line("to wake it", way))
            }
        };
        ask.says("z", "the fault is there again", Event::Asleep(false))
    }

    /// What can be done while a step waits.
    fn meanwhile(&self, act: Act) -> String {
        let titles: Vec<&str> = self.a.meanwhile(act).iter().map(|c| self.book.checks[*c].title()).collect();
        titles.join("; ")
    }

    /// What a step takes, how it is done, and its cautions with those of its access.
    fn with_the_work(&self, ask: Ask, act: Act) -> Ask {
        let book = self.book;
        let traits = &self.a.intake.traits;
        let closed =
            act.access(book).iter().filter(|a| !self.standing.progress.open.contains(a) && book.access[**a].head.when.keeps(traits));
        let steps: Vec<&str> = closed.map(|a| book.access[*a].title()).collect();
        let tools: Vec<&str> = act.tools(book).iter().map(|t| book.tools[*t].title()).collect();
        let ask =
            ask.line("takes", format!("{:.0} min", act.minutes(book))).line("first", steps.join("; ")).line("tools", tools.join("; "));
        let waits = self.a.waits(act);
        let ask = if waits > 0.0 { ask.line("waits", format!("{waits:.0} min")).line("meanwhile", self.meanwhile(act)) } else { ask };
        let ask = act.does(book).iter().fold(ask, |ask, d| ask.line("", d.clone()));
        let ask = self.cautions(act).into_iter().fold(ask, |ask, words| ask.line("caution", words));
        self.with_dangers(ask, act)
    }
}

/// Words of a reading that somebody has to work out of what the instrument shows.
const WORKED_OUT: [&str; 7] = [" less ", " minus ", " share", "multiple", "ifference", " ratio", " above the maker"];

/// What may be typed beside a number, where that helps.
fn how_typed(finding: &Finding, gauge: &Gauge) -> &'static str {
    let titled = |words: &str| finding.title().contains(words);
    match gauge.unit.dimension {
        _ if finding.takes_several() => "Type them all, as 12.6 11.9 12.4: greatest less least is worked out.",
        _ if WORKED_OUT.iter().any(|w| titled(w)) => "A sum is worked out: 12.6 - 11.9, or 45 / 60.",
        Dimension::Resistance => "`OL` where the meter shows no end.",
        Dimension::Time => "`never` where nobody saw it come.",
        _ => "",
    }
}

/// A probability as it stands in every list of the walk.
pub(super) fn chance(p: f64) -> String {
    match p {
        p if (0.995..1.0).contains(&p) => ">99 %".into(),
        p if p < 0.005 && p > 0.0 => "<1 %".into(),
        p => format!("{:.0} %", p * 100.0),
    }
}

/// Another step is done before the one planned.
pub(super) fn instead(planned: &str, other: &str) -> Event {
    Event::Act(planned.into(), Taken::Instead(other.into()))
}

/// A probability in words; what is not proven is never said to be certain.
fn likely_words(p: f64) -> String {
    if p > 0.99 { "over 99 % likely, but nothing seen on the car shows it".into() } else { format!("{:.0} % likely", p * 100.0) }
}

/// How many checks and fixes the plan expects from here, in words.
fn steps_left(plan: &Plan) -> String {
    let reached = plan.tree.reached();
    let work = plan.tree.nodes.iter().zip(reached).filter(|(node, _)| matches!(node.step, Step::Check(_) | Step::Fix(_)));
    match work.map(|(_, p)| p).sum::<f64>().round() {
        n if n < 1.5 => "about one step left".into(),
        n => format!("about {n:.0} steps left, this one counted"),
    }
}
