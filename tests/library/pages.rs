//! Markdown into plain data: nothing that is markup reaches a front, and every step keeps its number and hold points.

use gudgeon::library::{AlertKind, Form, Hold, Node, parse, passages};

use super::page;

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
fn a_long_list_is_cut_into_groups_of_like_length() {
    let list: String = (1..=13).map(|n| format!("{n}. Step {n} of the job.\n")).collect();
    let (parsed, _) = parse("p.md", &page("P", "procedure", &format!("## Steps\n\n{list}")));
    let cut = passages(&parsed.unwrap());
    let starts: Vec<u64> = cut
        .iter()
        .flat_map(|p| &p.nodes)
        .filter_map(|node| match node {
            Node::List { start, .. } => Some(*start),
            _ => None,
        })
        .collect();
    assert_eq!(starts, [1, 6, 11]);
    assert!(cut.iter().all(|p| p.form == Form::Steps));
    assert!(cut[1].text.starts_with("6. Step 6"), "{}", cut[1].text);
    assert_eq!(cut[1].reference.to_string().parse(), Ok(cut[1].reference.clone()));
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
        ["Ring gap, top: at least 0.0045 x bore (in). Basis: common practice.", "Place: Skirt; Goes on: engine oil."]
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
