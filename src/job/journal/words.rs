//! The two words of an entry, what was asked and what was answered, read into an [`Event`] and written from it.

use super::{Choice, Disposal, Event, Known, Left, Listed, Look, Signed, Subject, Taken, Ticked};

impl Event {
    /// What an entry says.
    pub fn read(ask: &str, answer: &str) -> Event {
        let (topic, name) = ask.split_once(':').map_or((ask, None), |(topic, name)| (topic, Some(name.to_string())));
        let other = || Event::Other(ask.into(), answer.into());
        match (topic, name) {
            ("car", None) => Event::Car(answer.into()),
            ("words", None) => Event::Words(answer.into()),
            ("heard", None) => Event::Heard(signed(answer)),
            ("when", None) => Event::When(signed(answer)),
            ("unheard", None) => Event::Listed(Listed::Words, choice(answer)),
            ("system", None) => Event::Listed(Listed::Systems, choice(answer)),
            ("which", None) => Event::Listed(Listed::Symptoms, choice(answer)),
            ("dangers", None) => Event::Dangers(several(answer)),
            ("more", None) => Event::More(several(answer)),
            ("vehicle", None) => Event::Vehicle(several(answer)),
            ("repaired", None) => Event::Repaired(several(answer)),
            ("before", None) => Event::Before((answer != "unknown").then(|| parts(answer))),
            ("codes", None) => Event::Codes((answer != "unknown").then(|| codes(answer))),
            ("scan", None) => Event::Scan(known(answer)),
            ("refer", None) => Event::Referred,
            ("close", None) => Event::Closed((answer != "closed").then(|| answer.into())),
            ("again", name) => Event::Again(name),
            ("note", None) => Event::Note(answer.into()),
            ("attach", None) => Event::Attached(answer.into()),
            ("back", None) => Event::Back,
            ("symptom", Some(name)) => Event::Symptom(name, known(answer)),
            ("trait", Some(name)) => Event::Trait(name, known(answer)),
            ("danger", Some(name)) => Event::Safe(name),
            ("warnings", None) => Event::Warned(answer.split_whitespace().map(String::from).collect()),
            ("asleep", None) => Event::Asleep(answer == "yes"),
            ("left-cause", Some(name)) => Event::Leave(Subject::Cause(name), disposal(answer)),
            ("left-finding", Some(name)) => Event::Leave(Subject::Finding(name), disposal(answer)),
            ("do" | "prove", Some(name)) => Event::Act(name, taken(answer)),
            ("find", Some(name)) => Event::Found(name, look(answer)),
            ("proof", Some(name)) => Event::Proof(name, look(answer)),
            ("settle", Some(name)) => Event::Settled(name, (answer != "settled").then(|| look(answer))),
            ("gone", Some(name)) => Event::Gone(name, left(answer)),
            ("aftercare", Some(name)) => ticked(answer).map_or_else(other, |t| Event::Aftercare(name, t)),
            _ => other(),
        }
    }

    /// The two words that stand in the sheet: what was asked, and the answer.
    pub fn written(&self) -> (String, String) {
        let of = |topic: &str, name: &str| format!("{topic}:{name}");
        match self {
            Event::Car(words) => ("car".into(), words.clone()),
            Event::Words(words) => ("words".into(), words.clone()),
            Event::Heard(offered) => ("heard".into(), signed_words(Some(offered))),
            Event::When(offered) => ("when".into(), signed_words(Some(offered))),
            Event::Symptom(name, known) => (of("symptom", name), known_word(*known).into()),
            Event::Listed(list, choice) => (list_word(*list).into(), choice_words(choice)),
            Event::Trait(name, known) => (of("trait", name), known_word(*known).into()),
            Event::Dangers(signed) => ("dangers".into(), signed_words(signed.as_ref())),
            Event::More(signed) => ("more".into(), signed_words(signed.as_ref())),
            Event::Vehicle(signed) => ("vehicle".into(), signed_words(signed.as_ref())),
            Event::Repaired(signed) => ("repaired".into(), signed_words(signed.as_ref())),
            Event::Before(None) => ("before".into(), "unknown".into()),
            Event::Before(Some(parts)) if parts.is_empty() => ("before".into(), "none".into()),
            Event::Before(Some(parts)) => ("before".into(), parts.join("; ")),
            Event::Codes(codes) => ("codes".into(), code_words(codes.as_ref())),
            Event::Scan(known) => ("scan".into(), known_word(*known).into()),
            Event::Safe(name) => (of("danger", name), "safe".into()),
            Event::Warned(names) => ("warnings".into(), names.join(" ")),
            Event::Asleep(asleep) => ("asleep".into(), if *asleep { "yes" } else { "no" }.into()),
            Event::Leave(subject, disposal) => (subject.ask(), disposal_words(disposal)),
            Event::Act(name, taken) => (of("do", name), taken_words(taken)),
            Event::Found(name, look) => (of("find", name), look_words(look)),
            Event::Proof(name, look) => (of("proof", name), look_words(look)),
            Event::Settled(name, look) => (of("settle", name), look.as_ref().map_or_else(|| "settled".into(), look_words)),
            Event::Again(None) => ("again".into(), "now".into()),
            Event::Again(Some(name)) => (of("again", name), "now".into()),
            Event::Gone(name, left) => (of("gone", name), left_words(left)),
            Event::Aftercare(name, ticked) => (of("aftercare", name), ticked_word(*ticked).into()),
            Event::Referred => ("refer".into(), "referred".into()),
            Event::Closed(reason) => ("close".into(), reason.clone().unwrap_or_else(|| "closed".into())),
            Event::Note(words) => ("note".into(), words.clone()),
            Event::Attached(path) => ("attach".into(), path.clone()),
            Event::Back => ("back".into(), String::new()),
            Event::Other(ask, answer) => (ask.clone(), answer.clone()),
        }
    }
}

