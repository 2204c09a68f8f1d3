//! What has been done and what stands open, and what each action and each repair costs from there.

use super::bits::Bits;
use super::repairs::Repairs;
use super::space::Space;
use foldhash::HashMap;

/// One combination of things done and access open.
struct Setup {
    /// Fixes done, and checks that others wait for.
    done: Bits,
    /// Access steps open.
    open: Bits,
    /// The number of what its costs hang on.
    stage: usize,
    /// For each action the combination after it, once asked for.
    after: Vec<Option<usize>>,
}

/// What a set of causes needs.
#[derive(Clone, Copy)]
pub struct Needed {
    /// The cheapest repairs that cure what is in question and can be cured.
    pub repairs: f64,
    /// The least that it can cost until the job is over: where something cannot be cured the car must be handed over.
    pub least: f64,
}

/// What hangs on what is open, and on what was done of that which matters for repairs.
struct Stage {
    /// For each action the minutes until it can begin.
    reach: Vec<f64>,
    /// For each set of causes, once asked for, its repairs.
    needed: Vec<Option<Needed>>,
}

/// All combinations met so far.
#[derive(Default)]
pub struct Setups {
    list: Vec<Setup>,
    places: HashMap<(Bits, Bits), usize>,
    repairs: Repairs,
    stages: Vec<Stage>,
    staged: HashMap<(Bits, Bits), usize>,
}

impl Setups {
    pub fn new(repairs: Repairs) -> Setups {
        Setups { repairs, ..Setups::default() }
    }

    /// The number of a combination.
    pub fn place(&mut self, space: &Space, done: Bits, open: Bits) -> usize {
        let key = (done, open);
        if let Some(&place) = self.places.get(&key) {
            return place;
        }
        let (done, open) = key.clone();
        let acts = space.acts.len();
        self.places.insert(key, self.list.len());
        let number = self.stages.len();
        let stage = *self.staged.entry((done.within(&self.repairs.hang), open.clone())).or_insert(number);
        if stage == number {
            let reach = (0..acts).map(|a| reach(space, a, &mut open.clone())).collect();
            self.stages.push(Stage { reach, needed: vec![None; space.members.len()] });
        }
        self.list.push(Setup { done, open, stage, after: vec![None; acts] });
        self.list.len() - 1
    }

    /// The combination after an action.
    pub fn after(&mut self, space: &Space, setup: usize, act: usize) -> usize {
        if let Some(after) = self.list[setup].after[act] {
            return after;
        }
        let (mut done, mut open) = (self.list[setup].done.clone(), self.list[setup].open.clone());
        if space.acts[act].awaited || space.acts[act].is_fix() {
            done.insert(act);
        }
        reach(space, act, &mut open);
        let after = self.place(space, done, open);
        self.list[setup].after[act] = Some(after);
        after
    }

    /// What an action costs with the access it still needs; infinite where it cannot be done now.
    pub fn cost(&self, space: &Space, setup: usize, act: usize) -> f64 {
        let (Setup { done, stage, .. }, action) = (&self.list[setup], &space.acts[act]);
        let again = action.is_fix() && done.has(act);
        if again || !action.after.iter().all(|&a| done.has(a)) {
            return f64::INFINITY;
        }
        action.cost + space.rate * self.stages[*stage].reach[act]
    }

    /// The first fix on the way to one that waits for others, and what all of it costs at most; nothing where it waits for a look, too.
    pub fn way(&self, space: &Space, setup: usize, act: usize) -> Option<(usize, f64)> {
        let Setup { done, stage, .. } = &self.list[setup];
        let open = || self.repairs.chain(act).iter().copied().filter(|a| !done.has(*a));
        let first = open().filter(|&a| self.cost(space, setup, a).is_finite()).last()?;
        let cost = |a: usize| space.acts[a].cost + space.rate * self.stages[*stage].reach[a];
        open().all(|a| space.acts[a].is_fix()).then(|| (first, open().map(cost).sum()))
    }

    /// An action with all that must be done before it.
    pub fn before(&self, act: usize) -> &[usize] {
        self.repairs.chain(act)
    }

    /// Whether an action was done.
    pub fn done(&self, setup: usize, act: usize) -> bool {
        self.list[setup].done.has(act)
    }

    /// Minutes until an action can begin.
    pub fn reach(&self, setup: usize, act: usize) -> f64 {
        self.stages[self.list[setup].stage].reach[act]
    }

    /// What a set of causes needs.
    pub fn needed(&mut self, space: &Space, setup: usize, set: u32) -> Needed {
        let Setups { repairs, stages, list, .. } = self;
        let Setup { done, open, stage, .. } = &list[setup];
        *stages[*stage].needed[set as usize].get_or_insert_with(|| repairs.needed(space, set, done, open))
    }
}

/// Opens what an action needs; the minutes that takes.
fn reach(space: &Space, act: usize, open: &mut Bits) -> f64 {
    space.acts[act].access.iter().map(|&x| enter(space, x, open)).sum()
}

/// Opens an access step and what it needs first. A step that is open takes no time.
fn enter(space: &Space, access: usize, open: &mut Bits) -> f64 {
    if open.has(access) {
        return 0.0;
    }
    let step = &space.access[access];
    open.insert(access);
    let needs: f64 = step.needs.iter().map(|&x| enter(space, x, open)).sum();
    step.undoes.iter().for_each(|&x| open.remove(x));
    open.insert(access);
    needs + step.minutes
}
