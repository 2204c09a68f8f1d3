//! What is known of the vehicle, and what follows from it: an excluded trait is not there, nor one whose condition fails.

use super::hearing::heard_traits;
use super::input::InputError;
use super::sheet::Vehicle;
use crate::book::{Book, Headed, Id, Need, Trait};
use crate::syntax::nearest;

/// Settles the traits of a vehicle; none where it is not known. All mistakes are found at once.
pub fn settle(book: &Book, fitted: &[String], not_fitted: &[String]) -> Result<Vec<Option<bool>>, Vec<InputError>> {
    let mut known: Vec<Option<bool>> = vec![None; book.traits.len()];
    let mut errors = Vec::new();
    for (names, value, place) in [(fitted, true, "[vehicle] fitted"), (not_fitted, false, "[vehicle] not-fitted")] {
        for name in names {
            match find(book, name, place) {
                Err(error) => errors.push(error),
                Ok(id) if known[id.index()] == Some(!value) => {
                    errors.push(InputError::new(place, format!("`{name}` is said to be fitted and not fitted"), "keep one of the two"));
                }
                Ok(id) => known[id.index()] = Some(value),
            }
        }
    }
    follow(book, &mut known, &mut errors);
    if errors.is_empty() { Ok(known) } else { Err(errors) }
}

/// All that is known of a vehicle: what its lists say, then what the words on it say, then what the complaint says in passing. What contradicts what is known already is passed over.
pub fn known_traits(book: &Book, vehicle: &Vehicle, complaint: &str) -> Result<Vec<Option<bool>>, Vec<InputError>> {
    let (mut fitted, mut not_fitted) = (vehicle.fitted.clone(), vehicle.not_fitted.clone());
    let mut known = settle(book, &fitted, &not_fitted)?;
    let said = heard_traits(book, &vehicle.words, true).into_iter().chain(heard_traits(book, complaint, false));
    for (id, there) in said {
        if known[id.index()].is_some() {
            continue;
        }
        let list = if there { &mut fitted } else { &mut not_fitted };
        list.push(book.traits[id].name().to_string());
        match settle(book, &fitted, &not_fitted) {
            Ok(more) => known = more,
            Err(_) => drop(if there { fitted.pop() } else { not_fitted.pop() }),
        }
    }
    Ok(known)
}

fn find(book: &Book, name: &str, place: &str) -> Result<Id<Trait>, InputError> {
    book.traits.find(name).ok_or_else(|| {
        let near = nearest(name, book.traits.names()).map(|n| format!("did you mean `{n}`?"));
        let help = near.unwrap_or_else(|| "`faultbook explain traits` lists them".into());
        InputError::new(place, format!("no trait is named `{name}`"), help)
    })
}

/// Draws the conclusions until nothing new follows.
fn follow(book: &Book, known: &mut [Option<bool>], errors: &mut Vec<InputError>) {
    loop {
        let before = known.to_vec();
        for (id, row) in book.traits.iter() {
            if known[id.index()] == Some(true) {
                let others = row.excludes.iter().map(|other| (*other, false));
                let needed = needed(&row.head.when).into_iter().map(|other| (other, true));
                for (other, value) in others.chain(needed) {
                    conclude(book, row, other, value, known, errors);
                }
            }
            if known[id.index()].is_none() && row.head.when.holds(known) == Some(false) {
                known[id.index()] = Some(false);
            }
        }
        if before == known || !errors.is_empty() {
            return;
        }
    }
}

fn conclude(book: &Book, from: &Trait, other: Id<Trait>, value: bool, known: &mut [Option<bool>], errors: &mut Vec<InputError>) {
    let slot = &mut known[other.index()];
    if *slot == Some(!value) {
        let (a, b) = (from.name(), book.traits[other].name());
        let what = if value { format!("`{a}` needs `{b}`, which is not fitted") } else { format!("`{a}` and `{b}` can't both be fitted") };
        errors.push(InputError::new("[vehicle]", what, "correct one of the two"));
    }
    *slot = Some(value);
}

/// The traits that a condition can't hold without.
fn needed(need: &Need) -> Vec<Id<Trait>> {
    match need {
        Need::Has(id) => vec![*id],
        Need::All(parts) => parts.iter().flat_map(needed).collect(),
        _ => vec![],
    }
}
