//! What was read of a car, and what of it may be read again.

use super::bits::Bits;

/// What the first look at a finding showed. It keeps its state, so later looks are weighed against this one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Look {
    /// Its state, for certain.
    Sure(u32),
    /// Something between states: the number of the weights.
    Unsure(u32),
}

impl Look {
    /// Whether the state can be another once something is gone that pushes the finding: what was read normal stays so.
    pub fn may_fall(self) -> bool {
        self != Look::Sure(0)
    }
}

/// What is known where a job stands.
#[derive(Debug, Clone, Default, PartialEq, Eq, Hash)]
pub struct Known {
    /// Findings that it tells nothing to read now.
    pub now: Bits,
    /// The first look at each finding that may be read again, rising by finding.
    pub looks: Vec<(u32, Look)>,
}

impl Known {
    /// The first look at a finding, if that was kept.
    pub fn look(&self, finding: usize) -> Option<Look> {
        self.looks.binary_search_by_key(&(finding as u32), |l| l.0).ok().map(|i| self.looks[i].1)
    }

    /// Keeps a look as the first one at a finding, unless there was one.
    pub fn keep(&mut self, finding: usize, look: Look) {
        if let Err(place) = self.looks.binary_search_by_key(&(finding as u32), |l| l.0) {
            self.looks.insert(place, (finding as u32, look));
        }
    }
}

impl Known {
    /// Forgets, after a repair that can change these findings, those that are worth another look: `moved` tells of which it may have taken a push
    /// away, and what was read between states can be read anew.
    pub fn after_repair(&mut self, changed: &[usize], moved: impl Fn(u32) -> bool) {
        for &finding in changed.iter().filter(|f| self.now.has(**f)).collect::<Vec<_>>() {
            let open = match self.look(finding) {
                Some(look @ Look::Sure(_)) => look.may_fall() && moved(finding as u32),
                Some(Look::Unsure(_)) => true,
                None => false,
            };
            if open {
                self.now.remove(finding);
            }
        }
    }
}
