//! `tally`: closed jobs -> counts, and what the workshop's own rules should say.

use super::args::TallyArguments;
use super::failure::Failure;
use super::files::{exchange, load, load_with, read_text, same_path, write_new};
use super::intake::{add_logs, sound};
use super::out::Out;
use super::settings::Settings;
use super::sheet::read_sheet;
use crate::book::Book;
use crate::disk::Trouble;
use crate::job::JobSheet;
use crate::report::{self, remarks, tally as page};
use crate::tally::{Weights, above, count, estimates, rewrite};
use std::path::{Path, PathBuf};

/// The greatest weight: more jobs than any workshop sees, and the intervals are still right to six figures.
const MOST: f64 = 1e6;

/// Runs the command.
pub fn run(arguments: &TallyArguments, out: &mut Out) -> Result<u8, Failure> {
    let weights = weights(arguments)?;
    let files = sheets(&arguments.jobs)?;
    if files.is_empty() {
        let named: Vec<String> = arguments.jobs.iter().map(|p| format!("`{}`", p.display())).collect();
        return Err(Failure::new(
            format!("{} holds no job sheets", named.join(", ")),
            "name sheets (`.toml`), or a folder with sheets right in it",
        ));
    }
    let start = files.first().cloned().unwrap_or_else(|| PathBuf::from("."));
    let settings = Settings::find(&start, &super::args::Money::default())?;
    let rules = settings.rules_or(&arguments.rules.rules);
    let book = uncounted(rules, arguments.write.as_deref(), out)?;
    let jobs: Vec<(String, JobSheet)> = files.iter().map(|f| job(&book, f, out)).collect::<Result<_, _>>()?;
    let counts = count(&book, &jobs);
    let estimates = estimates(&book, &counts, &weights);
    let shown = page::TallyPage { counts: &counts, estimates: &estimates };
    if arguments.json {
        out.say(&report::json(&page::document(&book, &shown)))?;
    } else {
        out.say(&page::text(&book, &shown, out.look))?;
    }
    match &arguments.write {
        Some(file) => amend(&book, rules, file, &shown, out).map(|()| 0),
        None => Ok(0),
    }
}

/// The book without what an earlier count wrote into it, so that no job counts twice.
fn uncounted(rules: &[PathBuf], write: Option<&Path>, out: &mut Out) -> Result<Book, Failure> {
    let loaded = load(rules)?;
    let counted = loaded.sources.iter().find_map(|(_, file)| match above(&file.text) {
        (own, true) => Some((file.name.clone(), own.to_string())),
        _ => None,
    });
    let Some((name, own)) = counted else { return sound(loaded, out) };
    match write {
        Some(file) if !same_path(&name, &file.display().to_string()) => Err(Failure::new(
            format!("`{name}` holds a count already"),
            format!("give `--write {name}`, or take the count out of it first: all below its line `# Counted by ...`"),
        )),
        _ => sound(load_with(rules, Some((name, own)))?, out),
    }
}

fn weights(arguments: &TallyArguments) -> Result<Weights, Failure> {
    let given = |value: Option<f64>, own: f64, name: &str| match value {
        Some(w) if w.is_finite() && w > 0.0 && w <= MOST => Ok(w),
        Some(w) => Err(Failure::new(format!("`{name}` is {w}"), format!("give a number of jobs of more than 0, {MOST} at most"))),
        None => Ok(own),
    };
    let own = Weights::default();
    Ok(Weights {
        prior: given(arguments.prior_weight, own.prior, "--prior-weight")?,
        strength: given(arguments.strength_weight, own.strength, "--strength-weight")?,
    })
}

/// The sheets named, and those in each folder named.
pub fn sheets(paths: &[PathBuf]) -> Result<Vec<PathBuf>, Failure> {
    let mut all = Vec::new();
    for path in paths {
        if !path.is_dir() {
            all.push(path.clone());
            continue;
        }
        let cannot = |e: std::io::Error| Failure::reading(path, &e);
        let entries = std::fs::read_dir(path).map_err(cannot)?;
        let mut here: Vec<PathBuf> = entries.map(|e| e.map(|e| e.path())).collect::<Result<_, _>>().map_err(cannot)?;
        here.retain(|f| f.extension().is_some_and(|e| e == "toml") && f.file_name().is_none_or(|n| n != super::settings::FILE));
        here.sort();
        all.extend(here);
    }
    Ok(all)
}

fn job(book: &Book, file: &Path, out: &mut Out) -> Result<(String, JobSheet), Failure> {
    let mut sheet = read_sheet(file, out)?;
    if sheet.closed.is_some() {
        add_logs(book, &mut sheet, file)?;
    }
    Ok((file.display().to_string(), sheet))
}

/// Writes the proposals into a rule file, if the rules are still sound with them.
fn amend(book: &Book, rules: &[PathBuf], file: &Path, page: &page::TallyPage, out: &mut Out) -> Result<(), Failure> {
    let proposed = page.estimates.iter().filter(|e| e.proposed).count();
    let name = file.display().to_string();
    let old = file.exists().then(|| read_text(file)).transpose()?;
    if proposed == 0 && !old.as_deref().is_some_and(|text| above(text).1) {
        return out.tell("Nothing is proposed, so nothing was written.");
    }
    let text = rewrite(book, &old.clone().unwrap_or_else(|| opening(book, rules)), &page::counted(page.counts), page.estimates);
    let loaded = load_with(rules, Some((name.clone(), text.clone())))?;
    if loaded.book.is_none() {
        out.tell(remarks::first(&loaded.remarks, &loaded.sources, out.look).trim_end())?;
        return Err(Failure::new(
            format!("with the proposals in `{name}` the rules are not sound, so nothing was written"),
            "correct the lines above, or give another file to `--write`",
        ));
    }
    match &old {
        Some(old) => exchange(file, old.as_bytes(), &text)?,
        None if write_new(file, &text)? => {}
        None => return Err(Failure::unwritten(file, &Trouble::Changed)),
    }
    out.tell(&format!("{proposed} numbers written to `{name}`; `faultbook compare` shows what that changes."))
}

/// The first lines of a new file. Where no rules were named it is a book of its own over the one that ships.
fn opening(book: &Book, rules: &[PathBuf]) -> String {
    if rules.is_empty() { format!("book own-counts \"What our closed jobs say\"\n  over  {}\n", book.about.name) } else { String::new() }
}
