//! `walk`: the session on a terminal or from a file of answers, every answer on disk before the next question.

use super::args::WalkArguments;
use super::failure::Failure;
use super::files::{harmless, read_text};
use super::intake::{add_logs, read_sheet, sound_book};
use super::journal::Journal;
use super::out::Out;
use super::settings::Settings;
use crate::bay::Rates;
use crate::book::Book;
use crate::job::JobSheet;
use crate::report::{self, walk as page};
use crate::walk::{Ask, Summary, next, summary, understand};
use std::io::{BufRead, IsTerminal, stdin};

/// Runs the command.
pub fn run(arguments: &WalkArguments, out: &mut Out) -> Result<u8, Failure> {
    let settings = Settings::find(&arguments.job, &arguments.money)?;
    let rules = if arguments.rules.rules.is_empty() { &settings.rules } else { &arguments.rules.rules };
    let book = sound_book(rules, out)?;
    let mut sheet = read_sheet(&arguments.job)?;
    add_logs(&book, &mut sheet, &arguments.job)?;
    let journal = Journal::open(&arguments.job, &book.about.digest)?;
    let rates = Rates { per_hour: settings.rate, refer: settings.refer_cost };
    let answers = Answers::new(arguments)?;
    Walk { book: &book, sheet, journal, rates, answers, json: arguments.json }.go(out)
}

/// Where answers come from.
enum Answers {
    Person,
    Lines(std::vec::IntoIter<String>),
}

impl Answers {
    fn new(arguments: &WalkArguments) -> Result<Answers, Failure> {
        if let Some(path) = &arguments.answers {
            return Ok(Answers::Lines(read_text(path)?.lines().map(String::from).collect::<Vec<_>>().into_iter()));
        }
        if stdin().is_terminal() {
            return Ok(Answers::Person);
        }
        let lines: Result<Vec<String>, _> = stdin().lock().lines().collect();
        let lines =
            lines.map_err(|e| Failure::new(format!("standard input can't be read: {e}"), "pipe answers as UTF-8 text, one a line"))?;
        Ok(Answers::Lines(lines.iter().map(|l| harmless(l)).collect::<Vec<_>>().into_iter()))
    }

    /// The next line; none at the end.
    fn line(&mut self) -> Option<String> {
        match self {
            Answers::Lines(lines) => lines.next(),
            Answers::Person => {
                let mut text = String::new();
                let read = stdin().lock().read_line(&mut text).ok()?;
                (read > 0).then(|| harmless(text.trim_end_matches(['\n', '\r'])))
            }
        }
    }
}

struct Walk<'b> {
    book: &'b Book,
    sheet: JobSheet,
    journal: Journal,
    rates: Rates,
    answers: Answers,
    json: bool,
}

