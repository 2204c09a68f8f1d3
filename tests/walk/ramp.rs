//! A petrol car on the ramp: a book with two states that end with their root, and jobs walked in memory, question by question.

use crate::book_of;
use crate::run::root;
use faultbook::bay::{Effort, Rates};
use faultbook::book::Book;
use faultbook::job::{Closed, Entry, Event, JobSheet};
use faultbook::walk::{Ask, Session, understand};
use std::collections::HashMap;

/// A misfire with three roots, low voltage with three, a brake disc that has nothing to do with either, a pump that nobody can repair here.
pub fn rules() -> String {
    std::fs::read_to_string(root().join("tests/walk/ramp.rules")).unwrap()
}

/// The book with something changed or added.
pub fn ramp(change: &[(&str, &str)], more: &str) -> Book {
    let text = change.iter().fold(rules(), |text, (old, new)| {
        assert!(text.contains(old), "{old}");
        text.replace(old, new)
    });
    book_of(&(text + more))
}

/// What the car answers, by question (`QUESTION@FIX` after that repair); of several the first time, the second, and so on, the last for all after.
pub type Truth<'t> = &'t [(&'t str, &'t [&'t str])];

/// A job under way.
pub struct Job<'b> {
    pub book: &'b Book,
    pub session: Session<'b>,
    /// The questions asked, in order.
    pub asked: Vec<String>,
    /// Each question with its lines and answers, as text.
    pub screens: Vec<String>,
    given: HashMap<String, usize>,
}

impl<'b> Job<'b> {
    /// A car that came in with these symptoms; all else of the intake is answered.
    pub fn new(book: &'b Book, yes: &[&str], more: &str) -> Job<'b> {
        let yes = yes.iter().map(|s| format!("\"{s}\"")).collect::<Vec<_>>().join(", ");
        let text = format!(
            "[complaint]\nyes = [{yes}]\nwords = \"as it says\"\ndone-before = [\"nobody knows\"]\n[scan]\ncomplete = true\n{more}"
        );
        let sheet: JobSheet = toml::from_str(&text).unwrap();
        let session = Session::new(book, sheet, Rates::USUAL, Effort::STEP);
        Job { book, session, asked: vec![], screens: vec![], given: HashMap::new() }
    }

    /// The question that is open.
    pub fn ask(&self) -> Option<Ask> {
        self.session.next().unwrap()
    }

    /// Answers one question as it would be typed.
    pub fn say(&mut self, typed: &str) {
        let ask = self.ask().expect("a question is open");
        let event = understand(self.book, &ask, typed).unwrap_or_else(|e| panic!("{e}\n{}", text(&ask)));
        self.asked.push(ask.id.clone());
        self.screens.push(text(&ask));
        self.take(event);
    }

    pub fn take(&mut self, event: Event) {
        let (ask, answer) = event.written();
        self.session.take(Entry { at: String::new(), book: String::new(), ask, answer });
        if let Event::Closed(reason) = event {
            let (causes, vain, cured) = self.session.closing();
            self.session.close(Closed { day: "2026-03-02".into(), causes, cured, reason: reason.unwrap_or_default(), vain });
        }
    }

    /// Walks on until the question that begins with `until` is open, or the job is closed.
    pub fn walk(&mut self, truth: Truth, until: &str) -> &mut Self {
        for _ in 0..60 {
            let Some(ask) = self.ask() else { return self };
            if !until.is_empty() && ask.id.starts_with(until) {
                return self;
            }
            let typed = self.answer(&ask, truth);
            self.say(&typed);
        }
        panic!("no end in sight: {:?}", self.asked);
    }

    fn answer(&mut self, ask: &Ask, truth: Truth) -> String {
        let last = self.session.standing().fixes.last().map_or("", |f| self.book.fixes[f.fix].head.name.as_str());
        let after = format!("{}@{last}", ask.id);
        let begins = |id: &str| id.strip_suffix('*').is_some_and(|begin| ask.id.starts_with(begin));
        let exact = truth.iter().find(|(id, _)| *id == after).or_else(|| truth.iter().find(|(id, _)| *id == ask.id));
        let scripted = exact.or_else(|| truth.iter().find(|(id, _)| begins(id)));
        if let Some((_, answers)) = scripted {
            let nth = self.given.entry(ask.id.clone()).or_default();
            *nth += 1;
            return answers[(*nth - 1).min(answers.len() - 1)].to_string();
        }
        match ask.id.split(':').next().unwrap() {
            "do" => "done".into(),
            "warnings" | "settle" => "1".into(),
            "close" if ask.title == "Close the job?" => "1".into(),
            _ => panic!("nobody says what to answer: {}\n{:?}\n{}", ask.id, self.asked, text(ask)),
        }
    }

    /// How often something was asked.
    pub fn times(&self, id: &str) -> usize {
        self.asked.iter().filter(|a| *a == id).count()
    }

    /// How likely a cause or condition is now.
    pub fn weight(&self, name: &str) -> f64 {
        let a = self.session.assessment().unwrap();
        a.weight(self.book.causes.find(name).unwrap())
    }

    /// What the closed job says of itself.
    pub fn closed(&self) -> &Closed {
        self.session.sheet().closed.as_ref().expect("the job is closed")
    }

    /// The sheet as its file would be.
    pub fn sheet(&self) -> String {
        toml::to_string(self.session.sheet()).unwrap()
    }
}

/// A question as text.
pub fn text(ask: &Ask) -> String {
    let lines = ask.lines.iter().map(|(lead, words)| format!("  {lead}: {words}\n"));
    let replies = ask.replies.iter().map(|r| format!("  {} = {}\n", r.key, r.words));
    format!("[{}] {}\n{}{}", ask.id, ask.title, lines.collect::<String>(), replies.collect::<String>())
}
