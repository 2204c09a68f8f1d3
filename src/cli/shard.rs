//! One of several equal shares of a list, such as `2/5`: so many machines do the whole together.

use std::str::FromStr;

/// Which share of how many.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shard {
    /// From 1 to `of`.
    number: usize,
    of: usize,
}

impl FromStr for Shard {
    type Err = String;

    fn from_str(text: &str) -> Result<Shard, String> {
        let parts = text.split_once('/').and_then(|(k, n)| Some((k.trim().parse().ok()?, n.trim().parse().ok()?)));
        let found = parts.filter(|(number, of)| (1..=*of).contains(number)).map(|(number, of)| Shard { number, of });
        found.ok_or_else(|| "give which of how many shares, such as 1/4".into())
    }
}

impl Shard {
    /// This share of a list: one in so many, not a run of neighbours, for neighbours take alike long.
    pub fn of<T>(self, all: Vec<T>) -> Vec<T> {
        all.into_iter().skip(self.number - 1).step_by(self.of).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shares_together_are_the_whole() {
        for of in 1..=7 {
            let share = |number: usize| format!("{number}/{of}").parse::<Shard>().unwrap().of((0..10).collect::<Vec<_>>());
            let mut all: Vec<i32> = (1..=of).flat_map(share).collect();
            all.sort_unstable();
            assert_eq!(all, (0..10).collect::<Vec<_>>());
        }
    }

    #[test]
    fn no_share_is_refused() {
        for text in ["0/3", "4/3", "1/0", "1", "/", "a/b", "-1/2", ""] {
            assert!(text.parse::<Shard>().is_err(), "{text}");
        }
    }
}
