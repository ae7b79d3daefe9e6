//! An outcome as a card: the answer first and large, then every block the desk gave, then what can be done next.
//!
//! All text goes through maud, which escapes it. Figures alone are put in as they are: the drawing room escapes
//! what it letters, and the page's policy lets nothing inline run.

use maud::{Markup, PreEscaped, html};

use super::asked::Entry;
use super::kept::{self, Kept, Piece};
use super::{library, photo};
use crate::desk::reply::{Action, Block, Caution, Cell, Document, Loudness, Photograph, Reply, Table, Verdict, letter};
use crate::desk::{Outcome, Refusal};
use crate::drawing::{Figure, Mark};

/// A figure wider than this many units would be too small to read on a phone: it keeps its size there, and slides.
const BROAD: u32 = 440;
/// Beyond so many characters a title is set smaller, and a button takes the whole width of a phone.
const LONG_TITLE: usize = 42;
const WIDE_LABEL: usize = 14;
/// Beyond so many characters a cell is not squeezed.
const LONG_CELL: usize = 20;
/// A table of words, rather than a matrix of marks: at most so many columns, and more text in a row than a phone holds.
const WORDY_COLUMNS: usize = 6;
const WORDY_TEXT: usize = 26;

/// What a card needs beside the outcome.
pub struct Card<'a> {
    pub kept: &'a Kept,
    pub person: &'a str,
    /// What the person sent.
    pub line: &'a str,
    /// A fresh name for whatever is sent from this card, so that a double tap is one request.
    pub key: &'a str,
    /// What it asks for, to be typed on it.
    pub entry: Option<Entry>,
    /// It stands on a screen that is painted again and again, so nothing of it is kept.
    pub still: bool,
}

impl Card<'_> {
    /// What was said and what came back.
    pub fn exchange(&self, outcome: &Outcome) -> Markup {
        let class = match outcome {
            Outcome::Reply(reply) => verdict_class(reply.verdict),
            Outcome::Refused(_) => "refused",
            Outcome::Fault(_) => "broken",
        };
        html! {
            article.exchange.(class).fresh[!self.still].still[self.still] data-key=(self.key) data-news=(news(outcome)) {
                @if !self.still { p.said { span.sayer { (self.person) } " " span.line { (self.line) } } }
                @if let Some(entry) = &self.entry { (entry.owner) }
                form.card method="post" action="/line" {
                    input type="hidden" name="key" value=(self.key);
                    @match outcome {
                        Outcome::Reply(reply) => (self.reply(reply)),
                        Outcome::Refused(refusal) => (self.refused(refusal)),
                        Outcome::Fault(text) => { h2.answer tabindex="-1" { "Not done" } p { (text) } },
                    }
                }
            }
        }
    }

    fn reply(&self, reply: &Reply) -> Markup {
        html! {
            h2.answer.long[reply.title.chars().count() > LONG_TITLE] tabindex="-1" { (reply.title) }
            @if let Some(verdict) = reply.verdict { p.verdict { (shape(verdict)) span.word { (verdict.as_str()) } } }
            @for (at, block) in reply.blocks.iter().enumerate() {
                @match block {
                    Block::Figure(figure) => (self.figure(figure, figures(reply.blocks.get(..at).unwrap_or_default()))),
                    Block::Document(document) => (self.document(document)),
                    other => (text_block(other)),
                }
            }
            @if let Some(entry) = &self.entry { (entry.boxes) }
            @if !reply.actions.is_empty() {
                div.actions role="group" aria-label="What can be done next" {
                    @for action in reply.actions.iter().filter(|a| !a.entry || self.entry.is_none()) { (press(action, reply.place.as_deref())) }
                }
            }
        }
    }

    fn refused(&self, refusal: &Refusal) -> Markup {
        html! {
            h2.answer tabindex="-1" { (stop()) span { "Not taken: " (refusal.input) } }
            dl.fields data-input=(refusal.input) {
                @if !refusal.given.is_empty() { div { dt { "Given" } dd { (refusal.given) } } }
                div { dt { "Possible" } dd { (refusal.possible) } }
            }
            p.text { "Nothing was changed." }
            @if let Some(entry) = &self.entry { (entry.boxes) }
            div.actions role="group" aria-label="What can be done next" {
                button.mend type="button" hidden { "Mend the line" }
                @if let Some(line) = &refusal.line { (press(&Action::send(line.as_str(), line.as_str()), None)) }
            }
        }
    }

    fn document(&self, document: &Document) -> Markup {
        match self.kept.put(self.person, Piece::Document(document.clone())) {
            Some(id) => html! {
                @let word = if kept::shows(document) { "Open " } else { "Save " };
                p.document { a.button href={ "/kept/" (id) } target="_blank" { (word) (document.name) } }
            },
            None => html! { p.text { (document.name) " is too large to be opened here." } },
        }
    }

    fn figure(&self, figure: &Figure, at: usize) -> Markup {
        let enlarged = if self.still {
            Some(format!("/drawn?line={}&at={at}", coded(self.line)))
        } else {
            self.kept.put(self.person, Piece::Figure(figure.clone())).map(|id| format!("/kept/{id}"))
        };
        html! {
            figure {
                div.drawing.broad[figure.width > BROAD] role="img" tabindex=[(figure.width > BROAD).then_some("0")] aria-label=(figure.alt) { (PreEscaped(&figure.svg)) }
                @if let Some(address) = enlarged {
                    figcaption { a.button href=(address) target="_blank" { "Enlarge: " (figure.title) } }
                }
            }
        }
    }
}

