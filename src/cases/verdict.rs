//! A case judged against a book.

use super::case::Case;
use super::drive::{Driven, drive, state_of};
use super::why::{Why, why};
use crate::bay::{Assessment, Effort, Misfit, Progress, Rates};
use crate::belief::Method;
use crate::book::{Book, Cause, CauseKind, Finding, Headed, Id, Table};
use crate::job::evidence;
use crate::plan::{Next, Plan, Step};
use crate::syntax::nearest;
use indexmap::IndexMap;

/// What came of a case.
#[derive(Debug, Clone)]
pub struct Verdict {
    /// Its name.
    pub name: String,
    /// What was not as expected; empty where it passed.
    pub misses: Vec<Miss>,
    /// How the plan went on this car.
    pub driven: Driven,
    /// The place of each expected cause in the ranking, from 1.
    pub ranks: Vec<(String, usize)>,
    /// Where it failed and another cause than those expected is the likeliest: what weighs most between them.
    pub why: Option<Why>,
    /// How the causes were weighed; none where it did not come to that.
    pub method: Option<Method>,
}

/// One thing that was not as expected.
#[derive(Debug, Clone, PartialEq)]
pub struct Miss {
    /// What was expected.
    pub expected: String,
    /// What came.
    pub came: String,
}

impl Verdict {
    /// Whether all was as expected.
    pub fn passed(&self) -> bool {
        self.misses.is_empty()
    }

    /// The verdict on a case that could not be judged.
    pub fn failed(name: &str, expected: &str, came: String) -> Verdict {
        let misses = vec![Miss { expected: expected.into(), came }];
        Verdict { name: name.into(), misses, driven: Driven::default(), ranks: vec![], why: None, method: None }
    }
}

/// Judges one case.
pub fn judge(book: &Book, case: &Case, rates: Rates) -> Verdict {
    let usable = "a case that can be used";
    let evidence = match evidence(book, &case.sheet) {
        Ok(evidence) => evidence,
        Err(errors) => return Verdict::failed(&case.name, usable, errors.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")),
    };
    let progress = Progress::begun(book, &evidence);
    match Assessment::new(book, evidence, progress, rates, Effort::MANY) {
        Ok(a) => match Court::new(case, &a) {
            Err(message) => Verdict::failed(&case.name, usable, message),
            Ok(court) => court.judge(),
        },
        Err(Misfit::Contradiction { .. }) => {
            Verdict::failed(&case.name, "evidence that can be", "evidence that no car can show by these rules".into())
        }
        Err(other) => Verdict::failed(&case.name, usable, other.to_string()),
    }
}

/// The block of that name, or what is wrong with the name.
fn named<T: Headed>(table: &Table<T>, name: &str, kind: &str) -> Result<Id<T>, String> {
    table.find(name).ok_or_else(|| {
        let near = nearest(name, table.names()).map_or(String::new(), |near| format!("; did you mean `{near}`?"));
        format!("no {kind} is named `{name}`{near}")
    })
}

/// The causes or conditions of these names, all of one kind.
fn acting(book: &Book, names: &[String], kind: CauseKind) -> Result<Vec<Id<Cause>>, String> {
    let one = |name: &String| {
        let (word, key) = match kind {
            CauseKind::Fault => ("cause", "conditions"),
            CauseKind::Condition => ("condition", "causes"),
        };
        let id = named(&book.causes, name, word)?;
        let row = &book.causes[id];
        if row.kind == kind { Ok(id) } else { Err(format!("`{name}` is a {}: it belongs in `{key}`", row.kind_word())) }
    };
    names.iter().map(one).collect()
}

struct Court<'a> {
    book: &'a Book,
    case: &'a Case,
    a: &'a Assessment<'a>,
    causes: Vec<Id<Cause>>,
    conditions: Vec<Id<Cause>>,
    found: IndexMap<Id<Finding>, usize>,
}

impl<'a> Court<'a> {
    fn new(case: &'a Case, a: &'a Assessment<'a>) -> Result<Self, String> {
        let book = a.book;
        let expect = &case.expect;
        let told = [&expect.causes, &expect.conditions, &expect.hazards, &expect.first_check];
        if told.iter().all(|names| names.is_empty()) {
            return Err("nothing is expected, so nothing could fail: name `causes`, `conditions`, `hazards` or a `first-check`".into());
        }
        let causes = acting(book, &expect.causes, CauseKind::Fault)?;
        let conditions = acting(book, &expect.conditions, CauseKind::Condition)?;
        expect.hazards.iter().try_for_each(|name| named(&book.hazards, name, "hazard").map(|_| ()))?;
        let fix = |name: &String| name == "refer" || book.fixes.find(name).is_some();
        expect.first_check.iter().filter(|n| !fix(n)).try_for_each(|name| named(&book.checks, name, "check").map(|_| ()))?;
        if let Some(out) = causes.iter().chain(&conditions).find(|c| a.bay.car.cause(**c).is_none()) {
            return Err(format!("`{}` does not apply to this vehicle", book.causes[*out].name()));
        }
        let mut found = IndexMap::new();
        for (name, text) in &case.found {
            let id = named(&book.findings, name, "finding")?;
            found.insert(id, state_of(book, id, text)?);
        }
        Ok(Court { book, case, a, causes, conditions, found })
    }

