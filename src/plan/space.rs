//! The planning problem in numbers: which sets of causes may be present, how each fix changes them, what each finding
//! would show under them, and where the job stands.

use super::acts::{Act, Does};
use super::bits::Bits;
use super::comeback;
use super::compact::Compact;
use super::course::Slight;
use super::model::{Access, Model, PlanError};
use super::sets::Weighed;
use super::universe::Universe;
use super::weigher::Pushed;

/// Share of the probability below which a set is dropped from a standing where sets were left out anyway.
const FAINT: f64 = 1e-9;

/// What is too slight to follow without search where sets were left out anyway.
const SLIGHT: Slight = Slight { outcome: 1e-4, set: 1e-3 };

/// Plans of a large network that differ by less than this share of their cost are as good as equal.
const NEAR: f64 = 0.02;

/// A finding that a check can read.
pub struct Reading {
    /// For each state, its probability under each set.
    pub states: Vec<Vec<f64>>,
    /// For each set, the entropy of the states under it, in bits.
    pub doubt: Vec<f64>,
}

/// Weights of the sets that may be present, rising by set; they sum to 1.
pub type Weights = Box<[(u32, f64)]>;

/// Where a job stands.
pub struct Standing {
    /// What may be present.
    pub weights: Weights,
    /// Findings known in this period.
    pub known: Bits,
    /// Fixes done, and checks that others wait for.
    pub done: Bits,
    /// Access steps open.
    pub open: Bits,
}

/// The problem. Causes, findings, actions and access steps have the numbers of the compact model.
pub struct Space {
    /// For each set of causes, its members in question. Where there are none, nothing can be cured.
    pub members: Vec<Vec<usize>>,
    /// For each set of causes, the fixes that cure one in question among them.
    pub touched_by: Vec<Vec<usize>>,
    /// For each set of causes, its consequences whose root is in it too: consequence and root.
    pub standing: Vec<Vec<(usize, usize)>>,
    /// For each set of causes, the fixes that a root would undo.
    pub undone: Vec<Vec<usize>>,
    /// Share of its cost that an undone fix counts once more.
    pub again: f64,
    /// For each cause, the fixes that cure it.
    pub cured_by: Vec<Vec<usize>>,
    /// For each action, what a fix turns each set into; empty for checks.
    pub becomes: Vec<Vec<u32>>,
    /// Actions.
    pub acts: Vec<Act>,
    /// Which of them are fixes.
    pub fixes: Vec<usize>,
    /// For each fix, the check that tells its causes best for the cost.
    pub probes: Vec<Option<usize>>,
    /// Access steps.
    pub access: Vec<Access>,
    /// Findings.
    pub readings: Vec<Reading>,
    /// Money for a minute.
    pub rate: f64,
    /// Cost of referring the car.
    pub refer: f64,
    /// Share of the probability below which a set is no longer followed.
    pub faint: f64,
    /// What is too slight to follow without search.
    pub slight: Slight,
    /// Share of the cost within which the search cannot tell two plans apart.
    pub near: f64,
    /// Where the job stands.
    pub start: Standing,
}

