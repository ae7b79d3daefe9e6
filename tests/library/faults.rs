//! Every fault names its file and line, and what would be right; none takes another page down.

use super::{page, shelf, told};

/// The one fault of a one-page shelf.
fn fault(text: &str) -> String {
    let library = shelf(&[("a.md", text.to_owned())]);
    let told = told(&library);
    assert_eq!(told.len(), 1, "{told:?}");
    told[0].clone()
}

#[test]
fn front_matter_that_is_missing_or_misread() {
    assert!(fault("# Bare\n\nWords.").starts_with("a.md:1: the page has no front matter; "));
    assert!(fault("+++\ntitle = \"A\"\n\nnever closed").starts_with("a.md:1: the page has no front matter; "));
    let broken = fault("+++\ntitle = \"A\"\nkind = note\n+++\n");
    assert!(broken.starts_with("a.md:3: the front matter is not TOML: "), "{broken}");
}

#[test]
fn keys_that_are_missing_unknown_or_wrong() {
    let with = |lines: &str| format!("+++\n{lines}\n+++\n\nWords.\n");
    let good = "title = \"A\"\nkind = \"note\"\nreviewed = \"2026-11-01\"\nsources = [\"common practice\"]";
    assert!(told(&shelf(&[("a.md", with(good))])).is_empty());
    for (lines, start, holds) in [
        (good.replace("title = \"A\"\n", ""), "a.md:1: the front matter has no title; ", "title = "),
        (good.replace("kind = \"note\"\n", ""), "a.md:1: the front matter has no kind; ", "procedure"),
        (good.replace("\"note\"", "\"notes\""), "a.md:3: unknown kind `notes`; ", "did you mean `note`?"),
        (
            good.replace("sources = [\"common practice\"]", ""),
            "a.md:1: the front matter has no sources; ",
            "common practice",
        ),
        (good.replace("[\"common practice\"]", "[]"), "a.md:5: `sources` names none; ", "common practice"),
        (good.replace("2026-11-01", "last week"), "a.md:4: `reviewed` is not a date; ", "2026-11-01"),
        (format!("{good}\nstage = \"ring\""), "a.md:6: unknown stage `ring`; ", "did you mean `rings`?"),
        (format!("{good}\nduty = \"racing\""), "a.md:6: unknown duty `racing`; ", "marine"),
        (format!("{good}\nsorces = []"), "a.md:6: unknown front matter key `sorces`; ", "did you mean `sources`?"),
    ] {
        let fault = fault(&with(&lines));
        assert!(fault.starts_with(start) && fault.contains(holds), "{fault}");
    }
}

#[test]
fn limits_rows_that_cannot_be_judged_by() {
    let table = "| Check | At | Min | Max | Unit | Basis |\n|---|---|---|---|---|---|\n";
    let good = "| squish | - | 0.040 | 0.060 | in | common practice |\n";
    for (row, column) in [
        ("| squich | - | 0.040 | - | in | common practice |", "Check holds \"squich\""),
        ("| squish | - | 0.060 | 0.040 | in | common practice |", "Max holds \"0.040\""),
        ("| squish | - | 0.040 | - | | common practice |", "Unit holds \"\""),
        ("| squish | - | 0.040 | - | psi | common practice |", "Unit holds \"psi\""),
        ("| squish | - | forty | - | in | common practice |", "Min holds \"forty\""),
        ("| squish | top | 0.040 | - | in | common practice |", "At holds \"top\""),
    ] {
        let library = shelf(&[("l.md", page("L", "limits", &format!("{table}{good}{row}")))]);
        let told = told(&library);
        assert_eq!(told.len(), 1, "{told:?}");
        // Front matter of six lines, a blank, header, rule, the good row, this row.
        assert!(told[0].starts_with("l.md:11: ") && told[0].contains(column), "{}", told[0]);
        assert_eq!(library.general_limits(None).count(), 1, "the good row stays");
    }
}

#[test]
fn a_limits_header_with_a_slip_is_not_passed_over() {
    let body =
        "| Check | Where | Min | Max | Unit | Basis |\n|---|---|---|---|---|---|\n| squish | - | 0.040 | - | in | x |";
    let told = told(&shelf(&[("l.md", page("L", "limits", body))]));
    assert!(told.iter().any(|t| t.starts_with("l.md:8: the header ") && t.contains("Check | At | Min")), "{told:?}");
}

