//! A form for every command, made from its definition, and the list of them by family.

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};

use super::field::{self, Filling};
use super::frame::{self, View};
use super::paint::form_address;
use super::photo;
use super::sent::{Asked, Posted, Values, Visitor};
use super::{Page, Shared, kept, off_thread, talk};
use crate::desk::form::{Field, Kind};
use crate::desk::line::split;
use crate::desk::{Enclosed, Form, InHand, Refusal};

/// Our own names in a form; a command's fields have no dot.
pub const WORDS: &str = "form.words";
pub const KEY: &str = "form.key";
/// The most a list without script offers.
const PICKS: usize = 40;

/// What a form is called where a key that leads to it says so; any other goes by its words.
const CALLED: [(&str, &str); 5] = [
    ("log", "Post a reading"),
    ("amend", "Amend a reading"),
    ("job open", "Open a job"),
    ("job sign", "Sign off a stage"),
    ("job temp", "How warm is it"),
];

fn called(form: &Form) -> String {
    let words = form.words();
    let own = CALLED.iter().find(|(command, _)| *command == words);
    own.map_or(words, |(_, name)| (*name).to_owned())
}

pub async fn list(State(page): State<Shared>, visitor: Visitor) -> Response {
    let painted = off_thread(&page, move |page| {
        let inside = html! {
            main.desk {
                div.side { h1 { "Forms" } (listed(page)) }
                (talk::column(page, &visitor, None))
            }
        };
        frame::screen(page, &visitor, View::Forms, "Forms", inside)
    });
    painted.await.map_or_else(frame::fault, IntoResponse::into_response)
}

/// Every command by family.
pub fn listed(page: &Page) -> Markup {
    let forms = page.desk.forms();
    let (single, families): (Vec<&[Form]>, Vec<&[Form]>) =
        forms.chunk_by(|a, b| a.family == b.family).partition(|chunk| chunk.iter().all(|f| f.verb.is_none()));
    html! {
        nav.forms aria-label="Forms" {
            // What the floor uses every hour comes first.
            section {
                h2 { "library, units and record" }
                ul { @for form in single.into_iter().flatten() { (row(form)) } }
            }
            @for family in families {
                @if let Some(first) = family.first() {
                    section {
                        h2 { (first.family) }
                        p.help { (first.family_about) }
                        ul { @for form in family { (row(form)) } }
                    }
                }
            }
        }
    }
}

fn row(form: &Form) -> Markup {
    html! { li { a.row href=(form_address(&form.words())) { strong { (form.words()) } span { (form.about) } } } }
}

/// The form of the command a line begins with, filled with what the line holds.
pub async fn show(State(page): State<Shared>, visitor: Visitor, Asked(asked): Asked) -> Response {
    let shown = off_thread(&page, move |page| {
        let (form, given) = page.desk.filled(asked.one("line"))?;
        let filled: Vec<(&str, &str)> = given.iter().map(|(id, value)| (id.as_str(), value.as_str())).collect();
        let key = kept::random_name().unwrap_or_default();
        Some(whole(page, &visitor, &Sheet { form, filled: &filled, key: &key, sent: false }, None))
    });
    match shown.await {
        Some(Some(screen)) => screen.into_response(),
        Some(None) => no_such_form(),
        None => frame::fault(),
    }
}

pub async fn send(State(page): State<Shared>, visitor: Visitor, Posted(values): Posted) -> Response {
    let enclosed = page.ahead.named(&visitor.name, &values);
    taken(page, visitor, values, enclosed).await
}

/// Takes a filled form to the desk, with what came beside it.
pub async fn taken(
    page: Shared,
    visitor: Visitor,
    values: Values,
    enclosed: Result<Vec<Enclosed>, Refusal>,
) -> Response {
    let Some(form) = page.desk.form(values.one(WORDS)) else { return no_such_form() };
    let line = form.line(field::filled(form, &values).iter().map(|(id, value)| (id.as_str(), value.as_str())));
    let answered = talk::answer(&page, &visitor, &line, values.one(KEY), enclosed).await;
    let status = answered.status;
    if visitor.card_only {
        return (status, answered.pieces()).into_response();
    }
    if answered.asks {
        // The card has the next thing to fill in: this form has had its turn.
        return (status, talk::shown(&page, visitor, Some(answered.card)).await).into_response();
    }
    let shown = off_thread(&page, move |page| {
        let form = page.desk.form(values.one(WORDS))?;
        // A refused form keeps its key: nothing was posted under it. An answered one gets a new one.
        let fresh = kept::random_name().unwrap_or_default();
        let key = if status == StatusCode::OK { fresh.as_str() } else { values.one(KEY) };
        let filled: Vec<(&str, &str)> = values.pairs().collect();
        let sent = status == StatusCode::OK;
        Some(whole(page, &visitor, &Sheet { form, filled: &filled, key, sent }, Some(&answered.card)))
    });
    match shown.await.flatten() {
        Some(screen) => (status, screen).into_response(),
        None => frame::fault(),
    }
}

fn no_such_form() -> Response {
    frame::notice(StatusCode::NOT_FOUND, "There is no such form", "The list of forms has every command.")
}

