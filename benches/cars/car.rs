//! A car's file and its mapping beside it -> the car in the book's names. A name that the book does not have is an error, so that a mapping is renamed with the book.

use faultbook::bay::Act;
use faultbook::book::{Book, Cause, Finding, Fix, Hazard, Headed, Id};
use indexmap::IndexMap;
use serde::Deserialize;
use std::path::Path;

/// What is read of a car's own file: words and codes. The rest of it is for people, who wrote the mapping from it.
#[derive(Deserialize)]
struct Told {
    title: String,
    complaint: Vec<String>,
    codes: Vec<String>,
    hazard: Vec<String>,
}

/// `NN-name.map.toml`, written by hand from the car's file.
#[derive(Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct Mapping {
    /// For each root the causes of the book that are it, the nearest first; none where the book has no such cause.
    roots: Vec<Vec<String>>,
    /// For each root fixes that put it right although they cure none of these causes.
    #[serde(default)]
    repairs: Vec<Vec<String>>,
    /// Fixes that cure one of these causes in the book, but not what is behind it on this car.
    #[serde(default)]
    not_repairs: Vec<String>,
    /// What the roots have brought about by now: there too, and no repair of it is in vain.
    #[serde(default)]
    there: Vec<String>,
    /// Work that the file asks for besides.
    #[serde(default)]
    not_vain: Vec<String>,
    fitted: Vec<String>,
    #[serde(default)]
    not_fitted: Vec<String>,
    symptoms: Vec<String>,
    /// What was done before, in words, and the fixes of the book that this was.
    #[serde(default)]
    before: String,
    #[serde(default)]
    repaired: Vec<String>,
    /// For each danger of the file the hazards of the book that say it; none where the book has none.
    hazards: Vec<Vec<String>>,
    /// The file's bad first steps.
    bad_first: Vec<String>,
    /// What readings and looks show, by the file.
    #[serde(default)]
    found: IndexMap<String, String>,
}

/// A car.
pub struct Car {
    pub name: String,
    pub title: String,
    pub words: String,
    pub codes: Vec<String>,
    pub roots: Vec<Root>,
    pub there: Vec<Id<Cause>>,
    pub not_vain: Vec<Id<Fix>>,
    pub fitted: Vec<String>,
    pub not_fitted: Vec<String>,
    pub symptoms: Vec<Id<Finding>>,
    pub before: String,
    pub repaired: Vec<Id<Fix>>,
    pub dangers: Vec<(String, Vec<Id<Hazard>>)>,
    pub bad_first: Vec<Act>,
    pub found: IndexMap<Id<Finding>, String>,
}

/// A root: any of these causes, put right by any of these fixes.
pub struct Root {
    pub causes: Vec<Id<Cause>>,
    pub fixes: Vec<Id<Fix>>,
}

/// All cars of a folder, or those of these numbers.
pub fn read(book: &Book, folder: &Path, chosen: &[usize]) -> Vec<Car> {
    let entries = std::fs::read_dir(folder).expect("the folder of cars");
    let names = entries.map(|e| e.unwrap().file_name().to_string_lossy().to_string());
    let mut names: Vec<String> = names.filter_map(|n| n.strip_suffix(".map.toml").map(String::from)).collect();
    names.sort();
    let number = |n: &str| n.split('-').next().and_then(|n| n.parse().ok()).unwrap_or(0);
    names.retain(|n| chosen.is_empty() || chosen.contains(&number(n)));
    let mut unknown = Vec::new();
    let cars = names.iter().map(|name| {
        let text = |ending: &str| std::fs::read_to_string(folder.join(format!("{name}{ending}"))).expect("a car's file");
        let told = toml::from_str(&text(".toml")).unwrap_or_else(|e| panic!("{name}: {e}"));
        let mapping = toml::from_str(&text(".map.toml")).unwrap_or_else(|e| panic!("{name}.map: {e}"));
        Names { book, car: name, unknown: &mut unknown }.car(told, mapping)
    });
    let cars: Vec<Car> = cars.collect();
    assert!(unknown.is_empty(), "the book has no such names:\n{}", unknown.join("\n"));
    cars
}

/// Looks names up, and keeps those that are not in the book.
struct Names<'a> {
    book: &'a Book,
    car: &'a str,
    unknown: &'a mut Vec<String>,
}

impl Names<'_> {
    fn all<T>(&mut self, names: &[String], find: impl Fn(&Book, &str) -> Option<T>) -> Vec<T> {
        let (book, mut out) = (self.book, vec![]);
        for name in names {
            match find(book, name) {
                Some(found) => out.push(found),
                None => self.unknown.push(format!("{}: `{name}`", self.car)),
            }
        }
        out
    }

    fn car(mut self, told: Told, map: Mapping) -> Car {
        let (book, name) = (self.book, self.car.to_string());
        let fix = |b: &Book, n: &str| b.fixes.find(n);
        let cause = |b: &Book, n: &str| b.causes.find(n);
        let mut roots = Vec::new();
        let not_repairs = self.all(&map.not_repairs, fix);
        for (at, names) in map.roots.iter().enumerate() {
            let causes = self.all(names, cause);
            let mut fixes = map.repairs.get(at).map_or(vec![], |names| self.all(names, fix));
            let cures = |id: &Id<Fix>| book.fixes[*id].cures.iter().any(|(c, chance)| causes.contains(c) && *chance >= 0.5);
            fixes.extend(book.fixes.iter().map(|(id, _)| id).filter(|id| cures(id) && !not_repairs.contains(id)));
            roots.push(Root { causes, fixes });
        }
        assert_eq!(told.hazard.len(), map.hazards.len(), "{name}: one list of hazards for each danger of the file");
        let hazards: Vec<Vec<Id<Hazard>>> = map.hazards.iter().map(|names| self.all(names, |b, n| b.hazards.find(n))).collect();
        let keys: Vec<String> = map.found.keys().cloned().collect();
        let found = self.all(&keys, |b, n| b.findings.find(n).map(|id| (id, map.found[n].clone())));
        self.all(&map.fitted, |b, n| b.traits.find(n));
        self.all(&map.not_fitted, |b, n| b.traits.find(n));
        for (id, value) in &found {
            if let Err(wrong) = value_fits(book, *id, value) {
                self.unknown.push(format!("{name}: {wrong}"));
            }
        }
        Car {
            title: told.title,
            words: told.complaint.join(", "),
            codes: told.codes,
            roots,
            there: self.all(&map.there, cause),
            not_vain: self.all(&map.not_vain, fix),
            fitted: map.fitted,
            not_fitted: map.not_fitted,
            symptoms: self.all(&map.symptoms, |b, n| b.findings.find(n)),
            before: map.before,
            repaired: self.all(&map.repaired, fix),
            dangers: told.hazard.into_iter().zip(hazards).collect(),
            bad_first: self.all(&map.bad_first, Act::find),
            found: found.into_iter().collect(),
            name,
        }
    }
}

fn value_fits(book: &Book, id: Id<Finding>, value: &str) -> Result<(), String> {
    let finding = &book.findings[id];
    match finding.gauge() {
        _ if finding.state(value).is_some() => Ok(()),
        Some(gauge) => faultbook::job::parse_quantity(value, gauge, finding.name()).map(|_| ()).map_err(|e| e.to_string()),
        None => Err(format!("`{}` has no state `{value}`; it has {}", finding.name(), finding.states.join(", "))),
    }
}
