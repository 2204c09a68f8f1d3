//! All that the symptoms of a book listen for. For the book that ships it was gathered when the program was built.

use super::index::{Heed, Index, Ranked};
use super::said::Word;
use crate::book::{Book, Finding, FindingKind, Headed, Id};
use crate::shelf;
use foldhash::fast::FixedState;
use serde::{Deserialize, Serialize};
use std::cell::RefCell;
use std::hash::BuildHasher;
use std::rc::Rc;

/// Candidates that are weighed.
const WEIGHED: usize = 25;
/// The name of what the build made of it.
pub const IMAGE: &str = "ears";

/// Circumstances are told in few words that stand in every complaint: they don't compete with the rest.
#[derive(Default, Serialize, Deserialize)]
pub(super) struct Ears {
    pub(super) symptoms: Ear,
    pub(super) circumstances: Ear,
    /// A hash of what each symptom listens for, in the order of the book.
    known: Vec<u64>,
}

#[derive(Default, Serialize, Deserialize)]
pub(super) struct Ear {
    index: Index,
    #[serde(skip)]
    pub(super) ids: Vec<Id<Finding>>,
}

thread_local! {
    /// The ears of the book last listened with: to stem what it listens for takes longer than to listen.
    static LAST: RefCell<Option<(String, Rc<Ears>)>> = const { RefCell::new(None) };
}

/// What the symptoms of a book listen for, in the form that lies in the program; none where it can't be written.
#[allow(dead_code)] // the build calls it
pub fn image(book: &Book) -> Option<Vec<u8>> {
    postcard::to_stdvec(&Ears::default().over(book)?).ok()
}

impl Ears {
    pub(super) fn of(book: &Book) -> Rc<Ears> {
        LAST.with_borrow_mut(|last| match last {
            Some((digest, ears)) if *digest == book.about.digest => Rc::clone(ears),
            _ => {
                let ears = Rc::new(Ears::new(book));
                *last = Some((book.about.digest.clone(), Rc::clone(&ears)));
                ears
            }
        })
    }

    fn new(book: &Book) -> Ears {
        let ready: Option<Ears> = shelf::image(IMAGE).and_then(|bytes| postcard::from_bytes(bytes).ok());
        ready.and_then(|ears| ears.over(book)).or_else(|| Ears::default().over(book)).unwrap_or_default()
    }

    /// These, gone on with over the rest of the book; none where its first symptoms are others than those that are in already.
    fn over(mut self, book: &Book) -> Option<Ears> {
        let ready = self.known.len();
        let symptoms = book.findings.iter().filter_map(|(id, finding)| match &finding.kind {
            FindingKind::Symptom { heard, ask, circumstance, .. } => Some((id, finding.title(), heard, ask, *circumstance)),
            _ => None,
        });
        for (at, (id, title, heard, ask, circumstance)) in symptoms.enumerate() {
            let own = FixedState::default().hash_one((title, heard, ask, circumstance));
            let ear = if circumstance { &mut self.circumstances } else { &mut self.symptoms };
            ear.ids.push(id);
            if at >= ready {
                ear.index.add(heard.iter().map(String::as_str).chain([title]), ask.iter().map(String::as_str));
                self.known.push(own);
            } else if self.known[at] != own {
                return None;
            }
        }
        let listening = self.symptoms.ids.len() + self.circumstances.ids.len();
        (listening == self.known.len()).then_some(self)
    }
}

impl Ear {
    pub(super) fn ranked(&self, said: &[Word], may: impl Fn(Id<Finding>) -> bool) -> Vec<Ranked> {
        self.index.rank(said, Heed::Senses).into_iter().filter(|r| may(self.ids[r.thing])).take(WEIGHED).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::{read, shipped};
    use crate::syntax::parse;

    /// Were it left out or unreadable, it would be gathered at every start, and nobody would notice.
    #[test]
    fn what_the_book_listens_for_is_taken_from_the_program() {
        let made = image(&shipped::book().unwrap()).unwrap();
        assert!(shelf::image(IMAGE) == Some(&made[..]), "not as the build made it");
        assert!(postcard::from_bytes::<Ears>(&made).is_ok());
    }

    /// A book that adds symptoms goes on with what is ready; where one is changed it is all gathered anew. Both hear the same as without.
    #[test]
    fn what_is_ready_serves_the_books_that_begin_with_it() {
        let ready = || postcard::from_bytes::<Ears>(shelf::image(IMAGE).unwrap()).unwrap();
        let first = "book own \"Own\"\n  over faultbook\n  version \"1\"\n";
        let more =
            overlay(&format!("{first}symptom own-noise \"Own noise\"\n  ask \"Is there a noise of our own?\"\n  heard \"warbles\"\n"));
        let other = overlay(&format!("{first}amend symptom stalls\n  heard \"conks out on us\"\n"));
        assert!(ready().over(&more).is_some() && ready().over(&other).is_none());
        let plain = |ears: Ears| postcard::to_stdvec(&ears).unwrap();
        for book in [more, other] {
            assert!(plain(Ears::new(&book)) == plain(Ears::default().over(&book).unwrap()));
        }
    }

    fn overlay(text: &str) -> Book {
        let (mut sources, mut layers) = shipped::beneath(true);
        let file = sources.add("own.rules", text);
        let (document, remarks) = parse(file, text);
        layers.push(vec![document]);
        let (book, found) = read(&sources, &layers);
        book.unwrap_or_else(|| panic!("{remarks:?} {found:?}"))
    }
}
