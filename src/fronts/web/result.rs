//! The result of a sum while its form is filled in: the answer and its verdict, nothing kept.

use axum::extract::State;
use maud::{Markup, html};

use super::forms::WORDS;
use super::sent::{Asked, Visitor};
use super::{Shared, field, off_thread, paint};
use crate::desk::Outcome;
use crate::desk::reply::{Block, Reply};

pub async fn show(State(page): State<Shared>, visitor: Visitor, Asked(asked): Asked) -> Markup {
    let shown = off_thread(&page, move |page| {
        let form = page.desk.form(asked.one(WORDS)).filter(|form| page.desk.is_sum(form))?;
        let given = field::filled(form, &asked);
        let has = |id: &str| given.iter().any(|(name, _)| name == id);
        let wanting: Vec<String> = form
            .fields
            .iter()
            .filter(|field| field.required && !has(&field.id))
            .map(|field| field.id.replace('-', " "))
            .collect();
        if !wanting.is_empty() && !has("job") {
            return Some(html! { p.awaits { "The result stands here once it has: " (wanting.join(", ")) } });
        }
        let line = form.line(given.iter().map(|(id, value)| (id.as_str(), value.as_str())));
        let outcome = page.desk.look(&page.asker(&visitor), &line, visitor.at);
        Some(told(&outcome))
    });
    shown.await.flatten().unwrap_or_default()
}

fn told(outcome: &Outcome) -> Markup {
    match outcome {
        Outcome::Reply(reply) => html! {
            div.result-line.(paint::verdict_class(reply.verdict)) {
                @if let Some(verdict) = reply.verdict {
                    p.verdict { (paint::shape(verdict)) span.word { (verdict.as_str()) } }
                }
                p.answer.long { (reply.title) }
                @if let Some(basis) = basis(reply) { p.help.basis { (basis) } }
            }
        },
        Outcome::Refused(refusal) => html! { p.awaits { (refusal.sentence()) } },
        Outcome::Fault(text) => html! { p.awaits { (text) } },
    }
}

/// Where its limits come from: whose engine it is worked out for.
fn basis(reply: &Reply) -> Option<&str> {
    reply.blocks.iter().find_map(|block| match block {
        Block::Sources(all) => all.first().map(String::as_str),
        _ => None,
    })
}
