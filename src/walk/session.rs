//! A walk under way: the sheet with its journal, folded as far as it goes, and what is believed and planned there, worked out once.

use super::ask::Ask;
use super::outcome::Outcome;
use super::standing::Standing;
use super::steps::Desk;
use crate::bay::{Assessment, Effort, Misfit, Rates};
use crate::book::{Book, Cause, Headed, Id};
use crate::job::{Closed, Entry, Event, Evidence, InputError, JobSheet, evidence};
use std::cell::OnceCell;

/// Why a sheet can't be worked out.
#[derive(Debug, Clone, PartialEq)]
pub enum Trouble {
    /// Mistakes in it.
    Sheet(Vec<InputError>),
    /// By these rules no car shows all of it.
    Misfit(Misfit),
}

/// A walk under way.
pub struct Session<'b> {
    book: &'b Book,
    rates: Rates,
    effort: Effort,
    sheet: JobSheet,
    standing: Standing,
    evidence: OnceCell<Result<Evidence, Vec<InputError>>>,
    assessment: OnceCell<Result<Assessment<'b>, Trouble>>,
}

/// What a person wants to know after each answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Summary {
    /// The causes that are not put right yet with their probability, the likeliest first; empty where nothing abnormal is known, while a
    /// repair is not judged yet, and once the complaint is gone.
    pub likely: Vec<(String, f64)>,
    /// How good these are where they are estimates, in words; else empty.
    pub estimate: String,
    /// What is going on: states that are likelier there than not and end with their root, apart from the causes.
    pub conditions: Vec<(String, f64)>,
    /// What the last repair changed, line by line; empty until it is proven and tried.
    pub changed: Vec<String>,
}

impl<'b> Session<'b> {
    /// A sheet as it stands in its file.
    pub fn new(book: &'b Book, sheet: JobSheet, rates: Rates, effort: Effort) -> Session<'b> {
        let standing = Standing::new(book, &sheet);
        Session { book, rates, effort, sheet, standing, evidence: OnceCell::new(), assessment: OnceCell::new() }
    }

    /// The rules.
    pub(super) fn book(&self) -> &'b Book {
        self.book
    }

    /// The sheet with its journal.
    pub fn sheet(&self) -> &JobSheet {
        &self.sheet
    }

    /// Where the job stands.
    pub fn standing(&self) -> &Standing {
        &self.standing
    }

    /// What is known at the intake, by all that was answered.
    ///
    /// # Errors
    /// The mistakes in the sheet.
    pub fn evidence(&self) -> Result<&Evidence, &Vec<InputError>> {
        self.evidence.get_or_init(|| evidence(self.book, &self.standing.sheet)).as_ref()
    }

    /// All that is believed and planned where the job stands.
    ///
    /// # Errors
    /// What is wrong with the sheet.
    pub fn assessment(&self) -> Result<&Assessment<'b>, &Trouble> {
        let make = || {
            let evidence = self.evidence().map_err(|e| Trouble::Sheet(e.clone()))?.clone();
            Assessment::new(self.book, evidence, self.standing.progress.clone(), self.rates, self.effort).map_err(Trouble::Misfit)
        };
        self.assessment.get_or_init(make).as_ref()
    }

    /// Folds one entry of the journal. What is believed is worked out anew only where something was learnt.
    pub fn take(&mut self, entry: Entry) {
        let event = entry.event();
        self.sheet.journal.push(entry);
        let (sheet, progress) = (self.standing.sheet.clone(), self.standing.progress.clone());
        match event {
            Event::Note(_) | Event::Attached(_) => return,
            Event::Back => self.standing = Standing::new(self.book, &self.sheet),
            event => self.standing.take(self.book, &event),
        }
        if self.standing.sheet != sheet {
            self.evidence = OnceCell::new();
            self.assessment = OnceCell::new();
        } else if self.standing.progress != progress {
            self.assessment = OnceCell::new();
        }
    }

    /// The job is closed.
    pub fn close(&mut self, closed: Closed) {
        self.sheet.closed = Some(closed);
    }

    /// The next question; none where the job is closed.
    ///
    /// # Errors
    /// What is wrong with a sheet that has no answer to take back.
    pub fn next(&self) -> Result<Option<Ask>, String> {
        if self.sheet.closed.is_some() {
            return Ok(None);
        }
        match self.assessment() {
            Ok(a) => Ok(Some(Desk::new(&self.standing, a).ask())),
            Err(trouble) if self.standing.answers.is_empty() => Err(trouble.words(self.book)),
            // where nothing can be worked out from what was answered, the only way on is back
            Err(trouble) => Ok(Some(Ask::new("stuck", "This does not fit together. Go back with b.").line("", trouble.words(self.book)))),
        }
    }

    /// The summary where the job stands; none where nothing can be worked out.
    pub fn summary(&self) -> Option<Summary> {
        let (standing, a) = (&self.standing, self.assessment().ok()?);
        let named = |(c, p): (Id<Cause>, f64)| (self.book.causes[c].title().to_string(), p);
        let judged = a.anything_wrong() && !standing.cured() && standing.fixes.last().is_none_or(|f| f.gone.is_some());
        let changed = Desk::new(standing, a).changed();
        if !judged {
            return Some(Summary { likely: vec![], conditions: vec![], estimate: a.estimate(), changed });
        }
        let likely = a.standing(0.0).into_iter().map(named).collect();
        Some(Summary { likely, conditions: a.conditions().into_iter().map(named).collect(), estimate: a.estimate(), changed })
    }

    /// What the repairs came to, for the close: the causes put right and the fixes in vain, by name, and whether the complaint is gone and a cause of it put right.
    pub fn closing(&self) -> (Vec<String>, Vec<String>, bool) {
        let Ok(a) = self.assessment() else { return (vec![], vec![], false) };
        let outcome = Outcome::of(&self.standing, a);
        let right: Vec<String> = outcome.put_right().into_iter().map(|c| self.book.causes[c].name().to_string()).collect();
        let vain = outcome.vain(&self.standing).into_iter().map(|f| self.book.fixes[f].name().to_string()).collect();
        let cured = self.standing.cured() && !right.is_empty();
        (right, vain, cured)
    }
}

impl Trouble {
    /// In words.
    pub fn words(&self, book: &Book) -> String {
        match self {
            Trouble::Sheet(errors) => errors.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"),
            Trouble::Misfit(misfit @ Misfit::Contradiction { .. }) => {
                format!("by these rules no car can show all of this; go back and look again at: {}", misfit.titles(book).join("; "))
            }
            Trouble::Misfit(other) => other.to_string(),
        }
    }
}
