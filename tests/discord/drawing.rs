//! Draws what the front sent as a page of our own: not how the platform shows it, but all that it was given to show.

use maud::{Markup, PreEscaped, html};
use pulldown_cmark::{Event, Parser, TagEnd};
use serde_json::Value;

/// One thing in a thread.
pub enum Piece {
    /// A line that a member sends, by their name.
    Sent(&'static str, String),
    /// What a member does otherwise.
    Does(&'static str, &'static str),
    /// A message of the bot's.
    Message(Value),
    /// A form that opens, with what was written into it.
    Form(Value, Vec<String>),
}

/// A whole page.
pub fn page(pieces: &[Piece]) -> String {
    let body = html! {
        (PreEscaped("<!doctype html>"))
        html lang="en" {
            head { meta charset="utf-8"; meta name="viewport" content="width=device-width"; style { (PreEscaped(STYLE)) } }
            body { @for piece in pieces { (draw(piece)) } }
        }
    };
    body.into_string()
}

/// The page's words, line by line.
pub fn words(page: &str) -> String {
    let body = page.split("<body>").nth(1).unwrap_or_default();
    let mut out = String::new();
    let mut in_tag = false;
    for c in body.chars() {
        match c {
            '<' => in_tag = true,
            '>' => {
                in_tag = false;
                out.push('\n');
            }
            c if !in_tag => out.push(c),
            _ => {}
        }
    }
    let out = out.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&");
    let lines: Vec<&str> = out.lines().map(str::trim).filter(|line| !line.is_empty()).collect();
    lines.join("\n") + "\n"
}

const STYLE: &str = "
*{box-sizing:border-box;margin:0}
body{width:360px;padding:10px;background:#f4efe4;color:#222;font:14px/1.4 'DejaVu Sans',sans-serif}
.who{margin:10px 0 2px;font-size:12px;color:#6b5d48}
.line{font-family:'DejaVu Sans Mono',monospace;font-size:12px;background:#e6dcc6;padding:6px 8px;border-radius:3px}
.said{background:#fffdf8;border:1px solid #d8ccb4;border-radius:3px;padding:8px;margin:2px 0;overflow-wrap:anywhere}
.card{border-left:5px solid #5b6b7a;padding-left:8px}
.card h1{font-size:14px;margin-bottom:4px}
p{margin:4px 0}.small{font-size:11px;color:#6b5d48}
pre{font:12px/1.35 'DejaVu Sans Mono',monospace;background:#f1eadb;padding:6px;white-space:pre-wrap}
blockquote{border-left:3px solid #b26a00;padding-left:6px}
ul,ol{padding-left:20px}
img{display:block;width:100%;margin-top:6px}
.press{display:inline-block;border:1px solid #8a7a5c;border-radius:3px;padding:5px 8px;margin:4px 4px 0 0;font-size:12px}
.call{background:#f7d9a8;padding:0 3px}
.field{margin:6px 0}.field b{display:block;font-size:12px}
.field span{display:block;border:1px solid #8a7a5c;background:#fff;padding:5px;min-height:30px}
.tile{display:inline-block;width:11px;height:11px;border:1px solid #555;vertical-align:-1px;margin-right:2px}
";

fn draw(piece: &Piece) -> Markup {
    match piece {
        Piece::Sent(who, line) => html! { div.who { (who) } div.line { (line) } },
        Piece::Does(who, what) => html! { div.who { (who) " " (what) } },
        Piece::Message(body) => message(body),
        Piece::Form(data, filled) => form(data, filled),
    }
}

fn list(value: &Value) -> impl Iterator<Item = &Value> {
    value.as_array().into_iter().flatten()
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap_or_default()
}

fn message(body: &Value) -> Markup {
    html! {
        div.who { "gudgeon" }
        div.said {
            (marked(text(&body["content"])))
            @for embed in list(&body["embeds"]) {
                @let colour = format!("border-color:#{:06x}", embed["color"].as_u64().unwrap_or(0));
                div.card style=(colour) {
                    @if embed["title"].is_string() { h1 { (inline(text(&embed["title"]))) } }
                    (marked(text(&embed["description"])))
                    @if embed["image"].is_object() {
                        @let name = text(&embed["image"]["url"]).trim_start_matches("attachment://");
                        @let file = list(&body["attachments"]).find(|file| file["filename"] == name);
                        p.small { "Picture: " (file.map_or("", |file| text(&file["description"]))) }
                    }
                    @if embed["footer"].is_object() { p.small { (text(&embed["footer"]["text"])) } }
                }
            }
            @for row in list(&body["components"]) {
                div { @for part in list(&row["components"]) {
                    span.press { @if part["type"] == 3 { (text(&part["placeholder"])) } @else { (text(&part["label"])) } }
                } }
            }
        }
    }
}

fn form(data: &Value, filled: &[String]) -> Markup {
    let inputs = list(&data["components"]).flat_map(|row| list(&row["components"]));
    html! {
        div.said {
            b { (text(&data["title"])) }
            @for (at, input) in inputs.enumerate() {
                @let own = text(&input["value"]);
                @let value = filled.get(at).map(String::as_str).filter(|text| !text.is_empty()).unwrap_or(own);
                @if !value.is_empty() || input["required"] == true {
                    div.field { b { (text(&input["label"])) } span { (value) } }
                }
            }
        }
    }
}

/// The platform's Markdown, as far as the front writes it.
fn marked(source: &str) -> Markup {
    let mut out = String::new();
    for (at, part) in source.split("```").enumerate() {
        if at % 2 == 1 {
            let escaped = html! { pre { (part.trim_matches('\n')) } };
            out.push_str(&escaped.into_string());
        } else {
            out.push_str(&paragraphs(part));
        }
    }
    PreEscaped(out)
}

fn paragraphs(source: &str) -> String {
    let mut out = String::new();
    let mut prose = String::new();
    for line in source.lines() {
        match line.strip_prefix("-# ") {
            Some(small) => {
                out.push_str(&parsed(&std::mem::take(&mut prose)));
                out.push_str(&html! { p.small { (inline(small)) } }.into_string());
            }
            None => {
                prose.push_str(line);
                prose.push('\n');
            }
        }
    }
    out + &parsed(&prose)
}

fn inline(source: &str) -> Markup {
    PreEscaped(parsed(source).replace("<p>", "").replace("</p>", ""))
}

fn name(tag: &TagEnd) -> &'static str {
    match tag {
        TagEnd::Strong => "b",
        TagEnd::Emphasis => "em",
        TagEnd::BlockQuote(_) => "blockquote",
        TagEnd::List(true) => "ol",
        TagEnd::List(false) => "ul",
        TagEnd::Item => "li",
        TagEnd::Paragraph => "p",
        other => panic!("the front writes no {other:?}"),
    }
}

fn parsed(source: &str) -> String {
    let mut out = String::new();
    for event in Parser::new(source) {
        match event {
            Event::Start(tag) => out.push_str(&format!("<{}>", name(&tag.to_end()))),
            Event::End(tag) => out.push_str(&format!("</{}>", name(&tag))),
            // A line break is one there.
            Event::SoftBreak | Event::HardBreak => out.push_str("<br>"),
            Event::Text(text) | Event::Code(text) | Event::Html(text) | Event::InlineHtml(text) => {
                out.push_str(&html! { (text.as_ref()) }.into_string());
            }
            other => panic!("the front writes no {other:?}"),
        }
    }
    for (number, name) in [("@&amp;11", "@lead"), ("@601", "@tech-1")] {
        out = out.replace(&format!("&lt;{number}&gt;"), &format!("<span class=\"call\">{name}</span>"));
    }
    for (square, colour) in [
        ("🟥", "#b71c1c"),
        ("🟧", "#d98a00"),
        ("🟦", "#4a6fa5"),
        ("🟩", "#8fbf8f"),
        ("🟢", "#2e7d32"),
        ("🟨", "#e6cf3a"),
        ("⬜", "#ffffff"),
    ] {
        out = out.replace(square, &format!("<i class=\"tile\" style=\"background:{colour}\"></i>"));
    }
    out
}
