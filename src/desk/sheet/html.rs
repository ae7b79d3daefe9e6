//! The sheet as an HTML document of its own: no script, nothing fetched, prints to A4 and Letter.

use base64::{Engine as _, engine::general_purpose::STANDARD as BASE64};
use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::{Check, Reading, Sheet, Stage, TO_SIGN, advice, words};
use crate::desk::recorded::{day, moment};
use crate::desk::reply::{Verdict, letter};
use crate::drawing::Figure;
use crate::quantity::is_unit_word;

const STYLE: &str = include_str!("sheet.css");

/// The document.
pub fn document(sheet: &Sheet) -> String {
    let whole: Markup = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (sheet.heading()) ": " (sheet.title) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                (masthead(sheet))
                @if sheet.demo { p.banner { (words::DEMO) } }
                @if !sheet.closed { p.banner { (words::NOT_FINAL) } }
                h2 { "The engine" }
                dl { @for (label, value) in &sheet.identity { dt { (label) } dd { (value) } } }
                (standing(sheet))
                @for (heading, items) in [(words::CHANGES, words::changes(sheet)), (words::NOTES, words::notes(sheet))] {
                    @if !items.is_empty() { h2 { (heading) } ul { @for item in &items { li { (item) } } } }
                }
                h2 { "Readings" }
                p.small { (words::LEGEND) }
                @for stage in &sheet.stages { (readings(sheet, stage)) }
                @if !sheet.instruments.is_empty() {
                    h3 { (words::INSTRUMENTS) }
                    ul { @for line in &sheet.instruments { li { (joined(line)) } } }
                }
                @if !sheet.sources.is_empty() { p.small { (words::sources(sheet)) } }
                @if !sheet.figures.is_empty() { h2 { "Figures" } div.figures { @for figure in &sheet.figures { (drawn(figure)) } } }
                (photographs(sheet))
                (for_the_owner(sheet))
                section.signed {
                    h2 { "Accepted and signed" }
                    ul { @for line in words::acceptances(sheet) { li { (line) } } }
                    div.sign { @for line in TO_SIGN { div { (line) } } }
                }
                section.signed {
                    h2 { "Seal of the record" }
                    p { (words::seal(sheet)) }
                    p.exact { (sheet.seal.hash) }
                }
                footer { (words::foot(sheet)) }
            }
        }
    };
    whole.into_string()
}

fn masthead(sheet: &Sheet) -> Markup {
    html! {
        header {
            div {
                p.shop { (sheet.shop) }
                h1 { (sheet.heading()) }
                p.job { (sheet.title) }
            }
            @if let Some(code) = &sheet.seal.drawn { div.code { (PreEscaped(&code.svg)) } }
        }
    }
}

fn standing(sheet: &Sheet) -> Markup {
    html! {
        h2 { "How it stands" }
        p { (sheet.summary()) "." }
        table.overview {
            thead { tr { @for (head, _) in words::OVERVIEW { th { (head) } } } }
            tbody { @for stage in &sheet.stages { tr { @for text in words::overview(sheet, stage) { td { (text) } } } } }
        }
        @if !sheet.missing.is_empty() { div.caution { strong { "Not measured" } p { (words::missing(sheet)) } } }
    }
}

fn readings(sheet: &Sheet, stage: &Stage) -> Markup {
    html! {
        h3 { (stage.name) }
        table.readings {
            thead { tr { @for head in ["At", "Read", "Measure", "Limit", "Verdict", "Posted", "Lead"] { th { (head) } } } }
            @for check in &stage.checks {
                tbody {
                    tr.check { th colspan="7" scope="rowgroup" { (words::check(check)) } }
                    @for reading in &check.readings { (rows(sheet, check, reading)) }
                }
            }
        }
    }
}

/// A row for each measure, level with its limit and verdict; what is said of the whole reading spans them.
fn rows(sheet: &Sheet, check: &Check, reading: &Reading) -> Markup {
    let span = reading.measures.len().max(1);
    let first = reading.measures.first();
    html! {
        tr.first {
            th scope="row" rowspan=(span) { (words::place(reading)) }
            td.read rowspan=(span) { (joined(&words::raw(sheet, check, reading))) }
            td { @if let Some(m) = first { (joined(&words::measure(sheet, m))) } }
            td { @if let Some(m) = first { (joined(&words::limit(sheet, m))) } }
            td { (verdict(first.map_or(reading.verdict, |m| m.verdict))) }
            td rowspan=(span) {
                @if !reading.instrument.is_empty() { (words::instrument(reading)) ", " }
                span.whole { (reading.by) } br;
                span.faint { (moment(reading.when)) }
            }
            td rowspan=(span) { (lead(reading)) }
        }
        @for m in reading.measures.iter().skip(1) {
            tr { td { (joined(&words::measure(sheet, m))) } td { (joined(&words::limit(sheet, m))) } td { (verdict(m.verdict)) } }
        }
    }
}

/// A number and its unit with a blank between them that no line breaks at.
fn joined(text: &str) -> String {
    let mut out = String::new();
    for word in text.split(' ') {
        let unit = is_unit_word(word.trim_end_matches([',', '.', ';', ')']));
        let after_number = out.ends_with(|c: char| c.is_ascii_digit());
        if !out.is_empty() {
            out.push(if unit && after_number { '\u{a0}' } else { ' ' });
        }
        out.push_str(word);
    }
    out
}

fn lead(reading: &Reading) -> Markup {
    match &reading.review {
        Some(review) if review.accepted => html! { "accepted, " (review.by) br; span.faint { (day(review.when)) } },
        _ => html! { strong { (reading.standing()) } },
    }
}

fn verdict(verdict: Verdict) -> Markup {
    let class = match verdict {
        Verdict::Within => "within",
        Verdict::Marginal => "marginal",
        Verdict::Out => "out",
        Verdict::NoLimit => "none",
    };
    html! { span class={ "mark " (class) } { span { (letter(verdict)) } } " " (verdict.as_str()) }
}

fn drawn(figure: &Figure) -> Markup {
    html! { figure role="img" aria-label=(figure.alt) { (PreEscaped(&figure.svg)) } }
}

fn photographs(sheet: &Sheet) -> Markup {
    let mut all = sheet.pictured().peekable();
    html! {
        @if all.peek().is_some() {
            h2 { (words::PHOTOGRAPHS) }
            div.photos {
                @for (photo, caption) in all {
                    figure {
                        @if let Some(small) = &photo.small {
                            img src={ "data:image/jpeg;base64," (BASE64.encode(&small.jpeg)) } alt={ "Photograph: " (caption) }
                                width=(small.width) height=(small.height);
                        }
                        @let (shown, by) = caption.split_once(": ").unwrap_or((&caption, ""));
                        figcaption { (shown) br; (by) }
                    }
                }
            }
        }
    }
}

fn for_the_owner(sheet: &Sheet) -> Markup {
    let told = &sheet.advice;
    html! {
        h2 { "Running in: for the owner" }
        @if let Some(caution) = &told.caution { div.caution { strong { "Caution" } p { (caution) } } }
        @for text in &told.text { p { (text) } }
        @if !told.steps.is_empty() { ol { @for step in &told.steps { li { (step) } } } }
        @if let Some(source) = &told.source { p.small { (source) "." } }
        p { (advice::DECIDES) }
    }
}
