//! What can be pressed under a message: actions as buttons, cells with a line as one menu.

use super::buttons::{Buttons, Press};
use super::limits;
use crate::desk::reply::{Action, Block, Table};

/// A row of things to press.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Row {
    Buttons(Vec<Button>),
    Menu { hint: String, choices: Vec<Button> },
}

impl Row {
    /// All that can be pressed in it.
    pub fn entries(&mut self) -> &mut [Button] {
        match self {
            Self::Buttons(buttons) | Self::Menu { choices: buttons, .. } => buttons,
        }
    }
}

/// A button or a menu's entry.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Button {
    pub label: String,
    pub id: String,
}

/// The rows, and the actions there was no room for.
pub fn rows<'a>(actions: &'a [Action], blocks: &[Block], buttons: &Buttons) -> (Vec<Row>, Vec<&'a Action>) {
    let menu = menu(blocks, buttons);
    let room = (limits::ROWS - usize::from(menu.is_some())) * limits::ROW_BUTTONS;
    let mut made: Vec<Button> = Vec::new();
    let mut left = Vec::new();
    for action in actions.iter().filter(|action| !action.line.trim().is_empty()) {
        let button = button(action, buttons);
        // The platform refuses a message in which two buttons say the same.
        if made.iter().any(|other| other.id == button.id) {
            continue;
        }
        if made.len() < room { made.push(button) } else { left.push(action) }
    }
    let mut rows: Vec<Row> = made.chunks(limits::ROW_BUTTONS).map(|row| Row::Buttons(row.to_vec())).collect();
    rows.extend(menu);
    (rows, left)
}

fn button(action: &Action, buttons: &Buttons) -> Button {
    let line = action.line.trim().to_owned();
    let label = limits::line(&action.label, limits::LABEL - 2, &line);
    if action.turns {
        Button { label: limits::cut(&label, limits::LABEL), id: buttons.id(Press::Turn(line)) }
    } else if action.form {
        Button { label: limits::line(&format!("{label} …"), limits::LABEL, &line), id: buttons.id(Press::Form(line)) }
    } else {
        Button { label: limits::cut(&label, limits::LABEL), id: buttons.id(Press::Send(line)) }
    }
}

fn menu(blocks: &[Block], buttons: &Buttons) -> Option<Row> {
    let tables = blocks.iter().filter_map(|block| if let Block::Table(table) = block { Some(table) } else { None });
    let mut choices: Vec<Button> = Vec::new();
    for (label, line) in tables.flat_map(entries) {
        let id = buttons.id(Press::Send(line.clone()));
        if !choices.iter().any(|other| other.id == id) {
            choices.push(Button { label: limits::line(&label, limits::MENU_LABEL, &line), id });
        }
    }
    let all = choices.len();
    choices.truncate(limits::MENU);
    let hint = if all > choices.len() {
        format!("Open… (the first {} of {all})", choices.len())
    } else {
        "Open…".to_owned()
    };
    (all > 0).then_some(Row::Menu { hint, choices })
}

/// What each cell with a line is called, and its line.
fn entries(table: &Table) -> Vec<(String, String)> {
    let mut entries = Vec::new();
    for row in &table.rows {
        for (at, cell) in row.iter().enumerate() {
            let Some(line) = cell.line.as_deref().map(str::trim).filter(|line| !line.is_empty()) else { continue };
            let of = row.first().map_or("", |first| first.text.as_str());
            let label = match table.header.get(at) {
                _ if at == 0 => cell.text.clone(),
                Some(header) => format!("{of} · {header} {}", cell.text),
                None => format!("{of} · {}", cell.text),
            };
            entries.push((label, line.to_owned()));
        }
    }
    entries
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use super::*;
    use crate::desk::reply::Cell;

    #[test]
    fn actions_become_buttons_each_once() {
        let actions = [
            Action::send("Next: rear seals", "page rear-seals"),
            Action::send("The same again", "page rear-seals"),
            Action::form("Bore taper", "ring taper"),
            Action::send("Nothing", "  "),
        ];
        let (rows, left) = rows(&actions, &[], &Buttons::default());
        assert!(left.is_empty());
        let [Row::Buttons(row)] = rows.as_slice() else { panic!("{rows:?}") };
        let seen: Vec<_> = row.iter().map(|b| (b.label.as_str(), b.id.as_str())).collect();
        assert_eq!(seen, [("Next: rear seals", "say:page rear-seals"), ("Bore taper …", "form:ring taper")]);
    }

    #[test]
    fn what_has_no_room_is_handed_back() {
        let actions: Vec<Action> = (0..30).map(|n| Action::send(format!("Page {n}"), format!("page {n}"))).collect();
        let (rows, left) = rows(&actions, &[], &Buttons::default());
        assert_eq!((rows.len(), left.len()), (5, 5));
    }

    #[test]
    fn cells_with_a_line_become_one_menu() {
        let mut table = Table { header: vec!["Check".to_owned(), "1".to_owned()], ..Table::default() };
        for n in 0..40 {
            let cell = Cell { text: "2.4495".to_owned(), verdict: None, line: Some(format!("log main-journal {n}")) };
            table.rows.push(vec!["main journal".into(), cell]);
        }
        let (rows, _) = rows(&[], &[Block::Table(table)], &Buttons::default());
        let [Row::Menu { hint, choices }] = rows.as_slice() else { panic!("{rows:?}") };
        assert_eq!((choices.len(), hint.as_str()), (25, "Open… (the first 25 of 40)"));
        assert_eq!(choices[0].label, "main journal · 1 2.4495");
    }
}
