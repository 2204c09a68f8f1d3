//! Many short lists in one piece of memory: they are gone through again and again.

/// A list of numbers for each of many things.
pub struct Lists {
    /// Where each list ends.
    ends: Vec<u32>,
    all: Vec<u32>,
}

impl Lists {
    pub fn new(lists: impl Iterator<Item = Vec<usize>>) -> Lists {
        let (mut ends, mut all) = (vec![], vec![]);
        for list in lists {
            all.extend(list.into_iter().map(|n| n as u32));
            ends.push(all.len() as u32);
        }
        Lists { ends, all }
    }

    /// The list of one of them.
    pub fn of(&self, at: u32) -> &[u32] {
        let from = (at as usize).checked_sub(1).map_or(0, |before| self.ends[before]);
        &self.all[from as usize..self.ends[at as usize] as usize]
    }

    /// Whether it holds a number.
    pub fn has(&self, at: u32, number: usize) -> bool {
        self.of(at).contains(&(number as u32))
    }
}