impl Walk<'_> {
    fn go(mut self, out: &mut Out) -> Result<u8, Failure> {
        self.greet(out)?;
        let mut before = summary(self.book, &self.sheet, self.rates);
        loop {
            let Some(ask) = self.next()? else { return self.closed(out) };
            out.tell(page::text(&ask, out.look).trim_end())?;
            if !self.answer(&ask, out)? {
                return self.leave(&ask, out);
            }
            let now = summary(self.book, &self.sheet, self.rates);
            self.say_change(before.as_ref(), now.as_ref(), out)?;
            before = now;
        }
    }

    fn next(&self) -> Result<Option<Ask>, Failure> {
        next(self.book, &self.sheet, self.rates).map_err(|e| Failure::new(e, "correct the sheet, or go back with `b`"))
    }

    fn greet(&self, out: &mut Out) -> Result<(), Failure> {
        if let Some(title) = &self.sheet.title {
            out.tell(title)?;
        }
        if let Some(last) = self.sheet.journal.last() {
            out.tell(&format!("Resumed after {} answers.", self.sheet.journal.len()))?;
            if last.book != self.journal.book() {
                out.tell("The rules have changed since the last answer: the plan is made anew with the new ones.")?;
            }
        }
        out.tell(page::keys(out.look).trim_end())
    }

    /// Takes lines until one answers the question; false at the end of the answers or where the technician leaves.
    fn answer(&mut self, ask: &Ask, out: &mut Out) -> Result<bool, Failure> {
        while let Some(typed) = self.answers.line() {
            let typed = typed.trim();
            let (word, rest) = typed.split_once(' ').unwrap_or((typed, ""));
            match (word, rest.trim()) {
                ("", _) => {}
                ("q", "") => return Ok(false),
                ("w", "") => out.tell(page::why(ask, out.look).trim_end())?,
                ("b", "") if self.sheet.journal.is_empty() => out.tell("There is nothing to go back to.")?,
                ("b", "") => {
                    self.keep("back", "")?;
                    out.tell("Back.")?;
                    return Ok(true);
                }
                ("n", words) if !words.is_empty() => {
                    self.keep("note", words)?;
                    out.tell("Noted.")?;
                }
                ("a", path) if !path.is_empty() => self.attach(path, out)?,
                _ => match understand(self.book, ask, typed) {
                    Ok(answer) => return self.take(ask, &answer, out).map(|()| true),
                    Err(message) => out.tell(&report::words::wrap(&message, out.look.width, "", "  "))?,
                },
            }
        }
        Ok(false)
    }

    fn attach(&mut self, path: &str, out: &mut Out) -> Result<(), Failure> {
        if !std::path::Path::new(path).exists() {
            return out.tell(&format!("There is no file `{path}`: nothing attached."));
        }
        self.keep("attach", path)?;
        out.tell("Attached.")
    }

    fn take(&mut self, ask: &Ask, answer: &str, out: &mut Out) -> Result<(), Failure> {
        let words = ask.replies.iter().find(|r| r.answer == answer).map_or(answer, |r| &r.words);
        out.tell(&format!("> {words}"))?;
        self.keep(&ask.id, answer)?;
        if ask.id == "close" {
            let cured = summary(self.book, &self.sheet, self.rates).map_or(vec![], |s| s.cured);
            let reason = if answer == "closed" { "" } else { answer };
            let closed = self.journal.close(cured, reason)?;
            self.sheet.closed = Some(closed);
        }
        Ok(())
    }

    fn keep(&mut self, ask: &str, answer: &str) -> Result<(), Failure> {
        let entry = self.journal.append(ask, answer)?;
        self.sheet.journal.push(entry);
        Ok(())
    }

    fn say_change(&self, before: Option<&Summary>, now: Option<&Summary>, out: &mut Out) -> Result<(), Failure> {
        let old = before.and_then(|s| s.likeliest.as_ref());
        let Some(new) = now.and_then(|s| s.likeliest.as_ref()) else { return Ok(()) };
        let moved = old.is_none_or(|o| o.0 != new.0 || (o.1 - new.1).abs() >= 0.05);
        if !moved {
            return Ok(());
        }
        let was = old.filter(|o| o.0 == new.0).map_or(String::new(), |o| format!(" (was {})", report::words::percent(o.1)));
        out.tell(&report::words::wrap(
            &format!("Now likeliest: {}, {}{was}.", new.0, report::words::percent(new.1)),
            out.look.width,
            "",
            "  ",
        ))
    }

    /// Left before the end: the sheet is saved, and a script gets the question that is open.
    fn leave(&self, ask: &Ask, out: &mut Out) -> Result<u8, Failure> {
        out.tell(&format!("Saved with {} answers. `faultbook walk` goes on here.", self.sheet.journal.len()))?;
        if self.json {
            let replies: Vec<_> = ask.replies.iter().map(|r| serde_json::json!({"key": r.key, "words": r.words})).collect();
            out.say(&report::json(
                &serde_json::json!({"schema": 1, "closed": false, "ask": {"id": ask.id, "title": ask.title, "replies": replies}}),
            ))?;
        }
        Ok(0)
    }

    fn closed(&self, out: &mut Out) -> Result<u8, Failure> {
        let closed = self.sheet.closed.clone();
        let causes = closed.as_ref().map_or(vec![], |c| c.causes.clone());
        let titles: Vec<&str> =
            causes.iter().filter_map(|c| self.book.causes.find(c)).map(|id| self.book.causes[id].head.title.as_str()).collect();
        let what = if titles.is_empty() { "nothing was put right".to_string() } else { titles.join("; ") };
        out.tell(&report::words::wrap(&format!("Job closed: {what}."), out.look.width, "\n", "  "))?;
        if self.json {
            out.say(&report::json(&serde_json::json!({"schema": 1, "closed": true, "causes": causes})))?;
        }
        Ok(0)
    }
}
