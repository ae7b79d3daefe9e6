//! Suggestions while a person types, from the command definition: for the line box and for the fields of a form. What
//! begins like no command may still mean one ([`crate::desk::Desk::meant`]).

use axum::extract::State;
use maud::{Markup, html};

use super::sent::{Asked, Values, Visitor};
use super::{Page, Shared, off_thread};
use crate::desk::form::{Field, Kind};
use crate::desk::line::split;
use crate::desk::{Asker, Form, Suggestion};

/// As many as a thumb can choose from without scrolling.
const MOST: usize = 6;
/// A longer line gets none.
const LONGEST: usize = 200;

/// Something to pick: the whole text it puts in the box, and what is shown.
struct Hint {
    text: String,
    shown: String,
    about: String,
}

/// For the line box: commands that begin so, then what fits the value being typed.
pub async fn line(State(page): State<Shared>, visitor: Visitor, Asked(asked): Asked) -> Markup {
    let found = off_thread(&page, move |page| {
        let (asker, typed) = (page.asker(&visitor), asked.one("line").trim_start());
        let mut hints = hints(page, &asker, typed);
        if hints.is_empty() && typed.chars().count() <= LONGEST && page.desk.filled(typed).is_none() {
            let meant = page.desk.meant(&asker, typed, visitor.at).into_iter();
            hints.extend(meant.map(|meant| Hint { shown: meant.line.clone(), text: meant.line, about: meant.about }));
        }
        listed("line-hint", &hints)
    });
    found.await.unwrap_or_default()
}

/// For one field of a form, given the others.
pub async fn field(State(page): State<Shared>, visitor: Visitor, Asked(asked): Asked) -> Markup {
    let found = off_thread(&page, move |page| {
        let (words, field) = (asked.one("form.words"), asked.one("form.field"));
        let asker = page.asker(&visitor);
        let found = page.desk.complete(&asker, words, field, &others(&asked, field), asked.one(field), MOST);
        let hint = |s: Suggestion| {
            let about = if s.label == s.value { String::new() } else { s.value.clone() };
            Hint { about, shown: s.label, text: s.value }
        };
        listed(&format!("{field}-hint"), &found.into_iter().map(hint).collect::<Vec<_>>())
    });
    found.await.unwrap_or_default()
}

fn others(asked: &Values, field: &str) -> Vec<(String, String)> {
    let own = |name: &str| name == field || name.contains('.');
    asked
        .pairs()
        .filter(|(name, value)| !own(name) && !value.is_empty())
        .map(|(n, v)| (n.to_owned(), v.to_owned()))
        .collect()
}

fn listed(id: &str, hints: &[Hint]) -> Markup {
    html! {
        @for (at, hint) in hints.iter().enumerate() {
            li role="option" id={ (id) "-" (at) } data-text=(hint.text) aria-selected="false" {
                span.hint { (hint.shown) }
                @if !hint.about.is_empty() { " " span.hint-about { (hint.about) } }
            }
        }
    }
}

fn hints(page: &Page, asker: &Asker, typed: &str) -> Vec<Hint> {
    if typed.is_empty() || typed.chars().count() > LONGEST {
        return Vec::new();
    }
    match page.desk.filled(typed) {
        Some((form, given)) if typed.len() > form.words().len() => values(page, asker, form, &given, typed),
        _ => commands(page.desk.forms(), typed),
    }
}

/// Commands that begin like what is typed, or whose verb does.
fn commands(forms: &[Form], typed: &str) -> Vec<Hint> {
    let typed = typed.to_lowercase();
    let begins = |form: &&Form| {
        let words = form.words();
        words.starts_with(&typed) || form.verb.as_ref().is_some_and(|verb| verb.starts_with(&typed) && typed.len() > 2)
    };
    let hint =
        |form: &Form| Hint { text: format!("{} ", form.words()), shown: form.words(), about: form.about.clone() };
    forms.iter().filter(begins).take(MOST).map(hint).collect()
}

/// What fits the value at the end of the line.
fn values(page: &Page, asker: &Asker, form: &Form, given: &[(String, String)], typed: &str) -> Vec<Hint> {
    let tokens = split(typed);
    let last = tokens.last().filter(|_| !typed.ends_with(' ')).map_or("", String::as_str);
    let (name, part) = match last.split_once('=') {
        Some((name, part)) => (Some(name.trim_start_matches("--")), part),
        None => (None, last),
    };
    let done: Vec<(String, String)> =
        given.iter().filter(|(_, value)| last.is_empty() || value != part).cloned().collect();
    let open = |field: &&Field| field.many || !done.iter().any(|(id, _)| *id == field.id);
    let field = match name {
        Some(name) => form.field(name),
        None => form.fields.iter().filter(|f| f.bare).find(open),
    };
    let Some(field) = field else { return names(form, &done, typed, last) };
    if !matches!(field.kind, Kind::Choice(_) | Kind::Pick(_)) {
        return Vec::new();
    }
    let before = typed.strip_suffix(part).unwrap_or(typed);
    let found = page.desk.complete(asker, &form.words(), &field.id, &done, part, MOST);
    found
        .into_iter()
        .filter(|s| s.value != part)
        .map(|s| {
            let value = if s.value.contains(' ') { format!("\"{}\"", s.value) } else { s.value };
            Hint { text: format!("{before}{value} "), shown: s.label, about: field.id.replace('-', " ") }
        })
        .collect()
}

/// Once every value in order is given: the names of what else can be said.
fn names(form: &Form, done: &[(String, String)], typed: &str, last: &str) -> Vec<Hint> {
    let before = typed.strip_suffix(last).unwrap_or(typed);
    let open = |f: &&Field| !f.bare && !done.iter().any(|(id, _)| *id == f.id) && f.id.starts_with(last);
    let text = |f: &Field| match f.kind {
        Kind::Flag => format!("{before}--{} ", f.id),
        _ => format!("{before}{}=", f.id),
    };
    let hint = |f: &Field| Hint { text: text(f), shown: format!("{}=", f.id), about: f.help.clone() };
    form.fields.iter().filter(open).take(MOST).map(hint).collect()
}
