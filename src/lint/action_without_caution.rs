//! A step near something that can hurt, with no word of it.

use super::prelude::*;
use super::subject::Action;

pub const LINT: Lint = Lint::book("FB306", "action-without-caution", Severity::Warning, check);

/// What speaks of a danger in a title, and what a hazard that covers it speaks of. Common practice, no source.
const DANGERS: &[(&[&str], &[&str])] = &[
    (&["petrol line", "petrol tank", "fuel line", "fuel pipe", "fuel hose", "fuel tank", "fuel filter", "fuel gauge"], &["fuel", "petrol"]),
    (&["fuel rail", "injector pipe", "leak-off", "high-pressure pump"], &["fuel"]),
    (&["on a ramp", "axle stand", "jack", "under the car"], &["lifted", "under the car", "under a car", "ramp"]),
    (&["pressure lance", "compressed air", "pressurise"], &["air", "pressure"]),
    (&["airbag", "pretensioner"], &["airbag"]),
    (&["high voltage", "high-voltage", "traction battery"], &["voltage"]),
    (&["refrigerant", "recovery station"], &["refrigerant"]),
    (&["run a regeneration", "start a regeneration"], &["exhaust"]),
    (&["coolant hose", "radiator cap", "drain the coolant"], &["coolant", "cooling"]),
    (&["spark plug lead", "coil on a running"], &["ignition", "tension"]),
    (&["brake pad", "brake shoe", "brake lining", "clutch lining"], &["dust"]),
    (&["brake cleaner", "cleaning fluid", "acid"], &["chemical", "acid"]),
    (&["spring compressor"], &["spring"]),
    (&["clean the egr", "vane ring", "clean the swirl", "clean the inlet", "inlet manifold off"], &["soot", "ash"]),
    (&["injector returns", "clear hose", "return of the regulator"], &["fuel"]),
    (&["glow plugs out", "glow plugs, the whole set", "overhaul the injector"], &["snap"]),
    (&["current of the whole glow", "current of each plug", "glow relay", "glow module"], &["short circuit"]),
    (&["rim's seat", "repair the tread", "tyres of the axle", "pressure sensor and learn"], &["rim"]),
    (&["clutch hydraulics"], &["fluid"]),
    (&["wheel bearing"], &["wheel"]),
    (&["5 v wire", "5 v line", "sensor earth"], &["circuit"]),
    (&["measure the drain"], &["battery lead"]),
    (&["of the battery fan", "filter of the battery"], &["orange", "voltage"]),
    (&["set the brake switch"], &["brakes"]),
];

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for action in subject.actions() {
        let covers: Vec<String> = hazards(subject, &action);
        let titles = titles(subject, &action);
        let starts: Vec<Vec<&str>> = titles.iter().map(|t| subject::word_starts(t)).collect();
        for (words, covered_by) in DANGERS {
            let spoken = |starts: &[&str]| words.iter().find(|w| subject::has_words(starts, w));
            let Some((title, word)) = titles.iter().zip(&starts).find_map(|(t, s)| Some((t, spoken(s)?))) else { continue };
            if covers.iter().any(|hazard| covered_by.iter().any(|w| hazard.contains(w))) {
                continue;
            }
            let message = format!("`{}` has no caution for what `{title}` brings with it", action.head.name);
            let remark = Remark::new(LINT.code, message, action.head.span, format!("{word}: expected a `hazard` clause"));
            found.push(remark.help("name the hazard, so that whoever does it reads what to look out for first"));
            break;
        }
    }
}

/// The titles that tell what is done, with what, and how one gets there.
fn titles(subject: &Subject, action: &Action) -> Vec<String> {
    let tools = action.tools.iter().map(|t| subject.book.tools[*t].title());
    let all = std::iter::once(action.head.title.as_str()).chain(tools);
    all.map(str::to_lowercase).collect()
}

/// Names and titles of the hazards that stand with it or with the access it needs.
fn hazards(subject: &Subject, action: &Action) -> Vec<String> {
    let book = subject.book;
    let access = subject.opened(action.access).into_iter().flat_map(|a| &book.access[a].hazards);
    let all = action.hazards.iter().chain(access).map(|h| &book.hazards[*h]);
    all.map(|h| format!("{} {}", h.name(), h.title()).to_lowercase()).collect()
}
