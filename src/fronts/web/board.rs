//! A job's board at `/job/1`: what is next, its plan stage by stage, its hold points, what happened; and the screens that
//! are a reply of the desk painted: the jobs, the lead's review. All of them follow the record.

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};

use super::asked::{self, Entry};
use super::frame::{self, View};
use super::paint::{self, Card, coded, form_address};
use super::sent::{Asked, Visitor};
use super::{Page, Shared, kept, live, off_thread, talk};
use crate::desk::reply::Block;
use crate::desk::{Board, Happened, HoldPoint, Outcome, Role, Spot, StageBoard, Trouble};
use crate::drawing::{self, Figure};

/// Pixels to the unit in an enlarged figure.
const ENLARGED: f32 = 3.0;

/// Jobs on the bench.
pub async fn jobs(State(page): State<Shared>, visitor: Visitor) -> Response {
    replies(page, visitor, View::Jobs, "Jobs", &["job list"]).await
}

/// What waits for the lead.
pub async fn review(State(page): State<Shared>, visitor: Visitor) -> Response {
    replies(page, visitor, View::Review, "Review", &["review matrix", "review queue"]).await
}

/// A screen that is what the desk says to these lines.
async fn replies(
    page: Shared,
    visitor: Visitor,
    view: View,
    title: &'static str,
    lines: &'static [&'static str],
) -> Response {
    let painted = off_thread(&page, move |page| {
        let head = live::head(&page.desk);
        let asker = page.asker(&visitor);
        let side = html! {
            h1 { (title) }
            @for line in lines {
                (part(line, still(page, &visitor, line, &page.desk.look(&asker, line, visitor.at), None)))
            }
        };
        whole(page, &visitor, view, title, &head, side)
    });
    painted.await.map_or_else(frame::fault, IntoResponse::into_response)
}

fn whole(page: &Shared, visitor: &Visitor, view: View, title: &str, head: &str, side: Markup) -> Markup {
    let inside = html! {
        main.desk {
            div.side.live data-head=(head) { (side) }
            (talk::column(page, visitor, None))
        }
    };
    frame::screen(page, visitor, view, title, inside)
}

/// A piece of the screen that is put in place anew when it has changed.
fn part(name: &str, inside: Markup) -> Markup {
    html! { div.part-of-board data-part=(name) { (inside) } }
}

/// What the desk says to a line, as a card that stands on a screen.
fn still(page: &Page, visitor: &Visitor, line: &str, outcome: &Outcome, entry: Option<Entry>) -> Markup {
    let key = kept::random_name().unwrap_or_default();
    Card { kept: &page.kept, person: &visitor.name, line, key: &key, entry, still: true }.exchange(outcome)
}

/// A figure as it is shown alone, and its media type.
#[cfg(feature = "shop")]
fn enlarged(figure: Figure) -> Option<(&'static str, Vec<u8>)> {
    let png = drawing::png(&figure, ENLARGED);
    png.inspect_err(|error| tracing::error!("a figure could not be painted: {error}"))
        .ok()
        .map(|png| ("image/png", png))
}

/// A phone paints none: its browser shows the drawing itself.
#[cfg(not(feature = "shop"))]
fn enlarged(figure: Figure) -> Option<(&'static str, Vec<u8>)> {
    Some(("image/svg+xml", figure.svg.into_bytes()))
}

/// A figure of a screen, larger.
pub async fn drawn(State(page): State<Shared>, visitor: Visitor, Asked(asked): Asked) -> Response {
    let picture = off_thread(&page, move |page| {
        let at: usize = asked.one("at").parse().ok()?;
        let Outcome::Reply(reply) = page.desk.look(&page.asker(&visitor), asked.one("line"), visitor.at) else {
            return None;
        };
        let figures = reply.blocks.into_iter().filter_map(|block| match block {
            Block::Figure(figure) => Some(figure),
            _ => None,
        });
        let figure = figures.into_iter().nth(at)?;
        enlarged(figure)
    });
    match picture.await.flatten() {
        Some((media, picture)) => ([(CONTENT_TYPE, media)], picture).into_response(),
        None => frame::notice(StatusCode::NOT_FOUND, "There is no such figure", "Open the screen it was on again."),
    }
}

