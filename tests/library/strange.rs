//! Whatever is typed, the library answers or says that it cannot; it never falls over.

use gudgeon::library::Library;

use crate::talks;

#[test]
fn strange_questions_are_survived() {
    let library = talks::shelf();
    let long = "ring gap ".repeat(64 * 1024 / 9);
    let wall = "x".repeat(64 * 1024);
    let digits = "9".repeat(64 * 1024);
    let many: String = (0..5000).map(|n| format!("word{n} ")).collect();
    for question in [
        "",
        " ",
        "\n\t\r",
        "\0",
        "\u{1b}[31mring\u{7}",
        "🙂🙂🙂",
        "🙂 ring gap 🙂",
        "the of and to",
        "?",
        "!!!",
        "....",
        "#0.01",
        "=3",
        "\"",
        "'",
        "\\",
        "%",
        "-",
        "--",
        "1/0",
        "1e999 in",
        "-0",
        "NaN",
        "naïve ŕıņğ ģæp",
        "кольцо",
        "戒指",
        "e\u{301}e\u{301}e\u{301}e\u{301}",
        "a-b-c-d-e-f-g-h",
        "title:ring AND (gap OR",
        "ring^1000",
        "*",
        "[a TO z]",
        &long,
        &wall,
        &digits,
        &many,
    ] {
        for n in [0, 1, 3, 10, 1000] {
            let answer = library.ask(question, Some("no such engine"), n);
            assert!(answer.hits.len() <= n.min(10));
            assert!(answer.hits.iter().all(|hit| hit.score.is_finite()));
        }
        library.page(question);
        library.word(question);
        library.suggest_pages(question, 5);
        library.engine(question);
    }
}

#[test]
fn words_without_a_subject_are_not_covered() {
    let library = talks::shelf();
    for question in ["", "the of and to", "🙂", "how do i do it", "what is the best way", "0.010"] {
        assert!(!library.ask(question, None, 3).covered, "{question}");
    }
    assert!(library.ask("🙂 ring gap 🙂", None, 3).covered);
    assert!(library.ask(&"ring gap ".repeat(7000), None, 3).covered);
}

#[test]
fn an_empty_shelf_covers_nothing() {
    let library = Library::from_files([]);
    assert!(!library.ask("ring gap", None, 3).covered);
    assert!(library.page("a").is_none() && library.word("a").is_none() && library.procedures().is_empty());
}