    fn judge(&self) -> Verdict {
        let (name, a) = (&self.case.name, self.a);
        let plan = match a.plan() {
            Ok(plan) => plan,
            Err(error) => return Verdict::failed(name, "a plan", error.to_string()),
        };
        let chances = &a.beliefs.causes;
        let driven = drive(self.book, &a.now, &a.bay, &plan.tree, &self.causes, &self.found);
        let ranks = self.ranks(chances);
        let mut misses = self.rank_misses(&ranks, chances);
        misses.extend(self.condition_misses(chances));
        misses.extend(self.hazard_misses());
        misses.extend(self.first_miss(plan));
        misses.extend(self.driven_miss(&driven));
        let why = if misses.is_empty() { None } else { self.why(chances) };
        Verdict { name: name.clone(), misses, driven, ranks, why, method: Some(a.beliefs.method) }
    }

    fn ranks(&self, weights: &[f64]) -> Vec<(String, usize)> {
        let rank = |id: &Id<Cause>| {
            let own = self.a.bay.car.cause(*id).map_or(0.0, |c| weights[c]);
            (self.book.causes[*id].name().to_string(), 1 + self.faults().filter(|c| weights[*c] > own).count())
        };
        self.causes.iter().map(rank).collect()
    }

    /// The causes of the network without the conditions: what the ranking is of.
    fn faults(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.a.bay.car.causes.len()).filter(|c| !self.book.causes[self.a.bay.car.causes[*c]].is_condition())
    }

    fn condition_misses(&self, weights: &[f64]) -> Vec<Miss> {
        let chance = |id: &Id<Cause>| self.a.bay.car.cause(*id).map_or(0.0, |c| weights[c]);
        let unlikely = self.conditions.iter().filter(|id| chance(id) <= 0.5);
        unlikely
            .map(|id| Miss {
                expected: format!("`{}` likelier than not", self.book.causes[*id].name()),
                came: format!("it is at {:.0} %", chance(id) * 100.0),
            })
            .collect()
    }

    fn rank_misses(&self, ranks: &[(String, usize)], weights: &[f64]) -> Vec<Miss> {
        let mut order: Vec<usize> = self.faults().collect();
        order.sort_by(|a, b| weights[*b].total_cmp(&weights[*a]));
        let top =
            order.iter().take(3).map(|c| format!("`{}` {:.0} %", self.book.causes[self.a.bay.car.causes[*c]].name(), weights[*c] * 100.0));
        let top = top.collect::<Vec<_>>().join(", ");
        let late = ranks.iter().filter(|(_, rank)| *rank > self.case.expect.within);
        late.map(|(name, rank)| Miss {
            expected: match self.case.expect.within {
                1 => format!("`{name}` as the likeliest cause"),
                n => format!("`{name}` among the {n} likeliest causes"),
            },
            came: format!("it is in place {rank}; the likeliest are {top}"),
        })
        .collect()
    }

    /// What weighs most between the likeliest cause and the least likely of those expected; none where that is the same.
    fn why(&self, weights: &[f64]) -> Option<Why> {
        let by_weight = |a: &usize, b: &usize| weights[*a].total_cmp(&weights[*b]);
        let first = self.faults().max_by(by_weight)?;
        let wanted = self.causes.iter().filter_map(|c| self.a.bay.car.cause(*c)).min_by(by_weight)?;
        if first == wanted { None } else { why(self.book, &self.a.bay, first, wanted) }
    }

    fn hazard_misses(&self) -> Vec<Miss> {
        let names: Vec<&str> = self.a.hazards.iter().map(|r| self.book.hazards[r.hazard].name()).collect();
        let missing = self.case.expect.hazards.iter().filter(|h| !names.contains(&h.as_str()));
        missing
            .map(|h| Miss {
                expected: format!("the intake to warn of `{h}`"),
                came: if names.is_empty() { "no warning".into() } else { format!("only `{}`", names.join("`, `")) },
            })
            .collect()
    }

    /// The first step, or where that is a fix not yet proven, the checks that the plan names to prove it first.
    fn first_miss(&self, plan: &Plan) -> Option<Miss> {
        let wanted = &self.case.expect.first_check;
        let first = plan.tree.first().step;
        let mut names = vec![self.a.step_name(first)];
        let fits = |names: &[&str]| wanted.is_empty() || names.iter().any(|n| wanted.iter().any(|w| w == n));
        if fits(&names) {
            return None;
        }
        if let (Step::Fix(_), Some(unproven)) = (first, self.a.unproven_first()) {
            names.extend(unproven.checks.iter().map(|(c, _)| self.book.checks[*c].name()));
        }
        (!fits(&names)).then(|| Miss {
            expected: format!("the plan to begin with `{}`", wanted.join("` or `")),
            came: format!("it begins with `{}`{}", names.join("`, which can be proven first by `"), self.dearer(plan)),
        })
    }

    /// What the expected first check would cost more in the end, where the plan has looked at it.
    fn dearer(&self, plan: &Plan) -> String {
        let wanted = |n: &&Next| self.case.expect.first_check.iter().any(|w| *w == self.a.step_name(n.step));
        plan.next.iter().find(wanted).map_or(String::new(), |n| {
            let more = (n.expected_total - plan.expected_cost).max(0.0);
            format!("; to begin with `{}` costs {more:.2} more in the end", self.a.step_name(n.step))
        })
    }

    fn driven_miss(&self, driven: &Driven) -> Option<Miss> {
        let most = self.case.expect.most_checks?;
        let steps = || driven.acts.iter().map(|a| a.name(self.book)).collect::<Vec<_>>().join(", ");
        let end = if driven.cured { "cured" } else { "handed to a specialist" };
        let fits = driven.cured && driven.checks <= most;
        let checks = |n: usize| format!("{n} check{}", if n == 1 { "" } else { "s" });
        (!fits).then(|| Miss {
            expected: format!("every cause cured within {}", checks(most)),
            came: format!("{end} after {}; the steps were: {}", checks(driven.checks), steps()),
        })
    }
}
