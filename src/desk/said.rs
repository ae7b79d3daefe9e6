//! A sum said in a sentence, as the line that does it: `what end gap does the top ring want on the Skerry, 4.030 bore, marine`
//! is `ring gap 4.030 duty=marine engine=skerry-v8`. Every number has to find its field by the words beside it; one that is
//! left over makes no line, for a wrong sum is worse than none.

use super::form::{Field, Form, Kind};
use super::meant::MARKS;
use super::reply::Reply;
use super::tree::Meant;
use super::{Context, line, posted};
use crate::quantity::{Dimension, looks_numeric, read, unit_for};

/// Words of a question that say nothing of what it is about.
const EMPTY: &[&str] =
    &["what", "which", "how", "much", "many", "does", "the", "for", "and", "with", "from", "should", "this"];
/// Words that may stand beside a number without saying what it is.
const LINKS: &[&str] =
    &["and", "for", "on", "in", "with", "at", "is", "of", "a", "an", "the", "my", "our", "what", "which", "how"];
/// Words between a field's name and its number.
const BETWEEN: &[&str] = &["of", "is", "at", "was", "a", "an"];
/// Before one of these `in` is no inch.
const ARTICLES: &[&str] = &["a", "an", "the", "my", "our", "this", "that"];
/// Asked so, a number is not what is wanted.
const NO_AMOUNT: &[&str] =
    &["why", "when", "where", "who", "if", "unless", "after", "before", "happens", "happen", "means"];
/// What a sentence with one of these names may be just what is not meant.
const TURNED: &[&str] = &["not", "never", "without", "instead", "than", "or", "dont", "doesnt", "cant", "isnt", "wont"];
/// A question that begins so wants a yes or a no.
const YES_OR_NO: &[&str] =
    &["can", "could", "is", "are", "am", "does", "do", "did", "may", "must", "should", "would", "will", "has", "have"];
/// What makes an amount of `how`.
const HOW: &[&str] =
    &["much", "many", "big", "wide", "tight", "loose", "far", "long", "high", "large", "small", "thick"];
/// Sizes told as steps from another are no size of their own.
const STEPS: &[&str] = &["over", "under", "oversize", "undersize"];
/// A command's own word counts so much more than one of its description; less in all is chance.
const OWN: usize = 3;
const LEAST: usize = 4;
/// Sums considered, and so worked out.
const MOST: usize = 2;
/// A sentence with more numbers is a list.
const NUMBERS: usize = 8;
const LONGEST: usize = 40;

/// A sum that a sentence may speak of.
pub(super) struct Said<'f> {
    pub form: &'f Form,
    /// Its line, where every number of the sentence has its place in it.
    pub line: Option<String>,
    /// The sentence names this sum, no other, and asks for its number.
    pub sure: bool,
}

/// The same with what came of it; nothing where it is refused as it stands.
pub(super) struct Worked<'f> {
    pub form: &'f Form,
    pub line: Option<String>,
    pub reply: Option<Reply>,
    pub sure: bool,
}

impl Context<'_> {
    pub(super) fn work_out<'f>(&self, Said { form, line, sure }: Said<'f>) -> Worked<'f> {
        let request = line.as_ref().and_then(|line| self.desk.tree.read(line).ok());
        let reply = match request {
            Some(Meant::Request(request)) => posted::answer(self, &self.desk.tree, &request).ok(),
            _ => None,
        };
        Worked { form, line, reply, sure }
    }

    /// The sums that share the words of a text, the likeliest first.
    pub(super) fn sums_said(&self, text: &str) -> Vec<Said<'_>> {
        let Some(sentence) = Sentence::read(self, text) else { return Vec::new() };
        let words = sentence.words();
        let forms = self.desk.forms();
        let mut likely: Vec<(usize, &Form)> = forms.iter().map(|form| (likeness(form, &words), form)).collect();
        likely.retain(|(likeness, _)| *likeness >= LEAST);
        likely.sort_by_key(|(likeness, _)| std::cmp::Reverse(*likeness));
        let named = likely.iter().filter(|(_, form)| sentence.names(form) && self.desk.is_sum(form)).count();
        let clear = named == 1 && sentence.asks_amount();
        let said = |(_, form)| {
            let found = sentence.line(form);
            let sure = clear && sentence.names(form) && found.as_ref().is_some_and(|(_, sure)| *sure);
            Said { form, line: found.map(|(line, _)| line), sure }
        };
        likely.into_iter().filter(|(_, form)| self.desk.is_sum(form)).take(MOST).map(said).collect()
    }
}

