//! What plain words may mean while they are typed: a reading of a check that they name, or a sum of which they speak. It is
//! offered, numbers in place, to who does not know the commands; a sum with what comes of it. Nothing is sent by itself.

use jiff::Timestamp;

use super::form::Kind;
use super::{Asker, Desk, Form, Outcome};
use crate::quantity::{is_unit_word, looks_numeric};

/// The command whose line a reading is.
const POST: &str = "log";
/// Words around a reading that are none of it.
const AROUND: &[&str] =
    &["i", "we", "have", "measured", "measure", "reading", "post", "log", "is", "was", "the", "at", "no", "and"];
/// Words of a question that say nothing of what it is about.
const EMPTY: &[&str] =
    &["what", "which", "how", "much", "many", "does", "the", "for", "and", "with", "from", "should", "this"];
/// A command's own word counts so much more than one of its description; less in all is chance.
const OWN: usize = 3;
const LEAST: usize = 4;
/// Sums offered.
const MOST: usize = 2;

/// A line, and what is said of it.
pub struct Meaning {
    pub line: String,
    pub about: String,
}

impl Desk {
    /// What is typed, as a reading or as sums.
    pub fn meant(&self, asker: &Asker, typed: &str, now: Timestamp) -> Vec<Meaning> {
        let tokens = tokens(typed);
        match self.meant_reading(asker, &tokens) {
            Some(line) => vec![Meaning { line, about: "Post this reading".to_owned() }],
            None => self.meant_sums(asker, &tokens, now),
        }
    }

    /// The line of a reading, where the text is that and nothing besides: a question may hold numbers too.
    pub(super) fn plain_reading(&self, asker: &Asker, text: &str) -> Option<String> {
        let tokens = tokens(text);
        let first = tokens.iter().position(|token| looks_numeric(token))?;
        let rest = &tokens[first..];
        // Asked of every question, so what costs nothing is looked at before checks and places are.
        let sized = rest.iter().any(|token| looks_numeric(token) && token.contains('.'));
        if !sized || text.trim_end().ends_with('?') {
            return None;
        }
        let line = self.meant_reading(asker, &tokens)?;
        let told = |token: &&str| AROUND.contains(token) || line.split(' ').any(|part| part == *token);
        rest.iter().all(told).then_some(line)
    }

    /// `measured main journal 3: 2.4495 and 2.4493`: a check by its name, then where it is and what was read.
    fn meant_reading(&self, asker: &Asker, tokens: &[&str]) -> Option<String> {
        let first = tokens.iter().position(|token| looks_numeric(token))?;
        let (name, rest) = tokens.split_at(first);
        let name: Vec<&str> =
            name.iter().copied().filter(|word| !AROUND.contains(&word.to_lowercase().as_str())).collect();
        if name.is_empty() {
            return None;
        }
        let check = self.complete(asker, POST, "check", &[], &name.join(" "), 1).into_iter().next()?.value;
        let known = [("check".to_owned(), check.clone())];
        let places = self.complete(asker, POST, "position", &known, "", usize::MAX);
        let of_place = |token: &str| places.iter().any(|place| place.value.split(' ').any(|part| part == token));
        let kept = rest.iter().filter(|token| looks_numeric(token) || of_place(token) || is_unit_word(token));
        let line: Vec<&str> = [POST, &check].into_iter().chain(kept.copied()).collect();
        Some(line.join(" "))
    }

    /// `what end gap for a 4.030 bore, marine`: sums that share its words, with its numbers and choices, the likeliest first.
    fn meant_sums(&self, asker: &Asker, tokens: &[&str], now: Timestamp) -> Vec<Meaning> {
        let words: Vec<String> = tokens.iter().map(|token| token.to_lowercase()).filter(|word| speaks(word)).collect();
        let mut likely: Vec<(usize, &Form)> = self.forms().iter().map(|form| (likeness(form, &words), form)).collect();
        likely.retain(|(likeness, form)| *likeness >= LEAST && self.is_sum(form));
        likely.sort_by_key(|(likeness, _)| std::cmp::Reverse(*likeness));
        let line = |(_, form): (usize, &Form)| {
            let chosen = |token: &str| {
                form.fields
                    .iter()
                    .any(|field| matches!(&field.kind, Kind::Choice(all) if all.iter().any(|one| one == token)))
            };
            let values = tokens.iter().filter(|token| looks_numeric(token) || chosen(token));
            let words = form.words();
            let line = std::iter::once(words.as_str()).chain(values.copied()).collect::<Vec<_>>().join(" ");
            let numbers = tokens.iter().any(|token| looks_numeric(token));
            match numbers.then(|| self.look(asker, &line, now)) {
                // What comes of no number would be the engine's own, and not what was asked.
                Some(Outcome::Reply(reply)) => Meaning { line, about: reply.title },
                _ => Meaning { line: format!("{words} "), about: form.about.clone() },
            }
        };
        likely.into_iter().take(MOST).map(line).collect()
    }
}

fn tokens(text: &str) -> Vec<&str> {
    text.split_whitespace().map(|token| token.trim_end_matches([',', ':', ';', '?', '.', '!'])).collect()
}

fn speaks(word: &str) -> bool {
    word.len() > 2 && word.chars().all(char::is_alphabetic) && !EMPTY.contains(&word)
}

/// How many of the words a form's own name and description hold.
fn likeness(form: &Form, words: &[String]) -> usize {
    let has = |text: &str, word: &String| {
        text.split(|c: char| !c.is_alphanumeric()).any(|part| part.len() > 2 && alike(&part.to_lowercase(), word))
    };
    let (own, about) = (form.words(), &form.about);
    let named = words.iter().filter(|word| has(&own, word)).count();
    let told = words.iter().filter(|word| !has(&own, word) && has(about, word)).count();
    if named == 0 { 0 } else { named * OWN + told }
}

/// One is the other's beginning, as of one gap and several.
fn alike(one: &str, other: &str) -> bool {
    one.starts_with(other) || other.starts_with(one)
}
