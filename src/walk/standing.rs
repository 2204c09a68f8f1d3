//! A sheet with its journal -> where the job stands.

use super::proof::{FixDone, observe};
use crate::bay::{Act, Progress};
use crate::book::{Access, Book, Finding, FindingKind, Hazard, Headed, Id, Trait};
use crate::job::{CodeEntry, Event, JobSheet, Known, Look, Signed, Taken, Vehicle, effective, evidence, known_traits, typed_codes};
use std::collections::HashMap;

/// Where the job stands.
#[derive(Debug, Clone)]
pub struct Standing {
    /// The sheet with the intake's answers in it.
    pub sheet: JobSheet,
    /// What was done and seen since.
    pub progress: Progress,
    /// The check or fix under way, with what is still to be read of it.
    pub current: Option<(Act, Vec<Id<Finding>>)>,
    /// What is to be done before the planned step, until it is done or left out: a check that proves it, or a step taken up after all.
    pub chosen: Option<Act>,
    /// Fixes done, in order.
    pub fixes: Vec<FixDone>,
    /// Dangers that were said to be dealt with.
    pub safe: Vec<Id<Hazard>>,
    /// Dangers that were acknowledged.
    pub warned: Vec<Id<Hazard>>,
    /// What was typed among the codes and is none.
    pub no_codes: Vec<String>,
    /// The list of symptoms that is looked at, where nothing abnormal is known.
    pub list: List,
    /// The last answer to each question.
    pub answers: HashMap<String, Event>,
}

/// Which list the technician looks at.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub enum List {
    /// None: what to do is asked.
    #[default]
    Closed,
    /// The systems, from this one on.
    Systems(usize),
    /// The symptoms of a system, from this one on.
    Symptoms(String, usize),
    /// Nothing of it fits: the job goes on without.
    Left,
}

impl Standing {
    /// Folds the journal over the sheet. An entry that names nothing in this book is passed over: the book may be newer than the sheet.
    pub fn new(book: &Book, sheet: &JobSheet) -> Standing {
        let mut standing = Standing {
            sheet: JobSheet { journal: vec![], closed: None, ..sheet.clone() },
            progress: Progress::default(),
            current: None,
            chosen: None,
            fixes: vec![],
            safe: vec![],
            warned: vec![],
            no_codes: vec![],
            list: List::default(),
            answers: HashMap::new(),
        };
        standing.resume(book);
        effective(&sheet.journal).into_iter().for_each(|i| standing.take(book, &sheet.journal[i].event()));
        standing
    }

    /// Takes up what the sheet itself tells of repairs and of a fault asleep. Mistakes in it are told where the evidence is read.
    fn resume(&mut self, book: &Book) {
        if self.sheet.done.is_empty() && !self.sheet.complaint.asleep {
            return;
        }
        let Ok(evidence) = evidence(book, &self.sheet) else { return };
        self.progress = Progress::begun(book, &evidence);
        for (period, number) in evidence.periods.iter().zip(1..) {
            let mut fix = FixDone::new(book, period.fix, &evidence.traits);
            fix.told(book, &period.seen);
            fix.gone = self.gone_by(book, number);
            (fix.asked, fix.tried) = (true, fix.gone.is_some());
            self.fixes.push(fix);
        }
    }

    /// Whether the complaint was gone in a period, by what was seen of it then; none where nobody tried.
    fn gone_by(&self, book: &Book, period: usize) -> Option<bool> {
        let tried = self.progress.seen.iter().filter(|l| l.period == period && self.passing(book).contains(&l.observation.finding));
        tried.map(|l| !l.observation.abnormal()).reduce(|all, one| all && one)
    }

    /// Whether something was asked already.
    pub fn asked(&self, id: &str) -> bool {
        self.answers.contains_key(id)
    }

    /// Whether a repair was done of which nobody could try if the complaint is gone.
    pub fn untried(&self) -> bool {
        self.fixes.last().is_some_and(|f| f.asked && f.gone.is_none())
    }

    /// Whether the complaint is gone.
    pub fn cured(&self) -> bool {
        self.fixes.last().is_some_and(|f| f.gone == Some(true))
    }

