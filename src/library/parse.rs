//! Markdown in, a [`Page`] out: CommonMark with GitHub's tables and alerts; raw HTML is dropped, never passed on.

use std::ops::Range;

use pulldown_cmark::{BlockQuoteKind, Event, OffsetIter, Options, Parser, Tag, TagEnd};

use super::fault::{Fault, nearest, one_of};
use super::front;
use super::page::{AlertKind, Hold, Item, Kind, Link, Node, Page, Row, Section};

/// How deep quotes and lists may nest before the rest is read as plain text.
const DEPTH: usize = 24;

/// The page in `text`, as far as it can be read, and what is wrong with it. `file` is its name inside the shelf.
pub fn parse(file: &str, text: &str) -> (Option<Page>, Vec<Fault>) {
    let mut faults = Vec::new();
    let Some(cut) = front::cut(text) else {
        let remedy = "start the page with a line `+++`, its title, kind, reviewed and sources, and a second line `+++`";
        return (None, vec![Fault::broken(file, 1, "the page has no front matter", remedy)]);
    };
    let Some(front) = front::read(file, &cut, &mut faults) else { return (None, faults) };
    let mut walk = Walk {
        file,
        events: Parser::new_ext(cut.body, Options::ENABLE_TABLES | Options::ENABLE_GFM | Options::ENABLE_STRIKETHROUGH)
            .into_offset_iter(),
        lines: Lines::new(cut.body, cut.body_line),
        faults: &mut faults,
        links: Vec::new(),
        holds: Vec::new(),
        html_told: false,
    };
    let sections = walk.sections(&front.title, cut.body_line);
    let links = std::mem::take(&mut walk.links);
    let stem = file.rsplit(['/', '\\']).next().unwrap_or(file);
    let page = Page {
        slug: stem.strip_suffix(".md").unwrap_or(stem).to_lowercase(),
        file: file.to_owned(),
        title: front.title,
        kind: front.kind,
        stage: front.stage,
        duty: front.duty,
        reviewed: front.reviewed,
        sources: front.sources,
        sections,
        links,
        revision: blake3::hash(text.as_bytes()).to_hex().chars().take(12).collect(),
        front: cut.front.to_owned(),
    };
    if page.kind == Kind::Procedure && page.steps().is_empty() {
        let remedy = "write its steps as an ordered list (`1. …`), or make it a note";
        faults.push(Fault::blemish(file, cut.body_line, "the procedure has no ordered list", remedy));
    }
    faults.sort_by_key(|fault| fault.line);
    (Some(page), faults)
}

/// Where each line of the body begins, to turn an offset into the file's line.
struct Lines {
    starts: Vec<usize>,
    first: usize,
}

impl Lines {
    fn new(body: &str, first: usize) -> Self {
        let starts = body.bytes().enumerate().filter(|(_, b)| *b == b'\n').map(|(i, _)| i + 1).collect();
        Self { starts, first }
    }

    fn of(&self, at: &Range<usize>) -> usize {
        self.first + self.starts.partition_point(|start| *start <= at.start)
    }
}

struct Walk<'a, 'f> {
    file: &'a str,
    events: OffsetIter<'a>,
    lines: Lines,
    faults: &'f mut Vec<Fault>,
    links: Vec<Link>,
    /// Hold points met in the list item being read.
    holds: Vec<Hold>,
    html_told: bool,
}

impl Walk<'_, '_> {
    fn sections(&mut self, title: &str, line: usize) -> Vec<Section> {
        let mut sections = vec![Section { heading: title.to_owned(), path: Vec::new(), line, nodes: Vec::new() }];
        let mut above: Vec<(usize, String)> = Vec::new();
        while let Some((event, at)) = self.events.next() {
            if let Event::Start(Tag::Heading { level, .. }) = event {
                let (level, line) = (level as usize, self.lines.of(&at));
                let heading = self.inline();
                above.retain(|(l, _)| *l < level);
                // A first heading that repeats the title adds nothing to the path.
                if level == 1 && heading.eq_ignore_ascii_case(title) {
                    continue;
                }
                above.push((level, heading.clone()));
                let path = above.iter().map(|(_, words)| words.clone()).collect();
                sections.push(Section { heading, path, line, nodes: Vec::new() });
                continue;
            }
            let nodes = self.block(event, at, 0);
            if let Some(section) = sections.last_mut() {
                section.nodes.extend(nodes);
            }
            self.stray_holds();
        }
        sections.retain(|section| !section.path.is_empty() || !section.nodes.is_empty());
        sections
    }

