//! An outcome as a message of plain data: the answer first, then how it came about, then what to do next.

use super::body::{self, Piece};
use super::buttons::Buttons;
use super::limits::{self, size};
use super::mark;
use super::rows::{self, Row};
use crate::desk::notices::Notice;
use crate::desk::reply::{Action, Block, Photograph, Reply, Verdict};
use crate::desk::{Developed, MOST_A_READING, Outcome, Refusal};
use crate::drawing::{self, Figure};
use crate::fronts::terminal;

/// A message as the platform will take it; every part is within its limits.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Message {
    pub cards: Vec<Card>,
    pub files: Vec<File>,
    pub rows: Vec<Row>,
    /// Only the asker sees it.
    pub private: bool,
}

/// What is said unasked. Plain text, not a card: a phone shows it whole before it is opened.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Note {
    /// Safe Markdown, with room left for the role.
    pub text: String,
    pub rows: Vec<Row>,
    /// The one role that is called.
    pub role: Option<u64>,
    /// The one person that is called.
    pub member: Option<u64>,
    pub nonce: String,
}

/// An embed. `title` and `text` are safe Markdown, `footer` is plain; an empty part is left out.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Card {
    pub title: String,
    pub text: String,
    pub footer: String,
    pub colour: u32,
    /// The attached file shown in the card.
    pub image: Option<String>,
}

/// A file that goes with a message.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct File {
    pub name: String,
    pub bytes: Vec<u8>,
    /// Says in words what a picture shows.
    pub alt: String,
}

const PLAIN: u32 = 0x005b_6b7a;
const GREEN: u32 = 0x002e_7d32;
const AMBER: u32 = 0x00b2_6a00;
const RED: u32 = 0x00b7_1c1c;

const SOURCES: usize = 600;
const PICTURE_TITLE: usize = 60;
/// Pixels across that a figure gets: sharp on a phone, drawn well within the time an answer has.
const FIGURE_WIDTH: f32 = 720.0;
/// Pixels along the longer side of a photograph that would take up too much as it is: a scratch is still seen.
const PHOTO_LONGEST: u32 = 2_000;
const WHOLE: &str = "answer.txt";
const CUT_NOTE: &str = "*Cut here: the whole answer is in answer.txt below.*";

/// Where the photograph of a hash is found.
pub type Album<'a> = &'a dyn Fn(&str) -> anyhow::Result<Option<Developed>>;

/// Any outcome. `most_bytes` is the largest file the server takes.
pub fn outcome(outcome: &Outcome, buttons: &Buttons, album: Album<'_>, most_bytes: usize) -> Message {
    match outcome {
        Outcome::Reply(reply) => self::reply(reply, outcome, buttons, album, most_bytes),
        Outcome::Refused(refusal) => refused(refusal, &[], buttons),
        Outcome::Fault(text) => aside("That did not work", text),
    }
}

/// A short word to the asker alone.
pub fn aside(title: &str, text: &str) -> Message {
    let card = Card {
        title: mark::escape_to(title, limits::TITLE),
        text: mark::escape_to(text, limits::DESCRIPTION / 2),
        colour: PLAIN,
        ..Card::default()
    };
    Message { cards: vec![card], private: true, ..Message::default() }
}

/// A refusal, to the asker alone, with the ways out as buttons.
pub fn refused(refusal: &Refusal, ways: &[Action], buttons: &Buttons) -> Message {
    let mut message = aside(&format!("Refused: {}", refusal.input), &refusal.sentence());
    let shown = refusal.line.iter().map(|line| Action::send(line.clone(), line.clone()));
    let actions: Vec<Action> = ways.iter().cloned().chain(shown).collect();
    (message.rows, _) = rows::rows(&actions, &[], buttons);
    message
}