    /// Folds one answer.
    pub(super) fn take(&mut self, book: &Book, event: &Event) {
        self.answers.insert(event.written().0, event.clone());
        match event {
            Event::Car(words) => self.car(book, words),
            Event::Words(words) => self.sheet.complaint.words = words.clone(),
            Event::Heard(offered) | Event::When(offered) => self.offered(book, offered),
            Event::Symptom(name, known) => self.symptom(book, name, *known),
            Event::Listed(list, choice) => self.look_up(book, *list, choice),
            Event::Trait(name, known) => self.vehicle_trait(book, name, *known),
            Event::Repaired(signed) => {
                let named = signed.iter().flatten().filter(|(name, so)| *so && book.fixes.find(name).is_some());
                self.sheet.complaint.repaired_before.extend(named.map(|(name, _)| name.clone()));
            }
            Event::Dangers(signed) | Event::More(signed) => {
                self.each(signed.as_ref(), |s, name, known| s.take(book, &Event::Symptom(name, known)))
            }
            Event::Vehicle(signed) => self.each(signed.as_ref(), |s, name, known| s.take(book, &Event::Trait(name, known))),
            Event::Before(parts) => self.sheet.complaint.done_before.extend(parts.iter().flatten().cloned()),
            Event::Codes(codes) => self.codes(book, codes.as_ref()),
            Event::Scan(known) => self.sheet.scan.complete = *known == Known::Yes,
            Event::Safe(name) => self.safe.extend(book.hazards.find(name)),
            Event::Act(name, taken) => self.step(book, name, taken),
            Event::Found(name, look) => self.found(book, name, look),
            Event::Proof(name, look) => self.proof(book, name, look),
            Event::Settled(name, look) => self.settle(book, name, look.as_ref()),
            Event::Again(name) => self.again(book, name.as_deref()),
            Event::Gone(_, left) => self.gone(book, left),
            Event::Warned(names) => self.warned.extend(names.iter().filter_map(|n| book.hazards.find(n))),
            Event::Asleep(asleep) => self.sleep(*asleep),
            Event::Leave(..) | Event::Aftercare(..) | Event::Referred | Event::Closed(_) => {}
            Event::Note(_) | Event::Attached(_) | Event::Back | Event::Other(..) => {}
        }
    }

    fn each(&mut self, signed: Option<&Signed>, take: impl Fn(&mut Standing, String, Known)) {
        for (name, so) in signed.into_iter().flatten() {
            take(self, name.clone(), if *so { Known::Yes } else { Known::No });
        }
    }

    /// Codes, and what was typed among them and is none; nothing where they were not read.
    fn codes(&mut self, book: &Book, codes: Option<&(Vec<String>, Vec<String>)>) {
        let (good, bad) = codes.cloned().unwrap_or_default();
        let asked = self.codes_to_read(book);
        self.no_codes = bad;
        // a check that reads codes asks for all of its own at once; those of the intake stay those of the intake
        for id in &asked {
            let finding = &book.findings[*id];
            let state = usize::from(good.iter().any(|c| c.split('-').next() == Some(finding.name())));
            let look = if codes.is_some() { Look::Shown(finding.states[state].clone()) } else { Look::NotSeen };
            self.found(book, finding.name(), &look);
        }
        if asked.is_empty() {
            self.sheet.scan.codes.extend(good.into_iter().map(CodeEntry::Plain));
        }
    }

    /// The codes that the check under way still has to read.
    pub(super) fn codes_to_read(&self, book: &Book) -> Vec<Id<Finding>> {
        let Some((Act::Check(_), left)) = &self.current else { return vec![] };
        left.iter().copied().filter(|id| matches!(book.findings[*id].kind, FindingKind::Code(_))).collect()
    }

    /// What car it is; what was answered before does not count against the words.
    fn car(&mut self, book: &Book, words: &str) {
        if words != "unknown" {
            self.sheet.vehicle.words = words.into();
        }
        self.leave_out(book);
    }

    /// Of a list that the words may mean those that are so count; the others stay open, and are not asked again.
    fn offered(&mut self, book: &Book, offered: &Signed) {
        for (name, so) in offered {
            self.take(book, &Event::Symptom(name.clone(), if *so { Known::Yes } else { Known::Unknown }));
        }
    }

    /// What the book no longer knows is passed over.
    pub(super) fn symptom(&mut self, book: &Book, name: &str, known: Known) {
        match known {
            _ if book.findings.find(name).is_none() => {}
            Known::Yes => self.sheet.complaint.yes.push(name.into()),
            Known::No => self.sheet.complaint.no.push(name.into()),
            Known::Unknown => {}
        }
    }

