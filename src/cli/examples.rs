//! The end of each help page: examples that run as they stand beside folders `jobs`, `logs` and `rules`; a test runs them.

/// Where to begin.
pub const PROGRAM: &str = "\
At the car:
  faultbook walk jobs/grey-van.toml
      one question at a time; a sheet that is not there is begun
  faultbook plan --complaint \"no power uphill, whistles\" --code P0299
  faultbook explain P0299
      all about a code, a name, or a word of the rules

Each command has its own page with examples: `faultbook plan --help`.
Exit status: 0 done; 1 the input was read and fails; 2 it could not be used.";

/// `weigh`.
pub const WEIGH: &str = "\
Examples:
  faultbook weigh jobs/van-no-pull.toml
  faultbook weigh --code P0171 --symptom rough-idle

Flags may be given again for more. `faultbook explain symptoms` lists the
names; readings, signs and traits likewise.";

/// `plan`.
pub const PLAN: &str = "\
Examples:
  faultbook plan jobs/van-no-pull.toml
  faultbook plan --complaint \"no power uphill, whistles\" --code P0299
  faultbook plan --trait diesel --code P0299 --symptom low-power
  faultbook plan jobs/van-no-pull.toml --reading \"boost-2500=52 kPa\"

Flags may be given again for more. `faultbook explain symptoms` lists the
names; readings, signs, traits and fixes likewise.";

/// `walk`.
pub const WALK: &str = "\
Examples:
  faultbook walk jobs/grey-van.toml
      begins a new sheet of that name, or goes on with it

At every question: w why, b back, n WORDS note, a PATH attach a file,
q save and leave.";

/// `report`.
pub const REPORT: &str = "\
Examples:
  faultbook report jobs/van-no-pull.toml --out van.html
  faultbook report jobs/van-no-pull.toml --for road --out phone.html
  faultbook report jobs/van-no-pull.toml --for file --format markdown";

/// `readings`.
pub const READINGS: &str = "\
Examples:
  faultbook readings logs/estate-weak-uphill.csv --trait diesel
  faultbook readings logs/estate-weak-uphill.csv --chart rpm";

/// `sheet`.
pub const SHEET: &str = "\
Examples:
  faultbook sheet jobs/van-no-pull.toml --strip
  faultbook sheet jobs/van-no-pull.toml --strip --out shared.toml

Read the result once before it leaves the house.";

/// `tally`.
pub const TALLY: &str = "\
Examples:
  faultbook tally jobs
  faultbook tally jobs --write rules/counted.rules";

/// `lint`.
pub const LINT: &str = "\
Examples:
  faultbook lint rules
  faultbook lint rules --fail-on warning
      for CI
  faultbook lint rules --fix

`faultbook explain FB203` tells what a remark means;
`faultbook explain lints` lists them.";

/// `fmt`.
pub const FMT: &str = "\
Examples:
  faultbook fmt rules
  faultbook fmt --check rules
      changes nothing; for CI";

/// `test`.
pub const TEST: &str = "\
Examples:
  faultbook test rules
      the cases in folders `cases` beside the rules
  faultbook test rules --coverage";

/// `compare`.
pub const COMPARE: &str = "\
Examples:
  faultbook compare HEAD~1:rules rules
      the last commit against what lies here
  faultbook compare rules rules --job jobs";

/// `explain`.
pub const EXPLAIN: &str = "\
Examples:
  faultbook explain P0299
      a trouble code
  faultbook explain low-power
      a symptom, cause, check, fix or any other name of the book
  faultbook explain symptoms
      all names of a kind: also codes, readings, signs, causes, checks, fixes,
      hazards, traits, tools, access, aftercare, channels, sources, scales
  faultbook explain FB203
      a remark of `lint`; `faultbook explain lints` lists them
  faultbook explain usually
      a word for a chance";

/// `graph`.
pub const GRAPH: &str = "\
Examples:
  faultbook graph jobs/van-no-pull.toml
  faultbook graph jobs/van-no-pull.toml --format dot";

/// `provide`.
pub const PROVIDE: &str = "\
Examples:
  faultbook provide completions bash
  faultbook provide man man
  faultbook provide schema job
  faultbook provide rules shipped
      the rules that ship, to be read";

/// `editor`.
pub const EDITOR: &str = "\
Example:
  faultbook editor
      what an editor is told to start for files that end in .rules;
      docs/editor.md has the lines for some of them";

/// `new`.
pub const NEW: &str = "\
Examples:
  faultbook new rules yard
      a folder with a book of your own, over the one that ships
  faultbook new case jobs/van-no-pull.toml --cause filter-soot-blocked
      a case for rules/cases out of a job sheet";