/// A sentence in its parts; a comma is one of them.
struct Sentence {
    parts: Vec<Part>,
    engines: Vec<String>,
    /// It has a figure that is no number of a sum (`M10`, `5w30`, `10 under`), or turns round what it says.
    stray: bool,
}

#[derive(Debug, Clone)]
struct Part {
    text: String,
    is: Is,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Is {
    Word,
    Number,
    Engine,
}

impl Sentence {
    fn read(context: &Context, text: &str) -> Option<Self> {
        let text = line::tidy(text).ok()?;
        let typed: Vec<&str> = text.split(' ').filter(|token| !token.is_empty()).collect();
        if typed.len() > LONGEST {
            return None;
        }
        let mut out: Vec<&str> = Vec::with_capacity(typed.len());
        for (at, token) in typed.iter().enumerate() {
            let bare = token.trim_end_matches(MARKS);
            let next = typed.get(at + 1).map(|next| next.to_lowercase());
            let article = next.is_none_or(|next| ARTICLES.contains(&next.as_str()) || is_engine_word(context, &next));
            if bare.eq_ignore_ascii_case("in") && article && at + 1 < typed.len() {
                out.push(",");
            }
            out.push(bare);
            if token[bare.len()..].contains([',', ':', ';']) {
                out.push(",");
            }
        }
        let tokens = line::split(&out.join(" "));
        let (mut parts, mut engines) = (Vec::new(), Vec::new());
        let mut at = 0;
        while at < tokens.len() {
            if let Some((id, length)) = engine_at(context, &tokens[at..]) {
                if !engines.contains(&id) {
                    engines.push(id);
                }
                parts.push(Part { text: String::new(), is: Is::Engine });
                at += length;
                continue;
            }
            let is = if looks_numeric(&tokens[at]) { Is::Number } else { Is::Word };
            let text = if is == Is::Number { tokens[at].clone() } else { tokens[at].to_lowercase().replace('\'', "") };
            parts.push(Part { text, is });
            at += 1;
        }
        let stray = |part: &Part| match part.is {
            Is::Engine => false,
            Is::Word => part.text.contains(|c: char| c.is_ascii_digit()) || TURNED.contains(&part.text.as_str()),
            Is::Number => match number(&part.text) {
                Some((_, unit)) => unit.is_some_and(|unit| STEPS.contains(&unit.as_str())),
                None => true,
            },
        };
        let stray = parts.iter().any(stray) || parts.iter().filter(|part| part.is == Is::Number).count() > NUMBERS;
        Some(Self { parts, engines, stray })
    }

    fn words(&self) -> Vec<String> {
        let speaks = |word: &str| word.len() > 2 && word.chars().all(char::is_alphabetic) && !EMPTY.contains(&word);
        let words = self.parts.iter().filter(|part| part.is == Is::Word).map(|part| part.text.clone());
        words.filter(|word| speaks(word)).collect()
    }

    fn word(&self, at: usize) -> Option<&str> {
        self.parts.get(at).filter(|part| part.is == Is::Word).map(|part| part.text.as_str())
    }

    /// Every word of the command is said.
    fn names(&self, form: &Form) -> bool {
        let said = |own: &str| (0..self.parts.len()).any(|at| self.word(at).is_some_and(|word| same(word, own)));
        own(form).iter().all(|own| said(own))
    }

