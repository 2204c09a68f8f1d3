//! The planning problem in numbers: which sets of causes may be present, how each fix changes them, what each finding
//! would show under them, and where the job stands.

use super::acts::{Act, Does};
use super::bits::Bits;
use super::comeback;
use super::compact::Compact;
use super::course::Slight;
use super::hypothesis::Nature;
use super::lists::Lists;
use super::looks::Known;
use super::model::{Access, PlanError};
use super::reach::changed_by;
use super::repairs::Repairs;
use super::sets::Weighed;
use super::setup::{Needed, Setups};
use super::start::Start;
use super::step;
use super::universe::{Becomes, Universe};
use super::weigher::Pushed;
use super::worlds::Worlds;
use std::cell::RefCell;
use std::collections::BTreeMap;

/// Share of the probability below which a set is dropped from a standing where sets were left out anyway.
const FAINT: f64 = 1e-9;

/// What is too slight to follow without search where sets were left out anyway.
const SLIGHT: Slight = Slight { outcome: 1e-4, again: 0.02, set: 1e-3 };

/// Plans of a large network that differ by less than this share of their cost are as good as equal.
const NEAR: f64 = 0.02;

/// Weights of the worlds that may hold, rising by number; they sum to 1.
pub type Weights = Box<[(u32, f64)]>;

/// Where a job stands.
pub struct Standing {
    /// What may hold.
    pub weights: Weights,
    /// What was read.
    pub known: Known,
    /// What was done and stands open.
    pub setup: usize,
}

