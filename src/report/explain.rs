//! Any name of the book explained: what it is, its numbers, its sources, and everything that is tied to it.

use super::Look;
use super::words::{heading, minutes, money, number, percent, wrap};
use crate::bay::need_words;
use crate::book::{Accuracy, Book, Dtc, Finding, FindingKind, Head, Headed, Id, Level, Need, Table, title};

/// The page for a name; none where the book has none of that name.
pub fn text(book: &Book, name: &str, look: Look) -> Option<String> {
    let lines = lines(book, name)?;
    let mut out = String::new();
    for (i, (lead, text)) in lines.iter().enumerate() {
        match (i, lead.is_empty()) {
            (0, _) => out.push_str(&heading(text)),
            (_, true) => out.push_str(&(wrap(text, look.width, "", "  ") + "\n")),
            _ => out.push_str(&(wrap(&format!("{lead}: {text}"), look.width, "", "  ") + "\n")),
        }
    }
    Some(out)
}

/// The same as pairs of a lead word and a text; the first is the title.
pub fn lines(book: &Book, name: &str) -> Option<Vec<(String, String)>> {
    let code = Dtc::parse(name).ok();
    let name = code.map_or_else(|| name.to_string(), |c| c.to_string());
    let page = Page { book, lines: vec![] };
    None.or_else(|| book.findings.find(&name).map(|id| page.clone().finding(id)))
        .or_else(|| book.causes.find(&name).map(|id| page.clone().cause(id)))
        .or_else(|| book.checks.find(&name).map(|id| page.clone().check(id)))
        .or_else(|| book.fixes.find(&name).map(|id| page.clone().fix(id)))
        .or_else(|| page.clone().small(&name))
        .or_else(|| code.map(|c| page.clone().code(c)))
}

#[derive(Clone)]
struct Page<'b> {
    book: &'b Book,
    lines: Vec<(String, String)>,
}