    fn asks_amount(&self) -> bool {
        let how =
            |at: usize| self.word(at) == Some("how") && !self.word(at + 1).is_some_and(|next| HOW.contains(&next));
        let spoils = |at: usize| self.word(at).is_some_and(|word| NO_AMOUNT.contains(&word)) || how(at);
        !self.word(0).is_some_and(|word| YES_OR_NO.contains(&word)) && !(0..self.parts.len()).any(spoils)
    }

    /// The command's line with all that the sentence gives, and whether its choices are beyond doubt.
    fn line(&self, form: &Form) -> Option<(String, bool)> {
        let numbers: Vec<usize> = (0..self.parts.len()).filter(|at| self.parts[*at].is == Is::Number).collect();
        let engine = match self.engines.as_slice() {
            [] => None,
            [one] if form.field("engine").is_some() => Some(one),
            _ => return None,
        };
        if self.stray || numbers.is_empty() {
            return None;
        }
        let (placed, names) = self.placed(form, &numbers)?;
        let (chosen, clear) = self.choices(form, &names);
        let mut given = placed;
        given.extend(chosen);
        given.extend(engine.and_then(|id| Some((form.field("engine")?, id.clone()))));
        // Named from the first one that does not stand where it would without its name.
        let mut out = form.words();
        let mut in_order = true;
        for field in &form.fields {
            let values: Vec<&String> =
                given.iter().filter(|(of, _)| of.id == field.id).map(|(_, value)| value).collect();
            in_order &= field.bare && !values.is_empty() && matches!(field.kind, Kind::Quantity(_) | Kind::Whole);
            for value in values {
                out.push(' ');
                out.push_str(&if in_order { value.clone() } else { format!("{}={}", field.id, line::quoted(value)) });
            }
        }
        Some((out, clear))
    }

    /// The field of each number, and where the words stand that name them. None where one has no field, or may have two.
    fn placed<'f>(&self, form: &'f Form, numbers: &[usize]) -> Option<(Given<'f>, Vec<usize>)> {
        let ways: Vec<Vec<Name<'f>>> = numbers.iter().map(|at| self.named(form, *at)).collect();
        let mut found: Vec<Vec<Option<Name>>> = vec![Vec::new()];
        for ways in &ways {
            let free = |taken: &[Option<Name>], way: &Name<'f>| {
                let taken = || taken.iter().flatten();
                !taken().any(|name| name.at == way.at)
                    && (way.field.many || !taken().any(|n| n.field.id == way.field.id))
            };
            let go_on = |taken: &Vec<Option<Name<'f>>>| -> Vec<Vec<Option<Name<'f>>>> {
                let with = |name: Option<Name<'f>>| taken.iter().copied().chain([name]).collect();
                if ways.is_empty() {
                    return vec![with(None)];
                }
                ways.iter().filter(|way| free(taken, way)).map(|way| with(Some(*way))).collect()
            };
            found = found.iter().flat_map(go_on).collect();
        }
        let [names] = found.as_slice() else { return None };
        let mut fields: Vec<Option<&Field>> = names.iter().map(|name| name.map(|name| name.field)).collect();
        let named = |fields: &[Option<&Field>], id: &str| fields.iter().flatten().any(|field| field.id == id);
        // Of a list only the first has the name beside it.
        for at in 1..fields.len() {
            let follows = (numbers[at - 1] + 1..numbers[at]).all(|at| matches!(self.word(at), Some("," | "and")));
            if let (None, Some(before), true) = (fields[at], fields[at - 1], follows) {
                fields[at] =
                    Some(before).filter(|field| field.many && fits(field, &self.parts[numbers[at]].text, true));
            }
        }
        let measures = |field: &&Field| matches!(field.kind, Kind::Quantity(_));
        let open = form.fields.iter().filter(measures).find(|field| field.bare && !named(&fields, &field.id));
        let left = fields.iter().filter(|field| field.is_none()).count();
        if left > 0 {
            let takes = |field: &&Field| (field.needed || field.supplied) && (field.many || left == 1);
            let takes = open.filter(takes)?;
            for (at, field) in fields.iter_mut().enumerate().filter(|(_, field)| field.is_none()) {
                let alone = self.stands_alone(form, numbers[at]) && fits(takes, &self.parts[numbers[at]].text, false);
                *field = Some(takes).filter(|_| alone);
            }
        }
        if form.fields.iter().filter(measures).any(|field| field.needed && !named(&fields, &field.id)) {
            return None;
        }
        let value = |(at, field): (&usize, Option<&'f Field>)| Some((field?, self.parts[*at].text.clone()));
        let placed: Option<Vec<_>> = numbers.iter().zip(fields.iter().copied()).map(value).collect();
        Some((placed?, names.iter().flatten().map(|name| name.at).collect()))
    }