pub async fn job(State(page): State<Shared>, visitor: Visitor, Path(number): Path<i64>) -> Response {
    let painted = off_thread(&page, move |page| {
        let head = live::head(&page.desk);
        let board = page.desk.board(&page.asker(&visitor), number)?;
        let title = format!("Job #{}", board.job);
        Ok(whole(page, &visitor, View::Job, &title, &head, self::board(page, &visitor, &board)))
    });
    told(painted.await)
}

/// A screen that may have been refused: then there is no such thing.
pub fn told(painted: Option<Result<Markup, Trouble>>) -> Response {
    match painted {
        Some(Ok(screen)) => screen.into_response(),
        Some(Err(Trouble::Refused(_))) => {
            frame::notice(StatusCode::NOT_FOUND, "There is no such job here", "The list of jobs has every one.")
        }
        Some(Err(Trouble::Fault(error))) => {
            tracing::error!("a job's board could not be made: {error:#}");
            frame::fault()
        }
        None => frame::fault(),
    }
}

fn board(page: &Page, visitor: &Visitor, board: &Board) -> Markup {
    let leads = page.desk.role(&page.asker(visitor)) == Role::Lead;
    html! {
        (part("head", head(board)))
        @if board.is_open { (part("next", next(page, visitor, board))) }
        (part("ways", ways(board, leads)))
        h2.over { "The plan" }
        (legend(board))
        @for stage in &board.stages { (part(stage.slug, self::stage(board, stage))) }
        (part("fitting", fitting(board)))
        (part("happened", happened(&board.happened)))
    }
}

fn head(board: &Board) -> Markup {
    html! {
        h1 { "Job #" (board.job) ": " (board.title) }
        p.tally.(paint::verdict_class(board.verdict)) {
            @if let Some(verdict) = board.verdict { (paint::shape(verdict)) }
            span { (board.out) " out, " (board.marginal) " marginal, " (board.posted) " of " (board.wanted) " places filled" }
        }
        @if board.is_open {
            div.actions { a.button.opens.wide href=(form_address(&format!("log job={}", board.job))) { "Post a reading…" } }
        }
        p.help {
            (board.engine) ", opened " (board.opened) @if !board.is_open { ", closed since" } ". "
            @if board.waiting > 0 { (board.waiting) (if board.waiting == 1 { " waits" } else { " wait" }) " for the lead." }
        }
        @if let Some(note) = &board.note { p.text { (note) } }
    }
}

/// What else can be done with a job; only a lead signs off.
fn ways(board: &Board, leads: bool) -> Markup {
    html! {
        div.actions {
            a.button href={ "/sheet/" (board.job) } target="_blank" { "Build sheet" }
            a.button href=(super::library::address(&board.engine_id)) { "Engine’s page" }
            @if board.is_open && leads {
                a.button.opens href=(form_address(&format!("job sign job={}", board.job))) { "Sign off a stage…" }
            }
        }
    }
}

/// The next place of the plan with its boxes: what `next` says.
fn next(page: &Page, visitor: &Visitor, board: &Board) -> Markup {
    let line = format!("next {}", board.job);
    let outcome = page.desk.look(&page.asker(visitor), &line, visitor.at);
    let entry = asked::entry(&page.desk, &outcome, &line);
    still(page, visitor, &line, &outcome, entry)
}

/// Each mark once, whether it stands at a place or at a stage.
fn legend(board: &Board) -> Markup {
    let places = |letter: &str| drawing::Mark::ALL.iter().any(|mark| mark.letter() == letter);
    let of_stages = drawing::stages::Mark::ALL.into_iter().filter(|mark| !places(mark.letter()));
    let seen = of_stages.filter(|mark| board.stages.iter().any(|stage| stage.mark == *mark));
    html! {
        ul.legend aria-label="What the marks mean" {
            @for mark in drawing::Mark::ALL { li { span.spot-mark.(mark_class(mark)) { (paint::mark_shape(mark)) } (mark.word()) } }
            @for mark in seen { li { span.stage-letter { (mark.letter()) } (mark.word()) } }
        }
    }
}

