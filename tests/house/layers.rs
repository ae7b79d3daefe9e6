//! No import runs upward. The compiler cannot see it in one crate, so this reads every `crate::` path.

use std::path::{Path, PathBuf};

/// Which rooms a room may look into.
const MAY_USE: &[(&str, &[&str])] = &[
    ("quantity", &[]),
    ("maths", &["quantity"]),
    ("engine", &["maths", "quantity"]),
    ("drawing", &["engine", "maths", "quantity"]),
    ("library", &["engine", "maths", "quantity"]),
    ("record", &["engine", "maths", "quantity"]),
    ("desk", &["library", "record", "drawing", "engine", "maths", "quantity"]),
    ("fronts", &["desk", "drawing", "quantity", "config"]),
];

/// Crates that only these rooms know.
const ONLY_IN: &[(&str, &[&str])] = &[
    ("rusqlite", &["record"]),
    ("tantivy", &["library"]),
    ("pulldown_cmark", &["library"]),
    ("serenity", &["fronts"]),
    ("axum", &["fronts"]),
    ("tokio", &["fronts"]),
    ("resvg", &["drawing"]),
    ("krilla", &["drawing"]),
    ("image", &["drawing", "record"]),
];

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(sources(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
    found
}

/// Rooms named after `crate::` in a source, brace groups included.
fn rooms_used(text: &str) -> Vec<String> {
    let mut rooms = Vec::new();
    for (at, _) in text.match_indices("crate::") {
        let rest = &text[at + "crate::".len()..];
        let list = match rest.strip_prefix('{') {
            Some(group) => group.split('}').next().unwrap_or_default().split(',').collect(),
            None => vec![rest],
        };
        for item in list {
            let room: String = item.trim().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
            rooms.push(room);
        }
    }
    rooms
}

#[test]
fn no_import_runs_upward() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut faults = Vec::new();
    for (room, allowed) in MAY_USE {
        let files = sources(&src.join(room));
        assert!(!files.is_empty(), "the room {room} is gone: mend this test");
        for file in files {
            let text = std::fs::read_to_string(&file).unwrap();
            for used in rooms_used(&text) {
                let known = MAY_USE.iter().any(|(r, _)| *r == used) || used == "config";
                if known && used != *room && !allowed.contains(&used.as_str()) {
                    faults.push(format!("{} looks into {used}", file.display()));
                }
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn heavy_crates_stay_in_their_rooms() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut faults = Vec::new();
    for (name, rooms) in ONLY_IN {
        for (room, _) in MAY_USE.iter().filter(|(room, _)| !rooms.contains(room)) {
            for file in sources(&src.join(room)) {
                let text = std::fs::read_to_string(&file).unwrap();
                if text.contains(&format!("{name}::")) {
                    faults.push(format!("{} knows {name}", file.display()));
                }
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn the_reader_of_imports_sees_every_form() {
    let text = "use crate::maths::x; use crate::{desk, record::y}; crate::fronts::z()";
    assert_eq!(rooms_used(text), ["maths", "desk", "record", "fronts"]);
}