    /// The fields that the words next to a number name: `4.030 bore`, `bore of 4.030`.
    fn named<'f>(&self, form: &'f Form, at: usize) -> Vec<Name<'f>> {
        let text = &self.parts[at].text;
        let mut out: Vec<Name> = Vec::new();
        let mut before = at;
        while before > 0 && self.word(before - 1).is_some_and(|word| BETWEEN.contains(&word)) {
            before -= 1;
        }
        let mut longest = 0;
        for field in form.fields.iter().filter(|field| fits(field, text, true)) {
            for name in names(field) {
                let stands = |from: usize| {
                    name.iter().enumerate().all(|(n, own)| self.word(from + n).is_some_and(|word| same(word, own)))
                };
                if stands(at + 1) && name.len() >= longest {
                    if name.len() > longest {
                        out.retain(|name| name.at < at);
                    }
                    longest = name.len();
                    out.push(Name { field, at: at + 1 });
                }
                // `cylinder 3` is one of them, and not how many.
                let from = before.checked_sub(name.len()).filter(|_| field.kind != Kind::Whole);
                if let Some(from) = from.filter(|from| stands(*from)) {
                    out.push(Name { field, at: from + name.len() - 1 });
                }
            }
        }
        out
    }

    /// Nothing beside a number says that it is something else.
    fn stands_alone(&self, form: &Form, at: usize) -> bool {
        let plain = |part: Option<&Part>, also: &[String]| {
            part.is_none_or(|part| {
                let word = part.text.as_str();
                let choice = || form.fields.iter().any(|field| choice_of(field, word));
                part.is != Is::Word
                    || word == ","
                    || LINKS.contains(&word)
                    || choice()
                    || also.iter().any(|own| same(word, own))
            })
        };
        plain(self.parts.get(at + 1), &[]) && plain(at.checked_sub(1).and_then(|at| self.parts.get(at)), &own(form))
    }

    /// What the sentence picks of the command's lists, and whether that is beyond doubt.
    fn choices<'f>(&self, form: &'f Form, names: &[usize]) -> (Given<'f>, bool) {
        let own = own(form);
        let (mut chosen, mut clear): (Given, bool) = (Vec::new(), true);
        for at in (0..self.parts.len()).filter(|at| !names.contains(at)) {
            let Some(word) = self.word(at).filter(|word| !own.iter().any(|own| same(word, own))) else { continue };
            let both = self.word(at + 1).map(|next| format!("{word}-{next}"));
            let said: Vec<(&Field, &str)> = form
                .fields
                .iter()
                .filter_map(|field| {
                    let both = both.as_deref().filter(|both| choice_of(field, both));
                    Some((field, both.or_else(|| choice_of(field, word).then_some(word))?))
                })
                .collect();
            match said.as_slice() {
                [] => {}
                [(field, word)] => match chosen.iter().find(|(of, _)| of.id == field.id) {
                    Some((_, before)) => clear &= before == word,
                    None => chosen.push((*field, (*word).to_owned())),
                },
                _ => clear = false,
            }
        }
        // What is taken anyway need not be said.
        chosen.retain(|(field, word)| field.default.as_ref() != Some(word));
        (chosen, clear)
    }
}

