//! The build sheet: a whole rebuild typed at the terminal, then its sheet as each of its files.

pub mod files;
mod photos;
mod terminal;

use gudgeon::desk::reply::{Block, Document, Reply};
use gudgeon::desk::{Asker, Desk, Front, Outcome};

/// A whole rebuild, `person: line`.
const REBUILD: &str = include_str!("fulmar.txt");

/// Its lines in order: who, and what they type.
fn lines() -> impl Iterator<Item = (&'static str, &'static str)> {
    REBUILD.lines().filter(|line| !line.starts_with('#')).map(|line| line.split_once(": ").unwrap())
}

/// One line, answered; a refusal is a fault of the test.
pub fn said(desk: &Desk, person: &str, line: &str) -> Reply {
    match desk.answer(&Asker::new(person, Front::Terminal), line, crate::talks::clock()) {
        Outcome::Reply(reply) => reply,
        other => panic!("{person}: {line}: {other:?}"),
    }
}

/// A desk on which that rebuild was typed.
pub fn rebuilt() -> Desk {
    let desk = crate::talks::empty_bench();
    for (number, (person, line)) in lines().enumerate() {
        let mut asker = Asker::new(person, Front::Terminal);
        asker.key = Some(format!("line-{number}"));
        let outcome = desk.answer(&asker, line, crate::talks::clock());
        assert!(matches!(outcome, Outcome::Reply(_)), "{person}: {line}: {outcome:?}");
    }
    desk
}

/// The file that comes with the sheet of job 1.
pub fn file(desk: &Desk, options: &str) -> Document {
    document(said(desk, "lead", &format!("sheet 1 {options}")))
}

/// The document of a reply.
pub fn document(reply: Reply) -> Document {
    let document = reply.blocks.into_iter().find_map(|block| match block {
        Block::Document(document) => Some(document),
        _ => None,
    });
    document.unwrap()
}