impl Page<'_> {
    fn add(&mut self, lead: &str, text: impl Into<String>) {
        let text = text.into();
        if !text.is_empty() {
            self.lines.push((lead.into(), text));
        }
    }

    fn list<T: Headed>(&mut self, lead: &str, table: &Table<T>, ids: &[Id<T>]) {
        let titles: Vec<String> = ids.iter().map(|id| format!("{} ({})", table[*id].title(), table[*id].name())).collect();
        self.add(lead, titles.join("; "));
    }

    fn head(&mut self, kind: &str, head: &Head) {
        self.add("", head.title.clone());
        self.add("", format!("{kind} {}", head.name));
        if head.when != Need::Always {
            self.add("for", need_words(self.book, &head.when));
        }
    }

    fn tail(mut self, head: &Head) -> Vec<(String, String)> {
        head.notes.iter().for_each(|n| self.add("note", n.clone()));
        let sources: Vec<&str> = head.sources.iter().map(|s| self.book.sources[*s].title()).collect();
        self.add("source", sources.join("; "));
        self.lines
    }

    fn code(mut self, code: Dtc) -> Vec<(String, String)> {
        self.add("", format!("{code} {}", title(code).unwrap_or_default()).trim().to_string());
        self.add("", code.structure());
        self.add("", "No rule of the book shows it.");
        self.lines
    }

    fn finding(mut self, id: Id<Finding>) -> Vec<(String, String)> {
        let book = self.book;
        let finding = &book.findings[id];
        self.head(finding.kind_word(), &finding.head);
        match &finding.kind {
            FindingKind::Code(code) => self.add("structure", code.structure()),
            FindingKind::Symptom { heard, .. } => self.add("customers say", heard.join(", ")),
            FindingKind::Reading(gauge) => {
                let accuracy = match gauge.accuracy {
                    Some(Accuracy::Relative(p)) => format!("{} of the value", percent(p)),
                    Some(Accuracy::Absolute(w)) => format!("{} {}", number(w), gauge.unit.text),
                    None => String::new(),
                };
                for (state, pieces) in finding.states.iter().zip(&gauge.bands) {
                    self.add(state, ranges(pieces, &gauge.unit.text));
                }
                self.add("accurate to", accuracy);
            }
            FindingKind::Sign { .. } => {}
        }
        if finding.gauge().is_none() && finding.states.len() > 2 {
            self.add("states", finding.states.join(", "));
        }
        self.add("ask", finding.question().unwrap_or_default());
        let hazards: Vec<_> = finding.hazards.iter().map(|(h, _)| *h).collect();
        self.list("danger", &book.hazards, &hazards);
        for (_, cause) in book.causes.iter() {
            for shows in cause.shows.iter().filter(|s| s.finding == id) {
                self.add("shown by", format!("{} ({}): {}", cause.title(), cause.name(), pushes(finding, &shows.push)));
            }
        }
        let checks: Vec<_> = book.checks.iter().filter(|(_, c)| c.reveals.contains(&id)).map(|(id, _)| id).collect();
        self.list("revealed by", &book.checks, &checks);
        let fixes: Vec<_> = book.fixes.iter().filter(|(_, f)| f.proofs.iter().any(|(p, _)| *p == id)).map(|(id, _)| id).collect();
        self.list("proves", &book.fixes, &fixes);
        self.tail(&finding.head)
    }

    fn cause(mut self, id: Id<crate::book::Cause>) -> Vec<(String, String)> {
        let book = self.book;
        let cause = &book.causes[id];
        self.head("cause", &cause.head);
        self.add("there in", format!("{} of the vehicles that come in", percent(cause.prior)));
        for shows in &cause.shows {
            let finding = &book.findings[shows.finding];
            self.add("shows", format!("{} ({}): {}", finding.title(), finding.name(), pushes(finding, &shows.push)));
        }
        for (other, chance) in &cause.brings {
            self.add("brings about", format!("{} ({}): {}", book.causes[*other].title(), book.causes[*other].name(), percent(*chance)));
        }
        let roots: Vec<_> = book.causes.iter().filter(|(_, c)| c.brings.iter().any(|(b, _)| *b == id)).map(|(id, _)| id).collect();
        self.list("brought about by", &book.causes, &roots);
        let fixes: Vec<_> = book.fixes.iter().filter(|(_, f)| f.cures.contains(&id)).map(|(id, _)| id).collect();
        self.list("cured by", &book.fixes, &fixes);
        self.list("danger", &book.hazards, &cause.hazards);
        self.tail(&cause.head)
    }

    fn check(mut self, id: Id<crate::book::Check>) -> Vec<(String, String)> {
        let book = self.book;
        let check = &book.checks[id];
        self.head("check", &check.head);
        self.add("takes", minutes(check.minutes));
        self.add("spend", if check.spend > 0.0 { money(check.spend) } else { String::new() });
        self.list("access", &book.access, &check.access);
        self.list("tool", &book.tools, &check.tools);
        check.does.iter().for_each(|d| self.add("do", d.clone()));
        self.list("caution", &book.hazards, &check.hazards);
        self.list("reveals", &book.findings, &check.reveals);
        self.list("comes after", &book.checks, &check.after);
        self.tail(&check.head)
    }

    fn fix(mut self, id: Id<crate::book::Fix>) -> Vec<(String, String)> {
        let book = self.book;
        let fix = &book.fixes[id];
        self.head("fix", &fix.head);
        self.add("takes", minutes(fix.minutes));
        self.add("parts", if fix.parts > 0.0 { money(fix.parts) } else { String::new() });
        self.list("access", &book.access, &fix.access);
        self.list("tool", &book.tools, &fix.tools);
        fix.does.iter().for_each(|d| self.add("do", d.clone()));
        self.list("caution", &book.hazards, &fix.hazards);
        self.list("cures", &book.causes, &fix.cures);
        for (finding, state) in &fix.proofs {
            self.add("proof", proof(&book.findings[*finding], *state));
        }
        self.list("then", &book.aftercare, &fix.then);
        self.list("comes after", &book.fixes, &fix.after);
        self.tail(&fix.head)
    }

    /// Blocks with little to say.
    fn small(mut self, name: &str) -> Option<Vec<(String, String)>> {
        let book = self.book;
        if let Some(id) = book.hazards.find(name) {
            let hazard = &book.hazards[id];
            self.head("hazard", &hazard.head);
            self.add("level", level(hazard.level));
            hazard.does.iter().for_each(|d| self.add("do", d.clone()));
            self.list("not while it stands", &book.hazards, &hazard.bars);
            return Some(self.tail(&hazard.head));
        }
        if let Some(id) = book.aftercare.find(name) {
            let step = &book.aftercare[id];
            self.head("aftercare", &step.head);
            self.add("takes", minutes(step.minutes));
            step.does.iter().for_each(|d| self.add("do", d.clone()));
            self.add("if the tester refuses", step.if_refused.clone().unwrap_or_default());
            self.list("comes after", &book.aftercare, &step.after);
            return Some(self.tail(&step.head));
        }
        if let Some(id) = book.access.find(name) {
            let step = &book.access[id];
            self.head("access", &step.head);
            self.add("takes", minutes(step.minutes));
            self.list("needs", &book.access, &step.needs);
            self.list("undoes", &book.access, &step.undoes);
            return Some(self.tail(&step.head));
        }
        if let Some(id) = book.traits.find(name) {
            let row = &book.traits[id];
            self.head("trait", &row.head);
            self.add("ask", row.ask.clone().unwrap_or_default());
            self.list("excludes", &book.traits, &row.excludes);
            return Some(self.tail(&row.head));
        }
        if let Some(id) = book.scales.find(name) {
            let scale = &book.scales[id];
            self.head("scale", &scale.head);
            scale.words.iter().for_each(|(word, chance)| self.add(word, percent(*chance)));
            return Some(self.tail(&scale.head));
        }
        if let Some(id) = book.channels.find(name) {
            let channel = &book.channels[id];
            self.head("channel", &channel.head);
            self.add("unit", channel.unit.as_ref().map_or(String::new(), |u| u.text.clone()));
            self.add("headings", channel.headings.join(", "));
            return Some(self.tail(&channel.head));
        }
        if let Some(id) = book.sources.find(name) {
            let source = &book.sources[id];
            self.head("source", &source.head);
            self.add("published", source.published.clone().unwrap_or_default());
            return Some(self.tail(&source.head));
        }
        let tool = &book.tools[book.tools.find(name)?];
        self.head("tool", &tool.head);
        Some(self.tail(&tool.head))
    }
}

