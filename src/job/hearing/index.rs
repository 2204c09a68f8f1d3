//! What people say of each of many things -> an index that ranks the things by what somebody said.
//!
//! Ranking is Okapi BM25 (Robertson and Zaragoza 2009, "The Probabilistic Relevance Framework", equation 3.15; k1 = 1.2, b = 0.75) over single words and pairs of neighbours, plus how well
//! the three best phrases of the thing are covered, nearest and in order.

use super::said::{Sense, Word, words};
use super::vocabulary::vocabulary;
use foldhash::HashMap;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

const K1: f64 = 1.2;
const B: f64 = 0.75;
/// A word that means the same counts so much of the word itself.
const ALIKE: f64 = 0.85;
/// What is covered in part counts by this power of the share.
const PART: f64 = 1.5;
/// How much the words at large count beside the phrases.
const AT_LARGE: f64 = 0.3;
/// So many words before and behind its best phrase belong to a thing.
const AROUND: usize = 12;
/// A word with fewer letters is heard as it is spelled: `still` is no `stall`.
const SLIPS_FROM: usize = 6;

/// A word tells as much as it would among so many things at least: in a small book each word stands in half of all, and its symptoms would be heard by nobody. Fewer than the
/// symptoms of the book on which the cut of `listen` was fitted.
const AMONG: f64 = 200.0;

/// Number of a stem.
type Term = usize;

struct Phrase {
    thing: usize,
    terms: Vec<Term>,
    denies: bool,
    well: bool,
}

#[derive(Default)]
struct Thing {
    counts: HashMap<(Term, Option<Term>), f64>,
    length: f64,
}

/// The index.
#[derive(Default)]
pub(super) struct Index {
    terms: HashMap<Rc<str>, Term>,
    /// Words of each term as they are written, for slips.
    written: HashMap<String, Term>,
    phrases: Vec<Phrase>,
    /// The phrases of each term.
    holding: Vec<Vec<usize>>,
    things: Vec<Thing>,
    /// In how many things a term or a pair stands.
    spread: HashMap<(Term, Option<Term>), f64>,
}

/// How well a thing is meant.
#[derive(Debug, Clone)]
pub(super) struct Ranked {
    /// Its number.
    pub thing: usize,
    /// How strongly; no unit, above 0.
    pub strength: f64,
    /// Share of the weight of its best phrase that was said, above 0 to 1.
    pub covered: f64,
    /// The words of the best phrase by their places in the list of words, with their weights.
    pub heard: Vec<(usize, f64)>,
}

/// How far the senses of the words count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Heed {
    /// What is denied or in order is not meant.
    Senses,
    /// Only the words count.
    Words,
}