fn stage(board: &Board, stage: &StageBoard) -> Markup {
    html! {
        details.stage id={ "stage-" (stage.slug) } open[stage.reached] {
            summary {
                span.stage-letter aria-hidden="true" { (stage.mark.letter()) }
                span.stage-name { strong { (stage.title) } span.help { (stage.standing) } }
            }
            @if !stage.rows.is_empty() { (matrix(board, stage)) }
            @if !stage.holds.is_empty() {
                ul.hold-points aria-label={ "Hold points of " (stage.title) } { @for hold in &stage.holds { (hold_point(hold)) } }
            }
        }
    }
}

/// Checks down, places across. A press on an open place opens its entry, on a reading shows its working.
fn matrix(board: &Board, stage: &StageBoard) -> Markup {
    html! {
        form.sheet.matrix method="post" action="/line" role="region" tabindex="0" aria-label={ (stage.title) ", check by place" } {
            table {
                thead { tr { th scope="col" { "Check" } @for column in &stage.columns { th scope="col" { (column) } } } }
                tbody {
                    @for row in &stage.rows {
                        tr {
                            th scope="row" {
                                (row.name)
                                @if board.is_open {
                                    a.fill-in href={ "/job/" (board.job) "/rows/" (coded(row.check)) } { "All places" span.heard { " of " (row.name) } }
                                }
                            }
                            @for spot in &row.spots { td { @if let Some(spot) = spot { (self::spot(spot)) } } }
                        }
                    }
                }
            }
        }
    }
}

fn spot(spot: &Spot) -> Markup {
    let inside = html! {
        (paint::mark_shape(spot.mark))
        span.heard { (spot.told) ", " (spot.mark.word()) @if let Some(verdict) = spot.verdict { ", " (verdict.as_str()) } }
    };
    let class = mark_class(spot.mark);
    html! {
        @if spot.form {
            a.spot.(class) href=(form_address(&spot.line)) title=(spot.told) { (inside) }
        } @else if spot.verdict.is_some() {
            button.spot.(class) name="line" value=(spot.line) title=(spot.told) { (inside) }
        } @else {
            span.spot.(class) { (inside) }
        }
    }
}

/// The class that gives a mark its colours.
fn mark_class(mark: drawing::Mark) -> &'static str {
    use drawing::Mark;
    match mark {
        Mark::Within => "within",
        Mark::Marginal => "marginal",
        Mark::Out => "out",
        Mark::NoLimit => "no-limit",
        Mark::Open => "open",
        Mark::Accepted => "accepted",
        Mark::Returned => "returned",
    }
}

fn hold_point(hold: &HoldPoint) -> Markup {
    html! {
        li.hold-point.(hold.state) {
            span.hold-name { (hold.name) }
            span.hold-told { (hold.told) }
            @if let Some(line) = &hold.line { a.button.opens href=(form_address(line)) { "Post…" span.heard { " " (hold.name) } } }
        }
    }
}

/// Which way it goes together: the cards for this engine, cylinder by cylinder.
fn fitting(board: &Board) -> Markup {
    html! {
        details.stage id="fitting" {
            summary { span.stage-name { strong { "Which way it goes in" } span.help { "Rod, piston and ring gaps of the " (board.engine) } } }
            form.fit-cards method="post" action="/line" {
                div.actions {
                    button.wide name="line" value={ "orient " (board.engine_id) } { "The whole engine" }
                    @for cylinder in 1..=board.cylinders {
                        button name="line" value={ "orient " (board.engine_id) " " (cylinder) } { "Cylinder " (cylinder) }
                    }
                    button.wide name="line" value={ "clock show " (board.engine_id) } { "Ring gaps" }
                }
            }
        }
    }
}

fn happened(events: &[Happened]) -> Markup {
    html! {
        h2.over { "What happened" }
        @if events.is_empty() { p.help { "Nothing yet." } }
        ol.happened reversed {
            @for event in events {
                li.(paint::verdict_class(event.verdict)) data-event=(event.number) {
                    span.stamp { (event.when) " UTC, " (event.who) }
                    span.what { @if let Some(verdict) = event.verdict { (paint::shape(verdict)) } span { (event.what) } }
                }
            }
        }
    }
}
