//! A prior that is out of line with its siblings.

use super::prelude::*;
use crate::book::{Cause, Id};

pub const LINT: Lint = Lint::book("FB409", "outlying-prior", Severity::Warning, check);

/// Siblings that are wanted before any of them can be out of line.
const FEWEST: usize = 3;
/// How many times as common as the commonest, or as rare as the rarest, is out of line: more than a slip of the decimal point.
const FACTOR: f64 = 10.001;

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    let mut met = vec![None; subject.book.causes.len()];
    for (id, cause) in subject.book.causes.iter().filter(|(_, c)| c.prior > 0.0 && !c.is_condition()) {
        let Some((rarest, commonest)) = siblings(subject, id, cause, &mut met) else { continue };
        let message = if cause.prior > commonest * FACTOR {
            format!("`{}` is {:.0} times as common as any cause that shows the same", cause.name(), cause.prior / commonest)
        } else if cause.prior < rarest / FACTOR {
            format!("`{}` is {:.0} times as rare as any cause that shows the same", cause.name(), rarest / cause.prior)
        } else {
            continue;
        };
        let at = subject.clauses(&cause.head, Keyword::Prior).last().map_or(cause.head.span, |c| c.span);
        let remark = Remark::new(LINT.code, message, at, "out of line");
        found.push(remark.help("look at the decimal point and the `%`; it alone decides among them until something is measured"));
    }
}

/// The least and the greatest prior of the causes that share a finding with this one; `met` says of each cause with which it was met last.
fn siblings(subject: &Subject, id: Id<Cause>, cause: &Cause, met: &mut [Option<Id<Cause>>]) -> Option<(f64, f64)> {
    let (mut count, mut rarest, mut commonest) = (0, f64::INFINITY, 0.0_f64);
    for shows in &cause.shows {
        // a finding that very many causes show says little about kinship, and would cost much
        for (other, _) in subject.shown(shows.finding).iter().take(100) {
            let sibling = &subject.book.causes[*other];
            let new = *other != id && met[other.index()].replace(id) != Some(id);
            if new && sibling.prior > 0.0 && !sibling.is_condition() {
                count += 1;
                rarest = rarest.min(sibling.prior);
                commonest = commonest.max(sibling.prior);
            }
        }
    }
    (count >= FEWEST).then_some((rarest, commonest))
}