impl Space {
    /// The problem of a compact model; `weighed` are the sets that may have been present at intake, `complete` whether these are all. Nothing
    /// where there is too much to follow.
    pub fn new(part: &Compact, in_question: &[bool], weighed: Weighed, complete: bool) -> Result<Option<Space>, PlanError> {
        let model = &part.model;
        let acts = Act::all(model);
        let Some((universe, weights)) = Universe::new(&acts, in_question, &model.cured(), weighed)? else { return Ok(None) };
        let members = universe.sets.iter().map(|set| set.iter().copied().filter(|&c| in_question[c]).collect());
        let members: Vec<Vec<usize>> = members.collect();
        let fixes: Vec<usize> = (0..acts.len()).filter(|&a| acts[a].is_fix()).collect();
        let touch = |causes: &[usize]| fixes.iter().copied().filter(|&a| acts[a].cures_any(causes)).collect::<Vec<_>>();
        let touched_by: Vec<Vec<usize>> = members.iter().map(|m| touch(m)).collect();
        let cured_by: Vec<Vec<usize>> = (0..in_question.len()).map(|c| touch(&[c])).collect();
        let standing = comeback::standing_roots(&model.network, &members, &cured_by);
        let undone = comeback::undone(&acts, &fixes, &standing);
        let again = if complete { comeback::TIE } else { comeback::WHOLE };
        let becomes = acts.iter().map(|act| universe.becomes(act)).collect();
        let readings: Vec<Reading> = (0..model.network.findings().len()).map(|f| reading(model, f, &universe)).collect();
        let probes = probes(&acts, &fixes, &readings, &touched_by, &weights);
        let (faint, slight) = if complete { (0.0, Slight { outcome: 0.0, set: 0.0 }) } else { (FAINT, SLIGHT) };
        let counts = |a: &usize| acts[*a].awaited || acts[*a].is_fix();
        let done = Bits::of(model.done.iter().copied().filter(counts));
        let (known, open) = (Bits::of(part.known.iter().copied()), Bits::of(model.open.iter().copied()));
        let start = Standing { weights, known, done, open };
        let (access, rate, refer) = (model.access.clone(), model.rate_per_minute, model.refer_cost);
        Ok(Some(Space {
            members,
            touched_by,
            standing,
            undone,
            again,
            cured_by,
            becomes,
            acts,
            fixes,
            probes,
            access,
            readings,
            rate,
            refer,
            faint,
            slight,
            near: if complete { 0.0 } else { NEAR },
            start,
        }))
    }

    /// Whether a cause in question is in a set.
    pub fn asks(&self, set: u32) -> bool {
        !self.members[set as usize].is_empty()
    }

    /// Weight with which a root would undo a fix.
    pub fn undone(&self, act: usize, weights: &[(u32, f64)]) -> f64 {
        weights.iter().filter(|(set, _)| self.undone[*set as usize].contains(&act)).map(|(_, w)| w).sum()
    }

    /// Whether a fix that cures something with this weight is put off, since more likely than not a root of that stands. With every cause told
    /// apart the objective alone decides.
    pub fn puts_off(&self, cures: f64, undone: f64) -> bool {
        self.near > 0.0 && undone > cures / 2.0
    }
}

fn reading(model: &Model, finding: usize, universe: &Universe) -> Reading {
    let pushed = Pushed::new(model, finding, &[]);
    let mut states = vec![Vec::with_capacity(universe.sets.len()); model.network.findings()[finding].states()];
    for set in &universe.sets {
        for (state, p) in states.iter_mut().zip(pushed.states(set)) {
            state.push(p);
        }
    }
    let doubt = |s: usize| states.iter().map(|p| if p[s] > 0.0 { -p[s] * p[s].log2() } else { 0.0 }).sum();
    Reading { doubt: (0..universe.sets.len()).map(doubt).collect(), states }
}

/// For each fix, the check that tells best, for its cost, the sets that it touches from the others.
fn probes(acts: &[Act], fixes: &[usize], readings: &[Reading], touched_by: &[Vec<usize>], weights: &Weights) -> Vec<Option<usize>> {
    let abnormal = |f: usize, s: u32, w: f64| w * (1.0 - readings[f].states[0][s as usize]);
    let usual: Vec<f64> = (0..readings.len()).map(|f| weights.iter().map(|&(s, w)| abnormal(f, s, w)).sum()).collect();
    let mut probes = vec![None; acts.len()];
    for &fix in fixes {
        let inside: Vec<(u32, f64)> = weights.iter().copied().filter(|(s, _)| touched_by[*s as usize].contains(&fix)).collect();
        let mass = inside.iter().map(|(_, w)| w).sum::<f64>();
        let tells = |f: usize| inside.iter().map(|&(s, w)| abnormal(f, s, w)).sum::<f64>() / mass - usual[f];
        let rate = |a: usize| match &acts[a].does {
            Does::Check(findings) => findings.iter().map(|&f| tells(f)).fold(0.0, f64::max).powi(2) / acts[a].cost.max(1e-12),
            Does::Fix(_) => 0.0,
        };
        let best = (0..acts.len()).map(|a| (rate(a), a)).max_by(|x, y| x.0.total_cmp(&y.0));
        probes[fix] = best.filter(|(rate, _)| *rate > 0.0).map(|(_, a)| a);
    }
    probes
}
