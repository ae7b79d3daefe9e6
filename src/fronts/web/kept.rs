//! Figures and documents of recent replies, kept in memory so that a link can open them.
//!
//! Nothing is worked out again when one is opened: a line could post. Only the person it was made for may see it.

use std::collections::VecDeque;
use std::sync::{Mutex, PoisonError};

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_SECURITY_POLICY, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};

use super::sent::Visitor;
use super::{Shared, frame, off_thread};
use crate::desk::reply::Document;
use crate::drawing::{self, Figure};

/// The most that is kept, in bytes and pieces; the oldest goes first.
const MOST_BYTES: usize = 16 * 1024 * 1024;
const MOST_PIECES: usize = 400;
/// Pixels to the unit in an enlarged figure.
const ENLARGED: f32 = 3.0;

/// One thing kept.
#[derive(Clone)]
pub enum Piece {
    Figure(Figure),
    Document(Document),
}

impl Piece {
    fn bytes(&self) -> usize {
        match self {
            Self::Figure(figure) => figure.svg.len() + figure.alt.len(),
            Self::Document(document) => document.content.len(),
        }
    }
}

struct Entry {
    id: String,
    owner: String,
    piece: Piece,
}

/// The pieces, oldest first.
#[derive(Default)]
pub struct Kept(Mutex<VecDeque<Entry>>);

impl Kept {
    /// Keeps a piece for its owner; none when it is too large or there is no randomness for its name.
    pub fn put(&self, owner: &str, piece: Piece) -> Option<String> {
        // A phone keeps nothing between two requests.
        if cfg!(not(feature = "shop")) {
            return None;
        }
        let id = random_name()?;
        if piece.bytes() > MOST_BYTES {
            return None;
        }
        let mut entries = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        entries.push_back(Entry { id: id.clone(), owner: owner.to_owned(), piece });
        let mut bytes: usize = entries.iter().map(|e| e.piece.bytes()).sum();
        while bytes > MOST_BYTES || entries.len() > MOST_PIECES {
            let Some(oldest) = entries.pop_front() else { break };
            bytes -= oldest.piece.bytes();
        }
        Some(id)
    }

    fn get(&self, id: &str, owner: &str) -> Option<Piece> {
        let entries = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        entries.iter().find(|e| e.id == id && e.owner == owner).map(|e| e.piece.clone())
    }
}

/// 32 hexadecimal digits nobody can guess.
pub fn random_name() -> Option<String> {
    let mut bytes = [0_u8; 16];
    getrandom::fill(&mut bytes).ok()?;
    Some(bytes.iter().map(|b| format!("{b:02x}")).collect())
}

#[cfg(feature = "shop")]
/// A document as it is; a figure as PNG.
pub async fn show(State(page): State<Shared>, visitor: Visitor, Path(id): Path<String>) -> Response {
    match page.kept.get(&id, &visitor.name) {
        Some(Piece::Document(document)) => opened(document),
        Some(Piece::Figure(figure)) => match off_thread(&page, move |_| drawing::png(&figure, ENLARGED)).await {
            Some(Ok(png)) => ([(CONTENT_TYPE, "image/png")], png).into_response(),
            failed => {
                tracing::error!("a figure could not be painted: {:?}", failed.and_then(Result::err));
                frame::fault()
            }
        },
        None => frame::notice(
            StatusCode::NOT_FOUND,
            "This is no longer kept here",
            "Figures and documents are kept for a while after they are asked for. Ask for it again in the talk.",
        ),
    }
}

/// HTML opens shut in a sandbox; what a sandboxed browser would not show is saved.
pub fn opened(document: Document) -> Response {
    let name: String =
        document.name.chars().map(|c| if c.is_ascii_alphanumeric() || "._-".contains(c) { c } else { '-' }).collect();
    let how = if shows(&document) { "inline" } else { "attachment" };
    let headers = [
        (CONTENT_TYPE, with_charset(document.media)),
        (CONTENT_DISPOSITION, format!("{how}; filename=\"{name}\"")),
        (
            CONTENT_SECURITY_POLICY,
            "sandbox allow-modals; default-src 'none'; style-src 'unsafe-inline'; img-src data:; frame-ancestors 'none'"
                .to_owned(),
        ),
    ];
    (headers, document.content).into_response()
}

/// Whether a browser shows it on its own page.
pub fn shows(document: &Document) -> bool {
    document.media.starts_with("text/html")
}

fn with_charset(media: &str) -> String {
    if media.starts_with("text/") && !media.contains(';') {
        format!("{media}; charset=utf-8")
    } else {
        media.to_owned()
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn sheet(size: usize) -> Piece {
        Piece::Document(Document { name: "sheet.html".to_owned(), media: "text/html", content: vec![b'x'; size] })
    }

    #[test]
    fn a_piece_is_its_owners_and_the_oldest_goes_first() {
        let kept = Kept::default();
        let first = kept.put("lead", sheet(10)).unwrap();
        assert!(kept.get(&first, "lead").is_some());
        assert!(kept.get(&first, "tech-1").is_none());
        assert!(kept.put("lead", sheet(MOST_BYTES + 1)).is_none());
        let large = kept.put("lead", sheet(MOST_BYTES)).unwrap();
        assert!(kept.get(&first, "lead").is_none());
        assert!(kept.get(&large, "lead").is_some());
        for _ in 0..MOST_PIECES {
            kept.put("lead", sheet(1)).unwrap();
        }
        assert!(kept.get(&large, "lead").is_none());
    }
}
