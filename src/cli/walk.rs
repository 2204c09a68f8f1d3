//! `walk`: the session on a terminal or from a file of answers, every answer on disk before the next question.

use super::answers::{Answers, Typed};
use super::args::WalkArguments;
use super::failure::Failure;
use super::files::{harmless, write_new};
use super::intake::{add_logs, sound_book};
use super::journal::{Journal, Opened};
use super::out::Out;
use super::settings::Settings;
use crate::bay::Effort;
use crate::book::Book;
use crate::job::{Closed, Event, JobSheet};
use crate::report::{self, walk as page};
use crate::walk::{Ask, Free, Session, Summary, understand, without_place};
use std::path::{Path, PathBuf};

/// Runs the command.
pub fn run(arguments: &WalkArguments, out: &mut Out) -> Result<u8, Failure> {
    let settings = Settings::find(&arguments.job, &arguments.money)?;
    let rules = settings.rules_or(&arguments.rules.rules);
    let book = sound_book(rules, out)?;
    let answers = Answers::new(arguments.answers.as_deref())?;
    begin(&arguments.job, out)?;
    let Opened { mut journal, mut sheet, told } = Journal::open(&arguments.job)?;
    told.map_or(Ok(()), |told| say(&told, out))?;
    journal.under(&book.about.digest);
    add_logs(&book, &mut sheet, &arguments.job)?;
    let folder = arguments.job.parent().map(Path::to_path_buf).unwrap_or_default();
    let session = Session::new(&book, sheet, settings.rates(), Effort::STEP);
    Walk { book: &book, session, journal, settings: &settings, path: &arguments.job, folder, answers, json: arguments.json }.go(out)
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
    // where another walk was quicker it is not new
    if !write_new(path, &format!("title = {}\n", toml::Value::String(name)))? {
        return Ok(());
    }
    say(&format!("New job sheet `{}`.", path.display()), out)
}

struct Walk<'b> {
    book: &'b Book,
    session: Session<'b>,
    journal: Journal,
    settings: &'b Settings,
    path: &'b Path,
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
            before = match (now, before) {
                // while a repair is not judged there is nothing to compare with
                (Some(now), Some(before)) if now.likely.is_empty() => Some(Summary { changed: now.changed, ..before }),
                (now, before) => now.or(before),
            };
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
        if self.book.asks_no_danger() {
            out.tell(page::no_danger_asked(out.look).trim_end())?;
        }
        out.tell(page::keys(out.look).trim_end())
    }

    /// Takes lines until one answers the question; false at the end of the answers or where the technician leaves.
    fn answer(&mut self, ask: &Ask, out: &mut Out) -> Result<bool, Failure> {
        while let Some(typed) = self.answers.line()? {
            let typed = match &typed {
                Typed::Text(text) => text.trim(),
                Typed::Unclear(why) => {
                    say(why, out)?;
                    continue;
                }
            };
            let (word, rest) = typed.split_once(' ').unwrap_or((typed, ""));
            match (word, rest.trim()) {
                ("", _) => {}
                ("q", "") => return Ok(false),
                ("?" | "h" | "help", "") => out.tell(&(page::keys(out.look) + page::answers(ask, out.look).trim_end()))?,
                ("w", "") => out.tell(page::why(ask, out.look).trim_end())?,
                ("b", "") if self.sheet().journal.is_empty() => out.tell("There is nothing to go back to.")?,
                ("b", "") => {
                    self.keep(&Event::Back, out)?;
                    out.tell("Back.")?;
                    return Ok(true);
                }
                ("v", "") => match self.session.known_of_the_car() {
                    None => out.tell("Nothing is known of the car yet.")?,
                    Some(known) => {
                        out.tell(page::text(&known, out.look).trim_end())?;
                        return self.answer(&known, out);
                    }
                },
                ("n", words) if !words.is_empty() => {
                    self.keep(&Event::Note(words.into()), out)?;
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
        self.keep(&Event::Attached(kept), out)?;
        out.tell("Attached.")
    }

    fn take(&mut self, ask: &Ask, said: &Event, out: &mut Out) -> Result<(), Failure> {
        out.tell(page::echo(ask, said, out.look).trim_end())?;
        self.keep(said, out)?;
        if let Event::Closed(reason) = said {
            let (causes, vain, cured) = self.session.closing();
            let reason = reason.clone().unwrap_or_default();
            let closed = self.journal.close(Closed { day: String::new(), causes, cured, reason, vain })?;
            self.session.close(closed);
        }
        Ok(())
    }

    fn keep(&mut self, event: &Event, out: &mut Out) -> Result<(), Failure> {
        let (entry, changed) = self.journal.append(event)?;
        match changed {
            None => self.session.take(entry),
            Some(sheet) => self.goes_on_with(sheet, out)?,
        }
        Ok(())
    }

    /// Another program wrote the sheet meanwhile: its head counts from now on, and the answers are in it.
    fn goes_on_with(&mut self, mut sheet: JobSheet, out: &mut Out) -> Result<(), Failure> {
        add_logs(self.book, &mut sheet, self.path)?;
        let count = sheet.journal.len();
        self.session = Session::new(self.book, sheet, self.settings.rates(), Effort::STEP);
        let name = self.path.display();
        say(&format!("Another program changed or removed `{name}`. It is read anew; {} stand in it.", answers(count)), out)
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
    fn leave(&mut self, ask: &Ask, out: &mut Out) -> Result<u8, Failure> {
        if let Some(sheet) = self.journal.check()? {
            self.goes_on_with(sheet, out)?;
        }
        say(&format!("Saved with {}. `faultbook walk` goes on here.", answers(self.sheet().journal.len())), out)?;
        if self.json {
            out.say(&report::json(&page::open(ask)))?;
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
            out.say(&report::json(&page::WalkDocument::Closed { schema: 1, closed: true, causes }))?;
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
