//! What somebody says was done before -> fixes of the book that it may mean, for a person to say which.

use super::words::{Said, Token, telling};
use crate::book::{Book, Fix, Headed, Id};
use std::collections::HashMap;

/// Share of what a title tells that must have been said.
const SAID: f64 = 0.4;

/// Fixes that can apply to a vehicle of these traits and of which a `heard` phrase or enough of the title was said, best first. A word tells the more, the fewer titles it stands in (inverse document frequency,
/// Spärck Jones 1972): "renewed" tells nothing, "lambda" much.
pub fn heard_repairs(book: &Book, traits: &[Option<bool>], words: &str) -> Vec<Id<Fix>> {
    let said = Said::new(book, words);
    let titles: Vec<(Id<Fix>, Vec<Token>)> = book.fixes.iter().map(|(id, fix)| (id, once(telling(fix.title())))).collect();
    let mut held: HashMap<&str, usize> = HashMap::new();
    titles.iter().flat_map(|(_, words)| words).for_each(|w| *held.entry(&w.stem).or_default() += 1);
    let tells = |word: &Token| (titles.len() as f64 / held[word.stem.as_str()] as f64).ln();
    let share = |title: &[Token]| {
        let heard = title.iter().filter(|w| said.holds(w));
        heard.map(tells).sum::<f64>() / title.iter().map(tells).sum::<f64>().max(f64::MIN_POSITIVE)
    };
    let named = |id: Id<Fix>| book.fixes[id].heard.iter().any(|phrase| said.matches(phrase).is_some());
    let fits = |id: Id<Fix>| {
        let fix = &book.fixes[id];
        fix.head.when.keeps(traits) && fix.causes().any(|c| book.causes[c].head.when.keeps(traits))
    };
    let score = |(id, title): &(Id<Fix>, Vec<Token>)| (if named(*id) { 1.0 } else { share(title) }, *id);
    let mut heard: Vec<(f64, Id<Fix>)> = titles.iter().filter(|(id, _)| fits(*id)).map(score).filter(|(s, _)| *s >= SAID).collect();
    heard.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    heard.into_iter().map(|(_, id)| id).collect()
}

/// Each word once.
fn once(mut words: Vec<Token>) -> Vec<Token> {
    words.sort();
    words.dedup_by(|a, b| a.stem == b.stem);
    words
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::shipped;

    fn heard(fitted: &[&str], words: &str) -> Vec<String> {
        let book = shipped::book().unwrap();
        let fitted: Vec<String> = fitted.iter().map(ToString::to_string).collect();
        let traits = super::super::settle(&book, &fitted, &[]).unwrap();
        heard_repairs(&book, &traits, words).into_iter().map(|id| book.fixes[id].name().to_string()).collect()
    }

    #[test]
    fn words_are_heard_as_the_fixes_they_name() {
        assert_eq!(heard(&[], "fast-fit centre: battery renewed twice")[0], "renew-battery");
        let both = heard(&[], "new coils and plugs are in");
        assert!(["renew-ignition-coil", "renew-spark-plugs"].iter().all(|f| both[..2].contains(&f.to_string())), "{both:?}");
        assert!(heard(&[], "lambda sensor replaced").contains(&"renew-upstream-sensor".to_string()));
        assert!(heard(&[], "chain workshop: codes cleared, nothing found").is_empty());
    }

    #[test]
    fn only_fixes_that_the_vehicle_can_have_are_heard() {
        let filter = "renew-filter".to_string();
        assert!(heard(&["diesel"], "new particulate filter").contains(&filter));
        let petrol = heard(&["petrol"], "new particulate filter");
        assert!(!petrol.contains(&filter), "{petrol:?}");
        let plugs = heard(&["diesel"], "new coils and spark plugs are in");
        assert!(!plugs.iter().any(|f| f.contains("spark") || f.contains("ignition")), "{plugs:?}");
    }
}
