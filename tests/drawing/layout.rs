//! Text on the card: inside it, large enough, and clear of all other text.

use std::sync::{Arc, OnceLock};

use gudgeon::drawing::{Figure, png};
use resvg::usvg::{Node, Options, Rect, Tree, fontdb};

use super::samples;

/// The parsed figure, with the same carried font.
pub fn parsed(figure: &Figure) -> Tree {
    static FONTS: OnceLock<Arc<fontdb::Database>> = OnceLock::new();
    let fonts = FONTS.get_or_init(|| {
        let mut fonts = fontdb::Database::new();
        fonts.load_font_data(dejavu::sans::regular().to_vec());
        fonts.load_font_data(dejavu::sans::bold().to_vec());
        Arc::new(fonts)
    });
    let options = Options { fontdb: Arc::clone(fonts), ..Options::default() };
    Tree::from_str(&figure.svg, &options).unwrap_or_else(|fault| panic!("{}: {fault}", figure.title))
}

/// Every line of text with its box and smallest font size.
pub fn texts(figure: &Figure) -> Vec<(String, Rect, f32)> {
    fn walk(nodes: &[Node], found: &mut Vec<(String, Rect, f32)>) {
        for node in nodes {
            match node {
                Node::Group(group) => walk(group.children(), found),
                Node::Text(text) => {
                    let said = text.chunks().iter().map(|c| c.text()).collect::<String>();
                    let sizes = text.chunks().iter().flat_map(|c| c.spans()).map(|s| s.font_size().get());
                    found.push((said, text.abs_bounding_box(), sizes.fold(f32::INFINITY, f32::min)));
                }
                Node::Path(_) | Node::Image(_) => {}
            }
        }
    }
    let mut found = Vec::new();
    walk(parsed(figure).root().children(), &mut found);
    found
}

/// Fails where text leaves the card, is too small to read, or lies over other text.
pub fn check(name: &str, figure: &Figure) {
    const SLACK: f32 = 0.6;
    let texts = texts(figure);
    assert!(!texts.is_empty() || figure.title.trim().is_empty(), "{name}: no text, so the font was not found");
    let (width, height) = (figure.width as f32, figure.height as f32);
    for (place, (said, at, size)) in texts.iter().enumerate() {
        assert!(*size >= 14.0, "{name}: \"{said}\" is set at {size}");
        let inside = at.left() >= 4.0 && at.top() >= 4.0 && at.right() <= width - 4.0 && at.bottom() <= height - 4.0;
        assert!(inside, "{name}: \"{said}\" leaves the card of {width} x {height}: {at:?}");
        for (other, there, _) in &texts[place + 1..] {
            let across = at.right().min(there.right()) - at.left().max(there.left());
            let down = at.bottom().min(there.bottom()) - at.top().max(there.top());
            assert!(across <= SLACK || down <= SLACK, "{name}: \"{said}\" {at:?} over \"{other}\" {there:?}");
        }
    }
}

#[test]
fn text_keeps_to_the_card_and_clear_of_other_text() {
    for (name, figure) in samples::all() {
        check(&name, &figure);
    }
}

#[test]
fn nothing_painted_leaves_the_card() {
    for (name, figure) in samples::all() {
        let all = parsed(&figure).root().abs_stroke_bounding_box();
        let (width, height) = (figure.width as f32, figure.height as f32);
        let inside = all.left().min(all.top()) > -0.01 && all.right() < width + 0.01 && all.bottom() < height + 0.01;
        assert!(inside, "{name}: {all:?} on {} x {}", figure.width, figure.height);
    }
}

#[test]
fn all_but_the_matrix_are_as_wide_as_a_phone() {
    for (name, figure) in samples::all() {
        assert!(figure.width == 360 || name.starts_with("matrix"), "{name} is {} wide", figure.width);
        assert!(figure.height <= 1400, "{name} is {} tall", figure.height);
    }
}

#[test]
fn every_figure_says_itself_in_words() {
    for (name, figure) in samples::all() {
        let document = resvg::usvg::roxmltree::Document::parse(&figure.svg).unwrap();
        let said = |tag: &str| {
            let node = document.root_element().children().find(|n| n.has_tag_name(tag)).unwrap();
            node.text().unwrap_or_default().to_owned()
        };
        assert_eq!(said("title"), figure.title, "{name}");
        assert_eq!(said("desc"), figure.alt, "{name}");
        assert_eq!(document.root_element().attribute("role"), Some("img"), "{name}");
        assert!(!figure.svg.contains("\"-0\"") && !figure.svg.contains("NaN"), "{name}");
    }
}

/// Not a check: paints every sample into the folder named by `FIGURES`, to be looked at.
#[test]
#[ignore = "writes pictures for a person to look at"]
fn paint() {
    let folder = std::path::PathBuf::from(std::env::var("FIGURES").expect("FIGURES names a folder"));
    std::fs::create_dir_all(&folder).unwrap();
    for (name, figure) in samples::all() {
        std::fs::write(folder.join(format!("{name}.png")), png(&figure, 2.0).unwrap()).unwrap();
    }
}
