//! Any name of the book explained: what it is, its numbers, its sources, and everything that is tied to it.

use super::Look;
use super::words::{long_heading, minutes, money, number, wrap_names};
use crate::bay::need_words;
use crate::book::{
    Accuracy, Book, Cause, CauseKind, Check, Dtc, Finding, FindingKind, Head, Headed, Id, Level, Need, Table, in_percent, title,
};
use crate::job::typed_codes;

/// So many rows of a list are shown where not the whole of it is asked for.
const ROWS: usize = 12;

/// The page for a name; none where the book has none of that name. Long lists are folded, unless the whole is asked for.
pub fn text(book: &Book, name: &str, look: Look, whole: bool) -> Option<String> {
    let lines = lines(book, name)?;
    let mut out = String::new();
    let mut at = 0;
    while let Some((lead, text)) = lines.get(at) {
        let rows = lines[at..].iter().take_while(|(l, _)| l == lead).count();
        match (at, rows) {
            (0, _) => out.push_str(&long_heading(text, look.width)),
            (_, 1) if lead.is_empty() => out.push_str(&(wrap_names(text, look.width, "", "  ") + "\n")),
            (_, 1) => out.push_str(&(wrap_names(&format!("{}: {text}", long_lead(lead)), look.width, "", "  ") + "\n")),
            _ => out.push_str(&list(lead, &lines[at..at + rows], look, whole)),
        }
        at += if at == 0 { 1 } else { rows };
    }
    Some(out)
}

/// Several lines with one lead, below it. What is to be done is never folded.
fn list(lead: &str, rows: &[(String, String)], look: Look, whole: bool) -> String {
    let folds = !whole && !matches!(lead, "" | "do" | "note" | "proof") && rows.len() > ROWS + 1;
    let shown = if folds { ROWS } else { rows.len() };
    let mut out = if lead.is_empty() { String::new() } else { wrap_names(&format!("{}:", long_lead(lead)), look.width, "", "  ") + "\n" };
    let mark = if lead.is_empty() { "" } else { "- " };
    rows[..shown].iter().for_each(|(_, text)| out.push_str(&(wrap_names(text, look.width, mark, "  ") + "\n")));
    if folds {
        out.push_str(&format!("  and {} more: `--whole`\n", rows.len() - shown));
    }
    out
}

/// What a list of causes or findings is sorted by, and what its figures mean.
fn long_lead(lead: &str) -> &str {
    match lead {
        "shown by" => "shown by (the likeliest first; in how many of its cases)",
        "shows" => "shows (in how many cases)",
        other => other,
    }
}

