//! Remarks: every message about a rule file, whether an error or a lint, is one of these.
//!
//! Checks make remarks and never print; renderers print and never check.

use super::span::Span;

/// How much a remark matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Worth a look.
    Note,
    /// Probably a mistake.
    Warning,
    /// The book can't be used as it is.
    Error,
}

/// What kind of remark it is: a stable code and a readable name, both of which a person may write after `allow`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Code {
    /// Stable code, such as `FB104`.
    pub id: &'static str,
    /// Readable name in kebab-case, such as `unknown-name`.
    pub name: &'static str,
    /// Severity unless the workshop's settings say otherwise.
    pub severity: Severity,
}

/// A place and what is to be seen there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    /// The place.
    pub span: Span,
    /// A few words; lower-case start, no full stop.
    pub text: String,
}

/// A change of the text that puts a remark right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Edit {
    /// What is replaced.
    pub span: Span,
    /// What comes in its place.
    pub text: String,
}

/// One message about a rule file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Remark {
    /// What kind of remark.
    pub code: Code,
    /// What is wrong; lower-case start, no full stop, the user's words in backticks.
    pub message: String,
    /// Where: the first label is the main place.
    pub labels: Vec<Label>,
    /// What to do about it.
    pub help: Option<String>,
    /// Severity of this run: the code's own, unless the settings changed it.
    pub severity: Severity,
    /// Changes that put it right without a person's judgement; none where it takes one.
    pub edits: Vec<Edit>,
    /// The name or word that was probably meant at the main place: whether it was takes a person.
    pub meant: Option<String>,
}

impl Remark {
    /// A remark at one place.
    pub fn new(code: Code, message: impl Into<String>, span: Span, label: impl Into<String>) -> Self {
        let labels = vec![Label { span, text: label.into() }];
        Remark { code, message: message.into(), labels, help: None, severity: code.severity, edits: vec![], meant: None }
    }

    /// Adds a second place.
    pub fn and(mut self, span: Span, label: impl Into<String>) -> Self {
        self.labels.push(Label { span, text: label.into() });
        self
    }

    /// Adds what to do.
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// Adds `did you mean` where there is a near name, else leaves the help as it is.
    pub fn suggest(self, near: Option<String>) -> Self {
        match near {
            Some(name) => Remark { meant: Some(name.clone()), ..self.help(format!("did you mean `{name}`?")) },
            None => self,
        }
    }

    /// Adds a change that puts it right.
    pub fn edit(mut self, span: Span, text: impl Into<String>) -> Self {
        self.edits.push(Edit { span, text: text.into() });
        self
    }

    /// The main place.
    pub fn span(&self) -> Option<Span> {
        self.labels.first().map(|l| l.span)
    }
}

/// The nearest of `names` to `word` within two typing slips (one for words of up to four letters).
pub fn nearest<'a>(word: &str, names: impl IntoIterator<Item = &'a str>) -> Option<String> {
    let most = if word.chars().count() <= 4 { 1 } else { 2 };
    names
        .into_iter()
        .filter(|n| n.len().abs_diff(word.len()) <= most)
        .map(|n| (strsim::damerau_levenshtein(word, n), n))
        .filter(|(d, _)| *d <= most && *d > 0)
        .min()
        .map(|(_, n)| n.to_string())
}
