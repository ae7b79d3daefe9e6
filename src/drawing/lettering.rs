//! The carried font, how wide text is in it, and how text is made to fit.
//!
//! A server has no fonts and a phone has its own; DejaVu Sans is wider than the usual phone fonts, so what fits here
//! fits there.

#[cfg(feature = "shop")]
use {
    resvg::usvg::{Options, fontdb},
    skrifa::instance::{LocationRef, Size},
    skrifa::{FontRef, MetadataProvider},
    std::sync::{Arc, OnceLock},
};

use super::style::Type;
use crate::quantity::is_unit_word;

/// Family named by every figure.
pub const FAMILY: &str = "'DejaVu Sans', sans-serif";

#[cfg(feature = "shop")]
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

#[cfg(feature = "shop")]
/// The two faces, read for their advances.
struct Faces {
    regular: Option<FontRef<'static>>,
    bold: Option<FontRef<'static>>,
}

/// Advance of a character in em; a full em where the font has none.
#[cfg(not(feature = "shop"))]
fn advance(c: char, bold: bool) -> f64 {
    super::advances::advance(c, bold).unwrap_or(1.0)
}

/// Advance of a character in em; a full em where the font has none.
#[cfg(feature = "shop")]
fn advance(c: char, bold: bool) -> f64 {
    static FACES: OnceLock<Faces> = OnceLock::new();
    let faces = FACES.get_or_init(|| Faces {
        regular: FontRef::new(dejavu::sans::regular()).ok(),
        bold: FontRef::new(dejavu::sans::bold()).ok(),
    });
    let face = if bold { &faces.bold } else { &faces.regular };
    face.as_ref()
        .and_then(|face| {
            let glyph = face.charmap().map(c)?;
            face.glyph_metrics(Size::new(1.0), LocationRef::default()).advance_width(glyph)
        })
        .map_or(1.0, f64::from)
}

/// Width of `text` in user units.
pub fn width(text: &str, style: Type) -> f64 {
    text.chars().map(|c| advance(c, style.bold)).sum::<f64>() * style.size
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
pub fn unbroken(text: &str) -> Vec<String> {
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

#[cfg(test)]
mod tests {
    use super::super::advances;

    #[test]
    fn the_table_for_phones_is_the_fonts() {
        let faces = |c| [false, true].map(|bold| (bold, advances::advance(c, bold)));
        let mut known = 0;
        for c in '\u{20}'..='\u{2717}' {
            for (bold, advance) in faces(c) {
                let Some(advance) = advance else { continue };
                assert_eq!(advance, super::advance(c, bold), "{c:?} {bold}");
                known += 1;
            }
        }
        assert!(known > 3_000, "{known}");
        for c in ('\u{20}'..='\u{7e}').chain("°±µ×–—“”…·✓−½¼¾²³".chars()) {
            assert!(advances::advance(c, true).is_some(), "{c:?}");
        }
    }
}
