//! What somebody says was done before -> fixes of the book that it may mean, for a person to say which.

use super::index::{Heed, Index};
use super::said::words;
use crate::book::{Book, Fix, Headed, Id};

/// Share of what a phrase or title tells that must have been said.
const SAID: f64 = 0.4;

/// Fixes that can apply to a vehicle of these traits and of which enough of a `heard` phrase or of the title was said, best first.
pub fn heard_repairs(book: &Book, traits: &[Option<bool>], said: &str) -> Vec<Id<Fix>> {
    // what stands before a colon says who did it: a chain of workshops is no timing chain
    let done: Vec<&str> = said.split(';').map(|part| part.split_once(':').map_or(part, |(_, done)| done)).collect();
    let said = &done.join(";");
    let fits = |fix: &Fix| fix.head.when.keeps(traits) && fix.causes().any(|c| book.causes[c].head.when.keeps(traits));
    let all: Vec<(Id<Fix>, &Fix)> = book.fixes.iter().filter(|(_, fix)| fits(fix)).collect();
    let mut index = Index::default();
    all.iter().for_each(|(_, fix)| index.add(fix.heard.iter().map(String::as_str).chain([fix.title()]), std::iter::empty()));
    // "the new coils" is what is asked for here, and "no filter was changed" is not heard as a change
    let ranked = index.rank(&words(said), Heed::Words);
    ranked.into_iter().filter(|r| r.covered >= SAID).map(|r| all[r.thing].0).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::shipped;
    use crate::job::settle;

    fn heard(fitted: &[&str], words: &str) -> Vec<String> {
        let book = shipped::book().unwrap();
        let fitted: Vec<String> = fitted.iter().map(ToString::to_string).collect();
        let traits = settle(&book, &fitted, &[]).unwrap();
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