/// What the outbox holds, as it is said.
pub fn note(notice: &Notice, buttons: &Buttons) -> Note {
    let actions: Vec<Action> = notice
        .offers
        .iter()
        .map(|offer| match offer.form {
            true => Action::form(offer.label.clone(), offer.line.clone()),
            false => Action::send(offer.label.clone(), offer.line.clone()),
        })
        .collect();
    let title = mark::escape_to(&notice.title, limits::TITLE);
    let text = limits::cut(&mark::escape(&notice.text), limits::CONTENT - limits::TITLE - 40);
    let (rows, _) = rows::rows(&actions, &[], buttons);
    Note { text: format!("**{title}**\n{text}").trim_end().to_owned(), rows, ..Note::default() }
}

fn reply(reply: &Reply, outcome: &Outcome, buttons: &Buttons, album: Album<'_>, most_bytes: usize) -> Message {
    let mut message = Message::default();
    let mut card = Card { colour: colour(reply.verdict), ..Card::default() };
    let mut pieces = Vec::new();
    let (title, title_whole) = title(reply);
    card.title = title;
    if !title_whole {
        pieces.push(Piece::Prose(vec![mark::escape(&reply.title)]));
    }
    let mut more_cards = Vec::new();
    let mut sources: Vec<&str> = Vec::new();
    for block in &reply.blocks {
        let picture = match block {
            Block::Figure(figure) => {
                attach_figure(figure, &mut message.files, most_bytes).map(|name| (name, &figure.title))
            }
            Block::Photo(photo) => {
                attach_photo(photo, album, &mut message.files, most_bytes).map(|name| (name, &photo.title))
            }
            _ => None,
        };
        match (block, picture) {
            (_, Some((name, _))) if card.image.is_none() => card.image = Some(name),
            (_, Some((name, title))) if more_cards.len() + 1 < limits::EMBEDS => more_cards.push(Card {
                title: mark::escape_to(title, PICTURE_TITLE),
                colour: PLAIN,
                image: Some(name),
                ..Card::default()
            }),
            (_, Some(_)) => {}
            (Block::Figure(figure), None) => {
                pieces.push(Piece::Prose(vec![mark::escape(&format!("{}: {}", figure.title, figure.alt))]));
            }
            (Block::Document(document), None) => {
                let bytes = document.content.clone();
                if let Err(told) = attach(&document.name, bytes, "", &mut message.files, most_bytes) {
                    pieces.push(Piece::Prose(vec![told]));
                }
            }
            (Block::Sources(more), None) => sources.extend(more.iter().map(String::as_str)),
            (text, None) => pieces.extend(body::pieces(text)),
        }
    }
    let (rows, left) = rows::rows(&reply.actions, &reply.blocks, buttons);
    message.rows = rows;
    if !left.is_empty() {
        let lines = left.iter().map(|action| format!("> {}", action.line)).collect::<Vec<_>>();
        pieces.push(Piece::Heading("**More to send**".to_owned()));
        pieces.push(Piece::Code(lines.iter().map(|line| mark::inside_code(line)).collect()));
    }
    let footer = if sources.is_empty() { String::new() } else { format!("Basis: {}", sources.join("; ")) };
    card.footer = limits::line(&footer, SOURCES, "");
    let (text, text_whole) = body::fit(&pieces, limits::DESCRIPTION, CUT_NOTE);
    card.text = text;
    if !text_whole || size(&footer) > SOURCES {
        let whole = terminal::paint::outcome(outcome, 72).into_bytes();
        if let Err(told) = attach(WHOLE, whole, "", &mut message.files, most_bytes) {
            tracing::warn!("an answer was cut and its whole text could not be attached: {told}");
        }
    }
    message.cards.push(card);
    message.cards.extend(more_cards);
    message
}

