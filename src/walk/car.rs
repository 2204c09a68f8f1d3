//! What is known of the car, to put a slip right at one key.

use super::ask::{Ask, ONE_DIGIT};
use super::session::Session;
use crate::book::Headed;
use crate::job::{Event, Known};

impl Session<'_> {
    /// What was said of the car, each with the key that turns it round; none where nothing was.
    pub fn known_of_the_car(&self) -> Option<Ask> {
        let (book, evidence) = (self.book(), self.evidence().ok()?);
        let known = book.traits.iter().filter_map(|(id, row)| evidence.traits[id.index()].map(|there| (row, there)));
        // what only follows from the rest is put right with the rest
        let said: Vec<_> =
            known.filter(|(row, there)| *there || self.standing().sheet.vehicle.not_fitted.iter().any(|n| n == row.name())).collect();
        let ask =
            Ask::new("known", "What is known of the car. Which of it is wrong?").line("said", self.standing().sheet.vehicle.words.clone());
        let ask = said.iter().take(ONE_DIGIT).enumerate().fold(ask, |ask, (i, (row, there))| {
            let (is, other) = if *there { ("yes", Known::No) } else { ("no", Known::Yes) };
            ask.says(&(i + 1).to_string(), &format!("{}: {is}", row.title()), Event::Trait(row.name().into(), other))
        });
        (!said.is_empty()).then(|| ask.says("0", "all of it is right", Event::Other("known".into(), "right".into())))
    }
}
