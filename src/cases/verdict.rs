//! A case judged against a book.

use super::case::Case;
use super::drive::{Driven, drive, state_of};
use crate::bay::{Act, Bay, Progress, Rates, raised, unproven};
use crate::belief::{Limits, weigh};
use crate::book::{Book, Cause, Finding, Headed, Id};
use crate::job::{Evidence, evidence};
use crate::plan::{Budget, Step, plan};
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
    /// For a cause that stands too late: what weighs most between it and the first.
    pub why: Option<String>,
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

    fn failed(name: &str, expected: &str, came: String) -> Verdict {
        let misses = vec![Miss { expected: expected.into(), came }];
        Verdict { name: name.into(), misses, driven: Driven::default(), ranks: vec![], why: None }
    }
}

/// Judges one case.
pub fn judge(book: &Book, case: &Case, rates: Rates, budget: &Budget) -> Verdict {
    let usable = "a case that can be used";
    match evidence(book, &case.sheet) {
        Err(errors) => Verdict::failed(&case.name, usable, errors.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")),
        Ok(evidence) => match Court::new(book, case, &evidence, rates) {
            Err(message) => Verdict::failed(&case.name, usable, message),
            Ok(court) => court.judge(budget),
        },
    }
}

struct Court<'a> {
    book: &'a Book,
    case: &'a Case,
    evidence: &'a Evidence,
    bay: Bay,
    causes: Vec<Id<Cause>>,
    found: IndexMap<Id<Finding>, usize>,
}

impl<'a> Court<'a> {
    fn new(book: &'a Book, case: &'a Case, evidence: &'a Evidence, rates: Rates) -> Result<Self, String> {
        let bay = Bay::new(book, evidence, &Progress::default(), rates).map_err(|e| e.to_string())?;
        let cause = |name: &String| book.causes.find(name).ok_or_else(|| format!("no cause is named `{name}`"));
        let causes: Vec<Id<Cause>> = case.expect.causes.iter().map(cause).collect::<Result<_, _>>()?;
        if let Some(out) = causes.iter().find(|c| bay.car.cause(**c).is_none()) {
            return Err(format!("`{}` does not apply to this vehicle", book.causes[*out].name()));
        }
        let mut found = IndexMap::new();
        for (name, text) in &case.found {
            let id = book.findings.find(name).ok_or_else(|| format!("no finding is named `{name}`"))?;
            found.insert(id, state_of(book, id, text)?);
        }
        Ok(Court { book, case, evidence, bay, causes, found })
    }

    fn judge(&self, budget: &Budget) -> Verdict {
        let name = &self.case.name;
        let beliefs = match weigh(&self.bay.car.network, &self.bay.car.seen, &Limits::default()) {
            Ok(beliefs) => beliefs,
            Err(_) => return Verdict::failed(name, "evidence that can be", "evidence that no car can show by these rules".into()),
        };
        let plan = match plan(&self.bay.model, budget, &Limits::default()) {
            Ok(plan) => plan,
            Err(error) => return Verdict::failed(name, "a plan", error.to_string()),
        };
        let driven = drive(self.book, self.evidence, &self.bay, &plan.tree, &self.causes, &self.found);
        let ranks = self.ranks(&beliefs.causes);
        let mut misses = self.rank_misses(&ranks, &beliefs.causes);
        let why = if misses.is_empty() { None } else { self.why(&beliefs.causes) };
        misses.extend(self.hazard_misses(&beliefs));
        misses.extend(self.first_miss(plan.tree.first().step));
        misses.extend(self.driven_miss(&driven));
        Verdict { name: name.clone(), misses, driven, ranks, why }
    }

    fn ranks(&self, weights: &[f64]) -> Vec<(String, usize)> {
        let rank = |id: &Id<Cause>| {
            let own = self.bay.car.cause(*id).map_or(0.0, |c| weights[c]);
            (self.book.causes[*id].name().to_string(), 1 + weights.iter().filter(|w| **w > own).count())
        };
        self.causes.iter().map(rank).collect()
    }