/// How many figures stand among these blocks.
fn figures(blocks: &[Block]) -> usize {
    blocks.iter().filter(|block| matches!(block, Block::Figure(_))).count()
}

/// A block that is text and nothing else; a figure and a document belong to a card, which keeps them.
pub fn text_block(block: &Block) -> Markup {
    match block {
        Block::Heading(text) => html! { h3 { (text) } },
        Block::Text(text) => html! { @for part in text.split("\n\n") { p.text { (part) } } },
        Block::Fields(fields) => html! {
            dl.fields { @for (label, value) in fields { div { dt { (label) } dd { (value) } } } }
        },
        Block::Table(table) => self::table(table),
        Block::Steps { start, items } => html! {
            ol.steps start=(start) { @for item in items { li { (item) } } }
        },
        Block::Bullets(items) => html! { ul.bullets { @for item in items { li { (item) } } } },
        Block::Working(lines) => html! {
            section.working aria-label="Working" { @for line in lines { p { (line) } } }
        },
        Block::Photo(photo) => self::photo(photo),
        Block::Caution(caution) => self::caution(caution),
        Block::Sources(sources) => html! { p.sources { span { "Basis" } " " (sources.join("; ")) } },
        Block::Figure(_) | Block::Document(_) => html! {},
    }
}

/// The answer in a breath, for a screen reader.
fn news(outcome: &Outcome) -> String {
    match outcome {
        Outcome::Reply(reply) => match reply.verdict {
            Some(verdict) => format!("{}. Verdict: {}.", reply.title, verdict.as_str()),
            None => reply.title.clone(),
        },
        Outcome::Refused(refusal) => format!("Refused. {}", refusal.sentence()),
        Outcome::Fault(text) => text.clone(),
    }
}

/// A button that sends its line, or a link: to its form, or to the screen that shows the same.
fn press(action: &Action, place: Option<&str>) -> Markup {
    html! {
        @let wide = action.label.chars().count() > WIDE_LABEL;
        @if action.form {
            a.button.opens.wide[wide] href=(form_address(&action.line)) { (action.label) "…" }
        } @else if let Some(screen) = screen(&action.line, place) {
            a.button.wide[wide] href=(screen) { (action.label) }
        } @else {
            button.wide[wide] name="line" value=(action.line) { (action.label) }
        }
    }
}

/// The screen that shows what a line would be answered; a page opens where the passage at hand stands.
fn screen(line: &str, place: Option<&str>) -> Option<String> {
    let (words, what) = line.rsplit_once(' ')?;
    let plain = |text: &str| !text.is_empty() && text.chars().all(|c| c.is_alphanumeric() || c == '-');
    match words {
        "job show" => Some(format!("/job/{}", what.trim_start_matches('#').parse::<i64>().ok()?)),
        "page" if plain(what) => {
            let here = place.filter(|place| place.rsplit_once('#').is_some_and(|(slug, _)| slug == what));
            Some(here.and_then(library::passage_address).unwrap_or_else(|| library::address(what)))
        }
        _ => None,
    }
}

/// Where the form for a line is.
pub fn form_address(line: &str) -> String {
    format!("/form?line={}", coded(line))
}

/// Text as a part of an address.
pub fn coded(text: &str) -> String {
    text.bytes()
        .map(|b| {
            if b.is_ascii_alphanumeric() || b"-._".contains(&b) {
                char::from(b).to_string()
            } else {
                format!("%{b:02X}")
            }
        })
        .collect()
}

