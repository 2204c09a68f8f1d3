//! `walk`: the session on a terminal or from a file of answers, every answer on disk before the next question.

use super::args::WalkArguments;
use super::failure::Failure;
use super::files::{harmless, read_text, write};
use super::intake::{add_logs, rates, read_sheet, sound_book};
use super::journal::Journal;
use super::out::Out;
use super::settings::Settings;
use crate::bay::Effort;
use crate::book::Book;
use crate::job::{Closed, Event, JobSheet};
use crate::report::{self, walk as page};
use crate::walk::{Ask, Free, Session, Summary, understand, without_place};
use std::io::{BufRead, IsTerminal, stdin};
use std::path::{Path, PathBuf};

/// Runs the command.
pub fn run(arguments: &WalkArguments, out: &mut Out) -> Result<u8, Failure> {
    let settings = Settings::find(&arguments.job, &arguments.money)?;
    let rules = if arguments.rules.rules.is_empty() { &settings.rules } else { &arguments.rules.rules };
    let book = sound_book(rules, out)?;
    begin(&arguments.job, out)?;
    let mut sheet = read_sheet(&arguments.job)?;
    add_logs(&book, &mut sheet, &arguments.job)?;
    let journal = Journal::open(&arguments.job, &book.about.digest)?;
    let answers = Answers::new(arguments)?;
    let folder = arguments.job.parent().map(Path::to_path_buf).unwrap_or_default();
    let session = Session::new(&book, sheet, rates(&settings), Effort::STEP);
    Walk { book: &book, session, journal, folder, answers, json: arguments.json }.go(out)
}

/// Begins a sheet where there is none, by the name of its file.
fn begin(path: &Path, out: &mut Out) -> Result<(), Failure> {
    let name = path.file_stem().map(|n| harmless(&n.to_string_lossy()));
    if path.exists() {
        return Ok(());
    }
    let Some(name) = name.filter(|_| path.extension().is_some_and(|e| e == "toml")) else {
        let message = format!("there is no job sheet `{}`", path.display());
        return Err(Failure::new(message, format!("check the path, or begin a new sheet: `faultbook walk {}.toml`", path.display())));
    };
    write(path, &format!("title = {}\n", toml::Value::String(name)))?;
    say(&format!("New job sheet `{}`.", path.display()), out)
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
    session: Session<'b>,
    journal: Journal,
    /// Where the sheet lies.
    folder: PathBuf,
    answers: Answers,
    json: bool,
}

