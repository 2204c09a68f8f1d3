//! A proof that a repair has gone wrong.

use super::prelude::*;

pub const LINT: Lint = Lint::book("FB228", "abnormal-proof", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for (_, fix) in subject.book.fixes.iter() {
        for (id, state) in fix.proofs.iter().filter(|(_, state)| *state != 0) {
            let finding = &subject.book.findings[*id];
            let (found_in, normal) = (&finding.states[*state], &finding.states[0]);
            let message = format!("`{}` is proved by `{}` being `{found_in}`, which is not its normal state", fix.name(), finding.name());
            let remark = Remark::new(LINT.code, message, subject.at(&fix.head, Keyword::Proof, finding.name()), "proved by a fault");
            found.push(remark.help(format!("write `proof {} {normal}`", finding.name())));
        }
    }
}