    /// A hold point outside a list item opens nothing in a procedure: say so.
    fn stray_holds(&mut self) {
        for hold in std::mem::take(&mut self.holds) {
            self.faults.push(Fault::blemish(
                self.file,
                hold.line,
                format!("the hold point `log:{}` stands outside a step", hold.check),
                "move the link into an item of the ordered list",
            ));
        }
    }

    /// The nodes of one block whose opening event has been taken.
    fn block(&mut self, event: Event<'_>, at: Range<usize>, depth: usize) -> Vec<Node> {
        let line = self.lines.of(&at);
        match event {
            Event::Start(Tag::HtmlBlock) => {
                self.html(line);
                self.skip();
                Vec::new()
            }
            Event::Start(Tag::List(start)) if depth < DEPTH => vec![self.list(start, depth)],
            Event::Start(Tag::Table(_)) => vec![self.table(line)],
            Event::Start(Tag::BlockQuote(kind)) if depth < DEPTH => self.quote(kind, line, depth),
            Event::Start(_) => text_node(self.inline()),
            Event::Text(text) | Event::Code(text) => text_node(text.to_string()),
            Event::Html(_) | Event::InlineHtml(_) => {
                self.html(line);
                Vec::new()
            }
            _ => Vec::new(),
        }
    }

    fn html(&mut self, line: usize) {
        if !std::mem::replace(&mut self.html_told, true) {
            let remedy = "write it in Markdown; raw HTML is left out everywhere";
            self.faults.push(Fault::blemish(self.file, line, "the page has raw HTML", remedy));
        }
    }

    /// Passes over a block to its end.
    fn skip(&mut self) {
        let mut open = 1usize;
        while open > 0 {
            match self.events.next() {
                Some((Event::Start(_), _)) => open += 1,
                Some((Event::End(_), _)) => open -= 1,
                Some(_) => {}
                None => return,
            }
        }
    }

    /// A hold point for a `log:` link, its words still to come; any other link is noted.
    fn link(&mut self, target: &str, at: &Range<usize>) -> Option<Hold> {
        let line = self.lines.of(at);
        let Some(check) = target.strip_prefix("log:") else {
            self.links.push(Link { target: target.to_owned(), line });
            return None;
        };
        Some(Hold { check: check.trim().to_lowercase(), words: String::new(), step: None, line })
    }

    /// The plain words up to the end of the block that is open, however deep it nests.
    fn inline(&mut self) -> String {
        let mut out = String::new();
        let mut open = 1usize;
        let mut hold: Option<(Hold, usize)> = None;
        while open > 0 {
            let Some((event, at)) = self.events.next() else { break };
            match event {
                Event::Start(Tag::Link { dest_url, .. }) => {
                    open += 1;
                    hold = self.link(&dest_url, &at).map(|hold| (hold, out.len()));
                }
                Event::End(TagEnd::Link) => {
                    open -= 1;
                    if let Some((mut done, from)) = hold.take() {
                        done.words = out.get(from..).unwrap_or_default().trim().to_owned();
                        self.holds.push(done);
                    }
                }
                Event::Start(Tag::HtmlBlock) => {
                    open += 1;
                    self.html(self.lines.of(&at));
                }
                Event::Start(tag) => {
                    open += 1;
                    if matches!(tag, Tag::Paragraph | Tag::Item | Tag::TableCell | Tag::BlockQuote(_)) {
                        space(&mut out);
                    }
                }
                Event::End(_) => open -= 1,
                Event::Text(text) | Event::Code(text) => out.push_str(&text),
                Event::SoftBreak | Event::HardBreak => space(&mut out),
                Event::InlineHtml(_) => self.html(self.lines.of(&at)),
                _ => {}
            }
        }
        out.trim().to_owned()
    }

    fn list(&mut self, start: Option<u64>, depth: usize) -> Node {
        let first = start.unwrap_or(1);
        let mut items = Vec::new();
        while let Some((event, at)) = self.events.next() {
            match event {
                Event::Start(Tag::Item) => {
                    let line = self.lines.of(&at);
                    let outer = std::mem::take(&mut self.holds);
                    let text = self.item(depth);
                    let mut holds = std::mem::replace(&mut self.holds, outer);
                    for hold in &mut holds {
                        hold.step = start.map(|_| first + items.len() as u64);
                    }
                    items.push(Item { text, holds, line });
                }
                Event::End(TagEnd::List(_)) => break,
                _ => {}
            }
        }
        Node::List { ordered: start.is_some(), start: first, items }
    }