impl Subject {
    /// What the journal calls the question.
    pub fn ask(&self) -> String {
        match self {
            Subject::Cause(name) => format!("left-cause:{name}"),
            Subject::Finding(name) => format!("left-finding:{name}"),
        }
    }
}

impl Ticked {
    /// As it stands in the sheet.
    pub fn word(self) -> &'static str {
        ticked_word(self)
    }
}

fn known(answer: &str) -> Known {
    match answer {
        "yes" => Known::Yes,
        "no" => Known::No,
        _ => Known::Unknown,
    }
}

fn known_word(known: Known) -> &'static str {
    match known {
        Known::Yes => "yes",
        Known::No => "no",
        Known::Unknown => "unknown",
    }
}

fn choice(answer: &str) -> Choice {
    match answer {
        "list" => Choice::List,
        "more" => Choice::More,
        "none" => Choice::None,
        _ => match answer.strip_prefix('+').filter(|name| !name.contains(char::is_whitespace)) {
            Some(name) => Choice::Symptom(name.into()),
            None => Choice::Words(answer.into()),
        },
    }
}

fn choice_words(choice: &Choice) -> String {
    match choice {
        Choice::List => "list".into(),
        Choice::More => "more".into(),
        Choice::None => "none".into(),
        Choice::Symptom(name) => format!("+{name}"),
        Choice::Words(words) => words.clone(),
    }
}

fn list_word(list: Listed) -> &'static str {
    match list {
        Listed::Words => "unheard",
        Listed::Systems => "system",
        Listed::Symptoms => "which",
    }
}

/// `+fuel-smell -oil-lamp-on`; nothing where it could not be asked.
fn several(answer: &str) -> Option<Signed> {
    (answer != "unknown").then(|| signed(answer))
}

fn signed(answer: &str) -> Signed {
    let one = |word: &str| match word.split_at_checked(1)? {
        ("+", name) => Some((name.to_string(), true)),
        ("-", name) => Some((name.to_string(), false)),
        _ => None,
    };
    answer.split_whitespace().filter_map(one).collect()
}

fn signed_words(signed: Option<&Signed>) -> String {
    let word = |(name, so): &(String, bool)| format!("{}{name}", if *so { '+' } else { '-' });
    signed.map_or_else(|| "unknown".into(), |all| all.iter().map(word).collect::<Vec<_>>().join(" "))
}

fn parts(answer: &str) -> Vec<String> {
    answer.split(';').map(str::trim).filter(|p| !p.is_empty() && *p != "none").map(String::from).collect()
}

/// With a `?` before what was typed and is no code.
fn codes(answer: &str) -> (Vec<String>, Vec<String>) {
    let words = answer.split_whitespace().filter(|w| *w != "none");
    let (bad, good): (Vec<&str>, Vec<&str>) = words.partition(|w| w.starts_with('?'));
    (good.into_iter().map(String::from).collect(), bad.into_iter().map(|w| w[1..].into()).collect())
}

fn code_words(codes: Option<&(Vec<String>, Vec<String>)>) -> String {
    let Some((good, bad)) = codes else { return "unknown".into() };
    let all: Vec<String> = good.iter().cloned().chain(bad.iter().map(|w| format!("?{w}"))).collect();
    if all.is_empty() { "none".into() } else { all.join(" ") }
}

fn taken(answer: &str) -> Taken {
    match answer {
        "done" => Taken::Done,
        "skip" => Taken::Skipped,
        name => Taken::Instead(name.into()),
    }
}