impl Walk<'_> {
    fn go(mut self, out: &mut Out) -> Result<u8, Failure> {
        self.greet(out)?;
        let mut before = self.session.summary();
        loop {
            let Some(ask) = self.next()? else { return self.closed(out) };
            out.tell(page::text(&ask, out.look).trim_end())?;
            if !self.answer(&ask, out)? {
                return self.leave(&ask, out);
            }
            let now = self.session.summary();
            self.say_change(before.as_ref(), now.as_ref(), out)?;
            // while a repair is not judged there is nothing to compare with
            before = now.filter(|s| !s.likely.is_empty()).or(before);
        }
    }

    fn next(&self) -> Result<Option<Ask>, Failure> {
        self.session.next().map_err(|e| Failure::new(e, "correct the sheet, or go back with `b`"))
    }

    fn greet(&self, out: &mut Out) -> Result<(), Failure> {
        if let Some(title) = &self.sheet().title {
            say(title, out)?;
        }
        if let Some(last) = self.sheet().journal.last() {
            say(&format!("Resumed after {}.", answers(self.sheet().journal.len())), out)?;
            if last.book != self.journal.book() {
                let lost = without_place(self.book, self.sheet());
                out.tell(page::newer(&last.book, self.journal.book(), &lost, out.look).trim_end())?;
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
                ("b", "") if self.sheet().journal.is_empty() => out.tell("There is nothing to go back to.")?,
                ("b", "") => {
                    self.keep(&Event::Back)?;
                    out.tell("Back.")?;
                    return Ok(true);
                }
                ("n", words) if !words.is_empty() => {
                    self.keep(&Event::Note(words.into()))?;
                    out.tell("Noted.")?;
                }
                // in the customer's words an `a` is an article, unless it names a file
                ("a", path)
                    if !path.is_empty() && (ask.free != Free::Words || self.folder.join(path).exists() || Path::new(path).exists()) =>
                {
                    self.attach(path, out)?
                }
                _ => match understand(self.book, ask, typed) {
                    Ok(said) => return self.take(ask, &said, out).map(|()| true),
                    Err(message) => say(&message, out)?,
                },
            }
        }
        Ok(false)
    }

    fn attach(&mut self, path: &str, out: &mut Out) -> Result<(), Failure> {
        // kept so that it is found from the sheet, wherever the walk was started
        let beside = self.folder.join(path);
        let kept = if beside.exists() { Some(path.to_string()) } else { std::fs::canonicalize(path).ok().map(|p| p.display().to_string()) };
        let Some(kept) = kept else { return say(&format!("There is no file `{path}`: nothing attached."), out) };
        self.keep(&Event::Attached(kept))?;
        out.tell("Attached.")
    }

    fn take(&mut self, ask: &Ask, said: &Event, out: &mut Out) -> Result<(), Failure> {
        out.tell(page::echo(ask, said, out.look).trim_end())?;
        self.keep(said)?;
        if let Event::Closed(reason) = said {
            let (causes, vain, cured) = self.session.closing();
            let reason = reason.clone().unwrap_or_default();
            let closed = self.journal.close(Closed { day: String::new(), causes, cured, reason, vain })?;
            self.session.close(closed);
        }
        Ok(())
    }

    fn keep(&mut self, event: &Event) -> Result<(), Failure> {
        let entry = self.journal.append(event)?;
        self.session.take(entry);
        Ok(())
    }

    fn sheet(&self) -> &JobSheet {
        self.session.sheet()
    }

    fn say_change(&self, before: Option<&Summary>, now: Option<&Summary>, out: &mut Out) -> Result<(), Failure> {
        match page::change(before, now, out.look) {
            text if text.is_empty() => Ok(()),
            text => out.tell(text.trim_end()),
        }
    }

    /// Left before the end: the sheet is saved, and a script gets the question that is open.
    fn leave(&self, ask: &Ask, out: &mut Out) -> Result<u8, Failure> {
        say(&format!("Saved with {}. `faultbook walk` goes on here.", answers(self.sheet().journal.len())), out)?;
        if self.json {
            let replies: Vec<_> = ask.replies.iter().map(|r| serde_json::json!({"key": r.key, "words": r.words})).collect();
            let items = if let Free::Several(list) = &ask.free { list.items.as_slice() } else { &[] };
            let items: Vec<_> = items.iter().map(|(name, words)| serde_json::json!({"name": name, "words": words})).collect();
            let lines: Vec<_> = ask.lines.iter().map(|(lead, words)| serde_json::json!({"lead": lead, "words": words})).collect();
            let question = serde_json::json!({"id": ask.id, "progress": ask.progress, "title": ask.title, "lines": lines, "why": ask.why,
                "items": items, "replies": replies, "type": ask.free.word(), "unit": ask.free.unit()});
            out.say(&report::json(&serde_json::json!({"schema": 1, "closed": false, "ask": question})))?;
        }
        Ok(0)
    }

    fn closed(&self, out: &mut Out) -> Result<u8, Failure> {
        let closed = self.sheet().closed.clone();
        let causes = closed.as_ref().map_or(vec![], |c| c.causes.clone());
        let titles: Vec<&str> =
            causes.iter().filter_map(|c| self.book.causes.find(c)).map(|id| self.book.causes[id].head.title.as_str()).collect();
        let what = if titles.is_empty() { "nothing was put right".to_string() } else { titles.join("; ") };
        say(&format!("Job closed: {what}."), out)?;
        if self.json {
            out.say(&report::json(&serde_json::json!({"schema": 1, "closed": true, "causes": causes})))?;
        }
        Ok(0)
    }
}

fn say(text: &str, out: &mut Out) -> Result<(), Failure> {
    out.tell(&report::words::wrap(text, out.look.width, "", "  "))
}

fn answers(n: usize) -> String {
    format!("{n} answer{}", if n == 1 { "" } else { "s" })
}