impl Index {
    /// Adds the next thing: what people say of it, and words that belong to it without being said.
    pub(super) fn add<'t>(&mut self, phrases: impl Iterator<Item = &'t str>, beside: impl Iterator<Item = &'t str>) {
        let number = self.things.len();
        let mut thing = Thing::default();
        for phrase in phrases {
            let said = words(phrase);
            let terms = self.count(&said, &mut thing);
            if terms.is_empty() {
                continue;
            }
            let denies = said.iter().any(|w| w.sense == Sense::Denied || w.role == super::said::Role::Denial);
            terms.iter().collect::<BTreeSet<_>>().into_iter().for_each(|t| self.holding[*t].push(self.phrases.len()));
            self.phrases.push(Phrase { thing: number, terms, denies, well: said.iter().any(Word::says_well) });
        }
        for text in beside {
            self.count(&words(text), &mut thing);
        }
        thing.counts.keys().for_each(|key| *self.spread.entry(*key).or_default() += 1.0);
        self.things.push(thing);
    }

    fn count(&mut self, said: &[Word], thing: &mut Thing) -> Vec<Term> {
        let terms: Vec<Term> = said.iter().filter(|w| w.tells()).map(|w| self.term(w)).collect();
        terms.iter().for_each(|t| *thing.counts.entry((*t, None)).or_default() += 1.0);
        terms.windows(2).for_each(|pair| *thing.counts.entry((pair[0], Some(pair[1]))).or_default() += 1.0);
        thing.length += terms.len() as f64;
        terms
    }

    fn term(&mut self, word: &Word) -> Term {
        let term = self.terms.get(&word.stem).copied().unwrap_or_else(|| {
            self.holding.push(vec![]);
            self.terms.insert(Rc::clone(&word.stem), self.holding.len() - 1);
            self.holding.len() - 1
        });
        match self.written.get_mut(&word.plain) {
            Some(known) => *known = term,
            None => {
                self.written.insert(word.plain.clone(), term);
            }
        }
        term
    }

    /// Inverse document frequency, 0 or more.
    fn tells(&self, key: (Term, Option<Term>)) -> f64 {
        let held = self.spread.get(&key).copied().unwrap_or(0.0);
        let among = (self.things.len() as f64).max(AMONG);
        (1.0 + (among - held + 0.5) / (held + 0.5)).ln()
    }

    /// The terms that a word may stand for, each with how near it is; of a word that nobody knows those that are one slip away.
    fn meant(&self, word: &Word) -> Vec<(Term, f64)> {
        let own = self.terms.get(&word.stem).map(|t| (*t, 1.0));
        let alike = vocabulary().alike.get(&*word.stem).into_iter().flatten();
        let mut out: Vec<(Term, f64)> =
            own.into_iter().chain(alike.filter_map(|s| self.terms.get(s.as_str())).map(|t| (*t, ALIKE))).collect();
        if out.is_empty() && word.plain.chars().count() >= SLIPS_FROM {
            let near = |known: &str| known.chars().count() >= SLIPS_FROM && strsim::damerau_levenshtein(known, &word.plain) <= 1;
            out = self.written.iter().filter(|(known, _)| near(known)).map(|(_, t)| (*t, 1.0)).collect();
        }
        out.sort_by_key(|(term, _)| *term);
        out.dedup_by_key(|(term, _)| *term);
        out
    }

    /// All that was meant at least in part, the strongest first.
    pub(super) fn rank(&self, said: &[Word], heed: Heed) -> Vec<Ranked> {
        let telling: Vec<usize> = (0..said.len()).filter(|i| said[*i].tells()).collect();
        let meant: Vec<Vec<(Term, f64)>> = telling.iter().map(|i| self.meant(&said[*i])).collect();
        let query = Query { index: self, said, telling: &telling, meant: &meant, heed };
        let mut best: BTreeMap<usize, Vec<Match>> = BTreeMap::new();
        let touched: BTreeSet<usize> = meant.iter().flatten().flat_map(|(t, _)| self.holding[*t].iter().copied()).collect();
        for phrase in touched.into_iter().map(|p| &self.phrases[p]) {
            if let Some(found) = query.matches(phrase) {
                best.entry(phrase.thing).or_default().push(found);
            }
        }
        let mut out: Vec<Ranked> = best.into_iter().map(|(thing, found)| query.sum(thing, found)).collect();
        out.sort_by(|a, b| b.strength.total_cmp(&a.strength).then(a.thing.cmp(&b.thing)));
        out
    }
}

struct Match {
    strength: f64,
    covered: f64,
    heard: Vec<(usize, f64)>,
}

/// Something said, laid beside the index.
struct Query<'a> {
    index: &'a Index,
    said: &'a [Word],
    telling: &'a [usize],
    meant: &'a [Vec<(Term, f64)>],
    heed: Heed,
}