/// The problem. Causes, findings, actions and access steps have the numbers of the compact model. Sets of causes are those of the universe.
pub struct Space {
    /// The sets of causes.
    pub universe: Universe,
    /// The worlds met so far.
    pub worlds: RefCell<Worlds>,
    /// What was done and stands open, as met so far.
    pub setups: RefCell<Setups>,
    /// For each set of causes, its members in question. Where there are none, nothing can be cured.
    pub members: Vec<Vec<usize>>,
    /// For each set of causes, the fixes that cure one in question among them.
    pub touched_by: Lists,
    /// For each set of causes, the fixes that a root would undo.
    pub undone: Lists,
    /// Share of its cost that an undone fix counts once more.
    pub again_cost: f64,
    /// For each cause, the fixes that cure it.
    pub cured_by: Vec<Vec<usize>>,
    /// For each action, what a fix turns each set into; empty for checks.
    pub becomes: Vec<Vec<Becomes>>,
    /// Actions.
    pub acts: Vec<Act>,
    /// Which of them are fixes.
    pub fixes: Vec<usize>,
    /// For each action the findings that it can change.
    pub changes: Vec<Vec<usize>>,
    /// For each fix whether the plan may leave out looks that are worth something after it.
    pub leaves_out: Vec<bool>,
    /// For each fix, the check that tells its causes best for the cost.
    pub probes: Vec<Option<usize>>,
    /// Access steps.
    pub access: Vec<Access>,
    /// For each finding how many states it has.
    pub states: Vec<usize>,
    /// For each finding whether it may be read again.
    pub again: Vec<bool>,
    /// Money for a minute.
    pub rate: f64,
    /// Cost of referring the car.
    pub refer: f64,
    /// Share of the probability below which a world is no longer followed.
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
        let acts = Act::all(model, &part.idle);
        let mut nature = Nature::new(model, complete);
        let Start { hypotheses, known } = Start::new(model, &mut nature, in_question, weighed)?;
        let causes = |set: &[usize]| -> Vec<usize> { set.iter().copied().filter(|&n| !nature.is_condition(n)).collect() };
        let Some(universe) = Universe::new(&acts, hypotheses.iter().map(|(h, _)| causes(&h.set)).collect()) else { return Ok(None) };
        let members = universe.sets.iter().map(|set| set.iter().copied().filter(|&c| in_question[c]).collect());
        let members: Vec<Vec<usize>> = members.collect();
        let fixes: Vec<usize> = (0..acts.len()).filter(|&a| acts[a].is_fix()).collect();
        let touch = |causes: &[usize]| fixes.iter().copied().filter(|&a| acts[a].cures_any(causes)).collect::<Vec<_>>();
        let touched_by = Lists::new(members.iter().map(|m| touch(m)));
        let cured_by: Vec<Vec<usize>> = (0..in_question.len()).map(|c| touch(&[c])).collect();
        let standing = comeback::standing_roots(&model.network, &members, &cured_by);
        let undone = Lists::new(comeback::undone(&acts, &fixes, &standing).into_iter());
        let becomes = acts.iter().map(|act| universe.becomes(act)).collect();
        let changes: Vec<Vec<usize>> = acts.iter().map(|act| changed_by(&model.network, act.cures())).collect();
        let (states, again) = (nature.pushed.iter().map(Pushed::count).collect(), nature.again.clone());
        let mut worlds = Worlds::new(nature);
        let (faint, slight) = if complete { (0.0, Slight { outcome: 0.0, again: 0.0, set: 0.0 }) } else { (FAINT, SLIGHT) };
        let weights: BTreeMap<u32, f64> = hypotheses.into_iter().fold(BTreeMap::new(), |mut all, (h, w)| {
            *all.entry(worlds.number(&universe, h)).or_default() += w;
            all
        });
        let start = Standing { weights: weights.into_iter().collect(), known, setup: 0 };
        let mut space = Space {
            setups: RefCell::new(Setups::new(Repairs::new(&acts))),
            worlds: RefCell::new(worlds),
            universe,
            members,
            touched_by,
            undone,
            again_cost: if complete { comeback::TIE } else { comeback::WHOLE },
            cured_by,
            becomes,
            probes: vec![None; acts.len()],
            acts,
            fixes,
            leaves_out: changes.iter().map(|c| !complete && !c.is_empty()).collect(),
            changes,
            access: model.access.clone(),
            states,
            again,
            rate: model.rate_per_minute,
            refer: model.refer_cost,
            faint,
            slight,
            near: if complete { 0.0 } else { NEAR },
            start,
        };
        space.probes = probes(&space);
        let counts = |a: &usize| space.acts[*a].awaited || space.acts[*a].is_fix();
        let (done, open) = (Bits::of(model.done.iter().copied().filter(counts)), Bits::of(model.open.iter().copied()));
        space.start.setup = space.setups.borrow_mut().place(&space, done, open);
        Ok(Some(space))
    }

    /// Whether a cause in question is in a set of causes.
    pub fn asks(&self, set: u32) -> bool {
        !self.members[set as usize].is_empty()
    }

    /// For each action, the weight of the worlds whose set of causes it is listed for.
    pub fn by_fix(&self, fixes: &Lists, weights: &[(u32, f64)]) -> Vec<f64> {
        let worlds = self.worlds.borrow();
        let mut mass = vec![0.0; self.acts.len()];
        for &(world, weight) in weights {
            fixes.of(worlds.causes[world as usize]).iter().for_each(|&a| mass[a as usize] += weight);
        }
        mass
    }

    /// Weight with which a fix cures something in question.
    pub fn touched(&self, act: usize, weights: &[(u32, f64)]) -> f64 {
        self.weight_where(weights, |set| self.touched_by.has(set, act))
    }

    /// Weight with which a root would undo a fix.
    pub fn undone(&self, act: usize, weights: &[(u32, f64)]) -> f64 {
        self.weight_where(weights, |set| self.undone.has(set, act))
    }

    /// Weight with which a fix cures nothing.
    pub fn vain(&self, act: usize, weights: &[(u32, f64)]) -> f64 {
        self.weight_where(weights, |set| self.becomes[act][set as usize].is_empty())
    }

    /// Weight of the worlds whose set of causes is so.
    fn weight_where(&self, weights: &[(u32, f64)], so: impl Fn(u32) -> bool) -> f64 {
        let worlds = self.worlds.borrow();
        weights.iter().filter(|(world, _)| so(worlds.causes[*world as usize])).map(|(_, w)| w).sum()
    }

    /// The weights of the sets of causes, rising.
    pub fn by_causes(&self, weights: &[(u32, f64)]) -> Vec<(u32, f64)> {
        let worlds = self.worlds.borrow();
        let mut mass = vec![0.0; self.members.len()];
        weights.iter().for_each(|&(world, w)| mass[worlds.causes[world as usize] as usize] += w);
        (0..).zip(mass).filter(|(_, w)| *w > 0.0).collect()
    }

    /// What these worlds need on average: the sums over the weights.
    pub fn needed(&self, setup: usize, weights: &[(u32, f64)]) -> Needed {
        let worlds = self.worlds.borrow();
        let mut setups = self.setups.borrow_mut();
        let mut sum = Needed { repairs: 0.0, least: 0.0 };
        for &(world, w) in weights {
            let needed = setups.needed(self, setup, worlds.causes[world as usize]);
            sum.repairs += w * needed.repairs;
            sum.least += w * needed.least;
        }
        sum
    }

    /// What an action costs with the access it still needs; infinite where it cannot be done now.
    pub fn cost(&self, setup: usize, act: usize) -> f64 {
        self.setups.borrow().cost(self, setup, act)
    }

    /// What was done and stands open after an action.
    pub fn after(&self, setup: usize, act: usize) -> usize {
        self.setups.borrow_mut().after(self, setup, act)
    }

    /// Whether a fix at this cost may pay, of all the weight the weight with which it cures something in question being `touched`: then it saves handing
    /// over at most, else it is paid for nothing.
    pub fn pays(&self, act: usize, cost: f64, touched: f64, all: f64) -> bool {
        touched * self.refer >= (all - touched) * (cost + self.acts[act].vain)
    }

    /// Whether a fix that cures something with this weight is put off, since more likely than not a root of that stands. With every cause told
    /// apart the objective alone decides.
    pub fn puts_off(&self, cures: f64, undone: f64) -> bool {
        self.near > 0.0 && undone > cures / 2.0
    }
}

/// For each fix, the check that tells best, for its cost, the sets that it touches from the others.
fn probes(space: &Space) -> Vec<Option<usize>> {
    let (weights, known) = (&space.start.weights, &space.start.known);
    let abnormal = |f: usize, weights: &[(u32, f64)]| step::abnormal(space, weights, f, known.look(f));
    let usual: Vec<f64> = (0..space.states.len()).map(|f| abnormal(f, weights)).collect();
    let mut probes = vec![None; space.acts.len()];
    for &fix in &space.fixes {
        let worlds = space.worlds.borrow();
        let touches = |world: u32| space.touched_by.has(worlds.causes[world as usize], fix);
        let inside: Vec<(u32, f64)> = weights.iter().copied().filter(|(world, _)| touches(*world)).collect();
        drop(worlds);
        let mass = inside.iter().map(|(_, w)| w).sum::<f64>();
        let tells = |f: usize| abnormal(f, &inside) / mass - usual[f];
        let rate = |a: usize| match &space.acts[a].does {
            Does::Check(findings) => findings.iter().map(|&f| tells(f)).fold(0.0, f64::max).powi(2) / space.acts[a].cost.max(1e-12),
            Does::Fix(_) => 0.0,
        };
        let best = (0..space.acts.len()).map(|a| (rate(a), a)).max_by(|x, y| x.0.total_cmp(&y.0));
        probes[fix] = best.filter(|(rate, _)| *rate > 0.0).map(|(_, a)| a);
    }
    probes
}
