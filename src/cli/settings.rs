//! The workshop's settings: `faultbook.toml`, found by walking up from the sheet.

use super::args::Money;
use super::failure::Failure;
use super::files::{plain, read_text};
use crate::bay::Rates;
use crate::job::toml_mistake;
use crate::lint::{Level, Levels};
use crate::syntax::Severity;
use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::Deserialize;
use std::path::{Path, PathBuf};

/// The name of the file.
pub const FILE: &str = "faultbook.toml";

/// What a workshop sets once.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
pub struct Settings {
    /// Money for an hour of work, 0 or more.
    pub rate: f64,
    /// Money it costs to hand a car to a specialist, 0 or more.
    pub refer_cost: f64,
    /// A repair that cures nothing counts so many times what it costs, 1 or more: nobody pays for the part that was not it, and the car comes back.
    pub vain_factor: f64,
    /// A minute of waiting counts so much of a minute of work, 0 to 1.
    pub waiting: f64,
    /// Sign of the currency, for people.
    pub currency: String,
    /// The workshop's own books of rules, from this file's folder.
    pub rules: Vec<PathBuf>,
    /// How much each lint matters here, by its code or name: `titles-alike = "error"`.
    pub lint: IndexMap<String, LintLevel>,
    /// The same for what lies below a folder, from this file's folder: `[lint-in."rules/drafts"]`. Of two folders the inner one counts.
    pub lint_in: IndexMap<String, IndexMap<String, LintLevel>>,
}

/// What a workshop makes of a lint.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum LintLevel {
    /// Nothing is said.
    Off,
    /// Worth a look.
    Note,
    /// Probably a mistake.
    Warning,
    /// Fails the run.
    Error,
}

impl LintLevel {
    fn level(self) -> Level {
        match self {
            LintLevel::Off => Level::Off,
            LintLevel::Note => Level::Said(Severity::Note),
            LintLevel::Warning => Level::Said(Severity::Warning),
            LintLevel::Error => Level::Said(Severity::Error),
        }
    }
}

impl Default for Settings {
    /// The usual rates, no rules of its own.
    fn default() -> Self {
        let Rates { per_hour: rate, refer: refer_cost, vain_factor, waiting } = Rates::USUAL;
        Settings {
            rate,
            refer_cost,
            vain_factor,
            waiting,
            currency: String::new(),
            rules: vec![],
            lint: IndexMap::new(),
            lint_in: IndexMap::new(),
        }
    }
}

impl Settings {
    /// The nearest settings above `start` (a sheet or a folder), with the flags over them.
    pub fn find(start: &Path, money: &Money) -> Result<Settings, Failure> {
        let start =
            std::path::absolute(start).map_err(|e| Failure::new(format!("`{}` can't be found: {e}", start.display()), "check the path"))?;
        let file = start.ancestors().map(|a| a.join(FILE)).find(|f| f.is_file());
        let mut settings = file.map_or_else(|| Ok(Settings::default()), |f| Settings::read(&f))?;
        settings.rate = money.rate.unwrap_or(settings.rate);
        settings.refer_cost = money.refer_cost.unwrap_or(settings.refer_cost);
        for (name, value) in [("rate", settings.rate), ("refer-cost", settings.refer_cost)] {
            if !(value.is_finite() && (0.0..1e9).contains(&value)) {
                return Err(Failure::new(format!("`{name}` is {value}"), "give an amount of money of 0 or more"));
            }
        }
        settings.vain_factor = money.vain_factor.unwrap_or(settings.vain_factor);
        if !(settings.vain_factor.is_finite() && (1.0..1e3).contains(&settings.vain_factor)) {
            return Err(Failure::new(
                format!("`vain-factor` is {}", settings.vain_factor),
                "give how many times a repair in vain counts: 1 or more, below 1000",
            ));
        }
        if !(0.0..=1.0).contains(&settings.waiting) {
            return Err(Failure::new(
                format!("`waiting` is {}", settings.waiting),
                "give how much of a minute of work a minute of waiting costs: 0 to 1",
            ));
        }
        Ok(settings)
    }

    /// What time, handing over and a repair in vain cost.
    pub fn rates(&self) -> Rates {
        Rates { per_hour: self.rate, refer: self.refer_cost, vain_factor: self.vain_factor, waiting: self.waiting }
    }

    /// The severities of lints.
    pub fn levels(&self) -> Result<Levels, Failure> {
        let here = std::path::absolute(".").unwrap_or_default();
        let mut levels = Levels::new(plain(&here));
        let wrong =
            |e| Failure::new(format!("{FILE}: {e}"), "correct the `[lint]` table; `faultbook explain CODE` tells what a code means");
        for (code, level) in &self.lint {
            levels.set(code, level.level()).map_err(wrong)?;
        }
        for (folder, table) in &self.lint_in {
            for (code, level) in table {
                levels.set_within(plain(&here.join(folder)), code, level.level()).map_err(wrong)?;
            }
        }
        Ok(levels)
    }

    /// The layers of rules: those that were named, else the settings' own.
    pub fn rules_or<'s>(&'s self, named: &'s [PathBuf]) -> &'s [PathBuf] {
        if named.is_empty() { &self.rules } else { named }
    }

    /// The settings in a text, its paths as they are written; `name` is what people know the file by.
    pub fn parse(name: &str, text: &str) -> Result<Settings, Failure> {
        toml::from_str(text).map_err(|e| Failure::mistake(toml_mistake(name, text, &e, "docs/job-sheet.md shows the settings")))
    }

    fn read(file: &Path) -> Result<Settings, Failure> {
        let mut settings = Settings::parse(&file.display().to_string(), &read_text(file)?)?;
        let folder = file.parent().unwrap_or(Path::new("."));
        settings.rules.iter_mut().for_each(|r| *r = folder.join(&r));
        let below = |(name, levels): (String, _)| (folder.join(name).display().to_string(), levels);
        settings.lint_in = std::mem::take(&mut settings.lint_in).into_iter().map(below).collect();
        if let Some(lost) = settings.rules.iter().find(|r| !r.exists()) {
            let message = format!("{}: `rules` names `{}`, and there is no such folder", file.display(), lost.display());
            return Err(Failure::new(message, "correct `rules`; its paths go out from the folder of the settings"));
        }
        Ok(settings)
    }
}
