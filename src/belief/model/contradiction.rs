//! Evidence that cannot be, and the message that says so.

/// Evidence that the network gives no way to explain, or that is no evidence at all.
#[derive(Debug, Clone, PartialEq)]
pub struct Contradiction {
    /// The smallest set of findings found whose dropping makes the rest possible.
    pub findings: Vec<usize>,
    /// Findings that contradict each other: leave out any one, and the others are possible together.
    pub conflict: Vec<usize>,
    /// What is wrong with them.
    pub why: Why,
}

/// What is wrong with the evidence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Why {
    /// The network gives this combination the probability 0.
    Impossible,
    /// The index names no finding.
    NoSuchFinding,
    /// The observation weighs another number of states than the finding has.
    WrongStates {
        /// How many weights were given.
        given: usize,
        /// How many states the finding has.
        states: usize,
    },
    /// A weight is not from 0 to 1.
    NotAWeight {
        /// The weight given.
        weight: f64,
    },
    /// The look was taken after more repairs than there were.
    NoSuchPeriod {
        /// The period given.
        period: usize,
        /// How many repairs there were.
        periods: usize,
    },
    /// A repair names what is no cause of the network, or a condition.
    NotCurable {
        /// The index given.
        cause: usize,
    },
    /// The chance that a repair cures is not from 0 to 1.
    NotAChance {
        /// The chance given.
        chance: f64,
    },
    /// More repairs than can be followed.
    TooManyRepairs {
        /// How many can be.
        most: usize,
    },
}

impl std::fmt::Display for Contradiction {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let names = quoted(&self.findings);
        match self.why {
            Why::Impossible => {
                write!(f, "nothing in the network can show {} together; without {names} the rest is possible", quoted(&self.conflict))
            }
            Why::NoSuchFinding => write!(f, "there is no finding {names}"),
            Why::WrongStates { given, states } => write!(f, "finding {names} has {states} states, `{given}` were weighed"),
            Why::NotAWeight { weight } => write!(f, "finding {names}: the weight `{weight}` is not from 0 to 1"),
            Why::NoSuchPeriod { period, periods } => write!(f, "finding {names} was seen after `{period}` repairs, there were `{periods}`"),
            Why::NotCurable { cause } => write!(f, "no repair can cure `{cause}`: it is no cause of the network"),
            Why::NotAChance { chance } => write!(f, "the chance `{chance}` that a repair cures is not from 0 to 1"),
            Why::TooManyRepairs { most } => write!(f, "more than `{most}` repairs cannot be followed"),
        }
    }
}

impl std::error::Error for Contradiction {}

fn quoted(findings: &[usize]) -> String {
    findings.iter().map(|i| format!("`{i}`")).collect::<Vec<_>>().join(", ")
}

impl Contradiction {
    /// One observation that is none.
    pub(in crate::belief) fn of(finding: usize, why: Why) -> Contradiction {
        Contradiction { findings: vec![finding], conflict: vec![finding], why }
    }
}