    fn vehicle_trait(&mut self, book: &Book, name: &str, known: Known) {
        // the last answer counts: who corrects a slip is not told that he contradicts himself
        let said = &mut self.sheet.vehicle;
        said.fitted.retain(|n| n != name);
        said.not_fitted.retain(|n| n != name);
        match known {
            _ if book.traits.find(name).is_none() => {}
            Known::Yes => {
                correct(book, said, name, true);
                said.fitted.push(name.into());
            }
            Known::No => {
                correct(book, said, name, false);
                said.not_fitted.push(name.into());
            }
            Known::Unknown => {}
        }
        self.leave_out(book);
    }

    /// What is known of the vehicle by now, trait by trait.
    fn traits(&self, book: &Book) -> Vec<Option<bool>> {
        known_traits(book, &self.sheet.vehicle, &self.sheet.complaint.words).unwrap_or_else(|_| vec![None; book.traits.len()])
    }

    /// What does not apply to the vehicle is not to be looked for in the step under way.
    fn leave_out(&mut self, book: &Book) {
        let traits = self.traits(book);
        match &mut self.current {
            Some((Act::Check(_), left)) => left.retain(|f| book.findings[*f].head.when.keeps(&traits)),
            Some((Act::Fix(_), _)) => self.fixes.last_mut().into_iter().for_each(|f| f.leave_out(book, &traits)),
            None => {}
        }
        self.finish();
    }

    /// A check with nothing left to look at is done.
    fn finish(&mut self) {
        if let Some((act, _)) = self.current.take_if(|(act, left)| matches!(act, Act::Check(_)) && left.is_empty()) {
            self.progress.done.push(act);
        }
    }

    /// Whether a finding is known: it was looked at, and no repair since can have changed it.
    fn known(&self, book: &Book, id: Id<Finding>) -> bool {
        self.looked(book, id).is_some_and(|period| !self.progress.changed_since(book, period, id))
    }

    /// The period of the last look at a finding, that of the intake with them.
    fn looked(&self, book: &Book, id: Id<Finding>) -> Option<usize> {
        let name = book.findings[id].name();
        let (sheet, complaint) = (&self.sheet, &self.sheet.complaint);
        let said = complaint.yes.iter().chain(&complaint.no).any(|n| n == name);
        let scan = &sheet.scan;
        let typed = |e: &CodeEntry| typed_codes(e.code()).is_ok_and(|codes| codes.iter().any(|c| c.to_string() == name));
        let code = matches!(book.findings[id].kind, FindingKind::Code(_));
        let scanned = code && ((scan.complete && !scan.cleared) || scan.codes.iter().any(typed));
        let at_intake = said || scanned || sheet.readings.contains_key(name) || sheet.signs.contains_key(name);
        self.progress.looked(id).or(at_intake.then_some(0))
    }

    /// The symptoms complained of that can go away: what lasts is history, and a circumstance says only when they come.
    pub(super) fn passing(&self, book: &Book) -> Vec<Id<Finding>> {
        self.complained(book).into_iter().filter(|f| !book.findings[*f].is_hint()).collect()
    }

    /// Of these the ones that were there when they were last tried.
    pub(super) fn still_there(&self, book: &Book) -> Vec<Id<Finding>> {
        let last = |f: &Id<Finding>| self.progress.seen.iter().rfind(|l| l.observation.finding == *f);
        self.passing(book).into_iter().filter(|f| last(f).is_none_or(|l| l.observation.abnormal())).collect()
    }

    /// What is to be tried after the last repair: the symptoms that were there, where a repair since can by the rules have changed one of them or
    /// anything else that was wrong. Who tries the car sees all of it, and a car may know more than the rules do.
    pub(super) fn to_try(&self, book: &Book) -> Vec<Id<Finding>> {
        let again = self.fixes.last().is_some_and(|f| f.again);
        if again {
            return self.passing(book);
        }
        let there = self.still_there(book);
        let changed = |f: &Id<Finding>| self.progress.changed_since(book, self.looked(book, *f).unwrap_or(0), *f);
        if there.iter().any(changed) || self.wrong(book).iter().any(changed) { there } else { vec![] }
    }