fn table(table: &Table) -> Markup {
    html! {
        div.sheet role="region" tabindex="0" aria-label=(if table.caption.is_empty() { "Table" } else { table.caption.as_str() }) {
            @let wordy = wordy(table);
            table.wordy[wordy].leads[wordy && leads(table)] role="table" {
                @if !table.caption.is_empty() { caption { (table.caption) } }
                @if !table.header.is_empty() {
                    thead role="rowgroup" {
                        tr role="row" { @for head in &table.header { th scope="col" role="columnheader" { (head) } } }
                    }
                }
                tbody role="rowgroup" {
                    @for row in &table.rows {
                        tr role="row" {
                            @for (at, cell) in row.iter().enumerate() {
                                (self::cell(cell, at == 0, table.header.get(at).map_or("", String::as_str)))
                            }
                        }
                    }
                }
            }
        }
    }
}

/// True when a phone shows each row as a small list of its own. The roles keep it a table to whoever listens.
fn wordy(table: &Table) -> bool {
    let columns = table.rows.iter().map(Vec::len).max().unwrap_or(0);
    let widest = |at: usize| table.rows.iter().filter_map(|row| row.get(at)).map(|c| c.text.chars().count()).max();
    let text: usize = (0..columns).filter_map(widest).sum();
    (2..=WORDY_COLUMNS).contains(&columns) && text > WORDY_TEXT
}

/// True when each row leads to one place by its first cell: then a phone makes a key of the whole row.
fn leads(table: &Table) -> bool {
    let first = |row: &Vec<Cell>| {
        row.first().and_then(|cell| cell.line.as_deref()).is_some_and(|line| screen(line, None).is_some())
    };
    !table.rows.is_empty()
        && table.rows.iter().all(|row| first(row) && row.iter().skip(1).all(|cell| cell.line.is_none()))
}

fn cell(cell: &Cell, first: bool, head: &str) -> Markup {
    let inside = html! {
        @if let Some(verdict) = cell.verdict {
            span.mark-cell.(verdict_class(Some(verdict))) { (shape(verdict)) span { (cell.text) } span.heard { " " (verdict.as_str()) } }
        } @else { (cell.text) }
    };
    let pressed = html! {
        @match cell.line.as_deref().map(|line| (line, screen(line, None))) {
            Some((_, Some(screen))) => a.button.cell href=(screen) { (inside) },
            Some((line, None)) => button.cell name="line" value=(line) { (inside) },
            None => (inside),
        }
    };
    let empty = matches!(cell.text.as_str(), "" | "-") && cell.verdict.is_none();
    html! {
        @if first {
            th scope="row" role="rowheader" { (pressed) }
        } @else {
            td.empty[empty].long[cell.text.chars().count() > LONG_CELL] role="cell" data-head=(head) { (pressed) }
        }
    }
}

/// A photograph, and the whole of it by a link. Its room is known before it is there, so nothing jumps.
fn photo(photo: &Photograph) -> Markup {
    let address = photo::address(photo);
    html! {
        figure.photo {
            a href=(address) target="_blank" {
                img src=(address) alt=(photo.alt) width=(photo.width) height=(photo.height) loading="lazy" decoding="async";
            }
            figcaption { (photo.title) }
        }
    }
}

fn caution(caution: &Caution) -> Markup {
    let (class, word) = match caution.loudness {
        Loudness::Note => ("note", "Note"),
        Loudness::Tip => ("tip", "Tip"),
        Loudness::Important => ("important", "Important"),
        Loudness::Warning => ("warning", "Warning"),
        Loudness::Caution => ("caution", "Caution"),
    };
    let loud = matches!(caution.loudness, Loudness::Warning | Loudness::Caution);
    html! {
        div.heed.(class) role="note" {
            p.heed-word { @if loud { (triangle()) } (word) }
            p { (caution.text) }
        }
    }
}

pub fn verdict_class(verdict: Option<Verdict>) -> &'static str {
    match verdict {
        Some(Verdict::Within) => "within",
        Some(Verdict::Marginal) => "marginal",
        Some(Verdict::Out) => "out",
        Some(Verdict::NoLimit) => "no-limit",
        None => "plain",
    }
}

/// The verdict's letter in its shape: round within, diamond marginal, square out, dashed ring where there is no limit.
pub fn shape(verdict: Verdict) -> Markup {
    html! {
        svg.shape viewBox="0 0 32 32" width="32" height="32" aria-hidden="true" {
            @match verdict {
                Verdict::Within => { circle cx="16" cy="16" r="14" {} },
                Verdict::Marginal => { path d="M16 1 31 16 16 31 1 16Z" {} },
                Verdict::Out => { rect x="2" y="2" width="28" height="28" rx="2" {} },
                Verdict::NoLimit => { circle cx="16" cy="16" r="14" stroke-dasharray="5 4" {} },
            }
            text x="16" y="22" text-anchor="middle" font-size="17" font-weight="800" { (letter(verdict)) }
        }
    }
}

