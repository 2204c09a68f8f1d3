//! Planning models written down in few words.

use faultbook::belief::{CauseNode, FindingNode, Network, Seen};
use faultbook::plan::{Access, Action, ActionKind, Model};

/// A model under construction.
#[derive(Default)]
pub struct Build {
    causes: Vec<CauseNode>,
    findings: Vec<FindingNode>,
    pub actions: Vec<Action>,
    pub access: Vec<Access>,
    pub seen: Vec<Seen>,
    pub complaint: Vec<usize>,
}

impl Build {
    pub fn cause(&mut self, prior: f64, brought_by: &[(usize, f64)]) -> usize {
        self.causes.push(CauseNode { prior, brought_by: brought_by.to_vec(), condition: false });
        self.causes.len() - 1
    }

    /// A condition that something the book does not list brings about with this chance.
    pub fn condition(&mut self, stray: f64, brought_by: &[(usize, f64)]) -> usize {
        self.causes.push(CauseNode { prior: stray, brought_by: brought_by.to_vec(), condition: true });
        self.causes.len() - 1
    }

    /// A finding of several states.
    pub fn finding(&mut self, stray: &[f64], pushes: &[(usize, &[f64])]) -> usize {
        let pushes = pushes.iter().map(|(c, p)| (*c, p.to_vec())).collect();
        self.findings.push(FindingNode { stray: stray.to_vec(), pushes });
        self.findings.len() - 1
    }

    /// A finding of two states.
    pub fn sign(&mut self, stray: f64, pushes: &[(usize, f64)]) -> usize {
        let pushes = pushes.iter().map(|(c, p)| (*c, vec![*p])).collect();
        self.findings.push(FindingNode { stray: vec![stray], pushes });
        self.findings.len() - 1
    }

    pub fn check(&mut self, minutes: f64, reveals: &[usize]) -> usize {
        self.action(ActionKind::Check { reveals: reveals.to_vec() }, minutes, 0.0)
    }

    pub fn fix(&mut self, money: f64, cures: &[usize]) -> usize {
        self.may_fix(money, &cures.iter().map(|&c| (c, 1.0)).collect::<Vec<_>>())
    }

    /// A fix that may not hold.
    pub fn may_fix(&mut self, money: f64, cures: &[(usize, f64)]) -> usize {
        self.action(ActionKind::Fix { cures: cures.to_vec() }, 0.0, money)
    }

    fn action(&mut self, kind: ActionKind, minutes: f64, money: f64) -> usize {
        self.actions.push(Action { kind, minutes, money, access: vec![], after: vec![], danger: 0 });
        self.actions.len() - 1
    }

    pub fn step(&mut self, minutes: f64, needs: &[usize], undoes: &[usize]) -> usize {
        self.access.push(Access { minutes, needs: needs.to_vec(), undoes: undoes.to_vec() });
        self.access.len() - 1
    }

    /// A finding known for certain.
    pub fn saw(&mut self, finding: usize, state: usize) {
        let states = self.findings[finding].stray.len() + 1;
        self.seen.push(Seen::state(finding, state, states));
    }

    /// The same in a later period.
    pub fn saw_later(&mut self, finding: usize, state: usize, period: usize) {
        self.seen.push(Seen::state(finding, state, self.states(finding)).in_period(period));
    }

    /// How many states a finding has.
    pub fn states(&self, finding: usize) -> usize {
        self.findings[finding].stray.len() + 1
    }

    pub fn is_condition(&self, cause: usize) -> bool {
        self.causes[cause].condition
    }

    /// Makes the first cure of a fix one that may not hold.
    pub fn loosen(&mut self, fix: usize, chance: f64) {
        if let ActionKind::Fix { cures } = &mut self.actions[fix].kind {
            cures[0].1 = chance;
        }
    }

    /// The complaint: abnormal at intake, in its highest state.
    pub fn complaint(&mut self, finding: usize) {
        let top = self.findings[finding].stray.len();
        self.saw(finding, top);
        self.complaint.push(finding);
    }

    /// A money unit a minute, and a repair in vain costs no more than another.
    pub fn model(self, refer_cost: f64) -> Model {
        Model {
            network: Network::new(self.causes, self.findings).unwrap(),
            history: self.seen.into(),
            complaint: self.complaint,
            actions: self.actions,
            access: self.access,
            open: vec![],
            done: vec![],
            rate_per_minute: 1.0,
            refer_cost,
            vain_factor: 1.0,
        }
    }
}

/// Causes of which exactly one is present, with these probabilities, as far as noisy links can say so: tiny priors in proportion,
/// all showing the complaint for certain. Two at once have a probability of the order of `RARE`.
pub fn one_of(build: &mut Build, probabilities: &[f64]) -> Vec<usize> {
    let causes: Vec<usize> = probabilities.iter().map(|p| build.cause(RARE * p / (1.0 + RARE * p), &[])).collect();
    let links: Vec<(usize, f64)> = causes.iter().map(|&c| (c, 1.0)).collect();
    let complaint = build.sign(0.0, &links);
    build.complaint(complaint);
    causes
}

/// How rare the causes of [`one_of`] are.
pub const RARE: f64 = 1e-9;