/// The same as pairs of a lead word and a text; the first is the title.
pub fn lines(book: &Book, name: &str) -> Option<Vec<(String, String)>> {
    let code = typed_codes(name).ok().and_then(|c| <[Dtc; 1]>::try_from(c).ok()).map(|[code]| code);
    let name = code.map_or_else(|| name.trim().to_lowercase().replace([' ', '_'], "-"), |c| c.to_string());
    let page = Page { book, lines: vec![] };
    None.or_else(|| book.findings.find(&name).map(|id| page.clone().finding(id)))
        .or_else(|| book.causes.find(&name).map(|id| page.clone().cause(id)))
        .or_else(|| book.checks.find(&name).map(|id| page.clone().check(id)))
        .or_else(|| book.fixes.find(&name).map(|id| page.clone().fix(id)))
        .or_else(|| page.clone().small(&name))
        .or_else(|| page.clone().chance(&name))
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
        ids.iter().for_each(|id| self.add(lead, format!("{} ({})", table[*id].title(), table[*id].name())));
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
            FindingKind::Code(code) => {
                self.lines[0].1 = format!("{code} {}", finding.title());
                self.add("range", code.structure());
            }
            FindingKind::Symptom { heard, .. } => self.add("customers say", heard.join(", ")),
            FindingKind::Reading(gauge) => {
                let accuracy = match gauge.accuracy {
                    Some(Accuracy::Relative(p)) => format!("{} of the value", in_percent(p)),
                    Some(Accuracy::Absolute(w)) => format!("{} {}", number(w), gauge.unit.text),
                    None => String::new(),
                };
                for (state, pieces) in finding.states.iter().zip(&gauge.bands) {
                    self.add(state, ranges(pieces, &gauge.unit.text));
                }
                self.add("accurate to", accuracy);
            }
            FindingKind::Sign { past, .. } => self.add("past", if *past { "asked once: no repair changes it" } else { "" }),
        }
        if finding.gauge().is_none() && finding.states.len() > 2 {
            self.add("states", finding.states.join(", "));
        }
        let asleep = match (finding.lasting, matches!(finding.kind, FindingKind::Sign { .. })) {
            (true, false) => "lasts: it is seen then too",
            (false, true) => "passes: normal then says nothing",
            _ => "",
        };
        self.add("with the fault asleep", asleep);
        self.add("ask", finding.question().unwrap_or_default());
        let hazards: Vec<_> = finding.hazards.iter().map(|(h, _)| *h).collect();
        self.list("danger", &book.hazards, &hazards);
        let of = |cause: &Cause| cause.shows.iter().find(|s| s.finding == id).map(|s| s.push.clone());
        let mut causes: Vec<(&Cause, Vec<f64>)> = book.causes.iter().filter_map(|(_, c)| Some((c, of(c)?))).collect();
        // with this finding alone, and nothing else known
        causes.sort_by(|a, b| (b.0.prior * strongest(&b.1)).total_cmp(&(a.0.prior * strongest(&a.1))));
        for (cause, push) in causes {
            self.add("shown by", format!("{} ({}): {}", cause.title(), cause.name(), pushes(finding, &push)));
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
        self.head(cause.kind_word(), &cause.head);
        match cause.kind {
            CauseKind::Fault => self.add("there in", format!("{} of the vehicles that come in", in_percent(cause.prior))),
            CauseKind::Condition => {
                self.add("there", "as long as something brings it about: no fix cures it, its cause's does");
                let unlisted = format!("in {} of the vehicles that come in", in_percent(cause.prior));
                self.add("by something that is not listed", if cause.prior > 0.0 { unlisted } else { String::new() });
            }
        }
        let mut all: Vec<_> = cause.shows.iter().collect();
        all.sort_by(|a, b| strongest(&b.push).total_cmp(&strongest(&a.push)));
        for shows in all {
            let finding = &book.findings[shows.finding];
            self.add("shows", format!("{} ({}): {}", finding.title(), finding.name(), pushes(finding, &shows.push)));
        }
        for (other, chance) in &cause.brings {
            self.add("brings about", format!("{} ({}): {}", book.causes[*other].title(), book.causes[*other].name(), in_percent(*chance)));
        }
        let roots: Vec<_> = book.causes.iter().filter(|(_, c)| c.brings.iter().any(|(b, _)| *b == id)).map(|(id, _)| id).collect();
        self.list("brought about by", &book.causes, &roots);
        let reveals = |c: &Check| c.reveals.iter().any(|f| cause.shows.iter().any(|s| s.finding == *f));
        let checks: Vec<_> = book.checks.iter().filter(|(_, c)| reveals(c)).map(|(id, _)| id).collect();
        self.list("looked for by", &book.checks, &checks);
        let fixes: Vec<_> = book.fixes.iter().filter(|(_, f)| f.cures(id)).map(|(id, _)| id).collect();
        self.list("cured by", &book.fixes, &fixes);
        self.list("danger", &book.hazards, &cause.hazards);
        self.tail(&cause.head)
    }

    fn check(mut self, id: Id<crate::book::Check>) -> Vec<(String, String)> {
        let book = self.book;
        let check = &book.checks[id];
        self.head("check", &check.head);
        self.add("takes", minutes(check.minutes));
        self.waits(check.waits);
        self.add("spend", if check.spend > 0.0 { money(check.spend) } else { String::new() });
        self.list("access", &book.access, &check.access);
        self.list("tool", &book.tools, &check.tools);
        check.does.iter().for_each(|d| self.add("do", d.clone()));
        self.list("caution", &book.hazards, &check.hazards);
        self.list("reveals", &book.findings, &check.reveals);
        self.add("wakes a fault that sleeps", check.wakes.clone().unwrap_or_default());
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
        for (id, chance) in &fix.cures {
            let cause = &book.causes[*id];
            let surely = if *chance < 1.0 { format!(": in {} of the times it is done", in_percent(*chance)) } else { String::new() };
            self.add("cures", format!("{} ({}){surely}", cause.title(), cause.name()));
        }
        for (finding, state) in &fix.proofs {
            self.add("proof", proof(&book.findings[*finding], *state));
        }
        self.list("then", &book.aftercare, &fix.then);
        self.list("comes after", &book.fixes, &fix.after);
        self.tail(&fix.head)
    }

    fn waits(&mut self, waits: f64) {
        self.add("waits", if waits > 0.0 { minutes(waits) } else { String::new() });
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
            let findings: Vec<_> =
                book.findings.iter().filter(|(_, f)| f.hazards.iter().any(|(h, _)| *h == id)).map(|(id, _)| id).collect();
            self.list("raised by", &book.findings, &findings);
            let causes: Vec<_> = book.causes.iter().filter(|(_, c)| c.hazards.contains(&id)).map(|(id, _)| id).collect();
            self.list("raised where likely by", &book.causes, &causes);
            return Some(self.tail(&hazard.head));
        }
        if let Some(id) = book.aftercare.find(name) {
            let step = &book.aftercare[id];
            self.head("aftercare", &step.head);
            self.add("takes", minutes(step.minutes));
            step.does.iter().for_each(|d| self.add("do", d.clone()));
            self.add("if the tester refuses", step.if_refused.clone().unwrap_or_default());
            self.list("comes after", &book.aftercare, &step.after);
            let fixes: Vec<_> = book.fixes.iter().filter(|(_, f)| f.then.contains(&id)).map(|(id, _)| id).collect();
            self.list("follows", &book.fixes, &fixes);
            return Some(self.tail(&step.head));
        }
        if let Some(id) = book.access.find(name) {
            let step = &book.access[id];
            self.head("access", &step.head);
            self.add("takes", minutes(step.minutes));
            self.waits(step.waits);
            self.list("needs", &book.access, &step.needs);
            self.list("undoes", &book.access, &step.undoes);
            let checks: Vec<_> = book.checks.iter().filter(|(_, c)| c.access.contains(&id)).map(|(id, _)| id).collect();
            self.list("opens the check", &book.checks, &checks);
            let fixes: Vec<_> = book.fixes.iter().filter(|(_, f)| f.access.contains(&id)).map(|(id, _)| id).collect();
            self.list("opens the fix", &book.fixes, &fixes);
            return Some(self.tail(&step.head));
        }
        if let Some(id) = book.traits.find(name) {
            let row = &book.traits[id];
            self.head("trait", &row.head);
            self.add("ask", row.ask.clone().unwrap_or_default());
            self.add("said as", row.heard.join(", "));
            self.list("excludes", &book.traits, &row.excludes);
            return Some(self.tail(&row.head));
        }
        if let Some(id) = book.scales.find(name) {
            let scale = &book.scales[id];
            self.head("scale", &scale.head);
            scale.words.iter().for_each(|(word, chance)| self.add(word, in_percent(*chance)));
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
        let id = book.tools.find(name)?;
        let tool = &book.tools[id];
        self.head("tool", &tool.head);
        let checks: Vec<_> = book.checks.iter().filter(|(_, c)| c.tools.contains(&id)).map(|(id, _)| id).collect();
        self.list("for the check", &book.checks, &checks);
        let fixes: Vec<_> = book.fixes.iter().filter(|(_, f)| f.tools.contains(&id)).map(|(id, _)| id).collect();
        self.list("for the fix", &book.fixes, &fixes);
        Some(self.tail(&tool.head))
    }

    /// A word of a scale.
    fn chance(mut self, word: &str) -> Option<Vec<(String, String)>> {
        let mut scales = self.book.scales.iter().map(|(_, s)| s).filter_map(|s| Some((s, s.words.iter().find(|(w, _)| w == word)?.1)));
        let (scale, chance) = scales.next()?;
        self.add("", word);
        self.add("", format!("a word for {}", in_percent(chance)));
        self.add("scale", format!("{} ({})", scale.title(), scale.name()));
        Some(self.lines)
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

fn strongest(push: &[f64]) -> f64 {
    push.iter().copied().fold(0.0, f64::max)
}

fn pushes(finding: &Finding, push: &[f64]) -> String {
    let parts = push.iter().enumerate().filter(|(_, p)| **p > 0.0);
    let named = |(k, p): (usize, &f64)| {
        if finding.states.len() == 2 { in_percent(*p) } else { format!("{} {}", finding.states[k + 1], in_percent(*p)) }
    };
    parts.map(named).collect::<Vec<_>>().join(", ")
}
