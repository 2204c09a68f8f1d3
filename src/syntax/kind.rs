//! The blocks and clauses of the language as data: which clause may stand where, how often, and in what shape.

macro_rules! words {
    ($(#[$doc:meta])* $type:ident { $($variant:ident = $text:literal),* $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
        #[allow(missing_docs)] // each is named by the word it stands for
        pub enum $type { $($variant),* }
        impl $type {
            /// Every one, in the order of the language's description.
            pub const ALL: &'static [$type] = &[$($type::$variant),*];
            /// The word in a rule file.
            pub fn word(self) -> &'static str {
                match self { $($type::$variant => $text),* }
            }
            /// The one that is written so.
            pub fn from_word(word: &str) -> Option<$type> {
                match word { $($text => Some($type::$variant),)* _ => None }
            }
        }
        impl std::fmt::Display for $type {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.word())
            }
        }
    };
}

words! {
    /// The kinds of blocks.
    Kind {
        Book = "book", Scale = "scale", Source = "source", Trait = "trait", Hazard = "hazard", Access = "access",
        Tool = "tool", Channel = "channel", Symptom = "symptom", Code = "code", Reading = "reading", Sign = "sign",
        Cause = "cause", Condition = "condition", Check = "check", Fix = "fix", Aftercare = "aftercare",
    }
}

words! {
    /// The clauses.
    Keyword {
        Edition = "edition", Version = "version", Reviewed = "reviewed", Keeper = "keeper", About = "about",
        Over = "over", Published = "published", Ask = "ask", Excludes = "excludes", Level = "level",
        Bars = "bars", Takes = "takes", Waits = "waits", Spend = "spend", Parts = "parts", Access = "access", Tool = "tool", Undoes = "undoes",
        Unit = "unit", Accurate = "accurate", Band = "band", From = "from", Counts = "counts", States = "states",
        Heading = "heading", Pid = "pid", Heard = "heard", AlwaysAsk = "always-ask", Circumstance = "circumstance", Lasting = "lasting", Passing = "passing", Past = "past",
        Prior = "prior", Shows = "shows", Brings = "brings", Reveals = "reveals", Wakes = "wakes",
        Cures = "cures", Proof = "proof", Then = "then", After = "after", IfRefused = "if-refused", Do = "do",
        Hazard = "hazard", Stray = "stray", When = "when", Note = "note", Source = "source", Allow = "allow",
        Drop = "drop", StandsAt = "stands-at", Word = "WORD",
    }
}

/// How the words after a keyword are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)] // each is the grammar rule of that name
pub enum Shape {
    Flag,
    Texts,
    Names,
    OneName,
    Unit,
    Amount,
    Number,
    Chance,
    Pushes,
    Strays,
    Links,
    Cures,
    Proofs,
    Band,
    Hazards,
    Condition,
    Date,
    Hex,
    Suppression,
    Removal,
    Window,
    /// `Texts` or a bare word, for a version.
    Version,
}

impl Keyword {
    /// How the words after it are read.
    pub fn shape(self) -> Shape {
        use Keyword::*;
        match self {
            AlwaysAsk | Circumstance | Lasting | Passing | Past => Shape::Flag,
            Version => Shape::Version,
            Keeper | About | Published | Ask | Heading | Heard | IfRefused | Do | Note | Wakes => Shape::Texts,
            Over | Level => Shape::OneName,
            StandsAt | Excludes | Bars | Access | Tool | Undoes | Counts | States | Reveals | Then | After | Source => Shape::Names,
            Unit => Shape::Unit,
            Takes | Waits | Accurate => Shape::Amount,
            Edition | Spend | Parts => Shape::Number,
            Prior | Word => Shape::Chance,
            Shows => Shape::Pushes,
            Stray => Shape::Strays,
            Brings => Shape::Links,
            Cures => Shape::Cures,
            Proof => Shape::Proofs,
            Band => Shape::Band,
            Hazard => Shape::Hazards,
            When => Shape::Condition,
            Reviewed => Shape::Date,
            Pid => Shape::Hex,
            Allow => Shape::Suppression,
            Drop => Shape::Removal,
            From => Shape::Window,
        }
    }

    /// Whether the clause may stand more than once in a block (its parts then add up).
    pub fn repeats(self) -> bool {
        use Keyword::*;
        !matches!(
            self,
            Edition
                | Version
                | Reviewed
                | Keeper
                | About
                | Over
                | Published
                | Ask
                | Level
                | Takes
                | Waits
                | Spend
                | Parts
                | Unit
                | Accurate
                | From
                | Pid
                | AlwaysAsk
                | Circumstance
                | Lasting
                | Passing
                | Past
                | Wakes
                | Prior
                | When
                | IfRefused
        )
    }
}

impl Kind {
    /// The clauses that belong to this kind of block; `note`, `source` and `allow` belong to every one.
    pub fn clauses(self) -> &'static [Keyword] {
        use Keyword::*;
        match self {
            Kind::Book => &[Edition, Version, Reviewed, Keeper, About, Over, Stray],
            Kind::Scale => &[StandsAt, Word],
            Kind::Source => &[Published],
            Kind::Trait => &[Ask, Heard, Excludes, When],
            Kind::Hazard => &[Level, Bars, Do],
            Kind::Access => &[Takes, Waits, Access, Undoes, Do, Hazard, When],
            Kind::Tool => &[],
            Kind::Channel => &[Unit, Heading, Pid],
            Kind::Symptom => &[Ask, Heard, AlwaysAsk, Circumstance, Lasting, Passing, Hazard, Stray, When],
            Kind::Code => &[Lasting, Passing, Hazard, Stray, When],
            Kind::Reading => &[Unit, Accurate, Band, From, Counts, Lasting, Passing, Hazard, Stray, When],
            Kind::Sign => &[States, Ask, Past, Lasting, Passing, Hazard, Stray, When],
            Kind::Cause => &[Prior, Shows, Brings, Hazard, When],
            Kind::Condition => &[Stray, Shows, Brings, Hazard, When],
            Kind::Check => &[Takes, Waits, Spend, Access, Tool, Reveals, Wakes, Do, Hazard, After, When],
            Kind::Fix => &[Heard, Takes, Parts, Access, Tool, Cures, Proof, Then, Do, Hazard, After, When],
            Kind::Aftercare => &[Takes, Do, IfRefused, Hazard, After, When],
        }
    }

    /// Whether the clause may stand in this kind of block.
    pub fn takes(self, keyword: Keyword) -> bool {
        matches!(keyword, Keyword::Note | Keyword::Source | Keyword::Allow) || self.clauses().contains(&keyword)
    }

    /// One of them, in words: an `access`, a `cause`.
    pub fn one(self) -> String {
        let article = if self.word().starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
        format!("{article} `{self}`")
    }

    /// Whether it is a fault or a state that faults bring about: both show findings and bring one another about.
    pub fn acts(self) -> bool {
        matches!(self, Kind::Cause | Kind::Condition)
    }

    /// Whether it is one of the four kinds of findings.
    pub fn is_finding(self) -> bool {
        matches!(self, Kind::Symptom | Kind::Code | Kind::Reading | Kind::Sign)
    }
}
