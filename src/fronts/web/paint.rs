//! An outcome as a card: the answer first and large, then every block the desk gave, then what can be done next.
//!
//! All text goes through maud, which escapes it. Figures alone are put in as they are: the drawing room escapes
//! what it letters, and the page's policy lets nothing inline run.

use maud::{Markup, PreEscaped, html};

use super::asked::Entry;
use super::kept::{self, Kept, Piece};
use super::photo;
use crate::desk::reply::{Action, Block, Caution, Cell, Loudness, Photograph, Reply, Table, Verdict, letter};
use crate::desk::{Outcome, Refusal};
use crate::drawing::Figure;

/// Beyond so many characters a title is set smaller, and a button takes the whole width of a phone.
const LONG_TITLE: usize = 42;
const WIDE_LABEL: usize = 14;
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
            article.exchange.fresh.(class) data-key=(self.key) data-news=(news(outcome)) {
                p.said { span.sayer { (self.person) } " " span.line { (self.line) } }
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
            @for block in &reply.blocks { (self.block(block)) }
            @if let Some(entry) = &self.entry { (entry.boxes) }
            @if !reply.actions.is_empty() {
                div.actions role="group" aria-label="What can be done next" {
                    @for action in reply.actions.iter().filter(|a| !a.entry || self.entry.is_none()) { (press(action)) }
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
                @if let Some(line) = &refusal.line { (press(&Action::send(line.as_str(), line.as_str()))) }
            }
        }
    }

    fn block(&self, block: &Block) -> Markup {
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
            Block::Figure(figure) => self.figure(figure),
            Block::Photo(photo) => self::photo(photo),
            Block::Caution(caution) => self::caution(caution),
            Block::Sources(sources) => html! { p.sources { span { "Basis" } " " (sources.join("; ")) } },
            Block::Document(document) => match self.kept.put(self.person, Piece::Document(document.clone())) {
                Some(id) => html! {
                    @let word = if kept::shows(document) { "Open " } else { "Save " };
                    p.document { a.button href={ "/kept/" (id) } target="_blank" { (word) (document.name) } }
                },
                None => html! { p.text { (document.name) " is too large to be opened here." } },
            },
        }
    }

    fn figure(&self, figure: &Figure) -> Markup {
        let enlarged = self.kept.put(self.person, Piece::Figure(figure.clone()));
        html! {
            figure {
                div.drawing role="img" aria-label=(figure.alt) { (PreEscaped(&figure.svg)) }
                @if let Some(id) = enlarged {
                    figcaption { a.button href={ "/kept/" (id) } target="_blank" { "Enlarge: " (figure.title) } }
                }
            }
        }
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

/// A button that sends its line, or a link that opens its form.
fn press(action: &Action) -> Markup {
    html! {
        @let wide = action.label.chars().count() > WIDE_LABEL;
        @if action.form {
            a.button.opens.wide[wide] href=(form_address(&action.line)) { (action.label) "…" }
        } @else {
            button.wide[wide] name="line" value=(action.line) { (action.label) }
        }
    }
}

/// Where the form for a line is.
pub fn form_address(line: &str) -> String {
    let coded: String = line
        .bytes()
        .map(|b| {
            if b.is_ascii_alphanumeric() || b"-._".contains(&b) {
                char::from(b).to_string()
            } else {
                format!("%{b:02X}")
            }
        })
        .collect();
    format!("/form?line={coded}")
}

fn table(table: &Table) -> Markup {
    html! {
        div.sheet role="region" tabindex="0" aria-label=(if table.caption.is_empty() { "Table" } else { table.caption.as_str() }) {
            table.wordy[wordy(table)] role="table" {
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

fn cell(cell: &Cell, first: bool, head: &str) -> Markup {
    let inside = html! {
        @if let Some(verdict) = cell.verdict {
            span.mark-cell.(verdict_class(Some(verdict))) { (shape(verdict)) span { (cell.text) } span.heard { " " (verdict.as_str()) } }
        } @else { (cell.text) }
    };
    let pressed = html! {
        @if let Some(line) = &cell.line { button.cell name="line" value=(line) { (inside) } } @else { (inside) }
    };
    let empty = cell.text.is_empty() && cell.verdict.is_none();
    html! {
        @if first {
            th scope="row" role="rowheader" { (pressed) }
        } @else {
            td.empty[empty] role="cell" data-head=(head) { (pressed) }
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

fn verdict_class(verdict: Option<Verdict>) -> &'static str {
    match verdict {
        Some(Verdict::Within) => "within",
        Some(Verdict::Marginal) => "marginal",
        Some(Verdict::Out) => "out",
        Some(Verdict::NoLimit) => "no-limit",
        None => "plain",
    }
}

/// The verdict's letter in its shape: round within, diamond marginal, square out, dashed ring where there is no limit.
fn shape(verdict: Verdict) -> Markup {
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
    use crate::desk::reply::Document;

    fn painted(outcome: &Outcome, line: &str) -> String {
        let kept = Kept::default();
        Card { kept: &kept, person: "tech-1", line, key: "k", entry: None }.exchange(outcome).into_string()
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
