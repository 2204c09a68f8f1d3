//! What may be done about a car: a check or a fix of the book, and what both have.

use crate::book::{Access, Book, Check, Fix, Hazard, Headed, Id, Tool};

/// A check or a fix of the book.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Act {
    /// A check.
    Check(Id<Check>),
    /// A fix.
    Fix(Id<Fix>),
}

impl Act {
    /// Whether it is only asked: nobody puts a hand, a tool or a lift to the car for it.
    pub fn is_asked(self, book: &Book) -> bool {
        let Act::Check(id) = self else { return false };
        let check = &book.checks[id];
        let spoken = check.reveals.iter().all(|f| book.findings[*f].question().is_some());
        spoken && check.access.is_empty() && check.tools.is_empty() && check.hazards.is_empty()
    }

    /// The act of that name.
    pub fn find(book: &Book, name: &str) -> Option<Act> {
        book.checks.find(name).map(Act::Check).or_else(|| book.fixes.find(name).map(Act::Fix))
    }

    /// Its name in the book.
    pub fn name(self, book: &Book) -> &str {
        match self {
            Act::Check(id) => book.checks[id].name(),
            Act::Fix(id) => book.fixes[id].name(),
        }
    }

    /// What it is called.
    pub fn title(self, book: &Book) -> &str {
        match self {
            Act::Check(id) => book.checks[id].title(),
            Act::Fix(id) => book.fixes[id].title(),
        }
    }

    /// Minutes of work it takes, without access.
    pub fn minutes(self, book: &Book) -> f64 {
        match self {
            Act::Check(id) => book.checks[id].minutes,
            Act::Fix(id) => book.fixes[id].minutes,
        }
    }

    /// Minutes in which nobody works at it, without access.
    pub fn waits(self, book: &Book) -> f64 {
        match self {
            Act::Check(id) => book.checks[id].waits,
            Act::Fix(_) => 0.0,
        }
    }

    /// Money spent beside the time: on the check, or for parts.
    pub fn money(self, book: &Book) -> f64 {
        match self {
            Act::Check(id) => book.checks[id].spend,
            Act::Fix(id) => book.fixes[id].parts,
        }
    }

    /// Access steps it needs.
    pub fn access(self, book: &Book) -> &[Id<Access>] {
        match self {
            Act::Check(id) => &book.checks[id].access,
            Act::Fix(id) => &book.fixes[id].access,
        }
    }

    /// Tools it needs.
    pub fn tools(self, book: &Book) -> &[Id<Tool>] {
        match self {
            Act::Check(id) => &book.checks[id].tools,
            Act::Fix(id) => &book.fixes[id].tools,
        }
    }

    /// How to do it.
    pub fn does(self, book: &Book) -> &[String] {
        match self {
            Act::Check(id) => &book.checks[id].does,
            Act::Fix(id) => &book.fixes[id].does,
        }
    }

    /// Its own cautions, without those of its access.
    pub fn hazards(self, book: &Book) -> &[Id<Hazard>] {
        match self {
            Act::Check(id) => &book.checks[id].hazards,
            Act::Fix(id) => &book.fixes[id].hazards,
        }
    }

    /// Its cautions and those of all access that it needs on a vehicle of these traits, each once, worst first: who lifts the car for it must know what a
    /// lifted car can do.
    pub fn cautions(self, book: &Book, traits: &[Option<bool>]) -> Vec<Id<Hazard>> {
        let steps = self.opens(book, traits, &[]);
        let mut all: Vec<Id<Hazard>> =
            self.hazards(book).iter().chain(steps.iter().flat_map(|a| &book.access[*a].hazards)).copied().collect();
        all.sort_by_key(|h| (std::cmp::Reverse(book.hazards[*h].level), *h));
        all.dedup();
        all
    }

    /// All access that it needs on a vehicle of these traits, near and far, beyond what is open: what the vehicle surely has not needs no opening.
    pub fn opens(self, book: &Book, traits: &[Option<bool>], already: &[Id<Access>]) -> Vec<Id<Access>> {
        let (mut steps, mut open): (Vec<Id<Access>>, Vec<Id<Access>>) = (vec![], self.access(book).to_vec());
        while let Some(step) = open.pop() {
            if !steps.contains(&step) && !already.contains(&step) && book.access[step].head.when.keeps(traits) {
                steps.push(step);
                open.extend(&book.access[step].needs);
            }
        }
        steps
    }
}