/// What a fix must show, in words: the finding and the band or state it must be in.
pub fn proof(finding: &Finding, state: usize) -> String {
    let name = &finding.states[state];
    match finding.gauge() {
        Some(gauge) => format!("{}: {name}, {}", finding.title(), ranges(&gauge.bands[state], &gauge.unit.text)),
        None => format!("{}: {name}", finding.title()),
    }
}

/// Ranges of a band in words.
pub fn ranges(pieces: &[(f64, f64)], unit: &str) -> String {
    let one = |(low, high): &(f64, f64)| match (low.is_finite(), high.is_finite()) {
        (true, true) => format!("{} to {} {unit}", number(*low), number(*high)),
        (false, true) => format!("below {} {unit}", number(*high)),
        (true, false) => format!("above {} {unit}", number(*low)),
        (false, false) => "any value".into(),
    };
    pieces.iter().map(one).collect::<Vec<_>>().join(" or ")
}

/// A level of danger for people.
pub fn level(level: Level) -> &'static str {
    match level {
        Level::Stop => "stop",
        Level::Warn => "warning",
        Level::Care => "take care",
    }
}

fn pushes(finding: &Finding, push: &[f64]) -> String {
    let parts = push.iter().enumerate().filter(|(_, p)| **p > 0.0);
    let named =
        |(k, p): (usize, &f64)| if finding.states.len() == 2 { percent(*p) } else { format!("{} {}", finding.states[k + 1], percent(*p)) };
    parts.map(named).collect::<Vec<_>>().join(", ")
}
