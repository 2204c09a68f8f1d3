//! Which traits a vehicle can have together: the questions that `when`, `excludes` and a trait's own `when` answer.

use crate::book::{Book, Headed, Id, Need, Trait};
use std::cell::RefCell;
use std::collections::HashMap;

/// How many part vehicles are tried before a question is given up; no real book comes near it.
const MOST: usize = 20_000;

/// The traits of one vehicle, as far as they matter.
pub type Vehicle = Vec<(Id<Trait>, bool)>;

/// Answers for one book, each worked out once.
pub struct Vehicles<'b> {
    book: &'b Book,
    known: RefCell<HashMap<(Need, Need), bool>>,
    implied: RefCell<HashMap<(Need, Need), bool>>,
}

/// What is looked for.
struct Wanted<'n> {
    hold: &'n [&'n Need],
    fail: &'n [&'n Need],
    /// Whether of traits that all exclude each other one is there at least: a car is a petrol or a diesel one.
    complete: bool,
}

impl<'b> Vehicles<'b> {
    /// Ready to be asked.
    pub fn new(book: &'b Book) -> Self {
        Vehicles { book, known: RefCell::default(), implied: RefCell::default() }
    }

    /// Whether some vehicle has both needs; where that is too much to work out, it is taken to have.
    pub fn together(&self, one: &Need, other: &Need) -> bool {
        if matches!((one, other), (Need::Always, Need::Always)) {
            return true;
        }
        let key = (one.clone(), other.clone());
        if let Some(known) = self.known.borrow().get(&key) {
            return *known;
        }
        let found = self.search(&Wanted { hold: &[one, other], fail: &[], complete: false });
        let answer = !matches!(found, Ok(None));
        self.known.borrow_mut().insert(key, answer);
        answer
    }

    /// Whether every vehicle that has `given` has `then` too.
    pub fn implies(&self, given: &Need, then: &Need) -> bool {
        if given == then || matches!(then, Need::Always) {
            return true;
        }
        let key = (given.clone(), then.clone());
        if let Some(known) = self.implied.borrow().get(&key) {
            return *known;
        }
        let answer = matches!(self.search(&Wanted { hold: &[given], fail: &[then], complete: false }), Ok(None));
        self.implied.borrow_mut().insert(key, answer);
        answer
    }

    /// A whole vehicle for which all of `hold` hold and none of `fail`; none where there is none, or it is too much to work out.
    pub fn example(&self, hold: &[&Need], fail: &[&Need]) -> Option<Vehicle> {
        self.search(&Wanted { hold, fail, complete: true }).ok().flatten()
    }

    /// A vehicle in words: `with a turbocharger, without b`.
    pub fn words(&self, vehicle: &Vehicle) -> String {
        let names = |fitted: bool| {
            let names: Vec<String> =
                vehicle.iter().filter(|(_, has)| *has == fitted).map(|(t, _)| format!("`{}`", self.book.traits[*t].name())).collect();
            names.join(", ")
        };
        match (names(true).as_str(), names(false).as_str()) {
            ("", "") => "any vehicle".into(),
            ("", without) => format!("a vehicle without {without}"),
            (with, "") => format!("a vehicle with {with}"),
            (with, without) => format!("a vehicle with {with}, without {without}"),
        }
    }

    fn search(&self, wanted: &Wanted) -> Result<Option<Vehicle>, TooMany> {
        let asked = self.asked(wanted);
        let mut traits = vec![None; self.book.traits.len()];
        let mut left = MOST;
        let found = self.try_from(0, &asked, &mut traits, wanted, &mut left)?;
        Ok(found.then(|| asked.iter().filter_map(|t| Some((*t, traits[t.index()]?))).collect()))
    }

    /// The traits that decide: those named, what these need, and with `complete` their alternatives.
    fn asked(&self, wanted: &Wanted) -> Vec<Id<Trait>> {
        let mut asked: Vec<Id<Trait>> = Vec::new();
        let mut open: Vec<Id<Trait>> = wanted.hold.iter().chain(wanted.fail).flat_map(|n| n.traits()).collect();
        open.reverse();
        while let Some(id) = open.pop() {
            if !asked.contains(&id) {
                asked.push(id);
                let row = &self.book.traits[id];
                open.extend(row.head.when.traits());
                open.extend(row.excludes.iter().copied().filter(|_| wanted.complete));
            }
        }
        asked
    }

    fn try_from(
        &self,
        at: usize,
        asked: &[Id<Trait>],
        traits: &mut [Option<bool>],
        wanted: &Wanted,
        left: &mut usize,
    ) -> Result<bool, TooMany> {
        *left = left.checked_sub(1).ok_or(TooMany)?;
        if !self.possible(asked, traits, wanted) {
            return Ok(false);
        }
        let Some(id) = asked.get(at) else { return Ok(true) };
        for has in [false, true] {
            traits[id.index()] = Some(has);
            if self.try_from(at + 1, asked, traits, wanted, left)? {
                return Ok(true);
            }
        }
        traits[id.index()] = None;
        Ok(false)
    }

    /// Whether nothing known so far speaks against it.
    fn possible(&self, asked: &[Id<Trait>], traits: &[Option<bool>], wanted: &Wanted) -> bool {
        let sound = |id: &Id<Trait>| match traits[id.index()] {
            Some(true) => {
                let row = &self.book.traits[*id];
                row.head.when.keeps(traits) && row.excludes.iter().all(|other| traits[other.index()] != Some(true))
            }
            Some(false) if wanted.complete => !self.all_missing(*id, traits),
            _ => true,
        };
        wanted.hold.iter().all(|n| n.keeps(traits)) && wanted.fail.iter().all(|n| n.holds(traits) != Some(true)) && asked.iter().all(sound)
    }

    /// Whether a trait and everything that shuts it out are missing, though it could be fitted.
    fn all_missing(&self, id: Id<Trait>, traits: &[Option<bool>]) -> bool {
        let row = &self.book.traits[id];
        let alternatives = row.excludes.iter().filter(|o| self.book.traits[**o].excludes.contains(&id));
        let mut none = true;
        let mut any = false;
        for other in alternatives {
            any = true;
            none &= traits[other.index()] == Some(false);
        }
        any && none && row.head.when.holds(traits) == Some(true)
    }
}

/// The question was given up.
struct TooMany;
