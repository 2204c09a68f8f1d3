//! The two streams: results go to standard output, talk to standard error.

use super::failure::Failure;
use super::files::harmless;
use crate::report::Look;
use std::io::{IsTerminal, Write, stderr, stdout};

/// Where words go, and how wide and colourful they may be.
pub struct Out {
    result: Box<dyn Write>,
    talk: Box<dyn Write>,
    /// Layout of text.
    pub look: Look,
    /// Whether what is told beside the results is left out.
    quiet: bool,
}

/// Whether pages are coloured.
#[derive(clap::ValueEnum, Debug, Clone, Copy, PartialEq, Eq)]
pub enum Colour {
    /// On a terminal, unless `NO_COLOR` is set
    Auto,
    /// Also in a file or a pipe
    Always,
    /// Nowhere
    Never,
}

impl Out {
    /// The process's own streams.
    pub fn of_process() -> Out {
        Out { result: Box::new(stdout()), talk: Box::new(stderr()), look: look(), quiet: false }
    }

    /// Colours pages as somebody asked.
    pub fn coloured(&mut self, colour: Colour) {
        self.look.colour = match colour {
            Colour::Auto => self.look.colour,
            Colour::Always => true,
            Colour::Never => false,
        };
    }

    /// From now on nothing is told beside the results.
    pub fn hush(&mut self, quiet: bool) {
        self.quiet = quiet;
    }

    /// Prints a result. Whatever came from a file or a person comes out harmless.
    pub fn say(&mut self, text: &str) -> Result<(), Failure> {
        write(&mut self.result, &harmless(text))
    }

    /// Prints a result that carries colours of our own; its text has gone through [`harmless`] when it was read.
    pub fn say_styled(&mut self, text: &str) -> Result<(), Failure> {
        write(&mut self.result, text)
    }

    /// Tells a person something beside the result, as a line.
    pub fn tell(&mut self, text: &str) -> Result<(), Failure> {
        if self.quiet { Ok(()) } else { self.fail(text) }
    }

    /// Tells why nothing came out, however quiet it is to be.
    pub fn fail(&mut self, text: &str) -> Result<(), Failure> {
        write(&mut self.talk, &format!("{}\n", harmless(text)))
    }
}

/// A bar of marks, one after the other on one line, so that it survives a log and a screen reader; only on a terminal.
pub struct Bar {
    of: usize,
    done: usize,
    drawn: usize,
}

/// Marks of a whole bar.
const MARKS: usize = 40;

impl Bar {
    /// A bar for so many things.
    pub fn new(of: usize) -> Bar {
        Bar { of, done: 0, drawn: 0 }
    }

    /// One more is done.
    pub fn step(&mut self, out: &mut Out) -> Result<(), Failure> {
        self.done += 1;
        let due = self.done * MARKS / self.of.max(1);
        let mut marks = ".".repeat(due - self.drawn);
        self.drawn = due;
        if self.done == self.of {
            marks.push('\n');
        }
        if stderr().is_terminal() && !out.quiet { write(&mut out.talk, &marks) } else { Ok(()) }
    }
}

fn write(to: &mut dyn Write, text: &str) -> Result<(), Failure> {
    match to.write_all(text.as_bytes()).and_then(|()| to.flush()) {
        // the reader of a pipe went away: nothing is wrong here
        Err(e) if e.kind() == std::io::ErrorKind::BrokenPipe => Ok(()),
        Err(e) => Err(Failure::new(format!("the output can't be written: {e}"), "check the disk and the pipe")),
        Ok(()) => Ok(()),
    }
}

/// Width from COLUMNS or the terminal, 100 at most and where nothing is known; colour only on a terminal without NO_COLOR.
fn look() -> Look {
    let told = std::env::var("COLUMNS").ok().and_then(|c| c.parse::<usize>().ok());
    let seen = stdout().is_terminal().then(textwrap_width).flatten();
    let width = told.or(seen).unwrap_or(100).clamp(30, 100);
    let colour = stdout().is_terminal() && std::env::var_os("NO_COLOR").is_none() && std::env::var("TERM").is_ok_and(|t| t != "dumb");
    Look { width, colour }
}

fn textwrap_width() -> Option<usize> {
    terminal_size::terminal_size().map(|(w, _)| usize::from(w.0))
}