/// The field for the readings of the form that these values are of, by the names the plan gives them.
pub async fn boxes(State(page): State<Shared>, visitor: Visitor, Asked(asked): Asked) -> Markup {
    let shown = off_thread(&page, move |page| {
        let form = page.desk.form(asked.one(WORDS))?;
        let filled: Vec<(&str, &str)> = asked.pairs().collect();
        let sheet = Sheet { form, filled: &filled, key: "", sent: false };
        let field = form.fields.iter().find(|field| field.kind == Kind::Reading)?;
        Some(sheet.readings(page, &visitor, field))
    });
    shown.await.flatten().unwrap_or_default()
}

fn whole(page: &Page, visitor: &Visitor, sheet: &Sheet, card: Option<&Markup>) -> Markup {
    let inside = html! {
        main.desk {
            div.side { (sheet.painted(page, visitor)) }
            (talk::column(page, visitor, card))
        }
    };
    frame::screen(page, visitor, View::Form, &called(sheet.form), inside)
}

/// What stands in the place of the button once a form was sent, until something in it changes.
pub fn sent_word() -> Markup {
    html! { p.sent-word role="status" { "Sent. Change something to send it again." } }
}

/// A form, and what it is filled with.
struct Sheet<'a> {
    form: &'a Form,
    filled: &'a [(&'a str, &'a str)],
    key: &'a str,
    /// It was just sent as it stands.
    sent: bool,
}

impl Sheet<'_> {
    fn given(&self, name: &str) -> Option<&str> {
        self.filled.iter().find(|(id, value)| *id == name && !value.is_empty()).map(|(_, value)| *value)
    }

    /// What a field shows: a value for each box of one that takes several.
    fn values_of(&self, field: &Field) -> Vec<String> {
        let own =
            self.filled.iter().filter(|(id, value)| *id == field.id && !value.is_empty()).map(|(_, value)| *value);
        if field.many && field.kind != Kind::Rows {
            own.flat_map(split).collect()
        } else {
            own.map(str::to_owned).collect()
        }
    }

    /// Paints fields, all beside what holds for the whole form.
    fn fields(&self, page: &Page, visitor: &Visitor) -> impl Fn(&Field) -> Markup {
        let asker = page.asker(visitor);
        let lean = page.desk.lean(&asker, self.given("engine"));
        let known: Vec<(String, String)> =
            self.filled.iter().map(|(id, value)| ((*id).to_owned(), (*value).to_owned())).collect();
        let example = page.desk.filled(&self.form.example).map(|(_, values)| values).unwrap_or_default();
        move |field| {
            if field.kind == Kind::Reading {
                return html! { div.readings { (self.readings(page, visitor, field)) } };
            }
            let filling = Filling {
                values: self.values_of(field),
                unit: self.given(&format!("unit.{}", field.id)),
                lean,
                knows_unit: !field.many && example.iter().any(|(id, value)| *id == field.id && field::is_bare(value)),
                picks: match field.kind {
                    Kind::Pick(_) => page.desk.complete(&asker, &self.form.words(), &field.id, &known, "", PICKS),
                    _ => Vec::new(),
                },
                ..Filling::default()
            };
            field::field(field, &filling)
        }
    }

    /// The boxes of a reading, under what stands at its place already.
    fn readings(&self, page: &Page, visitor: &Visitor, field: &Field) -> Markup {
        let asker = page.asker(visitor);
        let line = self.form.line(self.filled.iter().copied());
        let grid = page.desk.grid(&line);
        let filling = Filling {
            values: self.values_of(field),
            unit: self.given(&format!("unit.{}", field.id)),
            lean: self.given("job").is_none().then(|| page.desk.lean(&asker, None)).flatten(),
            grid: grid.as_ref(),
            ..Filling::default()
        };
        html! {
            @if let Some(standing) = page.desk.stands_there(&asker, &line) {
                div.heed.important role="note" { p { (standing) } }
            }
            (field::field(field, &filling))
        }
    }

    /// The job that it was opened for; what is written in its field later speaks for itself.
    fn job(&self, page: &Page, visitor: &Visitor) -> Option<InHand> {
        page.desk.job_of(&page.asker(visitor), self.given("job")?).filter(|_| !page.desk.is_sum(self.form))
    }

    fn painted(&self, page: &Page, visitor: &Visitor) -> Markup {
        let form = self.form;
        let (needed, other): (Vec<_>, Vec<_>) =
            form.fields.iter().partition(|f| f.required || f.bare || self.given(&f.id).is_some());
        let paint = self.fields(page, visitor);
        html! {
            form #form.sheet-form.sent[self.sent] method="post" action="/form" data-words=(form.words()) data-result[page.desk.is_sum(form)] novalidate {
                input type="hidden" name=(WORDS) value=(form.words());
                input type="hidden" name=(KEY) value=(self.key);
                h1 { (called(form)) }
                @if called(form) == form.words() { p.about { (form.about) } }
                @if let Some(job) = self.job(page, visitor) { p.about { "on #" (job.job) ", " (job.title) } }
                @for field in &needed { (paint(field)) }
                @if !other.is_empty() {
                    details.more-fields open[other.len() <= 2 || needed.is_empty()] {
                        summary { "More, where you have it" }
                        @for field in &other { (paint(field)) }
                    }
                }
                @if form.photos { (photo::field(None)) }
                p.keys { button.keyboard type="button" hidden { "Full keyboard (for 5/16, −0.002, 2.5 thou)" } }
                div.send-row {
                    @if page.desk.is_sum(form) { div #result.result aria-live="polite" {} }
                    (sent_word())
                    (photo::send_button(form, None, html! { "Send" span.heard { " " (form.words()) } }))
                }
            }
        }
    }
}
