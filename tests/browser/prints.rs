//! The build sheet in a real browser: by its address, and through the printer.

use serde_json::Value;

use super::rig::on_screen;
use crate::sheet::files::pages;
use crate::sheet::{file, rebuilt};

#[test]
fn a_sheet_is_cut_nowhere_on_a4_or_letter() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("sheet.html");
    std::fs::write(&path, file(&rebuilt(), "").content).unwrap();
    on_screen(async |screen| {
        screen.open(&format!("file://{}", path.display())).await;
        for (name, wide, tall) in [("a4", 21.0, 29.7), ("letter", 21.59, 27.94)] {
            // The printable width, at 96 pixels to the inch.
            screen.size(((wide - 2.8) / 2.54 * 96.0) as u32, 900).await;
            assert_eq!(screen.eval(CUT).await, Value::Array(Vec::new()), "cut on {name}");
            let printed = screen.printed(&format!("sheet-{name}"), wide, tall).await;
            assert!((5..=20).contains(&pages(&printed)), "{} pages of {name}", pages(&printed));
        }
        screen.eval("document.querySelector('.readings td').style.whiteSpace = 'nowrap'").await;
        assert!(!screen.eval(CUT).await.as_array().unwrap().is_empty(), "what is cut is found");
    });
}

#[test]
fn the_code_on_the_paper_opens_the_sheet_once_someone_is_known() {
    on_screen(async |screen| {
        screen.goto("/sheet/1").await;
        assert_eq!(screen.path().await, "/door");
        screen.be("tech-1").await;
        screen.goto("/sheet/1").await;
        assert!(screen.text("h1").await.contains("Build sheet, job #1"));
        screen.goto("/sheet/77").await;
        assert!(screen.text("main").await.contains("no such sheet"));
    });
}

/// Anything that is wider than its box.
const CUT: &str = "
    const wide = document.documentElement.clientWidth;
    return Array.from(document.querySelectorAll('body *'))
        .filter((e) => !e.closest('svg'))
        .filter((e) => e.scrollWidth > e.clientWidth + 1 && e.clientWidth > 0 && getComputedStyle(e).display !== 'inline'
            || e.getBoundingClientRect().right > wide + 1)
        .map((e) => e.outerHTML.slice(0, 120));";