    /// One item as one text: its sentences, then what nests inside it.
    fn item(&mut self, depth: usize) -> String {
        let mut out = String::new();
        while let Some((event, at)) = self.events.next() {
            match event {
                Event::End(TagEnd::Item) => break,
                Event::Text(text) | Event::Code(text) => out.push_str(&text),
                Event::SoftBreak | Event::HardBreak => space(&mut out),
                // A tight list has its words bare in the item, and emphasis and links among them.
                Event::Start(Tag::Emphasis | Tag::Strong | Tag::Strikethrough) => out.push_str(&self.inline()),
                Event::Start(Tag::Link { dest_url, .. }) => {
                    let hold = self.link(&dest_url, &at);
                    let words = self.inline();
                    out.push_str(&words);
                    self.holds.extend(hold.map(|hold| Hold { words, ..hold }));
                }
                Event::Start(Tag::List(start)) if depth < DEPTH => {
                    let Node::List { ordered, start, items } = self.list(start, depth + 1) else { continue };
                    for (number, item) in (start..).zip(items) {
                        out.truncate(out.trim_end().len());
                        out.push_str(&if ordered { format!(" ({number}) ") } else { " – ".to_owned() });
                        out.push_str(&item.text);
                        self.holds.extend(item.holds);
                    }
                }
                event => {
                    for node in self.block(event, at, depth + 1) {
                        space(&mut out);
                        out.push_str(&node.spoken());
                    }
                }
            }
        }
        out.trim().to_owned()
    }

    fn table(&mut self, line: usize) -> Node {
        let (mut header, mut rows, mut cells, mut row_line) = (Vec::new(), Vec::new(), Vec::new(), line);
        while let Some((event, at)) = self.events.next() {
            match event {
                Event::Start(Tag::TableRow | Tag::TableHead) => row_line = self.lines.of(&at),
                Event::Start(Tag::TableCell) => cells.push(self.inline()),
                Event::End(TagEnd::TableHead) => header = std::mem::take(&mut cells),
                Event::End(TagEnd::TableRow) => {
                    rows.push(Row { cells: std::mem::take(&mut cells), line: row_line });
                }
                Event::End(TagEnd::Table) => break,
                _ => {}
            }
        }
        Node::Table { header, rows, line }
    }

    fn quote(&mut self, kind: Option<BlockQuoteKind>, line: usize, depth: usize) -> Vec<Node> {
        let mut said = Vec::new();
        while let Some((event, at)) = self.events.next() {
            if matches!(event, Event::End(TagEnd::BlockQuote(_))) {
                break;
            }
            said.extend(self.block(event, at, depth + 1).iter().map(Node::spoken));
        }
        let text = said.join(" ");
        let kind = match kind {
            Some(BlockQuoteKind::Note) => AlertKind::Note,
            Some(BlockQuoteKind::Tip) => AlertKind::Tip,
            Some(BlockQuoteKind::Important) => AlertKind::Important,
            Some(BlockQuoteKind::Warning) => AlertKind::Warning,
            Some(BlockQuoteKind::Caution) => AlertKind::Caution,
            None => return self.plain_quote(text, line),
        };
        if text.is_empty() { Vec::new() } else { vec![Node::Alert { kind, text }] }
    }

    /// A quote that is no alert; one that looks like a misspelt alert is shown as a caution and reported.
    fn plain_quote(&mut self, text: String, line: usize) -> Vec<Node> {
        const KINDS: [&str; 5] = ["NOTE", "TIP", "IMPORTANT", "WARNING", "CAUTION"];
        let Some((word, rest)) = text.strip_prefix("[!").and_then(|t| t.split_once(']')) else {
            return text_node(text);
        };
        let remedy = match nearest(&word.to_uppercase(), KINDS) {
            Some(kind) => format!("did you mean `[!{kind}]`? It stands alone on the quote's first line"),
            None => format!("it is one of {}, alone on the quote's first line", one_of(&KINDS)),
        };
        self.faults.push(Fault::blemish(self.file, line, format!("unknown alert `[!{word}]`"), remedy));
        // Better one caution too many than one lost to a slip of spelling.
        vec![Node::Alert { kind: AlertKind::Caution, text: rest.trim().to_owned() }]
    }
}

fn text_node(text: String) -> Vec<Node> {
    if text.trim().is_empty() { Vec::new() } else { vec![Node::Text(text.trim().to_owned())] }
}

fn space(out: &mut String) {
    if !out.is_empty() && !out.ends_with(char::is_whitespace) {
        out.push(' ');
    }
}
