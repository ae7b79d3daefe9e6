//! What plain words may mean while they are typed: a reading of a check that they name, or a sum of which they speak. It is
//! offered, numbers in place, to who does not know the commands; a sum with what comes of it. Nothing is sent by itself.

use jiff::Timestamp;

use super::said::{Said, Worked};
use super::{Asker, Context, Desk};
use crate::quantity::{is_unit_word, looks_numeric};

/// The command whose line a reading is.
const POST: &str = "log";
/// Words around a reading that are none of it.
const AROUND: &[&str] =
    &["i", "we", "have", "measured", "measure", "reading", "post", "log", "is", "was", "the", "at", "no", "and"];
/// Marks of a sentence, which belong to no word.
pub(super) const MARKS: [char; 6] = [',', ':', ';', '?', '.', '!'];

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
            None => self.meant_sums(asker, typed, now),
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

    /// Sums of which it speaks, with what comes of its numbers; what comes of none would be the engine's own, and not what was asked.
    fn meant_sums(&self, asker: &Asker, typed: &str, now: Timestamp) -> Vec<Meaning> {
        let Ok(context) = Context::new(self, asker, now) else { return Vec::new() };
        let meaning = |said: Said| match context.work_out(said) {
            Worked { line: Some(line), reply: Some(reply), .. } => Meaning { line, about: reply.title },
            Worked { form, .. } => Meaning { line: format!("{} ", form.words()), about: form.about.clone() },
        };
        context.sums_said(typed).into_iter().map(meaning).collect()
    }
}

fn tokens(text: &str) -> Vec<&str> {
    text.split_whitespace().map(|token| token.trim_end_matches(MARKS)).collect()
}