#[test]
fn hold_points_links_alerts_and_steps() {
    let body = "1. Measure and [post it](log:ring-gab).\n2. See [there](no-such-page.md).\n\n> [!CUATION]\n> Hot.\n\n<b>x</b>\n";
    let told = told(&shelf(&[("p.md", page("P", "procedure", body)), ("q.md", page("Q", "procedure", "No list."))]));
    let has = |start: &str, remedy: &str| told.iter().any(|t| t.starts_with(start) && t.contains(remedy));
    assert!(
        has("p.md:8: the hold point names the unknown check `ring-gab`", "did you mean `log:ring-gap`?"),
        "{told:?}"
    );
    assert!(has("p.md:9: the link `no-such-page.md` leads to no page", "file name"), "{told:?}");
    assert!(has("p.md:11: unknown alert `[!CUATION]`", "did you mean `[!CAUTION]`?"), "{told:?}");
    assert!(has("p.md:14: the page has raw HTML", "Markdown"), "{told:?}");
    assert!(has("q.md:7: the procedure has no ordered list", "1. "), "{told:?}");
    assert_eq!(told.len(), 5, "{told:?}");
}

#[test]
fn pages_that_clash() {
    let library = shelf(&[
        ("a/one.md", page("Same", "note", "First.")),
        ("b/two.md", page("same", "note", "Second, [first](one.md).")),
        ("c/one.md", page("Other", "note", "Third.")),
    ]);
    let told = told(&library);
    assert!(told.iter().any(|t| t.starts_with("b/two.md:1: the title \"same\" is also that of a/one.md")), "{told:?}");
    assert!(told.iter().any(|t| t.starts_with("c/one.md:1: the page has the same file name as a/one.md")), "{told:?}");
    assert!(told.iter().any(|t| t.starts_with("b/two.md:8: ") && t.contains("write `../a/one.md`")), "{told:?}");
    assert_eq!(library.pages().count(), 2);
}

#[test]
fn an_engine_is_reported_key_by_key() {
    let skerry =
        std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/knowledge/engines/skerry-v8.md")).unwrap();
    let broken = skerry.replace("bore = \"4.000in\"", "bore = \"four\"");
    assert_ne!(broken, skerry);
    let line = 1 + broken.lines().position(|line| line.contains("\"four\"")).unwrap();
    let library = shelf(&[("engines/skerry-v8.md", broken)]);
    let told = told(&library);
    assert!(told.iter().any(|t| t.starts_with(&format!("engines/skerry-v8.md:{line}: `bore` holds "))), "{told:?}");
    assert!(library.engine("skerry-v8").is_none() && library.page("skerry-v8").is_some());
}

#[test]
fn an_engine_is_without_checks_that_there_are() {
    let fulmar =
        std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/knowledge/engines/fulmar-four.md")).unwrap();
    let slip = fulmar.replace("without = [\"lifter-preload\"]", "without = [\"lifter-preload\", \"cam-end-flot\"]");
    assert_ne!(slip, fulmar);
    let line = 1 + slip.lines().position(|line| line.contains("cam-end-flot")).unwrap();
    let library = shelf(&[("engines/fulmar-four.md", slip)]);
    let wanted = format!(
        "engines/fulmar-four.md:{line}: the engine is without the unknown check `cam-end-flot`; did you mean `cam-end-float`?"
    );
    assert!(told(&library).contains(&wanted), "{:?}", told(&library));
    let engine = library.engine("fulmar-four").unwrap();
    assert!(library.plan().check("lifter-preload").is_some());
    assert!(library.plan().of(engine).all(|check| check.id != "lifter-preload"));
    assert!(library.plan().of(engine).any(|check| check.id == "valve-lash"));
}

#[test]
fn one_faulty_page_leaves_the_rest_alone() {
    let library = shelf(&[
        ("bad.md", "no front".to_owned()),
        ("good.md", page("Ring gaps", "note", "File the ring gap square.")),
    ]);
    assert_eq!(library.faults().len(), 1);
    assert!(library.ask("file ring gap square", None, 3).covered);
}

#[test]
fn the_shelf_that_comes_with_the_house_has_no_fault() {
    assert_eq!(told(&gudgeon::library::Library::embedded()), Vec::<String>::new());
}