impl Query<'_> {
    /// How well a phrase was said: the stretch of words that covers most of it.
    fn matches(&self, phrase: &Phrase) -> Option<Match> {
        let weights: Vec<f64> = phrase.terms.iter().map(|t| self.index.tells((*t, None))).collect();
        let hits = self.hits(phrase);
        let reach = 2 * phrase.terms.len() + 4;
        let mut best: Option<Match> = None;
        for from in 0..hits.len() {
            let mut held: Vec<Option<(usize, f64)>> = vec![None; phrase.terms.len()];
            let mut used: Vec<usize> = vec![];
            for (at, slot, near) in &hits[from..] {
                if self.said[*at].place - self.said[hits[from].0].place > reach {
                    break;
                }
                if !used.contains(at) && held[*slot].is_none_or(|(_, n)| *near > n) {
                    held[*slot] = Some((*at, *near));
                    used.push(*at);
                }
            }
            if let Some(found) = self.judge(phrase, &weights, &held).filter(|f| best.as_ref().is_none_or(|b| f.strength > b.strength)) {
                best = Some(found);
            }
        }
        best
    }

    /// Which word may stand for which of the phrase, in the order of what was said.
    fn hits(&self, phrase: &Phrase) -> Vec<(usize, usize, f64)> {
        let mut hits = Vec::new();
        for (at, meant) in self.telling.iter().zip(self.meant) {
            let sense = self.said[*at].sense;
            let out = (sense == Sense::Well && !phrase.well) || (sense == Sense::Denied && !phrase.denies);
            if out && self.heed == Heed::Senses {
                continue;
            }
            for (slot, wanted) in phrase.terms.iter().enumerate() {
                hits.extend(meant.iter().find(|(term, _)| term == wanted).map(|(_, near)| (*at, slot, *near)));
            }
        }
        hits
    }

    /// A phrase that denies must meet a denial. In order and close together counts most.
    fn judge(&self, phrase: &Phrase, weights: &[f64], held: &[Option<(usize, f64)>]) -> Option<Match> {
        let places: Vec<usize> = held.iter().flatten().map(|(at, _)| *at).collect();
        let (first, last) = (*places.iter().min()?, *places.iter().max()?);
        let denied = places.iter().any(|at| self.said[*at].sense == Sense::Denied);
        if phrase.denies && !denied && self.heed == Heed::Senses {
            return None;
        }
        let heard: Vec<(usize, f64)> = held.iter().zip(weights).filter_map(|(h, w)| h.map(|(at, _)| (at, *w))).collect();
        let weight: f64 = held.iter().zip(weights).filter_map(|(h, w)| h.map(|(_, near)| near * w)).sum();
        let covered = weight / weights.iter().sum::<f64>().max(f64::MIN_POSITIVE);
        let steps = places.len().saturating_sub(1);
        let right = places.windows(2).filter(|pair| pair[0] < pair[1]).count();
        let order = if steps == 0 { 1.0 } else { right as f64 / steps as f64 };
        let wide = (self.said[last].place - self.said[first].place + 1).saturating_sub(phrase.terms.len());
        let close = 1.0 / (1.0 + 0.04 * wide as f64);
        Some(Match { strength: weight * covered.powf(PART) * (0.9 + 0.1 * order) * close, covered, heard })
    }

    /// The best phrase in full, the second and third by a half and a third, and the words at large.
    fn sum(&self, thing: usize, mut found: Vec<Match>) -> Ranked {
        found.sort_by(|a, b| b.strength.total_cmp(&a.strength));
        let phrases: f64 = found.iter().take(3).enumerate().map(|(i, m)| m.strength / (i + 1) as f64).sum();
        let best = found.swap_remove(0);
        let strength = phrases + AT_LARGE * self.at_large(thing, &best.heard);
        Ranked { thing, strength, covered: best.covered, heard: best.heard }
    }

    fn at_large(&self, thing: usize, heard: &[(usize, f64)]) -> f64 {
        let index = self.index;
        let places = heard.iter().map(|(at, _)| self.said[*at].place);
        let (first, last) = (places.clone().min().unwrap_or(0), places.max().unwrap_or(0));
        let around = |at: usize| self.said[self.telling[at]].place + AROUND >= first && self.said[self.telling[at]].place <= last + AROUND;
        let thing = &index.things[thing];
        let average = index.things.iter().map(|t| t.length).sum::<f64>() / index.things.len() as f64;
        let long = 1.0 - B + B * thing.length / average;
        let gain = |key: (Term, Option<Term>), near: f64| {
            let count = near * thing.counts.get(&key).copied().unwrap_or(0.0);
            index.tells(key) * count * (K1 + 1.0) / (count + K1 * long)
        };
        let mut seen = BTreeSet::new();
        let mut sum = 0.0;
        let plain = |at: usize| self.said[self.telling[at]].sense != Sense::Well || self.heed == Heed::Words;
        for at in (0..self.telling.len()).filter(|at| plain(*at) && around(*at)) {
            if seen.insert(&self.said[self.telling[at]].stem) {
                sum += self.meant[at].iter().map(|(t, near)| gain((*t, None), *near)).fold(0.0, f64::max);
            }
            let pair = self.meant[at].first().zip(self.meant.get(at + 1).and_then(|m| m.first()));
            if let Some((a, b)) = pair.filter(|_| self.clause(at) == self.clause(at + 1) && around(at + 1)) {
                sum += gain((a.0, Some(b.0)), 1.0);
            }
        }
        sum
    }

    fn clause(&self, at: usize) -> usize {
        self.said[self.telling[at]].clause
    }
}
