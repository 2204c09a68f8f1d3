//! Small pieces of text that every page is made of: wrapped lines, bars, percentages. Words carry the meaning; a bar repeats it.

/// What a page says before anything else where a book has no question about a danger ([`crate::book::Book::asks_no_danger`]).
pub const NO_DANGER_ASKED: &str = "These rules ask nobody about a danger, so ask yourself before you begin: can it hurt somebody as it is? \
    Rules of your own are laid over the book that ships, with its questions, by `over faultbook` in their `book` block.";

/// A line of text wrapped to a width, later lines indented.
pub fn wrap(text: &str, width: usize, first: &str, later: &str) -> String {
    let options = textwrap::Options::new(width.max(20)).initial_indent(first).subsequent_indent(later).break_words(true);
    textwrap::fill(text, options)
}

/// The same for lines with names that may be typed again: no name is broken at a dash, no figure parted from its `%`.
pub fn wrap_names(text: &str, width: usize, first: &str, later: &str) -> String {
    let options = textwrap::Options::new(width.max(20)).initial_indent(first).subsequent_indent(later);
    let options = options.word_splitter(textwrap::WordSplitter::NoHyphenation).break_words(true);
    textwrap::fill(&text.replace(" %", "\u{A0}%"), options).replace('\u{A0}', " ")
}

/// A percentage as people read it.
pub fn percent(p: f64) -> String {
    match p * 100.0 {
        x if x >= 99.5 && p < 1.0 => ">99 %".into(),
        x if x >= 10.0 => format!("{x:.0} %"),
        x if x >= 0.95 => format!("{x:.0} %"),
        x if x >= 0.095 => format!("{x:.1} %"),
        x if x > 0.0 => "<0.1 %".into(),
        _ => "0 %".into(),
    }
}

/// A bar of `width` cells for a share of one.
pub fn bar(share: f64, width: usize) -> String {
    let eighths = (share.clamp(0.0, 1.0) * width as f64 * 8.0).round() as usize;
    let parts = ["", "▏", "▎", "▍", "▌", "▋", "▊", "▉"];
    let mut out = "█".repeat(eighths / 8);
    out.push_str(parts[eighths % 8]);
    out
}

/// Money as people read it.
pub fn money(amount: f64) -> String {
    if amount < 10.0 && amount.fract().abs() > 0.05 { format!("{amount:.1}") } else { format!("{amount:.0}") }
}

/// Minutes as people read them.
pub fn minutes(m: f64) -> String {
    match m {
        m if m < 1.0 && m > 0.0 => "under a minute".into(),
        m if m < 90.0 => format!("{m:.0} min"),
        m => format!("{} h {:02.0} min", (m / 60.0).floor(), m % 60.0),
    }
}

/// A number without needless digits.
pub fn number(x: f64) -> String {
    let text = format!("{x:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

/// Text that is data in XML (XML 1.0, 2.4), between tags and in an attribute.
pub fn xml(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

/// A heading with a line under it.
pub fn heading(text: &str) -> String {
    format!("{text}\n{}\n", "─".repeat(text.chars().count()))
}

/// A heading whose text may be longer than the page is wide.
pub fn long_heading(text: &str, width: usize) -> String {
    format!("{}\n{}\n", wrap(text, width, "", ""), "─".repeat(text.chars().count().min(width)))
}
