//! The library: a shelf of Markdown pages, read into plain data, searched, looked up, and checked for faults.
//!
//! `parse` reads a page, `passage` cuts it, `words` and `limits` read its tables, `index` and `search` answer questions,
//! `shelf` holds it all together and keeps it fresh. Nothing here changes a page; `draft` starts new ones.

mod asked;
mod bm25;
mod check;
mod confidence;
mod draft;
mod evidence;
mod fault;
mod folder;
mod front;
mod index;
mod language;
mod leaf;
mod lexer;
mod lexicon;
mod likeness;
mod limits;
mod page;
mod parse;
mod passage;
mod question;
mod reading;
mod search;
mod shelf;
mod standing;
mod watch;
mod weights;
mod words;

pub use draft::{NoDraft, draft};
pub use fault::Fault;
pub use page::{AlertKind, Hold, Item, Kind, Link, Node, Page, Row, Section, Step};
pub use parse::parse;
pub use passage::{Form, Passage, Ref, passages};
pub use shelf::{Answer, Effort, Hit, Library, Report, Weighed, embedded_files};
pub use watch::Shelf;
pub use words::{Term, terms};