/// A place's mark in its shape: as its verdict, but for an open place a dot, for an accepted one a filled seal, for one that
/// came back a flag.
pub fn mark_shape(mark: Mark) -> Markup {
    html! {
        @match mark {
            Mark::Within => (shape(Verdict::Within)),
            Mark::Marginal => (shape(Verdict::Marginal)),
            Mark::Out => (shape(Verdict::Out)),
            Mark::NoLimit => (shape(Verdict::NoLimit)),
            Mark::Open | Mark::Accepted | Mark::Returned => svg.shape.sealed[mark == Mark::Accepted] viewBox="0 0 32 32" width="32" height="32" aria-hidden="true" {
                @match mark {
                    Mark::Open => circle.dot cx="16" cy="16" r="4" {},
                    Mark::Accepted => circle cx="16" cy="16" r="14" {},
                    _ => path d="M3 2h26l-5 14 5 14H3Z" {},
                }
                @if mark != Mark::Open {
                    text x=(if mark == Mark::Returned { "13" } else { "16" }) y="22" text-anchor="middle" font-size="17" font-weight="800" { (mark.letter()) }
                }
            },
        }
    }
}

/// A raised hand would be read as a greeting: a barred octagon is not.
fn stop() -> Markup {
    html! {
        svg.stop viewBox="0 0 32 32" width="32" height="32" aria-hidden="true" {
            path d="M10 2h12l8 8v12l-8 8H10l-8-8V10Z" {}
            path.bar-mark d="M8 14h16v4H8Z" {}
        }
    }
}

fn triangle() -> Markup {
    html! {
        svg.triangle viewBox="0 0 32 32" width="28" height="28" aria-hidden="true" {
            path d="M16 3 31 29H1Z" {}
            path.bar-mark d="M14.5 12h3v9h-3Zm0 11h3v3h-3Z" {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn painted(outcome: &Outcome, line: &str) -> String {
        let kept = Kept::default();
        Card { kept: &kept, person: "tech-1", line, key: "k", entry: None, still: false }
            .exchange(outcome)
            .into_string()
    }

    #[test]
    fn markup_in_any_text_is_text() {
        let evil = "<img src=x onerror=alert(1)>\"'&";
        let mut table = Table { caption: evil.into(), header: vec![evil.into()], rows: Vec::new() };
        table.rows.push(vec![Cell { text: evil.into(), verdict: Some(Verdict::Out), line: Some(evil.into()) }]);
        let reply = Reply::new(evil)
            .text(evil)
            .fields([(evil, evil)])
            .working([evil])
            .caution(Loudness::Caution, evil)
            .sources([evil])
            .block(Block::Heading(evil.into()))
            .block(Block::Bullets(vec![evil.into()]))
            .block(Block::Steps { start: 2, items: vec![evil.into()] })
            .block(Block::Table(table))
            .block(Block::Document(Document { name: evil.into(), media: "text/html", content: evil.into() }))
            .action(Action::send(evil, evil))
            .action(Action::form(evil, evil));
        let refusal = Refusal { line: Some(evil.into()), ..Refusal::new(evil, evil, evil) };
        for outcome in [Outcome::Reply(reply), Outcome::Refused(refusal), Outcome::Fault(evil.into())] {
            let html = painted(&outcome, evil);
            assert!(!html.contains("<img"), "{html}");
            assert!(html.contains("&lt;img src=x onerror=alert(1)&gt;&quot;"), "{html}");
        }
    }

    #[test]
    fn a_verdict_is_told_by_letter_shape_and_word() {
        let shapes = [Verdict::Within, Verdict::Marginal, Verdict::Out, Verdict::NoLimit].map(|verdict| {
            let html = painted(&Outcome::Reply(Reply::new("2.4495 in").verdict(verdict)), "x");
            assert!(html.contains(&format!(">{}</text>", letter(verdict))), "{html}");
            assert!(html.contains(&format!(">{}</span>", verdict.as_str())), "{html}");
            shape(verdict).into_string().split("<text").next().unwrap_or_default().to_owned()
        });
        for (at, one) in shapes.iter().enumerate() {
            assert!(shapes.iter().skip(at + 1).all(|other| other != one), "two verdicts have one shape");
        }
    }

    #[test]
    fn an_action_sends_its_line_or_opens_its_form() {
        let reply = Reply::new("x")
            .action(Action::send("Next", "next"))
            .action(Action::form("Post it", "log main-journal 3 note=\"a & b\""));
        let html = painted(&Outcome::Reply(reply), "x");
        assert!(html.contains(r#"name="line" value="next">Next</button>"#), "{html}");
        assert!(html.contains(r#"href="/form?line=log%20main-journal%203%20note%3D%22a%20%26%20b%22""#), "{html}");
    }
}
