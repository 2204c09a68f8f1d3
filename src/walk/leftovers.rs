//! With the complaint gone: what is still wrong by what was seen last. Each is planned now, left with a word to the owner, or known and harmless; none is
//! passed over.

use super::ask::{Ask, Free};
use super::outcome::Leftover;
use super::steps::Desk;
use super::steps::chance;
use crate::bay::{Act, can_change};
use crate::book::{Cause, Finding, Headed, Id};
use crate::job::{Disposal, Event, Subject};

impl Desk<'_, '_> {
    /// Whether something that is left is to be planned now, and there is a step to take for it.
    pub(super) fn goes_on(&self) -> bool {
        let wanted = |l: &Leftover| self.disposal(l) == Some(&Disposal::Plan) && self.way_on(l).is_some();
        self.outcome().left.iter().any(wanted)
    }

    /// The first step for what is to be planned now.
    pub(super) fn wanted_step(&self) -> Option<Act> {
        let wanted = self.outcome().left.iter().filter(|l| self.disposal(l) == Some(&Disposal::Plan));
        wanted.into_iter().find_map(|l| self.way_on(l))
    }

    /// The next one of which nobody said what is done about it.
    pub(super) fn leftover(&self) -> Option<Ask> {
        let open = |l: &&Leftover| !matches!(self.disposal(l), Some(Disposal::Tell | Disposal::Harmless(_)));
        let left = self.outcome().left.iter().find(open)?;
        let (title, seen) = match left {
            Leftover::Cause(id, p) => (self.book.causes[*id].title(), format!("{} by all that was seen", chance(*p))),
            Leftover::Finding(id) => (self.book.findings[*id].title(), format!("seen last: {}", self.last_seen(*id))),
        };
        let kind = if let Leftover::Cause(..) = left { "Still there" } else { "Still out of order" };
        let ask = Ask::new(self.subject(left).ask(), format!("{kind}: {title}")).line("", seen);
        let ask = match left {
            Leftover::Cause(id, _) => self.dangers_of(*id).into_iter().fold(ask, |ask, d| ask.line("danger", d)),
            Leftover::Finding(_) => ask,
        };
        let way = self.way_on(left).filter(|_| self.disposal(left).is_none());
        let ask = way.into_iter().fold(ask, |ask, _| ask.reply("1", "plan it now", "plan"));
        let ask = ask.reply("2", "leave it, and tell the owner", "tell");
        let ask = self.stale(left).into_iter().fold(ask, |ask, id| {
            let row = &self.book.findings[id];
            ask.says("r", &format!("read it again after the repair: {}", row.title()), Event::Again(Some(row.name().into())))
        });
        let ask = ask.line("", "Or type why it is known and harmless: it stands in the report.");
        let why = "The complaint is gone, but this is not: nothing that was seen is passed over at the close.";
        Some(Ask { free: Free::Words, why: vec![why.into()], ..ask })
    }

    /// What it goes by, where that was read before the last repair only: what is read again may be in order.
    fn stale(&self, left: &Leftover) -> Option<Id<Finding>> {
        let now = self.standing.progress.period();
        let old = |f: &Id<Finding>| self.a.looks(*f).last().is_some_and(|(period, o)| *period < now && o.abnormal());
        let measured = |f: &Id<Finding>| self.book.findings[*f].is_measured();
        match left {
            Leftover::Finding(id) => Some(*id).filter(old),
            Leftover::Cause(id, _) => {
                let shown = self.book.causes[*id].shows.iter().map(|s| s.finding);
                shown.filter(|f| measured(f) && self.a.applies(*f)).find(old)
            }
        }
    }

    /// What is left and what was said about it, for the close.
    pub(super) fn left_lines(&self) -> Vec<String> {
        let said = |l: &Leftover| match self.disposal(l)? {
            Disposal::Tell => Some(format!("{}; the owner is told", self.leftover_title(l))),
            Disposal::Harmless(reason) => Some(format!("{}: {reason}", self.leftover_title(l))),
            Disposal::Plan => None,
        };
        self.outcome().left.iter().filter_map(said).collect()
    }

    fn leftover_title(&self, left: &Leftover) -> &str {
        match left {
            Leftover::Cause(id, _) => self.book.causes[*id].title(),
            Leftover::Finding(id) => self.book.findings[*id].title(),
        }
    }

    fn subject(&self, left: &Leftover) -> Subject {
        match left {
            Leftover::Cause(id, _) => Subject::Cause(self.book.causes[*id].name().into()),
            Leftover::Finding(id) => Subject::Finding(self.book.findings[*id].name().into()),
        }
    }

    fn disposal(&self, left: &Leftover) -> Option<&Disposal> {
        match self.standing.answers.get(&self.subject(left).ask())? {
            Event::Leave(_, disposal) => Some(disposal),
            _ => None,
        }
    }

    /// A step that would deal with it: the cheapest repair of the cause, or of the likeliest cause behind the finding; its screen offers to prove it first.
    fn way_on(&self, left: &Leftover) -> Option<Act> {
        match left {
            Leftover::Cause(id, _) => self.cheapest(*id),
            Leftover::Finding(id) => {
                let behind = self.a.standing(0.05).into_iter().filter(|(c, _)| can_change(self.book, &[*c], *id));
                behind.into_iter().find_map(|(c, _)| self.cheapest(c))
            }
        }
    }

    /// The cheapest repair of a cause that can be done here.
    pub(super) fn cheapest(&self, cause: Id<Cause>) -> Option<Act> {
        let fixes = self.a.bay.acts.iter().copied().filter(|act| matches!(act, Act::Fix(f) if self.book.fixes[*f].cures(cause)));
        fixes.min_by(|a, b| self.a.price(*a).total_cmp(&self.a.price(*b)))
    }

    fn last_seen(&self, id: Id<Finding>) -> String {
        let looks = self.a.looks(id);
        looks.last().map_or(String::new(), |(_, o)| self.shown(o))
    }

    fn dangers_of(&self, cause: Id<Cause>) -> Vec<String> {
        self.book.causes[cause].hazards.iter().map(|h| self.book.hazards[*h].title().to_string()).collect()
    }
}
