//! What a reply asks for, to be typed on its card there and then: the boxes of a set of readings, and the button.
//!
//! A card is itself a form that sends lines, and forms do not nest: the boxes belong to a form beside the card.

use maud::{Markup, html};

use super::field::{self, Filling};
use super::forms::{KEY, WORDS};
use super::kept;
use super::paint::form_address;
use super::photo;
use crate::desk::form::Kind;
use crate::desk::line::split;
use crate::desk::{Desk, Outcome};

/// The entry of one card.
pub struct Entry {
    /// The form that the boxes belong to, with all that is known already.
    pub owner: Markup,
    /// What is still to be typed.
    pub boxes: Markup,
}

/// What an outcome asks for: the entry of a reply, or the one that was just refused, with what was typed in it.
pub fn entry(desk: &Desk, outcome: &Outcome, said: &str) -> Option<Entry> {
    let (label, line) = match outcome {
        Outcome::Reply(reply) => reply.entry().map(|action| (action.label.as_str(), action.line.as_str()))?,
        Outcome::Refused(_) => ("Post it", said),
        Outcome::Fault(_) => return None,
    };
    let (form, given) = desk.filled(line)?;
    let grid = desk.grid(line)?;
    let field = form.field(&grid.field)?;
    let has = |id: &str| given.iter().any(|(name, _)| name == id);
    let whole = form.fields.iter().all(|field| !field.required || field.kind == Kind::Reading || has(&field.id));
    // A line typed by hand is mended by hand; one that came from a walk gets its boxes back.
    if !whole || !has("walk") {
        return None;
    }
    let id = format!("e{}", kept::random_name()?);
    let values = given.iter().find(|(name, _)| *name == grid.field).map(|(_, value)| split(value)).unwrap_or_default();
    let filling = Filling { values, grid: Some(&grid), owner: Some(&id), ..Filling::default() };
    Some(Entry {
        owner: html! {
            form id=(id) method="post" action="/form" data-words=(line) {
                input type="hidden" name=(WORDS) value=(form.words());
                input type="hidden" name=(KEY) value=(id);
                @for (name, value) in given.iter().filter(|(name, _)| *name != grid.field) {
                    input type="hidden" name=(name) value=(value);
                }
            }
        },
        boxes: html! {
            fieldset.asked aria-label=(label) data-kind="reading" {
                (field::grid(field, &grid, &filling, &format!("{id}-f")))
                @if form.photos { (photo::field(Some(&id))) }
                div.actions {
                    a.button href=(form_address(line)) { "More…" }
                    (photo::send_button(form, Some(&id), html! { (label) }))
                }
            }
        },
    })
}
