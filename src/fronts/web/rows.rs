//! A check at all its places as a sheet to fill in: what is typed becomes one `paste` line, all of it or none.

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};

use super::board::told;
use super::field;
use super::forms::{self, KEY, WORDS};
use super::frame::{self, View};
use super::sent::{Posted, Values, Visitor};
use super::{Page, Shared, kept, off_thread, talk};
use crate::desk::form::boxes;
use crate::desk::{RowsToFill, Trouble};

/// Our own names in the sheet; a command's fields have no dot.
const JOB: &str = "rows.job";
const CHECK: &str = "rows.check";
const INSTRUMENT: &str = "instrument";
const UNIT: &str = "rows.unit";
const SURE: &str = "sure";

pub async fn show(State(page): State<Shared>, visitor: Visitor, Path((job, check)): Path<(i64, String)>) -> Response {
    let painted = off_thread(&page, move |page| {
        let key = kept::random_name().unwrap_or_default();
        whole(page, &visitor, (job, &check), &Values::default(), &key, None)
    });
    told(painted.await)
}

/// Posts what was filled in; what was refused comes back as it was typed.
pub async fn send(State(page): State<Shared>, visitor: Visitor, Posted(values): Posted) -> Response {
    let Ok(job) = values.one(JOB).parse::<i64>() else { return frame::nothing_here().await };
    let rows = off_thread(&page, {
        let (visitor, check) = (visitor.clone(), values.one(CHECK).to_owned());
        move |page| page.desk.rows_to_fill(&page.asker(&visitor), job, &check)
    });
    let rows = match rows.await {
        Some(Ok(rows)) => rows,
        Some(Err(trouble)) => return told(Some(Err(trouble))),
        None => return frame::fault(),
    };
    let Some(line) = line(&page, &rows, job, &values) else { return frame::fault() };
    let answered = talk::answer(&page, &visitor, &line, values.one(KEY), Ok(Vec::new())).await;
    if visitor.card_only {
        return (answered.status, answered.pieces()).into_response();
    }
    let status = answered.status;
    let painted = off_thread(&page, move |page| {
        let fresh = kept::random_name().unwrap_or_default();
        let (left, key) =
            if status.is_success() { (Values::default(), fresh.as_str()) } else { (values.clone(), values.one(KEY)) };
        whole(page, &visitor, (job, rows.check), &left, key, Some(&answered.card))
    });
    (status, told(painted.await)).into_response()
}

/// The line that the sheet says. A place without any reading is left out; one with some has its gaps told.
fn line(page: &Page, rows: &RowsToFill, job: i64, values: &Values) -> Option<String> {
    let unit = Some(values.one(UNIT)).filter(|unit| matches!(*unit, "in" | "mm")).unwrap_or_default();
    let filled = rows.places.iter().filter_map(|(place, _)| {
        let typed = values.pairs().filter(|(name, _)| *name == box_name(place)).map(|(_, value)| value.to_owned());
        let mut readings = boxes(typed);
        if readings.is_empty() {
            return None;
        }
        if let Some(last) = readings.last_mut().filter(|last| !unit.is_empty() && field::is_bare(last)) {
            *last = format!("{last} {unit}");
        }
        let place = (place != "-").then(|| place.clone());
        Some(place.into_iter().chain(readings).collect::<Vec<_>>().join(", "))
    });
    let filled = filled.collect::<Vec<_>>().join("; ");
    let number = job.to_string();
    let given = [
        ("check", rows.check),
        ("rows", filled.as_str()),
        (INSTRUMENT, values.one(INSTRUMENT)),
        ("job", number.as_str()),
        (SURE, values.one(SURE)),
    ];
    Some(page.desk.form("paste")?.line(given))
}

fn box_name(place: &str) -> String {
    format!("at.{place}")
}

fn whole(
    page: &Shared,
    visitor: &Visitor,
    (job, check): (i64, &str),
    left: &Values,
    key: &str,
    card: Option<&Markup>,
) -> Result<Markup, Trouble> {
    let rows = page.desk.rows_to_fill(&page.asker(visitor), job, check)?;
    let inside = html! {
        main.desk {
            div.side { (sheet(&rows, job, left, key, card.is_some() && left.pairs().next().is_none())) }
            (talk::column(page, visitor, card))
        }
    };
    Ok(frame::screen(page, visitor, View::Rows, rows.name, inside))
}

fn sheet(rows: &RowsToFill, job: i64, left: &Values, key: &str, sent: bool) -> Markup {
    let typed = |place: &str, at: usize| {
        left.pairs().filter(|(name, _)| *name == box_name(place)).nth(at).map(|(_, value)| value.to_owned())
    };
    html! {
        p.crumbs { a href={ "/job/" (job) } { "Job #" (job) } " · all places" }
        form #rows.sheet-form.sent[sent] method="post" action="/rows" data-words={ "paste " (rows.check) } novalidate {
            input type="hidden" name=(WORDS) value="paste";
            input type="hidden" name=(KEY) value=(key);
            input type="hidden" name=(JOB) value=(job);
            input type="hidden" name=(CHECK) value=(rows.check);
            h1 { (rows.name) }
            p.about { "Fill in what you have and leave the rest empty. All of it is posted, or none." }
            div.sheet.fill role="region" tabindex="0" aria-label={ (rows.name) ", place by reading" } {
                table {
                    thead { tr { th scope="col" { "At" } @for reading in &rows.readings { th scope="col" { (reading) } } } }
                    tbody.boxes-by-row {
                        @for (place, posted) in &rows.places {
                            tr {
                                th scope="row" { (place) @if *posted { span.help { "posted" } } }
                                @for (at, reading) in rows.readings.iter().enumerate() {
                                    td {
                                        input type="text" name=(box_name(place)) inputmode="decimal" maxlength="60" value=[typed(place, at)]
                                            aria-label={ (place) ", " (reading) } autocomplete="off" autocapitalize="none" spellcheck="false";
                                    }
                                }
                            }
                        }
                    }
                }
            }
            fieldset.field {
                legend { "Unit of a bare number" }
                div.choices {
                    @for (value, shown) in field::reading_units(Some(rows.dimension), Some(rows.lean)) {
                        label.press { input type="radio" name=(UNIT) value=(value) checked[left.one(UNIT) == value]; span { (shown) } }
                    }
                }
            }
            div.field {
                label for="rows-instrument" { "Measured with" }
                input #rows-instrument type="text" name=(INSTRUMENT) maxlength="120" value=(left.one(INSTRUMENT)) autocomplete="off";
            }
            div.send-row {
                (forms::sent_word())
                a.button href={ "/job/" (job) } { "Job" }
                button.primary { "Post all" }
            }
        }
    }
}