    /// What was out of its normal state when it was last looked at.
    fn wrong(&self, book: &Book) -> Vec<Id<Finding>> {
        evidence(book, &self.sheet).map_or_else(|_| vec![], |e| self.progress.now(&e).complaint())
    }

    /// The fault falls asleep, or is there again: what was found normal while it slept is looked at anew.
    fn sleep(&mut self, asleep: bool) {
        self.progress.asleep = asleep;
        if !asleep {
            self.progress.slept.clear();
        }
    }

    /// A step was taken or left out; or another is chosen before it.
    fn step(&mut self, book: &Book, name: &str, taken: &Taken) {
        if let Taken::Instead(other) = taken {
            self.chosen = Act::find(book, other);
            return;
        }
        let Some(act) = Act::find(book, name) else { return };
        self.chosen = None;
        if *taken == Taken::Skipped {
            self.progress.skipped.push(act);
        } else {
            self.begin(book, act);
        }
    }

    fn begin(&mut self, book: &Book, act: Act) {
        act.access(book).iter().for_each(|a| open(book, *a, &mut self.progress.open));
        match act {
            Act::Check(id) => {
                let left = book.checks[id].reveals.iter().copied().filter(|f| !self.known(book, *f)).collect();
                self.current = Some((act, left));
            }
            Act::Fix(id) => {
                let mut fix = FixDone::new(book, id, &self.traits(book));
                fix.leave_what_held(|p| self.progress.in_state(p.finding, p.wanted));
                self.fixes.push(fix);
                self.progress.repairs.push(id);
                self.progress.done.push(act);
                self.current = Some((act, vec![]));
                self.nothing_to_try(book);
            }
        }
        self.leave_out(book);
    }

    /// Where no symptom that is left can have changed, it is as it was: nobody is asked.
    fn nothing_to_try(&mut self, book: &Book) {
        if self.passing(book).is_empty() || !self.to_try(book).is_empty() {
            return;
        }
        let gone = self.still_there(book).is_empty();
        self.fixes.last_mut().into_iter().for_each(|f| (f.asked, f.gone) = (true, Some(gone)));
    }

    fn found(&mut self, book: &Book, name: &str, look: &Look) {
        let Some(id) = book.findings.find(name) else { return };
        if let Some(Act::Check(check)) = self.chosen.filter(|_| self.current.is_none())
            && book.checks[check].reveals.contains(&id)
        {
            // sheets of older versions go from the choice straight to what was seen
            self.begin(book, Act::Check(check));
            self.chosen = None;
        }
        let asleep = self.progress.asleep && !book.findings[id].lasting;
        match (observe(book, id, look), &self.current) {
            (Some(seen), Some((Act::Check(check), _))) if asleep && !seen.abnormal() && book.checks[*check].wakes.is_none() => {
                self.progress.slept.push((*check, id));
            }
            (Some(observation), _) => self.progress.see(observation, false),
            (None, Some((Act::Check(check), _))) => self.progress.unseen.push((*check, id)),
            (None, _) => {}
        }
        if let Some((_, left)) = &mut self.current {
            left.retain(|f| *f != id);
        }
        self.finish();
    }
}

/// Takes away what does not go together with a trait that is known anew: those that exclude it or need it, and what it needs itself.
fn correct(book: &Book, vehicle: &mut Vehicle, name: &str, there: bool) {
    let Some(id) = book.traits.find(name) else { return };
    let excludes = |a: Id<Trait>, b: Id<Trait>| book.traits[a].excludes.contains(&b) || book.traits[b].excludes.contains(&a);
    let clashes = |n: &String| {
        let other = book.traits.find(n);
        other.is_some_and(|o| if there { excludes(id, o) } else { book.traits[o].head.when.traits().contains(&id) })
    };
    vehicle.fitted.retain(|n| !clashes(n));
    if there {
        let needed = book.traits[id].head.when.traits();
        vehicle.not_fitted.retain(|n| book.traits.find(n).is_none_or(|o| !needed.contains(&o)));
    }
}

/// Opens an access step with what it needs, and closes what it undoes.
fn open(book: &Book, id: Id<Access>, steps: &mut Vec<Id<Access>>) {
    if steps.contains(&id) {
        return;
    }
    book.access[id].needs.iter().for_each(|need| open(book, *need, steps));
    steps.retain(|s| !book.access[id].undoes.contains(s));
    steps.push(id);
}
