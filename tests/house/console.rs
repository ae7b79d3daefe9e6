//! The talk in the terminal: what a line of nothing but numbers is taken for, and rows by standard input.

use gudgeon::desk::{Asker, Desk, Front, Outcome};
use gudgeon::fronts::terminal;

use crate::talks::{bench, clock};

fn tech() -> Asker {
    Asker::new("tech-1", Front::Terminal)
}

/// What is said to these lines, one after another.
fn talked(desk: &Desk, lines: &[&str]) -> String {
    let mut said = Vec::new();
    terminal::console(desk, &tech(), lines.join("\n").as_bytes(), &mut said).unwrap();
    String::from_utf8(said).unwrap()
}

const BORE: &str = "4.0004 4.0002 4.0004 4.0002 4.0003 4.0001";

#[test]
fn a_walk_takes_bare_readings_one_place_after_another() {
    let desk = bench();
    let said = talked(
        &desk,
        &["job take 1", "next", BORE, "4.0004 4.0002", "4.0304 4.0002 4.0004 4.0002 4.0003 4.0001", BORE],
    );
    assert!(said.contains(&format!("Taken as: log bore 3 job=1 --walk {BORE}\n")), "{said}");
    assert!(said.contains("Bore 3: 4.0001 to 4.0004 in"), "{said}");
    // Too few, then one far from its neighbours: neither is posted, and the place is still asked for.
    assert!(said.contains("Bore takes 6 values") && said.contains("“4.0304”. It is 0.0301 in"), "{said}");
    assert!(said.contains("Bore 4: 4.0001 to 4.0004 in"), "{said}");
}

#[test]
fn numbers_that_nobody_asked_for_are_never_posted() {
    let desk = bench();
    let before = desk.fingerprint().unwrap();
    // No walk; a question between; words beside the numbers; a place that was left.
    talked(&desk, &["job take 1", BORE]);
    talked(&desk, &["next", "what is squish", BORE]);
    talked(&desk, &["next", "4.0004 4.0002 4.0004 4.0002 4.0003 or 4.0001", "is 4.0004 too big", "4.0004?"]);
    talked(&desk, &["next", "job show 1", BORE]);
    assert_eq!(desk.fingerprint().unwrap(), before);
}

#[test]
fn rows_come_by_standard_input() {
    let desk = bench();
    let block = "Main\tvertical\n1\t2.6408\t2.6409\t2.6408\r\n2\t2.6409\t2.6410\t2.6409\n";
    let line = terminal::with_rows(&desk, "paste main-housing job=1 -", block.as_bytes()).unwrap();
    let wanted =
        "paste check=main-housing job=1 rows=\"Main, vertical; 1, 2.6408, 2.6409, 2.6408; 2, 2.6409, 2.6410, 2.6409\"";
    assert_eq!(line, wanted);
    assert!(
        matches!(desk.answer(&tech(), &line, clock()), Outcome::Reply(reply) if reply.title.contains("2 readings"))
    );
    for other in ["next 1", "log bore -", "what is squish -"] {
        assert_eq!(terminal::with_rows(&desk, other, block.as_bytes()).unwrap(), other);
    }
}