    fn rank_misses(&self, ranks: &[(String, usize)], weights: &[f64]) -> Vec<Miss> {
        let mut order: Vec<usize> = (0..weights.len()).collect();
        order.sort_by(|a, b| weights[*b].total_cmp(&weights[*a]));
        let top =
            order.iter().take(3).map(|c| format!("`{}` {:.0} %", self.book.causes[self.bay.car.causes[*c]].name(), weights[*c] * 100.0));
        let top = top.collect::<Vec<_>>().join(", ");
        let late = ranks.iter().filter(|(_, rank)| *rank > self.case.expect.within);
        late.map(|(name, rank)| Miss {
            expected: format!("`{name}` among the first {}", self.case.expect.within),
            came: format!("it stands at {rank}; first come {top}"),
        })
        .collect()
    }

    /// The clause that weighs most in favour of the first cause against the expected one: the finding seen whose chances under the two differ most.
    fn why(&self, weights: &[f64]) -> Option<String> {
        let first = (0..weights.len()).max_by(|a, b| weights[*a].total_cmp(&weights[*b]))?;
        let wanted = self.bay.car.cause(*self.causes.first()?)?;
        let chance = |cause: usize, finding: usize, state: usize| {
            let node = &self.bay.model.network.findings()[finding];
            let push = node
                .pushes
                .iter()
                .find(|(c, _)| *c == cause)
                .map_or(0.0, |(_, p)| if state == 0 { 1.0 - p.iter().sum::<f64>() } else { p[state - 1] });
            if state == 0 { push.max(1e-3) } else { push + node.stray[state - 1] }.max(1e-4)
        };
        let told = self.evidence.seen.iter().filter_map(|o| {
            let (finding, state) = (self.bay.car.finding(o.finding)?, o.likeliest_state());
            Some((chance(first, finding, state) / chance(wanted, finding, state), o.finding, state))
        });
        let (ratio, finding, state) = told.max_by(|a, b| a.0.total_cmp(&b.0))?;
        let (row, name) = (&self.book.findings[finding], |c: usize| self.book.causes[self.bay.car.causes[c]].name());
        Some(format!(
            "`{}` {} is {ratio:.1} times likelier under `{}` than under `{}`",
            row.name(),
            row.states[state],
            name(first),
            name(wanted)
        ))
    }

    fn hazard_misses(&self, beliefs: &crate::belief::Beliefs) -> Vec<Miss> {
        let shown = raised(self.book, self.evidence, &self.bay, beliefs);
        let names: Vec<&str> = shown.iter().map(|r| self.book.hazards[r.hazard].name()).collect();
        let missing = self.case.expect.hazards.iter().filter(|h| !names.contains(&h.as_str()));
        missing
            .map(|h| Miss { expected: format!("the danger `{h}`"), came: if names.is_empty() { "none".into() } else { names.join(", ") } })
            .collect()
    }

    /// The first step, or where that is a fix not yet proven, the checks that the plan names to prove it first.
    fn first_miss(&self, first: Step) -> Option<Miss> {
        let wanted = &self.case.expect.first_check;
        let mut names = vec![match first {
            Step::Check(a) | Step::Fix(a) => self.act_name(self.bay.acts[a]),
            Step::Refer => "refer",
            Step::Done => "nothing",
        }];
        if let Step::Fix(a) = first
            && let Act::Fix(fix) = self.bay.acts[a]
            && let Some(unproven) = unproven(self.book, &self.bay, fix, &Limits::default())
        {
            names.extend(unproven.checks.iter().map(|(c, _)| self.book.checks[*c].name()));
        }
        let fits = wanted.is_empty() || names.iter().any(|n| wanted.iter().any(|w| w == n));
        (!fits).then(|| Miss {
            expected: format!("first one of `{}`", wanted.join("`, `")),
            came: format!("`{}`", names.join("`, proven by `")),
        })
    }

    fn driven_miss(&self, driven: &Driven) -> Option<Miss> {
        let most = self.case.expect.most_checks?;
        let steps = || driven.acts.iter().map(|a| self.act_name(*a)).collect::<Vec<_>>().join(", ");
        let end = if driven.cured { "cured" } else { "referred" };
        let fits = driven.cured && driven.checks <= most;
        (!fits)
            .then(|| Miss { expected: format!("cured within {most} checks"), came: format!("{end} after {}: {}", driven.checks, steps()) })
    }

    fn act_name(&self, act: Act) -> &str {
        match act {
            Act::Check(id) => self.book.checks[id].name(),
            Act::Fix(id) => self.book.fixes[id].name(),
        }
    }
}
