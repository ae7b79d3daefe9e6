//! The carried font, how wide text is in it, and how text is made to fit.
//!
//! A server has no fonts and a phone has its own; DejaVu Sans is wider than the usual phone fonts, so what fits here
//! fits there.

use std::collections::HashMap;
use std::fmt::Write;
use std::sync::{Arc, OnceLock};

use resvg::usvg::{Node, Options, Tree, fontdb};

use super::canvas::escaped;
use super::style::Type;
use crate::quantity::is_unit_word;

/// Family named by every figure.
pub const FAMILY: &str = "'DejaVu Sans', sans-serif";

/// Parsing options with the carried font and nothing else.
pub fn options() -> Options<'static> {
    static FONTS: OnceLock<Arc<fontdb::Database>> = OnceLock::new();
    let fonts = FONTS.get_or_init(|| {
        let mut fonts = fontdb::Database::new();
        for face in [dejavu::sans::regular(), dejavu::sans::bold()] {
            fonts.load_font_source(fontdb::Source::Binary(Arc::new(face)));
        }
        fonts.set_sans_serif_family("DejaVu Sans");
        Arc::new(fonts)
    });
    Options { fontdb: Arc::clone(fonts), font_family: "DejaVu Sans".to_owned(), ..Options::default() }
}

/// Characters whose advance is measured from the font; any other counts as a full em.
fn measured() -> impl Iterator<Item = char> {
    ('\u{20}'..'\u{180}').filter(|c| !c.is_control()).chain("–—‘’“”…−×·•°±µ↑↓←→▲▼✓⌀′″".chars())
}

/// Advances in em of the regular and of the bold face.
fn advances(bold: bool) -> &'static HashMap<char, f64> {
    static FACES: OnceLock<[HashMap<char, f64>; 2]> = OnceLock::new();
    let faces = FACES.get_or_init(|| [measure_face("400"), measure_face("700")]);
    &faces[usize::from(bold)]
}

/// Each character between two bars that do not kern, less the bars.
fn measure_face(weight: &str) -> HashMap<char, f64> {
    let mut sheet = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="10" height="10" font-size="1000" font-weight="{weight}">"#
    );
    sheet.push_str("<text>||</text>");
    for c in measured() {
        let _ = write!(sheet, "<text>|{}|</text>", escaped(&c.to_string()));
    }
    sheet.push_str("</svg>");
    let Ok(tree) = Tree::from_str(&sheet, &options()) else { return HashMap::new() };
    let mut widths = Vec::new();
    collect(tree.root().children(), &mut widths);
    let Some((bars, widths)) = widths.split_first() else { return HashMap::new() };
    measured().zip(widths.iter().map(|w| (w - bars) / 1000.0)).collect()
}

fn collect(nodes: &[Node], widths: &mut Vec<f64>) {
    for node in nodes {
        match node {
            Node::Group(group) => collect(group.children(), widths),
            Node::Text(text) => widths.push(f64::from(text.bounding_box().width())),
            Node::Path(_) | Node::Image(_) => {}
        }
    }
}

/// Width of `text` in user units.
pub fn width(text: &str, style: Type) -> f64 {
    let face = advances(style.bold);
    text.chars().map(|c| face.get(&c).copied().unwrap_or(1.0)).sum::<f64>() * style.size
}

/// `text` cut with an ellipsis where it is wider than `room`.
pub fn fit(text: &str, room: f64, style: Type) -> String {
    let text = text.trim();
    if width(text, style) <= room {
        return text.to_owned();
    }
    let mut cut = String::new();
    let mut used = width("…", style);
    for c in text.chars() {
        used += width(c.encode_utf8(&mut [0; 4]), style);
        if used > room {
            break;
        }
        cut.push(c);
    }
    format!("{}…", cut.trim_end())
}

/// The pieces a line may break between: words, a number staying with its unit.
fn unbroken(text: &str) -> Vec<String> {
    let mut pieces: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let unit = is_unit_word(word.trim_end_matches([',', '.', ';', ':', ')']));
        match pieces.last_mut() {
            Some(last) if unit && last.ends_with(|c: char| c.is_ascii_digit()) => {
                last.push(' ');
                last.push_str(word);
            }
            _ => pieces.push(word.to_owned()),
        }
    }
    pieces
}

/// `text` in at most `most` lines no wider than `room`; the last is cut where text is left over.
pub fn wrap(text: &str, room: f64, style: Type, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let words = unbroken(text);
    let mut words = words.iter().map(String::as_str).peekable();
    while words.peek().is_some() {
        if lines.len() + 1 >= most {
            let rest = words.collect::<Vec<_>>().join(" ");
            lines.push(fit(&rest, room, style));
            break;
        }
        let mut line = String::new();
        while let Some(word) = words.peek() {
            let longer = if line.is_empty() { (*word).to_owned() } else { format!("{line} {word}") };
            if width(&longer, style) > room {
                break;
            }
            line = longer;
            words.next();
        }
        // A single word wider than the line is cut, not broken: part numbers must not be misread.
        if line.is_empty() {
            line = words.next().map(|word| fit(word, room, style)).unwrap_or_default();
        }
        lines.push(line);
    }
    lines
}