/// The answer with its verdict word, and whether all of it is there.
fn title(reply: &Reply) -> (String, bool) {
    let verdict = match reply.verdict {
        None | Some(Verdict::NoLimit) => String::new(),
        Some(Verdict::Out) => " - OUT".to_owned(),
        Some(verdict) => format!(" - {}", verdict.as_str()),
    };
    let said = if reply.title.trim().is_empty() { "Done" } else { &reply.title };
    let room = limits::TITLE - size(&verdict);
    let whole = size(&mark::escape(said)) <= room;
    (mark::escape_to(said, room) + &verdict, whole)
}

fn colour(verdict: Option<Verdict>) -> u32 {
    match verdict {
        Some(Verdict::Within) => GREEN,
        Some(Verdict::Marginal) => AMBER,
        Some(Verdict::Out) => RED,
        Some(Verdict::NoLimit) | None => PLAIN,
    }
}

/// The name under which a figure is attached; none where it is told in words instead.
fn attach_figure(figure: &Figure, files: &mut Vec<File>, most_bytes: usize) -> Option<String> {
    let scale = (FIGURE_WIDTH / figure.width.max(1) as f32).clamp(1.0, 4.0);
    let png = drawing::png(figure, scale)
        .inspect_err(|error| tracing::error!(figure = figure.title, "a figure has no picture: {error}"))
        .ok()?;
    attach("figure.png", png, &figure.alt, files, most_bytes).ok()
}

/// The name under which a photograph is attached; none where it is told in words instead. All that a reading has fit.
fn attach_photo(photo: &Photograph, album: Album<'_>, files: &mut Vec<File>, most_bytes: usize) -> Option<String> {
    let failed =
        |error: &anyhow::Error| tracing::error!(photograph = photo.hash, "a photograph cannot be shown: {error:#}");
    let developed = album(&photo.hash).inspect_err(failed).ok()??;
    let (name, bytes) = if developed.bytes.len() > most_bytes / MOST_A_READING {
        let small = drawing::photo::small(&developed.bytes, PHOTO_LONGEST).map_err(anyhow::Error::from);
        ("photo.jpg".to_owned(), small.inspect_err(failed).ok()?.jpeg)
    } else {
        (photo.file(), developed.bytes)
    };
    attach(&name, bytes, &photo.alt, files, most_bytes).ok()
}

/// Attaches a file under a name of its own, or says in Markdown why it cannot be.
fn attach(name: &str, bytes: Vec<u8>, alt: &str, files: &mut Vec<File>, most_bytes: usize) -> Result<String, String> {
    let held: usize = files.iter().map(|file| file.bytes.len()).sum();
    // One place stays free for the whole text of a long answer.
    let most_files = if name == WHOLE { limits::FILES } else { limits::FILES - 1 };
    if files.len() >= most_files || held + bytes.len() > most_bytes {
        let kilobytes = bytes.len().div_ceil(1024);
        return Err(mark::escape(&format!(
            "{name} ({kilobytes} kB) is too large to attach here: open it on the phone page."
        )));
    }
    let name = own_name(&safe_name(name), files);
    files.push(File { name: name.clone(), bytes, alt: limits::line(alt, limits::ALT, "") });
    Ok(name)
}

/// Letters, digits, dots and dashes: what the platform keeps as it is.
fn safe_name(name: &str) -> String {
    let kept: String = name
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | '_') { c } else { '-' })
        .take(80)
        .collect();
    let kept = kept.trim_matches(['.', '-']);
    if kept.is_empty() { "file".to_owned() } else { kept.to_owned() }
}

fn own_name(name: &str, files: &[File]) -> String {
    let taken = |name: &str| files.iter().any(|file| file.name == name);
    let (stem, ending) = name.rsplit_once('.').map_or((name, String::new()), |(s, e)| (s, format!(".{e}")));
    let numbered = (2..).map(|n| format!("{stem}-{n}{ending}"));
    std::iter::once(name.to_owned()).chain(numbered).find(|name| !taken(name)).unwrap_or_default()
}

#[cfg(test)]
#[path = "paint_tests.rs"]
mod tests;
