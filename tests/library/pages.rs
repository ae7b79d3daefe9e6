//! Markdown into plain data: nothing that is markup reaches a front, and every step keeps its number and hold points.

use gudgeon::library::{AlertKind, Form, Hold, Node, parse, passages};

use super::page;
use crate::talks;

#[test]
fn inline_markup_is_flattened_and_raw_html_dropped() {
    let body = "Push **hard**, *never* `hit` [the ring](ring.md) <b onclick=\"x()\">now</b>.\n\n\
        <script>\nalert(1)\n</script>\n\n![a drawing](x.png)\n\nLine <img src=x onerror=alert(2)> end.\n";
    let (parsed, _) = parse("n.md", &page("N", "note", body));
    let section = &parsed.unwrap().sections[0];
    let spoken: Vec<String> = section.nodes.iter().map(Node::spoken).collect();
    assert_eq!(spoken, ["Push hard, never hit the ring now.", "a drawing", "Line  end."]);
}

#[test]
fn steps_keep_numbers_and_hold_points() {
    let body = "Before.\n\n## Steps\n\n3. Square the ring.\n4. File, then [post the end gap](log:ring-gap):\n   - top\n   - second\n";
    let (parsed, faults) = parse("p.md", &page("P", "procedure", body));
    let parsed = parsed.unwrap();
    assert!(faults.is_empty());
    let steps = parsed.steps();
    assert_eq!(steps.iter().map(|s| (s.number, s.heading)).collect::<Vec<_>>(), [(3, "Steps"), (4, "Steps")]);
    assert_eq!(steps[1].item.text, "File, then post the end gap: – top – second");
    let hold = Hold { check: "ring-gap".into(), words: "post the end gap".into(), step: Some(4), line: 13 };
    assert_eq!(steps[1].item.holds, [hold]);
}

#[test]
fn a_list_of_steps_is_never_cut() {
    let list = |numbers: std::ops::RangeInclusive<u64>| -> String {
        numbers.map(|n| format!("{n}. Step {n} of the job.\n")).collect()
    };
    let starts = |body: &str| -> Vec<(u64, usize)> {
        let (parsed, _) = parse("p.md", &page("P", "procedure", body));
        let cut = passages(&parsed.unwrap());
        cut.iter()
            .filter(|passage| passage.form == Form::Steps)
            .filter_map(|passage| match passage.nodes.first() {
                Some(Node::List { start, .. }) => Some((*start, passage.text.matches("Step ").count())),
                _ => None,
            })
            .collect()
    };
    assert_eq!(starts(&format!("## Steps\n\n{}", list(1..=40))), [(1, 40)]);
    // A word between two steps does not end the list; a list that begins again is another.
    let note = "\n> [!NOTE]\n> Wait here.\n\n";
    assert_eq!(starts(&format!("## Steps\n\n{}{note}{}", list(1..=7), list(8..=12))), [(1, 12)]);
    assert_eq!(starts(&format!("## Steps\n\n{}{note}{}", list(1..=7), list(1..=3))), [(1, 7), (1, 3)]);
}

#[test]
fn a_row_is_read_aloud_with_its_header() {
    let body = "| Check | At | Min | Max | Unit | Basis |\n|---|---|---|---|---|---|\n\
        | ring gap | top | 0.0045 x bore | - | in | common practice |\n\n\
        | Place | Goes on |\n|---|---|\n| Skirt | engine oil |\n";
    let (parsed, faults) = parse("l.md", &page("L", "limits", body));
    assert!(faults.is_empty());
    let cut = passages(&parsed.unwrap());
    let text: Vec<&str> = cut.iter().map(|p| p.text.as_str()).collect();
    assert_eq!(
        text,
        ["Ring gap, top: at least 0.0045 x bore (in). Basis: common practice.", "L: Skirt. Goes on: engine oil."]
    );
}

#[test]
fn a_row_says_what_it_is_about() {
    let knock = page("Knocks", "note", "## Which knock is it\n\n| You hear | When |\n|---|---|\n| Rattle | cold. |\n");
    let (parsed, _) = parse("n.md", &knock);
    assert_eq!(passages(&parsed.unwrap())[0].text, "Which knock is it: Rattle. When: cold.");
    let library = talks::shelf();
    let row = library.passages().find(|p| p.title == "Skerry V8" && p.text.contains("crank end float")).unwrap();
    assert_eq!(
        row.text,
        "Skerry V8, crank end float: at least 0.004 in, at most 0.008 in. Basis: demo sheet (invented)."
    );
}

#[test]
fn the_nearest_caution_goes_with_a_passage() {
    let body = "Opening.\n\n> [!WARNING]\n> Springs fly.\n\n## A\n\nWords.\n\n## B\n\n> [!CAUTION]\n> Hot.\n\nMore.\n\n### C\n\nDeep.\n";
    let (parsed, _) = parse("p.md", &page("P", "note", body));
    let cut = passages(&parsed.unwrap());
    let cautions: Vec<_> = cut.iter().map(|p| (p.heading(), p.caution.as_deref())).collect();
    assert_eq!(
        cautions,
        [("P", Some("Springs fly.")), ("A", Some("Springs fly.")), ("B", Some("Hot.")), ("C", Some("Hot."))]
    );
    assert!(cut[2].text.contains("Caution: Hot.") && !cut[2].nodes.iter().any(|n| matches!(n, Node::Alert { .. })));
}

#[test]
fn a_misspelt_alert_is_still_a_caution() {
    let (parsed, _) = parse("p.md", &page("P", "note", "> [!DANGR]\n> It falls."));
    let node = &parsed.unwrap().sections[0].nodes[0];
    assert_eq!(*node, Node::Alert { kind: AlertKind::Caution, text: "It falls.".into() });
}

#[test]
fn line_ends_and_byte_marks_of_any_editor_are_read() {
    let text = format!("\u{feff}{}", page("P", "note", "One [bad](x.md).").replace('\n', "\r\n"));
    let (parsed, faults) = parse("p.md", &text);
    let parsed = parsed.unwrap();
    assert!(faults.is_empty());
    assert_eq!((parsed.slug.as_str(), parsed.links[0].line), ("p", 8));
}

#[test]
fn depth_without_end_is_read_without_falling_over() {
    for text in
        [">".repeat(60_000), "- ".repeat(20_000), "*a ".repeat(20_000), "[".repeat(20_000), "1. ".repeat(20_000)]
    {
        let (parsed, _) = parse("deep.md", &page("Deep", "note", &format!("{text}end")));
        passages(&parsed.unwrap());
    }
}
