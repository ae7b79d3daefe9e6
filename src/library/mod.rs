//! The library: a shelf of Markdown pages, read into plain data, searched, looked up, and checked for faults.
//!
//! `parse` reads a page, `passage` cuts it, `words` and `limits` read its tables, `index` and `search` answer questions,
//! `shelf` holds it all together and keeps it fresh. Nothing here changes a page; `draft` starts new ones.

mod asked;
#[cfg(feature = "shop")]
mod best;
mod beyond;
#[cfg(feature = "shop")]
mod bm25;
#[cfg(feature = "shop")]
mod bounds;
mod check;
#[cfg(feature = "shop")]
mod confidence;
mod draft;
#[cfg(feature = "shop")]
mod english;
#[cfg(feature = "shop")]
mod evidence;
mod fault;
#[cfg(feature = "shop")]
mod fit;
#[cfg(not(feature = "shop"))]
mod fixed;
mod folder;
mod front;
#[cfg(not(feature = "shop"))]
mod headings;
#[cfg(feature = "shop")]
mod index;
mod language;
mod leaf;
mod lexer;
#[cfg(feature = "shop")]
mod lexicon;
#[cfg(feature = "shop")]
mod likeness;
mod limits;
mod page;
mod parse;
mod passage;
#[cfg(feature = "shop")]
mod question;
#[cfg(feature = "shop")]
mod reading;
#[cfg(feature = "shop")]
mod search;
#[cfg(feature = "shop")]
mod sense;
mod shelf;
mod sizes;
#[cfg(feature = "shop")]
mod standing;
#[cfg(feature = "shop")]
mod watch;
#[cfg(feature = "shop")]
mod weights;
mod words;

#[cfg(feature = "shop")]
pub use beyond::as_read;
pub use draft::{NoDraft, draft};
pub use fault::Fault;
#[cfg(not(feature = "shop"))]
pub use fixed::Shelf;
pub use page::{AlertKind, Hold, Item, Kind, Link, Node, Page, Row, Section, Step};
pub use parse::parse;
pub use passage::{Form, Passage, Ref, passages};
pub use shelf::{Answer, Effort, Hit, Library, Report};
#[cfg(feature = "shop")]
pub use shelf::{Weighed, embedded_files};
#[cfg(feature = "shop")]
pub use watch::Shelf;
pub use words::{Term, terms};