fn taken_words(taken: &Taken) -> String {
    match taken {
        Taken::Done => "done".into(),
        Taken::Skipped => "skip".into(),
        Taken::Instead(name) => name.clone(),
    }
}

fn look(answer: &str) -> Look {
    if answer == "not-seen" { Look::NotSeen } else { Look::Shown(answer.into()) }
}

fn look_words(look: &Look) -> String {
    match look {
        Look::NotSeen => "not-seen".into(),
        Look::Shown(words) => words.clone(),
    }
}

fn left(answer: &str) -> Left {
    match answer {
        "unknown" => Left::Untried,
        "yes" => Left::Nothing,
        "no" => Left::All,
        named => Left::Named(signed(named)),
    }
}

fn left_words(left: &Left) -> String {
    match left {
        Left::Untried => "unknown".into(),
        Left::Nothing => "yes".into(),
        Left::All => "no".into(),
        Left::Named(names) => signed_words(Some(names)),
    }
}

fn ticked(answer: &str) -> Option<Ticked> {
    [Ticked::Done, Ticked::ByHand, Ticked::NotNeeded, Ticked::Refused].into_iter().find(|t| ticked_word(*t) == answer)
}

fn ticked_word(ticked: Ticked) -> &'static str {
    match ticked {
        Ticked::Done => "done",
        Ticked::ByHand => "done-manually",
        Ticked::NotNeeded => "not-needed",
        Ticked::Refused => "refused",
    }
}

fn disposal(answer: &str) -> Disposal {
    match answer {
        "plan" => Disposal::Plan,
        "tell" => Disposal::Tell,
        reason => Disposal::Harmless(reason.into()),
    }
}

fn disposal_words(disposal: &Disposal) -> String {
    match disposal {
        Disposal::Plan => "plan".into(),
        Disposal::Tell => "tell".into(),
        Disposal::Harmless(reason) => reason.clone(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each pair stands in sheets of today or of older versions.
    #[test]
    fn what_is_written_is_read_as_it_was_meant() {
        let written = [
            ("car", "2.2 diesel van"),
            ("words", "it is gutless"),
            ("heard", "+no-pull -whistle"),
            ("when", "-only-cold"),
            ("symptom:no-pull", "yes"),
            ("unheard", "list"),
            ("unheard", "and it whistles"),
            ("system", "Charge air"),
            ("system", "more"),
            ("which", "+no-pull"),
            ("trait:turbo", "no"),
            ("dangers", "+fuel-smell -oil-lamp-on"),
            ("dangers", "unknown"),
            ("vehicle", "+diesel"),
            ("repaired", "-renew-hose"),
            ("before", "friend: codes cleared; garage: new hose"),
            ("before", "none"),
            ("codes", "P0299 P0401 ?P04Z1"),
            ("codes", "none"),
            ("codes", "unknown"),
            ("scan", "unknown"),
            ("danger:fumes", "safe"),
            ("warnings", "hot moving-parts"),
            ("asleep", "yes"),
            ("left-cause:disc-worn", "plan"),
            ("left-cause:disc-worn", "tell"),
            ("left-finding:voltage", "a known fault of this meter"),
            ("do:look-hose", "done"),
            ("do:renew-hose", "skip"),
            ("do:renew-hose", "look-hose"),
            ("find:hose", "split"),
            ("find:hose", "not-seen"),
            ("proof:boost", "96 kPa"),
            ("settle:boost", "settled"),
            ("settle:boost", "97 kPa"),
            ("again", "now"),
            ("again:boost", "now"),
            ("gone:renew-hose", "yes"),
            ("gone:renew-hose", "no"),
            ("gone:renew-hose", "unknown"),
            ("gone:renew-hose", "+whistle -no-pull"),
            ("aftercare:clear", "done-manually"),
            ("refer", "referred"),
            ("close", "closed"),
            ("close", "sold as it is"),
            ("note", "looks new"),
            ("attach", "hose.jpg"),
            ("back", ""),
        ];
        for (ask, answer) in written {
            let event = Event::read(ask, answer);
            assert!(!matches!(event, Event::Other(..)), "{ask} {answer}");
            assert_eq!(event.written(), (ask.to_string(), answer.to_string()));
        }
    }

    /// An older sheet says `prove:` where today stands `do:`; what nobody knows is kept as it is.
    #[test]
    fn older_and_newer_sheets_are_read() {
        assert_eq!(Event::read("prove:renew-hose", "look-hose"), Event::Act("renew-hose".into(), Taken::Instead("look-hose".into())));
        assert_eq!(Event::read("colour:hose", "red").written(), ("colour:hose".into(), "red".into()));
    }
}