/// What a sentence gives to the fields of a command.
type Given<'f> = Vec<(&'f Field, String)>;

/// A field that words beside a number name, and where they stand.
#[derive(Clone, Copy)]
struct Name<'f> {
    field: &'f Field,
    at: usize,
}

/// What a field is called in a sentence: by its name, and where its help begins `Piston, across the skirt`, by that.
fn names(field: &Field) -> Vec<Vec<String>> {
    let mut out = vec![field.id.split('-').map(str::to_owned).collect()];
    let help = field.help.strip_prefix("The ").unwrap_or(&field.help);
    let head = help.split_once([',', ';', ':']).map_or("", |(head, _)| head).to_lowercase();
    if !head.is_empty() && head.chars().all(char::is_alphabetic) && head != field.id {
        out.push(vec![head]);
    }
    out
}

/// Whether a number can be a field's value. Without a unit only a size with its point can be told from a place or a count,
/// and what is named.
fn fits(field: &Field, text: &str, named: bool) -> bool {
    let Some((whole, unit)) = number(text) else { return false };
    match (&field.kind, unit) {
        (Kind::Quantity(dimension), Some(unit)) => unit_for(*dimension, &unit).is_some(),
        (Kind::Quantity(Dimension::Length), None) => !whole,
        (Kind::Quantity(Dimension::Number | Dimension::Angle), None) => named,
        (Kind::Whole, None) => named && whole,
        _ => false,
    }
}

/// Whether it was written without a point, and its unit; its uncertainty is not looked at.
fn number(text: &str) -> Option<(bool, Option<String>)> {
    let written = read(text.split('±').next()?).ok()?;
    Some((!text.contains('.'), written.unit))
}

fn choice_of(field: &Field, word: &str) -> bool {
    matches!(&field.kind, Kind::Choice(all) if all.iter().any(|one| one == word))
}

/// The words of a command that mean something: `ring`, `gap`.
fn own(form: &Form) -> Vec<String> {
    form.words().split([' ', '-']).filter(|word| word.len() > 2).map(str::to_owned).collect()
}

/// One or several of the same.
fn same(word: &str, own: &str) -> bool {
    word == own || word.strip_suffix('s') == Some(own) || own.strip_suffix('s') == Some(word)
}

/// The names by which a sentence calls an engine: whole ones, and how its title begins. `four` alone is a number.
fn engine_names<'c>(context: &'c Context) -> impl Iterator<Item = (&'c str, String)> {
    context.library.engines().flat_map(|engine| {
        let first = engine.title.split(' ').next().unwrap_or_default();
        let all = [engine.id.as_str(), engine.title.as_str(), first].into_iter();
        let all = all.chain(engine.also.iter().map(String::as_str).filter(|name| name.contains(' ')));
        all.map(|name| (engine.id.as_str(), name.to_lowercase().replace('-', " ")))
    })
}

fn is_engine_word(context: &Context, word: &str) -> bool {
    engine_names(context).any(|(_, name)| name.split(' ').next() == Some(word))
}

/// The engine that is named where these tokens begin, and by how many of them.
fn engine_at(context: &Context, tokens: &[String]) -> Option<(String, usize)> {
    (1..=tokens.len().min(3)).rev().find_map(|length| {
        let said = tokens[..length].join(" ").to_lowercase().replace('-', " ");
        let said = said.strip_suffix("'s").unwrap_or(&said);
        let (id, _) = engine_names(context).find(|(_, name)| name == said)?;
        Some((id.to_owned(), length))
    })
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
